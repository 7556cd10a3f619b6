package store

import (
	"context"
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// A Board asks for a part of the floor.
type Board struct {
	Next   string // only inserts whose next operation this is; "" for all
	HeldBy string // only inserts that this hold stops; "" for all
	After  int64  // id of the last insert shown before
	Limit  int
}

// A BoardRow is where one insert is, and what it lies in.
type BoardRow struct {
	ID       int64
	Insert   string
	Design   string
	Name     string
	Order    string
	Due      shop.Date
	Customer string
	Status   string
	Since    time.Time
	Place    string
	Next     string   // operation that comes next, "" at the end
	Begun    bool     // it is under way
	Recipe   string   // furnace recipe its release asks for
	Held     string   // number of a hold on it, "" if none stands
	Open     string   // number of a nonconformance that waits for a decision
	Lots     []string // that its release prints
	Load     string
	Mould    string

	release int64
}

const boardFrom = ` FROM mould_insert i JOIN design ON design.id = i.design_id JOIN customer_order o ON o.id = i.order_id
	LEFT JOIN design_release r ON r.id = i.release_id LEFT JOIN lot ON lot.id = r.lot_id
	LEFT JOIN furnace_load l ON l.id = i.load_id LEFT JOIN mould m ON m.id = i.mould_id
	WHERE i.id IN (SELECT id FROM mould_insert WHERE open = 1) AND ($1 = '' OR i.next_operation = $1) AND ($2 = '' OR EXISTS (SELECT 1 FROM hold WHERE hold.hold = $2 AND (
		on_kind = 'insert' AND on_code = i.serial OR on_kind = 'load' AND on_code = l.load OR on_kind = 'lot' AND (on_code = lot.lot OR EXISTS (SELECT 1 FROM release_lot x JOIN lot y ON y.id = x.lot_id WHERE x.release_id = r.id AND y.lot = on_code) OR EXISTS (SELECT 1 FROM lot_change x JOIN lot y ON y.id = x.to_lot_id WHERE x.insert_id = i.id AND y.lot = on_code)) OR on_kind = 'mould' AND on_code = m.mould)))`

// Board lists the inserts that are open, by id. Held names a standing hold on
// the insert, or on the lot, load or mould that it goes with: what a gate would
// name.
func (s *Store) Board(ctx context.Context, b Board) ([]BoardRow, error) {
	return asOfNow(ctx, s.db, fmt.Sprintf("board/%+v", b), func() ([]BoardRow, error) { return s.readBoard(ctx, b) })
}

func (s *Store) readBoard(ctx context.Context, b Board) ([]BoardRow, error) {
	rows, err := list(ctx, s.db, "the floor", func(row scanner) (BoardRow, error) {
		var r struct { // one thing to allocate for each row
			BoardRow
			since stamp
			lot   string
		}
		err := row.Scan(&r.ID, &r.Insert, &r.Design, &r.Name, &r.Order, &r.Due, &r.Customer, &r.Status, &r.since, &r.Place,
			&r.Next, &r.Begun, &r.Recipe, &r.lot, &r.release, &r.Load, &r.Mould, &r.Open)
		r.Since, r.Lots = r.since.Time, []string{r.lot}
		return r.BoardRow, err
	}, `SELECT i.id, i.serial, design.design, design.name, o.order_no, o.due_day, o.customer, i.status, i.since_at, i.place,
		i.next_operation, i.next_begun = 1, coalesce(r.recipe, ''), coalesce(lot.lot, ''), coalesce(r.id, 0), coalesce(l.load, ''), coalesce(m.mould, ''), `+openNonconformance+
		boardFrom+" AND i.id > $3 ORDER BY i.id LIMIT $4", b.Next, b.HeldBy, b.After, b.Limit)
	if err != nil {
		return nil, err
	}
	held, err := s.standing(ctx)
	if err != nil {
		return nil, err
	}
	further, err := s.furtherLots(ctx)
	if err != nil {
		return nil, err
	}
	changed, err := s.lotsTakenOver(ctx)
	if err != nil {
		return nil, err
	}
	for i := range rows {
		rows[i].Lots = append(append(rows[i].Lots, further[rows[i].release]...), changed[rows[i].Insert]...)
		if by := held.on(rows[i].Insert, rows[i].Load, rows[i].Mould, rows[i].Lots); len(by) > 0 {
			rows[i].Held = by[0]
		}
	}
	return rows, nil
}

// HoldsStanding lists the holds that stand, newest first.
func (s *Store) HoldsStanding(ctx context.Context) ([]shop.Hold, error) {
	return list(ctx, s.db, "standing holds", scanHold, holdColumns+" WHERE lifted_at IS NULL ORDER BY id DESC")
}

// holding finds the numbers of the holds on a thing.
type holding map[held][]string

type held struct{ kind, code string }

func (s *Store) standing(ctx context.Context) (holding, error) {
	holds, err := s.HoldsStanding(ctx)
	all := make(holding, len(holds))
	for _, h := range holds {
		on := held{h.OnKind, h.OnCode}
		all[on] = append(all[on], h.Hold)
	}
	return all, err
}

// on lists the holds that stop an insert: its own, then those on its load, lots
// and mould; never nil.
func (h holding) on(insert, load, mould string, lots []string) []string {
	found := append([]string{}, h[held{"insert", insert}]...)
	found = append(found, h[held{"load", load}]...)
	for _, lot := range lots {
		found = append(found, h[held{"lot", lot}]...)
	}
	return append(found, h[held{"mould", mould}]...)
}

// furtherLots are the lots that take over in the few releases of several, by
// the release's id.
func (s *Store) furtherLots(ctx context.Context) (map[int64][]string, error) {
	type further struct {
		release int64
		lot     string
	}
	all, err := list(ctx, s.db, "lots of releases", func(row scanner) (f further, err error) { return f, row.Scan(&f.release, &f.lot) },
		"SELECT release_id, lot.lot FROM release_lot JOIN lot ON lot.id = release_lot.lot_id ORDER BY release_id, from_layer")
	by := map[int64][]string{}
	for _, f := range all {
		by[f.release] = append(by[f.release], f.lot)
	}
	return by, err
}

// BoardPlace is how many inserts a board has in all, how many of them come
// before its part, and after which id the part before begins.
func (s *Store) BoardPlace(ctx context.Context, b Board) (all, before int, previous int64, err error) {
	err = s.db.QueryRowContext(ctx, "SELECT count(*), coalesce(sum(CASE WHEN i.id <= $3 THEN 1 ELSE 0 END), 0)"+boardFrom, b.Next, b.HeldBy, b.After).Scan(&all, &before)
	if err == nil {
		err = s.db.QueryRowContext(ctx, "SELECT coalesce(min(page.id), 1) - 1 FROM (SELECT i.id"+boardFrom+" AND i.id <= $3 ORDER BY i.id DESC LIMIT $4) page",
			b.Next, b.HeldBy, b.After, b.Limit).Scan(&previous)
	}
	if err != nil {
		return 0, 0, 0, fmt.Errorf("counting the floor: %w", err)
	}
	return all, before, previous, nil
}

// A Tally is how many open inserts stand at a status.
type Tally struct {
	Status string
	Count  int
}

// Tallies counts the open inserts by status.
func (s *Store) Tallies(ctx context.Context) ([]Tally, error) {
	return asOfNow(ctx, s.db, "tallies", func() ([]Tally, error) { return s.readTallies(ctx) })
}

func (s *Store) readTallies(ctx context.Context) ([]Tally, error) {
	return list(ctx, s.db, "the counts of the floor", func(row scanner) (Tally, error) {
		var t Tally
		err := row.Scan(&t.Status, &t.Count)
		return t, err
	}, "SELECT status, count(*) FROM mould_insert WHERE open = 1 GROUP BY status")
}

// HoldsLifted lists the holds that were lifted, latest set first, those before
// the one with an id (0 for the newest), limit at the most.
func (s *Store) HoldsLifted(ctx context.Context, before int64, limit int) ([]shop.Hold, error) {
	return list(ctx, s.db, "lifted holds", scanHold, holdColumns+" WHERE lifted_at IS NOT NULL AND ($1 = 0 OR id < $1) ORDER BY id DESC LIMIT $2", before, limit)
}

// Hold is a hold by its number, or ErrNotFound.
func (s *Store) Hold(ctx context.Context, number string) (shop.Hold, error) {
	return one("hold", number, scanHold, s.db.QueryRowContext(ctx, holdColumns+" WHERE hold = $1", number))
}

// NextNumber proposes a number that no thing of a kind has yet: the one after the
// last that was given, as the shop numbers them; for the first, the prefix and 001.
func (s *Store) NextNumber(ctx context.Context, kind, prefix string) (string, error) {
	table, column, ok := tableOf(kind)
	if !ok {
		return "", shop.Wrong("kind", "%q is not a kind of thing that the book numbers.", kind)
	}
	latest, err := list(ctx, s.db, kind, word, "SELECT "+column+" FROM "+table+" ORDER BY id DESC LIMIT 20")
	if err != nil {
		return "", err
	}
	number := prefix + "001"
	for _, l := range latest {
		if next, ok := shop.NumberAfter(l); ok {
			number = next
			break
		}
	}
	for {
		taken, err := list(ctx, s.db, kind, word, "SELECT "+column+" FROM "+table+" WHERE "+column+" = $1", number)
		if err != nil || len(taken) == 0 {
			return number, err
		}
		number, _ = shop.NumberAfter(number)
	}
}
