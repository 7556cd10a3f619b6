package store

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"time"

	"sinterbook/store/shop"
)

// balanceWithin is what was taken out of a container after its last weighing,
// and what was in it then: a weighing says what is left, whatever the records
// said before. join brings that weighing as w. bound limits both to a time, as
// " <= $2"; "" takes all.
func balanceWithin(bound string) (balance, join string) {
	within := func(at string) string {
		if bound == "" {
			return ""
		}
		return " AND " + at + bound
	}
	balance = `coalesce(w.left_g, c.mass_g)
	- coalesce((SELECT sum(drawn_g + coalesce(purged_g, 0)) FROM draw WHERE draw.container_id = c.id AND corrected_by IS NULL AND (w.at IS NULL OR draw.at > w.at)` + within("draw.at") + `), 0)
	- coalesce((SELECT sum(drawn_g + coalesce(purged_g, 0)) FROM coupon WHERE coupon.container_id = c.id AND (w.at IS NULL OR coupon.made_at > w.at)` + within("coupon.made_at") + `), 0)
	- coalesce((SELECT sum(mass_g) FROM paste_waste WHERE paste_waste.container_id = c.id AND (w.at IS NULL OR paste_waste.at > w.at)` + within("paste_waste.at") + `), 0)
	- coalesce((SELECT sum(mass_g) FROM paste_return WHERE paste_return.container_id = c.id AND (w.at IS NULL OR paste_return.at > w.at)` + within("paste_return.at") + `), 0)`
	return balance, ` LEFT JOIN container_weighing w ON w.id = (SELECT x.id FROM container_weighing x WHERE x.container_id = c.id` + within("x.at") + ` ORDER BY x.at DESC, x.id DESC LIMIT 1)`
}

// containerBalance is the balance by all records, lastWeighing what it begins
// with.
var containerBalance, lastWeighing = balanceWithin("")

const containerFields = "c.opened_at, c.scrapped_at, c.returned_at, w.at, c.article, c.serial, c.label, c.code"

var containerColumns = `SELECT c.id, c.container, lot.lot, c.mass_g, ` + containerBalance + `, ` + containerFields + `
	FROM container c JOIN lot ON lot.id = c.lot_id` + lastWeighing

func scanContainer(row scanner) (shop.Container, error) { return readContainer(row) }

// readContainer reads a row of containerColumns, and into more what was asked
// for behind them.
func readContainer(row scanner, more ...any) (shop.Container, error) {
	var c shop.Container
	var opened, scrapped, returned, weighed stamp
	err := row.Scan(append([]any{&c.ID, &c.Container, &c.Lot, &c.In, &c.Left, &opened, &scrapped, &returned, &weighed, &c.Article, &c.Serial, &c.Label, &c.Code}, more...)...)
	c.Opened, c.Scrapped, c.Returned, c.Weighed = opened.Time, scrapped.Time, returned.Time, weighed.Time
	c.Left = tidy(c.Left)
	return c, err
}

// tidy is a sum of tenths of a gram without the rounding of doubles.
func tidy(g float64) float64 { return math.Round(g*1e6) / 1e6 }

// heldAt is what a container held by the records up to a time, g: since it was
// weighed last, and with no weighing counted.
func heldAt(ctx context.Context, q querier, container string, at time.Time) (held, book float64, err error) {
	balance, join := balanceWithin(" <= $2")
	for g, join := range map[*float64]string{&held: join, &book: " LEFT JOIN container_weighing w ON 1 = 0"} {
		var err error
		*g, err = one("container", container, func(row scanner) (g float64, err error) { return g, row.Scan(&g) },
			q.QueryRowContext(ctx, "SELECT "+balance+" FROM container c"+join+" WHERE c.container = $1", container, stamp{at}))
		if err != nil {
			return 0, 0, err
		}
	}
	return tidy(held), tidy(book), nil
}

// asOf is a container with what may be taken from it at a time: what it holds
// now or, where it was weighed or went since, what it held then. What was taken
// before a weighing changes nothing of what that found.
func asOf(ctx context.Context, q querier, c shop.Container, at time.Time) (shop.Container, error) {
	if !c.Weighed.After(at) && !c.Gone().After(at) {
		return c, nil
	}
	var err error
	if c.Left, _, err = heldAt(ctx, q, c.Container, at); err != nil {
		return c, err
	}
	var weighed stamp
	if err := q.QueryRowContext(ctx, "SELECT max(w.at) FROM container_weighing w WHERE w.container_id = $1 AND w.at <= $2", c.ID, stamp{at}).Scan(&weighed); err != nil {
		return c, fmt.Errorf("reading when %s was weighed: %w", c.Container, err)
	}
	c.Weighed = weighed.Time
	return c, nil
}

