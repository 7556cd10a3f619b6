package store

import (
	"context"

	"sinterbook/store/shop"
)

const cutterColumns = `SELECT cutter.id, cutter.cutter, machine.machine, diameter_text, diameter_unit, diameter_mm, life_text, life_unit, life_s, offset_text, offset_unit, offset_mm,
	coalesce((SELECT sum(cut_s) FROM layers_made WHERE layers_made.cutter = cutter.cutter), 0), fitted_at, removed_at, cutter.code
	FROM cutter JOIN machine ON machine.id = cutter.machine_id`

func scanCutter(row scanner) (shop.Cutter, error) {
	var c shop.Cutter
	var fitted, removed stamp
	var diameter, life, offset readingColumns
	into := []any{&c.ID, &c.Cutter, &c.Machine}
	for _, r := range []*readingColumns{&diameter, &life, &offset} {
		into = append(into, r.scan()...)
	}
	if err := row.Scan(append(into, &c.Used, &fitted, &removed, &c.Code)...); err != nil {
		return c, err
	}
	c.FittedAt, c.RemovedAt = fitted.Time, removed.Time
	return c, readings(map[*shop.Reading]*readingColumns{&c.Diameter: &diameter, &c.Life: &life, &c.Offset: &offset})
}

// Cutters lists the cutters, those in machines first.
func (s *Store) Cutters(ctx context.Context) ([]shop.Cutter, error) {
	return list(ctx, s.db, "cutters", scanCutter, cutterColumns+" ORDER BY CASE WHEN removed_at IS NULL THEN 0 ELSE 1 END, cutter.cutter")
}

// Cutter is a cutter by its number, or ErrNotFound.
func (s *Store) Cutter(ctx context.Context, number string) (shop.Cutter, error) {
	return cutterByNumber(ctx, s.db, number)
}

func cutterByNumber(ctx context.Context, q querier, number string) (shop.Cutter, error) {
	return one("cutter", number, scanCutter, q.QueryRowContext(ctx, cutterColumns+" WHERE cutter.cutter = $1", number))
}

// cutterIn is the cutter in a machine; zero where none is on record.
func cutterIn(ctx context.Context, q querier, machine string) (shop.Cutter, error) {
	there, err := list(ctx, q, "cutters", scanCutter, cutterColumns+" WHERE machine.machine = $1 AND removed_at IS NULL", machine)
	if err != nil || len(there) == 0 {
		return shop.Cutter{}, err
	}
	return there[0], nil
}

// checkSpindle refuses a second cutter in a machine.
func checkSpindle(ctx context.Context, q querier, e shop.CutterFitted) error {
	if _, err := thing(ctx, q, "machine", e.Machine); err != nil {
		return err
	}
	there, err := cutterIn(ctx, q, e.Machine)
	if err == nil && there.Cutter != "" {
		return shop.Conflict("Cutter %s is in %s: record that it was taken out first.", there.Cutter, e.Machine)
	}
	return err
}

func checkInSpindle(ctx context.Context, q querier, e shop.CutterRemoved) error {
	c, err := cutterByNumber(ctx, q, e.Cutter)
	if err != nil {
		return err
	}
	if c.Machine != e.Machine || !c.RemovedAt.IsZero() {
		return shop.Conflict("Cutter %s is not in %s.", e.Cutter, e.Machine)
	}
	return nil
}

func (a applying) cutterFitted(e shop.CutterFitted) error {
	machine, err := thing(a.ctx, a.q, "machine", e.Machine)
	if err != nil {
		return err
	}
	if err := a.add("cutter", e.Cutter, `INSERT INTO cutter (id, cutter, machine_id, diameter_text, diameter_unit, diameter_mm, life_text, life_unit, life_s, offset_text, offset_unit, offset_mm, fitted_at, code)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`, args(a.seq, e.Cutter, machine, e.Diameter, e.Life, e.Offset, a.at(), e.Code)...); err != nil {
		return err
	}
	return a.code(e.Code, "cutter", e.Cutter)
}

func (a applying) cutterRemoved(e shop.CutterRemoved) error {
	return a.exec("UPDATE cutter SET removed_at = $1 WHERE cutter = $2", a.at(), e.Cutter)
}
