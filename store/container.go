package store

import (
	"context"
	"strconv"

	"sinterbook/store/shop"
)

const containerColumns = `SELECT container.id, container.container, lot.lot, container.mass_g, container.mass_g - coalesce((SELECT sum(drawn_g + coalesce(purged_g, 0))
	FROM draw WHERE draw.container_id = container.id AND corrected_by IS NULL), 0), container.opened_at, container.code
	FROM container JOIN lot ON lot.id = container.lot_id`

func scanContainer(row scanner) (shop.Container, error) {
	var c shop.Container
	var opened stamp
	err := row.Scan(&c.ID, &c.Container, &c.Lot, &c.In, &c.Left, &opened, &c.Code)
	c.Opened = opened.Time
	return c, err
}

// Containers lists the containers of a lot by number.
func (s *Store) Containers(ctx context.Context, lot string) ([]shop.Container, error) {
	return list(ctx, s.db, "containers", scanContainer, containerColumns+" WHERE lot.lot = $1 ORDER BY container.container", lot)
}

// Container is a container by its number, or ErrNotFound.
func (s *Store) Container(ctx context.Context, number string) (shop.Container, error) {
	return containerByNumber(ctx, s.db, number)
}

func containerByNumber(ctx context.Context, q querier, number string) (shop.Container, error) {
	return one("container", number, scanContainer, q.QueryRowContext(ctx, containerColumns+" WHERE container.container = $1", number))
}

// checkSealed refuses to open a container twice: its open life runs once.
func checkSealed(ctx context.Context, q querier, e shop.ContainerOpened) error {
	c, err := containerByNumber(ctx, q, e.Container)
	if err != nil {
		return err
	}
	if !c.Opened.IsZero() {
		return shop.Conflict("Container %s is open already; its open life runs from the first opening.", e.Container)
	}
	return nil
}

// putBack adds to what is left in a container what a draw took out of it.
func putBack(ctx context.Context, q querier, draw int64, c *shop.Container) error {
	d, err := one("draw", strconv.FormatInt(draw, 10), scanDraw, q.QueryRowContext(ctx, drawColumns+" WHERE draw.id = $1", draw))
	if err == nil && d.Container == c.Container {
		c.Left += d.Drawn.Value() + d.Purged.Value()
	}
	return err
}

func (a applying) containerReceived(e shop.ContainerReceived) error {
	lot, err := thing(a.ctx, a.q, "lot", e.Lot)
	if err != nil {
		return err
	}
	if err := a.add("container", e.Container, "INSERT INTO container (id, container, lot_id, mass_text, mass_unit, mass_g, code) VALUES ($1, $2, $3, $4, $5, $6, $7)",
		args(a.seq, e.Container, lot, e.Mass, e.Code)...); err != nil {
		return err
	}
	return a.code(e.Code, "container", e.Container)
}

func (a applying) containerOpened(e shop.ContainerOpened) error {
	return a.exec("UPDATE container SET opened_at = $1 WHERE container = $2", a.at(), e.Container)
}

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