// Containers lists the containers of a lot by number.
func (s *Store) Containers(ctx context.Context, lot string) ([]shop.Container, error) {
	return list(ctx, s.db, "containers", scanContainer, containerColumns+" WHERE lot.lot = $1 ORDER BY c.container", lot)
}

// Container is a container by its number, or ErrNotFound.
func (s *Store) Container(ctx context.Context, number string) (shop.Container, error) {
	return containerByNumber(ctx, s.db, number)
}

func containerByNumber(ctx context.Context, q querier, number string) (shop.Container, error) {
	return one("container", number, scanContainer, q.QueryRowContext(ctx, containerColumns+" WHERE c.container = $1", number))
}

// checkNotTwice refuses a container that was booked in already: one of the
// maker's serial numbers is one container of an article or a lot.
func checkNotTwice(ctx context.Context, q querier, e shop.ContainerReceived) error {
	if e.Serial == "" {
		return nil
	}
	first, err := one("container", e.Serial, word, q.QueryRowContext(ctx, `SELECT c.container FROM container c JOIN lot ON lot.id = c.lot_id
		WHERE c.serial = $1 AND (lot.lot = $2 OR c.article = $3 AND c.article <> '') ORDER BY c.id LIMIT 1`, e.Serial, e.Lot, e.Article))
	if errors.Is(err, shop.ErrNotFound) {
		return nil
	}
	if err == nil && first != e.Container {
		return shop.Conflict("The container with the maker's serial number %s was booked in already: it is %s.", e.Serial, first)
	}
	return err
}

// checkSealed refuses to open a container twice: its open life runs once.
func checkSealed(ctx context.Context, q querier, e shop.ContainerOpened, at time.Time) error {
	c, err := checkInUse(ctx, q, e.Container, at)
	if err != nil {
		return err
	}
	if c.Opened.IsZero() {
		return nil
	}
	zone, err := kept(q, "zone", func() (*time.Location, error) { return zoneOf(ctx, q) })
	if err != nil {
		return err
	}
	return shop.Conflict("Container %s is open already: its open life runs from the first opening, %s.", e.Container, c.Opened.In(zone).Format("2006-01-02 15:04"))
}

// putBack adds to what is left in a container what a draw took out of it. What
// was drawn before the last weighing is not in what was weighed.
func putBack(ctx context.Context, q querier, draw int64, c *shop.Container) error {
	d, err := one("draw", strconv.FormatInt(draw, 10), scanDraw, q.QueryRowContext(ctx, drawColumns+" WHERE draw.id = $1", draw))
	if err == nil && d.Container == c.Container && d.At.Time.After(c.Weighed) {
		c.Left += d.Drawn.Value() + d.Purged.Value()
	}
	return err
}

func (a applying) containerReceived(e shop.ContainerReceived) error {
	lot, err := thing(a.ctx, a.q, "lot", e.Lot)
	if err != nil {
		return err
	}
	if err := a.add("container", e.Container, "INSERT INTO container (id, container, lot_id, mass_text, mass_unit, mass_g, article, serial, label, code) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
		args(a.seq, e.Container, lot, e.Mass, e.Article, e.Serial, e.Label, e.Code)...); err != nil {
		return err
	}
	return a.code(e.Code, "container", e.Container)
}

func (a applying) containerOpened(e shop.ContainerOpened) error {
	return a.exec("UPDATE container SET opened_at = $1 WHERE container = $2", a.at(), e.Container)
}

// checkInUse refuses to do something with a container that was scrapped or sent
// back.
func checkInUse(ctx context.Context, q querier, container string, at time.Time) (shop.Container, error) {
	c, err := containerByNumber(ctx, q, container)
	switch {
	case err != nil || c.Gone().IsZero() || at.Before(c.Gone()):
		return c, err
	case !c.Returned.IsZero():
		return c, shop.Conflict("Container %s was sent back to its maker.", c.Container)
	}
	return c, shop.Conflict("Container %s was scrapped.", c.Container)
}

