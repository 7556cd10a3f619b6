package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

const calibrationColumns = `SELECT c.id, gauge.gauge, c.at, c.by_badge, c.certificate, c.verdict, c.due_day
	FROM gauge_calibration c JOIN gauge ON gauge.id = c.gauge_id`

func scanCalibration(row scanner) (shop.Calibration, error) {
	var c shop.Calibration
	var at stamp
	err := row.Scan(&c.Seq, &c.Gauge, &at, &c.By, &c.Certificate, &c.Verdict, &c.Due)
	c.At = at.Time
	return c, err
}

// Calibrations lists the calibrations of a gauge, newest first.
func (s *Store) Calibrations(ctx context.Context, gauge string) ([]shop.Calibration, error) {
	all, err := list(ctx, s.db, "calibrations", scanCalibration, calibrationColumns+" WHERE gauge.gauge = $1 ORDER BY c.at DESC, c.id DESC", gauge)
	if err != nil {
		return nil, err
	}
	for i := range all {
		if all[i].Points, err = pointsOf(ctx, s.db, all[i].Seq); err != nil {
			return nil, err
		}
	}
	return all, nil
}

func pointsOf(ctx context.Context, q querier, calibration int64) ([]shop.CalibrationPoint, error) {
	return list(ctx, q, "calibration points", func(row scanner) (shop.CalibrationPoint, error) {
		var p shop.CalibrationPoint
		var point, found, left readingColumns
		if err := row.Scan(append(append(point.scan(), found.scan()...), left.scan()...)...); err != nil {
			return p, err
		}
		return p, readings(map[*shop.Reading]*readingColumns{&p.Point: &point, &p.AsFound: &found, &p.AsLeft: &left})
	}, `SELECT point_text, point_unit, point_base, found_text, found_unit, found_base, left_text, left_unit, left_base
		FROM calibration_point WHERE calibration_id = $1 ORDER BY place`, calibration)
}

const checkColumns = `SELECT k.id, gauge.gauge, k.at, k.by_badge, block_text, block_unit, block_mm, read_text, read_unit, read_mm, limit_text, limit_unit, limit_mm, verdict
	FROM gauge_check k JOIN gauge ON gauge.id = k.gauge_id`

func scanCheck(row scanner) (shop.GaugeCheck, error) {
	var k shop.GaugeCheck
	var at stamp
	var block, read, limit readingColumns
	into := append([]any{&k.Seq, &k.Gauge, &at, &k.By}, block.scan()...)
	into = append(append(into, read.scan()...), limit.scan()...)
	if err := row.Scan(append(into, &k.Verdict)...); err != nil {
		return k, err
	}
	k.At = at.Time
	return k, readings(map[*shop.Reading]*readingColumns{&k.Block: &block, &k.Read: &read, &k.Limit: &limit})
}

// GaugeChecks lists the latest checks of a gauge, newest first.
func (s *Store) GaugeChecks(ctx context.Context, gauge string, limit int) ([]shop.GaugeCheck, error) {
	return list(ctx, s.db, "gauge checks", scanCheck, checkColumns+" WHERE gauge.gauge = $1 ORDER BY k.at DESC, k.id DESC LIMIT $2", gauge, limit)
}

// careOf is the gauge with the calibration and the check that counted at a
// time; those that were never made are zero.
func careOf(ctx context.Context, q querier, gauge string, at time.Time) (g shop.Gauge, c shop.Calibration, k shop.GaugeCheck, err error) {
	if g, err = gaugeByNumber(ctx, q, gauge); err != nil {
		return g, c, k, err
	}
	cs, err := list(ctx, q, "calibrations", scanCalibration, calibrationColumns+" WHERE c.gauge_id = $1 AND c.at <= $2 ORDER BY c.at DESC, c.id DESC LIMIT 1", g.ID, stamp{at})
	if err != nil {
		return g, c, k, err
	}
	ks, err := list(ctx, q, "gauge checks", scanCheck, checkColumns+" WHERE k.gauge_id = $1 AND k.at <= $2 ORDER BY k.at DESC, k.id DESC LIMIT 1", g.ID, stamp{at})
	if err != nil {
		return g, c, k, err
	}
	if len(cs) > 0 {
		c = cs[0]
	}
	if len(ks) > 0 {
		k = ks[0]
	}
	return g, c, k, nil
}

func (a applying) gaugeCalibrated(e shop.GaugeCalibrated) error {
	gauge, err := thing(a.ctx, a.q, "gauge", e.Gauge)
	if err != nil {
		return err
	}
	if err := a.exec("INSERT INTO gauge_calibration (id, gauge_id, at, by_badge, certificate, verdict, due_day) VALUES ($1, $2, $3, $4, $5, $6, $7)",
		a.seq, gauge, a.at(), a.By, e.Certificate, e.Verdict, e.Due); err != nil {
		return err
	}
	for i, p := range e.Points {
		if err := a.exec(`INSERT INTO calibration_point (calibration_id, place, point_text, point_unit, point_base, found_text, found_unit, found_base, left_text, left_unit, left_base)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`, args(a.seq, i+1, p.Point, p.AsFound, p.AsLeft)...); err != nil {
			return err
		}
	}
	return nil
}

func (a applying) gaugeChecked(e shop.GaugeChecked) error {
	gauge, err := thing(a.ctx, a.q, "gauge", e.Gauge)
	if err != nil {
		return err
	}
	return a.exec(`INSERT INTO gauge_check (id, gauge_id, at, by_badge, block_text, block_unit, block_mm, read_text, read_unit, read_mm, limit_text, limit_unit, limit_mm, verdict)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`, args(a.seq, gauge, a.at(), a.By, e.Block, e.Read, e.Limit, e.Verdict)...)
}
