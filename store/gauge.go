package store

import (
	"context"

	"sinterbook/store/shop"
)

const gaugeColumns = "SELECT id, gauge, type, range_words, resolution_text, resolution_unit, resolution, error_text, error_unit, error_value, uncertainty_text, uncertainty_unit, uncertainty_mm, code FROM gauge"

func scanGauge(row scanner) (shop.Gauge, error) {
	var g shop.Gauge
	var resolution, mpe, uncertain readingColumns
	into := append([]any{&g.ID, &g.Gauge, &g.Type, &g.Range}, resolution.scan()...)
	if err := row.Scan(append(append(append(into, mpe.scan()...), uncertain.scan()...), &g.Code)...); err != nil {
		return g, err
	}
	return g, readings(map[*shop.Reading]*readingColumns{&g.Resolution: &resolution, &g.Error: &mpe, &g.Uncertain: &uncertain})
}

// Gauges lists the gauge register by number.
func (s *Store) Gauges(ctx context.Context) ([]shop.Gauge, error) {
	return list(ctx, s.db, "gauges", scanGauge, gaugeColumns+" ORDER BY gauge")
}

// Gauge is a gauge by its number, or ErrNotFound.
func (s *Store) Gauge(ctx context.Context, number string) (shop.Gauge, error) {
	return gaugeByNumber(ctx, s.db, number)
}

func gaugeByNumber(ctx context.Context, q querier, number string) (shop.Gauge, error) {
	return one("gauge", number, scanGauge, q.QueryRowContext(ctx, gaugeColumns+" WHERE gauge = $1", number))
}

func (a applying) gaugeAdded(e shop.GaugeAdded) error {
	if err := a.add("gauge", e.Gauge, `INSERT INTO gauge (id, gauge, type, range_words, resolution_text, resolution_unit, resolution, error_text, error_unit, error_value,
		uncertainty_text, uncertainty_unit, uncertainty_mm, code) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`, args(a.seq, e.Gauge, e.Type, e.Range, e.Resolution, e.Error, e.Uncertain, e.Code)...); err != nil {
		return err
	}
	return a.code(e.Code, "gauge", e.Gauge)
}