// checkWaste refuses to throw away more than is there.
func checkWaste(ctx context.Context, q querier, container string, mass shop.Reading, at time.Time) error {
	c, err := checkInUse(ctx, q, container, at)
	if err != nil {
		return err
	}
	if c, err = asOf(ctx, q, c, at); err == nil && mass.Value() > c.Left+1e-9 {
		return shop.Wrong("mass", "Container %s holds %s g by its records, not %s: weigh it first.", c.Container, shop.InGrams(c.Left), mass)
	}
	return err
}

// weighing gathers what the mass of a container is judged by: what it held by
// the records up to then and the limit of the day, or what the others of its lot
// came with.
func weighing(ctx context.Context, q querier, f *shop.Facts) (err error) {
	switch ev := f.Event.(type) {
	case shop.ContainerReceived:
		err = q.QueryRowContext(ctx, "SELECT coalesce(avg(c.mass_g), 0) FROM container c JOIN lot ON lot.id = c.lot_id WHERE lot.lot = $1", ev.Lot).Scan(&f.Container.In)
		if err != nil {
			return fmt.Errorf("reading what containers of %s came with: %w", ev.Lot, err)
		}
	case shop.ContainerWeighed:
		if f.Container, err = containerByNumber(ctx, q, ev.Container); err != nil {
			return err
		}
		if f.Container.Left, f.Book, err = heldAt(ctx, q, ev.Container, f.AsOf()); err != nil {
			return err
		}
		f.Limit, err = limitAt(ctx, q, shop.UnexplainedMass, f.At)
	}
	return err
}

func (a applying) pasteWasted(e shop.PasteWasted) error {
	return a.waste(e.Container, e.Mass, e.Why)
}

func (a applying) waste(container string, mass shop.Reading, why string) error {
	id, err := thing(a.ctx, a.q, "container", container)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO paste_waste (id, container_id, mass_text, mass_unit, mass_g, why, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)", args(a.seq, id, mass, why, a.at(), a.By)...)
}

func (a applying) containerWeighed(e shop.ContainerWeighed) error {
	id, err := thing(a.ctx, a.q, "container", e.Container)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO container_weighing (id, container_id, left_text, left_unit, left_g, note, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)", args(a.seq, id, e.Left, e.Note, a.at(), a.By)...)
}

func (a applying) containerScrapped(e shop.ContainerScrapped) error {
	if err := a.waste(e.Container, e.Mass, e.Why); err != nil {
		return err
	}
	return a.exec("UPDATE container SET scrapped_at = $1 WHERE container = $2", a.at(), e.Container)
}

func (a applying) containerReturned(e shop.ContainerReturned) error {
	id, err := thing(a.ctx, a.q, "container", e.Container)
	if err != nil {
		return err
	}
	if err := a.exec("INSERT INTO paste_return (id, container_id, mass_text, mass_unit, mass_g, note, why, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
		args(a.seq, id, e.Mass, e.Note, e.Why, a.at(), a.By)...); err != nil {
		return err
	}
	return a.exec("UPDATE container SET returned_at = $1 WHERE id = $2", a.at(), id)
}

// What a ContainerEvent can be.
const (
	Weighed   = "weighed"
	Wasted    = "wasted"
	Scrapped  = "scrapped"
	SentBack  = "sent back"
	Explained = "explained"
)

// A ContainerEvent is what became of paste in a container other than a draw.
type ContainerEvent struct {
	Seq  int64
	Does string
	Mass shop.Reading
	Note string
	At   stamp
	By   string
}

// ContainerEvents lists waste, weighings and the like of a container, oldest
// first.
func (s *Store) ContainerEvents(ctx context.Context, container string) ([]ContainerEvent, error) {
	return containerEventsOf(ctx, s.db, container)
}

