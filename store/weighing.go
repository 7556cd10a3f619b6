package store

import (
	"context"
	"errors"

	"sinterbook/store/shop"
)

const weighingColumns = `SELECT w.id, i.serial, w.at, w.by_badge, gauge.gauge, mass_text, mass_unit, mass_g
	FROM weighing w JOIN mould_insert i ON i.id = w.insert_id JOIN gauge ON gauge.id = w.gauge_id`

func scanWeighing(row scanner) (shop.Weighing, error) {
	var w shop.Weighing
	var at stamp
	var mass readingColumns
	if err := row.Scan(append([]any{&w.Seq, &w.Insert, &at, &w.By, &w.Gauge}, mass.scan()...)...); err != nil {
		return w, err
	}
	w.At = at.Time
	return w, readings(map[*shop.Reading]*readingColumns{&w.Mass: &mass})
}

// Weighings lists the weighings of an insert while it dried, oldest first,
// those of earlier passes too.
func (s *Store) Weighings(ctx context.Context, insert string) ([]shop.Weighing, error) {
	return list(ctx, s.db, "weighings", scanWeighing, weighingColumns+" WHERE i.serial = $1 ORDER BY w.at, w.id", insert)
}

// drying adds what is known of the drying that is under way: when it began,
// by which change it counts as dry, and all weighings since.
func drying(ctx context.Context, q querier, insert string, f *shop.Facts) error {
	d, err := dryingOf(ctx, q, insert)
	if errors.Is(err, shop.ErrNotFound) {
		return nil // the gates say what is missing
	}
	if err != nil {
		return err
	}
	f.Constant, f.DryingSince = d.Constant, d.StartedAt.Time
	since, err := list(ctx, q, "weighings", scanWeighing, weighingColumns+" WHERE i.serial = $1 AND w.id > $2 AND w.at <= $3 ORDER BY w.at, w.id", insert, d.Seq, stamp{f.AsOf()})
	f.Weighings = append([]shop.Weighing{{Seq: d.Seq, Insert: insert, At: d.StartedAt.Time, By: d.StartedBy, Mass: d.Wet}}, since...)
	return err
}

// dryness adds what is known of the last drying of a piece, the mass at its end
// among the weighings.
func dryness(ctx context.Context, q querier, insert string, f *shop.Facts) error {
	if err := drying(ctx, q, insert, f); err != nil || f.DryingSince.IsZero() {
		return err
	}
	d, err := dryingOf(ctx, q, insert)
	if end := d.FinishedAt.Time; err == nil && !end.IsZero() && !end.After(f.AsOf()) {
		f.Loss = d.Loss
		f.Weighings = append(f.Weighings, shop.Weighing{Insert: insert, At: end, By: d.FinishedBy, Mass: d.Dry})
	}
	return err
}

func (a applying) insertWeighed(e shop.InsertWeighed) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	gauge, err := thing(a.ctx, a.q, "gauge", e.Gauge)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO weighing (id, insert_id, gauge_id, mass_text, mass_unit, mass_g, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)", args(a.seq, id, gauge, e.Mass, a.at(), a.By)...)
}
