package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

const serviceColumns = "SELECT id, on_kind, on_code, at, by_badge, what FROM service"

func scanService(row scanner) (shop.Service, error) {
	var v shop.Service
	var at stamp
	err := row.Scan(&v.Seq, &v.OnKind, &v.OnCode, &at, &v.By, &v.What)
	v.At = at.Time
	return v, err
}

// Services lists the work done on a piece of equipment, newest first.
func (s *Store) Services(ctx context.Context, kind, code string) ([]shop.Service, error) {
	return list(ctx, s.db, "services", scanService, serviceColumns+" WHERE on_kind = $1 AND on_code = $2 ORDER BY at DESC, id DESC", kind, code)
}

func (a applying) equipmentServiced(e shop.EquipmentServiced) error {
	return a.exec("INSERT INTO service (id, on_kind, on_code, at, by_badge, what) VALUES ($1, $2, $3, $4, $5, $6)", a.seq, e.OnKind, e.OnCode, a.at(), a.By, e.What)
}

const furnaceTestColumns = `SELECT t.id, furnace.furnace, furnace_load.load, test, verdict, note, at, by_badge
	FROM furnace_test t JOIN furnace ON furnace.id = t.furnace_id JOIN furnace_load ON furnace_load.id = t.load_id`

func scanFurnaceTest(row scanner) (shop.FurnaceTest, error) {
	var t shop.FurnaceTest
	var at stamp
	err := row.Scan(&t.Seq, &t.Furnace, &t.Load, &t.Test, &t.Verdict, &t.Note, &at, &t.By)
	t.At = at.Time
	return t, err
}

// FurnaceTests lists the safety tests before a load, oldest first.
func (s *Store) FurnaceTests(ctx context.Context, load string) ([]shop.FurnaceTest, error) {
	return furnaceTestsOf(ctx, s.db, load, shop.EndOfTime)
}

func furnaceTestsOf(ctx context.Context, q querier, load string, upTo time.Time) ([]shop.FurnaceTest, error) {
	return list(ctx, q, "safety tests", scanFurnaceTest, furnaceTestColumns+" WHERE furnace_load.load = $1 AND at <= $2 ORDER BY at, t.id", load, stamp{upTo})
}

// checkFurnaceTest refuses a test for a load of another furnace, or of one
// that is done.
func checkFurnaceTest(ctx context.Context, q querier, e shop.FurnaceTestRecorded) error {
	l, err := loadByNumber(ctx, q, e.Load)
	if err != nil {
		return err
	}
	switch {
	case l.Furnace != e.Furnace:
		return shop.Conflict("Load %s is for furnace %s, not %s.", e.Load, l.Furnace, e.Furnace)
	case !l.Opened.IsZero():
		return shop.Conflict("Load %s is unloaded: no test belongs to it any more.", e.Load)
	}
	return nil
}

func (a applying) furnaceTestRecorded(e shop.FurnaceTestRecorded) error {
	furnace, err := thing(a.ctx, a.q, "furnace", e.Furnace)
	if err != nil {
		return err
	}
	load, err := thing(a.ctx, a.q, "load", e.Load)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO furnace_test (id, furnace_id, load_id, test, verdict, note, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		a.seq, furnace, load, e.Test, e.Verdict, e.Note, a.at(), a.By)
}

func (a applying) furnaceTestsSet(e shop.FurnaceTestsSet) error {
	furnace, err := thing(a.ctx, a.q, "furnace", e.Furnace)
	if err != nil {
		return err
	}
	if err := a.exec("DELETE FROM furnace_test_needed WHERE furnace_id = $1", furnace); err != nil {
		return err
	}
	for i, t := range e.Tests {
		if err := a.exec("INSERT INTO furnace_test_needed (furnace_id, place, test) VALUES ($1, $2, $3)", furnace, i+1, t); err != nil {
			return err
		}
	}
	return nil
}