func containerEventsOf(ctx context.Context, q querier, container string) ([]ContainerEvent, error) {
	return list(ctx, q, "waste and weighings", func(row scanner) (ContainerEvent, error) {
		var e ContainerEvent
		var mass readingColumns
		if err := row.Scan(append(append([]any{&e.Seq, &e.Does}, mass.scan()...), &e.Note, &e.At, &e.By)...); err != nil {
			return e, err
		}
		return e, readings(map[*shop.Reading]*readingColumns{&e.Mass: &mass})
	}, `SELECT v.id, CASE WHEN `+scraps+` THEN '`+Scrapped+`' ELSE '`+Wasted+`' END, v.mass_text, v.mass_unit, v.mass_g, why, at, by_badge FROM paste_waste v JOIN container c ON c.id = v.container_id WHERE c.container = $1
		UNION ALL SELECT w.id, '`+Weighed+`', w.left_text, w.left_unit, w.left_g, note, at, by_badge FROM container_weighing w JOIN container c ON c.id = w.container_id WHERE c.container = $1
		UNION ALL SELECT b.id, '`+SentBack+`', b.mass_text, b.mass_unit, b.mass_g, CASE WHEN note = '' THEN why ELSE why || ', note ' || note END, at, by_badge FROM paste_return b JOIN container c ON c.id = b.container_id WHERE c.container = $1
		UNION ALL SELECT x.id, '`+Explained+`', x.difference_text, x.difference_unit, x.difference_g, why, at, by_badge FROM paste_difference x JOIN container c ON c.id = x.container_id WHERE c.container = $1
		ORDER BY 7, 1`, container)
}

// scraps tells the waste that took its container out of use from other waste,
// by the entry that recorded it.
const scraps = "EXISTS (SELECT 1 FROM entry WHERE entry.seq = v.id AND entry.kind = 'container-scrapped')"

// A Draw is paste taken out of a container for an insert.
type Draw struct {
	Seq                int64
	Container          string
	Insert             string
	FromLayer, ToLayer int
	Drawn, Purged      shop.Reading
	At                 stamp
	By                 string
	CorrectedBy        int64 // entry that replaced it, 0 while it stands
}

const drawColumns = `SELECT draw.id, container.container, mould_insert.serial, from_layer, to_layer, drawn_text, drawn_unit, drawn_g,
	purged_text, purged_unit, purged_g, at, by_badge, coalesce(corrected_by, 0)
	FROM draw JOIN container ON container.id = draw.container_id JOIN mould_insert ON mould_insert.id = draw.insert_id`

func scanDraw(row scanner) (Draw, error) {
	var d Draw
	var drawn, purged readingColumns
	into := append([]any{&d.Seq, &d.Container, &d.Insert, &d.FromLayer, &d.ToLayer}, drawn.scan()...)
	into = append(append(into, purged.scan()...), &d.At, &d.By, &d.CorrectedBy)
	if err := row.Scan(into...); err != nil {
		return d, err
	}
	return d, readings(map[*shop.Reading]*readingColumns{&d.Drawn: &drawn, &d.Purged: &purged})
}

// Draws lists the paste drawn for an insert, replaced records too.
func (s *Store) Draws(ctx context.Context, insert string) ([]Draw, error) {
	return list(ctx, s.db, "draws", scanDraw, drawColumns+" WHERE mould_insert.serial = $1 ORDER BY draw.id", insert)
}

// DrawsFrom lists the paste drawn out of a container, replaced records too.
func (s *Store) DrawsFrom(ctx context.Context, container string) ([]Draw, error) {
	return list(ctx, s.db, "draws", scanDraw, drawColumns+" WHERE container.container = $1 ORDER BY draw.id", container)
}

// drawsOf lists the draws for an insert that stand, but for one that is being
// corrected.
func drawsOf(ctx context.Context, q querier, insert string, but int64) ([]shop.LayerDraw, error) {
	return list(ctx, q, "draws", func(row scanner) (shop.LayerDraw, error) {
		d, err := scanDraw(row)
		return shop.LayerDraw{LayerRun: shop.LayerRun{FromLayer: d.FromLayer, ToLayer: d.ToLayer}, Container: d.Container, Drawn: d.Drawn, By: d.By}, err
	}, drawColumns+" WHERE mould_insert.serial = $1 AND corrected_by IS NULL AND draw.id <> $2 ORDER BY draw.id", insert, but)
}

func (a applying) pasteDrawn(e shop.PasteDrawn) error {
	container, err := thing(a.ctx, a.q, "container", e.Container)
	if err != nil {
		return err
	}
	insert, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.correct("draw"); err != nil {
		return err
	}
	return a.exec(`INSERT INTO draw (id, container_id, insert_id, from_layer, to_layer, drawn_text, drawn_unit, drawn_g, purged_text, purged_unit, purged_g, at, by_badge)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)`,
		args(a.seq, container, insert, e.FromLayer, e.ToLayer, e.Drawn, e.Purged, a.at(), a.By)...)
}
