package store

import (
	"context"
	"database/sql"
	"fmt"

	"sinterbook/store/shop"
)

// An Account says what became of all the paste of a lot, or of one container:
// what came in is what lies in stock, went into inserts and coupons, was thrown
// away or sent back, and what nobody can explain.
type Account struct {
	Lot        shop.Lot
	Container  string // "" for the whole lot
	Containers []Balance
	Draws      []Draw // for inserts, those that stand
	Coupons    []shop.Coupon
	Events     []ContainerEvents
	Now        map[string]shop.Whereabout // of each insert that paste was drawn for
	Entries    int64                      // of the log up to which it counts
}

// ContainerEvents are what became of paste in one container other than a draw.
type ContainerEvents struct {
	Container string
	Events    []ContainerEvent
}

// Account draws up the account of a lot, or of one container of it where one is
// named. All its masses are of one moment.
func (s *Store) Account(ctx context.Context, lot, container string) (Account, error) {
	a, err := s.accounted(ctx, lot, container)
	if err != nil {
		return a, err
	}
	all, err := s.where(ctx, ` WHERE i.id IN (SELECT draw.insert_id FROM draw JOIN container c ON c.id = draw.container_id JOIN lot t ON t.id = c.lot_id
		WHERE draw.corrected_by IS NULL AND t.lot = $1) ORDER BY i.serial`, lot)
	for _, w := range all {
		a.Now[w.Code] = w
	}
	return a, err
}

func (s *Store) accounted(ctx context.Context, lot, container string) (Account, error) {
	a := Account{Container: container, Now: map[string]shop.Whereabout{}}
	tx, err := s.db.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil {
		return a, fmt.Errorf("drawing up the account of %s: %w", lot, err)
	}
	defer tx.Rollback()
	return a, a.read(ctx, tx, lot)
}

func (a *Account) read(ctx context.Context, q querier, lot string) (err error) {
	if a.Lot, err = lotByNumber(ctx, q, lot); err != nil {
		return err
	}
	if err = q.QueryRowContext(ctx, "SELECT size FROM head WHERE id = 1").Scan(&a.Entries); err != nil {
		return fmt.Errorf("reading the size of the log: %w", err)
	}
	if a.Containers, err = balancesOf(ctx, q, "lot.lot = $1", lot); err != nil {
		return err
	}
	if a.Container != "" {
		if a.Containers, err = balancesOf(ctx, q, "c.container = $1", a.Container); err != nil {
			return err
		}
		if len(a.Containers) == 0 || a.Containers[0].Lot != lot {
			return shop.NotFound("container", a.Container)
		}
	}
	for _, c := range a.Containers {
		if err := a.take(ctx, q, c.Container.Container); err != nil {
			return err
		}
	}
	return nil
}

// take adds what became of the paste of one container.
func (a *Account) take(ctx context.Context, q querier, container string) error {
	draws, err := list(ctx, q, "draws", scanDraw, drawColumns+" WHERE container.container = $1 AND corrected_by IS NULL ORDER BY draw.at, draw.id", container)
	if err != nil {
		return err
	}
	coupons, err := couponsOf(ctx, q, "container", container)
	if err != nil {
		return err
	}
	events, err := containerEventsOf(ctx, q, container)
	a.Draws, a.Coupons = append(a.Draws, draws...), append(a.Coupons, coupons...)
	if len(events) > 0 {
		a.Events = append(a.Events, ContainerEvents{container, events})
	}
	return err
}

// An AccountLine is a part of what came in, g.
type AccountLine struct {
	What  string
	Grams float64
	Count int // of containers, inserts or coupons; 0 where nothing is counted
	Of    string
}

// Lines are the parts of what came in; In is what they add up to.
func (a Account) Lines() []AccountLine {
	sealed, open := AccountLine{What: "In stock, sealed", Of: "containers"}, AccountLine{What: "In stock, open", Of: "containers"}
	wasted, scrapped := AccountLine{What: "Thrown away in use"}, AccountLine{What: "Scrapped with the container", Of: "containers"}
	returned, unexplained := AccountLine{What: "Sent back to the maker", Of: "containers"}, AccountLine{What: "Unexplained", Of: "containers"}
	add := func(l *AccountLine, g float64, counts bool) {
		l.Grams += g
		if counts {
			l.Count++
		}
	}
	for _, c := range a.Containers {
		switch c.State() {
		case "sealed":
			add(&sealed, c.Left, true)
		case "open":
			add(&open, c.Left, true)
		}
		add(&wasted, c.Wasted-c.ScrappedOf, false)
		add(&scrapped, c.ScrappedOf, c.State() == "scrapped")
		add(&returned, c.Returned, c.State() == "sent back")
		add(&unexplained, c.Unexplained, c.Unexplained != 0)
	}
	lines := []AccountLine{sealed, open, a.inserts(), a.coupons(), a.purged(), wasted, scrapped, returned, unexplained}
	for i := range lines {
		lines[i].Grams = tidy(lines[i].Grams)
	}
	return lines
}

func (a Account) inserts() AccountLine {
	l := AccountLine{What: "Drawn for inserts", Of: "inserts"}
	seen := map[string]bool{}
	for _, d := range a.Draws {
		l.Grams += d.Drawn.Value()
		seen[d.Insert] = true
	}
	l.Count = len(seen)
	return l
}

func (a Account) coupons() AccountLine {
	l := AccountLine{What: "Drawn for coupons", Of: "coupons", Count: len(a.Coupons)}
	for _, c := range a.Coupons {
		l.Grams += c.Drawn.Value()
	}
	return l
}

func (a Account) purged() AccountLine {
	l := AccountLine{What: "Purged through the nozzle"}
	for _, d := range a.Draws {
		l.Grams += d.Purged.Value()
	}
	for _, c := range a.Coupons {
		l.Grams += c.Purged.Value()
	}
	return l
}

// In is what came in, g.
func (a Account) In() float64 {
	in := 0.0
	for _, c := range a.Containers {
		in += c.In
	}
	return tidy(in)
}

// Sum is what the lines add up to, g: what came in, or the account does not
// close.
func (a Account) Sum() float64 {
	sum := 0.0
	for _, l := range a.Lines() {
		sum += l.Grams
	}
	return tidy(sum)
}
