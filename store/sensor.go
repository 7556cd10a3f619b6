package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

const sensorColumns = `SELECT sensor.id, sensor, furnace.furnace, zone, type, certificate, fitted_at, removed_at, sensor.code
	FROM sensor JOIN furnace ON furnace.id = sensor.furnace_id`

func scanSensor(row scanner) (shop.Sensor, error) {
	var n shop.Sensor
	var fitted, removed stamp
	err := row.Scan(&n.ID, &n.Sensor, &n.Furnace, &n.Zone, &n.Type, &n.Certificate, &fitted, &removed, &n.Code)
	n.FittedAt, n.RemovedAt = fitted.Time, removed.Time
	return n, err
}

// Sensors lists the control sensors of a furnace, those that were taken out
// too, each with its last test.
func (s *Store) Sensors(ctx context.Context, furnace string) ([]shop.Sensor, error) {
	return tested(ctx, s.db, shop.EndOfTime, sensorColumns+" WHERE furnace.furnace = $1 ORDER BY sensor.id", furnace)
}

// sensorsOf are the control sensors that were in a furnace at a time, each
// with the last test before it.
func sensorsOf(ctx context.Context, q querier, furnace string, at time.Time) ([]shop.Sensor, error) {
	return tested(ctx, q, at, sensorColumns+" WHERE furnace.furnace = $1 AND fitted_at <= $2 AND (removed_at IS NULL OR removed_at > $2) ORDER BY sensor.id DESC", furnace, stamp{at})
}

func tested(ctx context.Context, q querier, at time.Time, query string, args ...any) ([]shop.Sensor, error) {
	sensors, err := list(ctx, q, "sensors", scanSensor, query, args...)
	if err != nil {
		return nil, err
	}
	for i, n := range sensors {
		last, err := list(ctx, q, "sensor tests", scanSensorTest, sensorTestColumns+" WHERE t.sensor_id = $1 AND t.at <= $2 ORDER BY t.at DESC, t.id DESC LIMIT 1", n.ID, stamp{at})
		if err != nil {
			return nil, err
		}
		if len(last) > 0 {
			sensors[i].Test = last[0]
		}
	}
	return sensors, nil
}

const sensorTestColumns = `SELECT t.id, sensor.sensor, t.at, t.by_badge, set_text, set_unit, set_c, read_text, read_unit, read_c, reference_text, reference_unit, reference_c,
	limit_text, limit_unit, limit_k, verdict, due_day FROM sensor_test t JOIN sensor ON sensor.id = t.sensor_id`

func scanSensorTest(row scanner) (shop.SensorTest, error) {
	var t shop.SensorTest
	var at stamp
	var set, read, reference, limit readingColumns
	into := []any{&t.Seq, &t.Sensor, &at, &t.By}
	for _, c := range []*readingColumns{&set, &read, &reference, &limit} {
		into = append(into, c.scan()...)
	}
	if err := row.Scan(append(into, &t.Verdict, &t.Due)...); err != nil {
		return t, err
	}
	t.At = at.Time
	return t, readings(map[*shop.Reading]*readingColumns{&t.SetPoint: &set, &t.Read: &read, &t.Reference: &reference, &t.Limit: &limit})
}

// SensorTests lists the system accuracy tests of a furnace, newest first.
func (s *Store) SensorTests(ctx context.Context, furnace string) ([]shop.SensorTest, error) {
	return list(ctx, s.db, "sensor tests", scanSensorTest, sensorTestColumns+" JOIN furnace ON furnace.id = sensor.furnace_id WHERE furnace.furnace = $1 ORDER BY t.at DESC, t.id DESC", furnace)
}

// checkZone refuses a sensor in a zone that the furnace has not.
func checkZone(ctx context.Context, q querier, e shop.SensorFitted) error {
	f, err := furnaceByNumber(ctx, q, e.Furnace)
	if err != nil {
		return err
	}
	return f.HasZone("zone", e.Zone)
}

func (a applying) sensorFitted(e shop.SensorFitted) error {
	furnace, err := thing(a.ctx, a.q, "furnace", e.Furnace)
	if err != nil {
		return err
	}
	if err := a.exec("UPDATE sensor SET removed_at = $1 WHERE furnace_id = $2 AND zone = $3 AND removed_at IS NULL", a.at(), furnace, e.Zone); err != nil {
		return err
	}
	if err := a.add("sensor", e.Sensor, "INSERT INTO sensor (id, sensor, furnace_id, zone, type, certificate, fitted_at, code) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		a.seq, e.Sensor, furnace, e.Zone, e.Type, e.Certificate, a.at(), e.Code); err != nil {
		return err
	}
	return a.code(e.Code, "sensor", e.Sensor)
}

func (a applying) sensorTested(e shop.SensorTested) error {
	sensor, err := thing(a.ctx, a.q, "sensor", e.Sensor)
	if err != nil {
		return err
	}
	return a.exec(`INSERT INTO sensor_test (id, sensor_id, at, by_badge, set_text, set_unit, set_c, read_text, read_unit, read_c, reference_text, reference_unit, reference_c,
		limit_text, limit_unit, limit_k, verdict, due_day) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18)`,
		args(a.seq, sensor, a.at(), a.By, e.SetPoint, e.Read, e.Reference, e.Limit, e.Verdict, e.Due)...)
}
