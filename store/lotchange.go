package store

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

// LotChanges lists where another lot took over in the print of an insert,
// beside what its release says, by layer, with what was signed there.
func (s *Store) LotChanges(ctx context.Context, insert string) ([]shop.LotChange, error) {
	all, err := lotChanges(ctx, s.db, insert)
	for i := range all {
		e, err := entryBySeq(ctx, s.db, all[i].Seq)
		if err != nil {
			return nil, err
		}
		if signed, ok := e.Event.(shop.LotChanged); ok {
			all[i].Factors = signed.Factors
		}
	}
	return all, err
}

func lotChanges(ctx context.Context, q querier, insert string) ([]shop.LotChange, error) {
	return list(ctx, q, "changes of lot", func(row scanner) (shop.LotChange, error) {
		var c shop.LotChange
		var at stamp
		err := row.Scan(&c.Seq, &c.Insert, &c.FromLayer, &c.From, &c.To, &c.Reason, &at, &c.By)
		c.At = at.Time
		return c, err
	}, `SELECT c.id, i.serial, c.from_layer, f.lot, t.lot, c.why, c.at, c.by_badge FROM lot_change c JOIN mould_insert i ON i.id = c.insert_id
		JOIN lot f ON f.id = c.from_lot_id JOIN lot t ON t.id = c.to_lot_id WHERE i.serial = $1 ORDER BY c.from_layer`, insert)
}

// ReleaseOf is the release of an insert as it was printed by it, with the
// changes of lot that were signed meanwhile; zero while it has none.
func (s *Store) ReleaseOf(ctx context.Context, i shop.Insert) (shop.Release, error) {
	if i.Release == "" {
		return shop.Release{}, nil
	}
	r, err := releaseByNumber(ctx, s.db, i.Release)
	if err != nil {
		return r, err
	}
	return changedBy(ctx, s.db, r, i.Insert)
}

// lotsTakenOver are the lots that took over in the prints of open inserts, by
// insert. CROSS JOIN begins with the open ones: of a table without rows SQLite
// thinks that it has many.
func (s *Store) lotsTakenOver(ctx context.Context) (map[string][]string, error) {
	type taken struct{ insert, lot string }
	all, err := list(ctx, s.db, "changes of lot", func(row scanner) (t taken, err error) { return t, row.Scan(&t.insert, &t.lot) },
		"SELECT i.serial, lot.lot FROM mould_insert i CROSS JOIN lot_change c CROSS JOIN lot WHERE i.open = 1 AND c.insert_id = i.id AND lot.id = c.to_lot_id ORDER BY c.id")
	by := map[string][]string{}
	for _, t := range all {
		by[t.insert] = append(by[t.insert], t.lot)
	}
	return by, err
}

// changedBy is a release with the changes of lot of one insert.
func changedBy(ctx context.Context, q querier, r shop.Release, insert string) (shop.Release, error) {
	if r.Release == "" || insert == "" {
		return r, nil
	}
	changes, err := kept(q, "changes/"+insert, func() ([]shop.LotChange, error) { return lotChanges(ctx, q, insert) })
	if err != nil || len(changes) == 0 {
		return r, err
	}
	return r.With(changes), nil
}

// checkLotChange refuses a change of lot in a print that is not under way, at a
// layer that is printed already, or by who started it.
func checkLotChange(ctx context.Context, q querier, e shop.Entry, ev shop.LotChanged) error {
	if e.Meaning == "" {
		return shop.Wrong("meaning", "What the signature means is missing.")
	}
	if err := exists(ctx, q, "lot", ev.To); err != nil {
		return err
	}
	if err := pasteLeft(ctx, q, ev.To); err != nil {
		return err
	}
	i, err := insertByNumber(ctx, q, ev.Insert)
	if err != nil {
		return err
	}
	p, err := printOf(ctx, q, ev.Insert)
	if errors.Is(err, shop.ErrNotFound) || i.Status != shop.StatusPrinting {
		return shop.Conflict("%s is %s: the lot changes only while it is printed.", i.Insert, i.Status)
	}
	if err != nil {
		return err
	}
	r, err := releaseByNumber(ctx, q, i.Release)
	if err != nil {
		return err
	}
	if r, err = changedBy(ctx, q, r, i.Insert); err != nil {
		return err
	}
	var drawnTo, madeTo int
	if err := q.QueryRowContext(ctx, `SELECT (SELECT coalesce(max(to_layer), 0) FROM draw WHERE insert_id = $1 AND corrected_by IS NULL),
		(SELECT coalesce(max(to_layer), 0) FROM layers_made WHERE insert_id = $1)`, i.ID).Scan(&drawnTo, &madeTo); err != nil {
		return fmt.Errorf("reading what was drawn and made for %s: %w", i.Insert, err)
	}
	return ev.ChangeOfLot(r, shop.PrintedSoFar{Layers: p.Layers, DrawnTo: drawnTo, MadeTo: madeTo, StartedBy: p.StartedBy}, e.By)
}

// pasteLeft refuses a lot of which no container has paste in it.
func pasteLeft(ctx context.Context, q querier, lot string) error {
	boxes, err := balancesOf(ctx, q, "lot.lot = $1", lot)
	if err == nil && !slices.ContainsFunc(boxes, func(b Balance) bool { return b.Gone().IsZero() && b.Left > 0 }) {
		err = shop.Conflict("No container of lot %s has paste in it: it cannot take over.", lot)
	}
	return err
}

// changingLot adds what the gates ask about a change of lot: the release as it
// will be printed then, of the lot that takes over and by what the machine has.
func changingLot(ctx context.Context, q querier, f *shop.Facts, ev shop.LotChanged) (err error) {
	if f.Insert, err = insertByNumber(ctx, q, ev.Insert); err != nil {
		return err
	}
	if f.Release, err = releaseByNumber(ctx, q, f.Insert.Release); err != nil {
		return err
	}
	p, err := printOf(ctx, q, ev.Insert)
	if err != nil {
		return err
	}
	if f.Given, err = p.Given(); err != nil {
		return err
	}
	so, err := changedBy(ctx, q, f.Release, ev.Insert)
	if err != nil {
		return err
	}
	f.Given.Lot, f.Given.Further = so.Lot, so.Further
	f.Release.Lot, f.Release.Further = ev.To, nil
	f.Holds, err = holdsOnAny(ctx, q, []string{shop.Subject("insert", ev.Insert), shop.Subject("lot", ev.To)})
	return err
}

// factorsOfBoth are the factors of both lots as they are in force.
func factorsOfBoth(ctx context.Context, q querier, e shop.Entry, ev shop.LotChanged) ([]shop.LotFactor, error) {
	var both []shop.LotFactor
	for _, lot := range []string{ev.From, ev.To} {
		factors, err := factorsOf(ctx, q, lot)
		if err != nil {
			return nil, err
		}
		for _, axis := range shop.Axes {
			if in, ok := shop.FactorAt(factors, lot, axis, e.At); ok {
				both = append(both, shop.LotFactor{Lot: lot, Axis: axis, K: in.K})
			}
		}
	}
	return both, nil
}

func (a applying) lotChanged(e shop.LotChanged) error {
	insert, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	from, err := thing(a.ctx, a.q, "lot", e.From)
	if err != nil {
		return err
	}
	to, err := thing(a.ctx, a.q, "lot", e.To)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO lot_change (id, insert_id, from_layer, from_lot_id, to_lot_id, why, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		a.seq, insert, e.FromLayer, from, to, e.Why, a.at(), a.By)
}
