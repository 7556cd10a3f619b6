package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

const furnaceColumns = "SELECT id, furnace, sat_text, sat_unit, sat_k, tus_text, tus_unit, tus_k, sat_days, tus_days, code FROM furnace"

func scanFurnace(row scanner) (shop.Furnace, error) {
	var f shop.Furnace
	var sat, tus readingColumns
	into := append(append([]any{&f.ID, &f.Furnace}, sat.scan()...), tus.scan()...)
	if err := row.Scan(append(into, &f.Limits.SATDays, &f.Limits.TUSDays, &f.Code)...); err != nil {
		return f, err
	}
	return f, readings(map[*shop.Reading]*readingColumns{&f.Limits.SAT: &sat, &f.Limits.TUS: &tus})
}

// Furnaces lists the furnaces with their positions.
func (s *Store) Furnaces(ctx context.Context) ([]shop.Furnace, error) {
	furnaces, err := list(ctx, s.db, "furnaces", scanFurnace, furnaceColumns+" ORDER BY furnace")
	if err != nil {
		return nil, err
	}
	for i := range furnaces {
		if err := equipped(ctx, s.db, &furnaces[i]); err != nil {
			return nil, err
		}
	}
	return furnaces, nil
}

// Furnace is a furnace by its number, or ErrNotFound.
func (s *Store) Furnace(ctx context.Context, number string) (shop.Furnace, error) {
	return furnaceByNumber(ctx, s.db, number)
}

func furnaceByNumber(ctx context.Context, q querier, number string) (shop.Furnace, error) {
	f, err := one("furnace", number, scanFurnace, q.QueryRowContext(ctx, furnaceColumns+" WHERE furnace = $1", number))
	if err != nil {
		return f, err
	}
	return f, equipped(ctx, q, &f)
}

// equipped adds to a furnace its positions and the safety tests that it needs.
func equipped(ctx context.Context, q querier, f *shop.Furnace) (err error) {
	if f.Positions, err = positionsOf(ctx, q, f.ID); err != nil {
		return err
	}
	f.Tests, err = list(ctx, q, "safety tests", word, "SELECT test FROM furnace_test_needed WHERE furnace_id = $1 ORDER BY place", f.ID)
	return err
}

// furnaceFor is the furnace of a load with all that its gates ask about, as it
// was at a time.
func furnaceFor(ctx context.Context, q querier, l shop.Load, at time.Time) (shop.Furnace, error) {
	f, err := furnaceByNumber(ctx, q, l.Furnace)
	if err != nil {
		return f, err
	}
	if f.Sensors, err = sensorsOf(ctx, q, l.Furnace, at); err != nil {
		return f, err
	}
	if f.Survey, err = lastSurvey(ctx, q, l.Furnace, at); err != nil {
		return f, err
	}
	f.Tested, err = furnaceTestsOf(ctx, q, l.Load, at)
	return f, err
}

// FurnaceNow is a furnace with its sensors, their last tests and its last survey.
func (s *Store) FurnaceNow(ctx context.Context, number string) (shop.Furnace, error) {
	return furnaceFor(ctx, s.db, shop.Load{Furnace: number}, shop.EndOfTime)
}

func positionsOf(ctx context.Context, q querier, id int64) ([]shop.Position, error) {
	return list(ctx, q, "positions", func(row scanner) (shop.Position, error) {
		var p shop.Position
		err := row.Scan(&p.Position, &p.Zone, &p.Use)
		return p, err
	}, "SELECT position, zone, use_for FROM furnace_position WHERE furnace_id = $1 ORDER BY place", id)
}

func (a applying) furnaceAdded(e shop.FurnaceAdded) error {
	if err := a.add("furnace", e.Furnace, "INSERT INTO furnace (id, furnace, sat_text, sat_unit, sat_k, tus_text, tus_unit, tus_k, sat_days, tus_days, code) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
		args(a.seq, e.Furnace, e.Limits.SAT, e.Limits.TUS, e.Limits.SATDays, e.Limits.TUSDays, e.Code)...); err != nil {
		return err
	}
	for i, p := range e.Positions {
		if err := a.exec("INSERT INTO furnace_position (furnace_id, place, position, zone, use_for) VALUES ($1, $2, $3, $4, $5)",
			a.seq, i+1, p.Position, p.Zone, p.Use); err != nil {
			return err
		}
	}
	return a.code(e.Code, "furnace", e.Furnace)
}
