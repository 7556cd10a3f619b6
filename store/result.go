package store

import (
	"context"

	"sinterbook/store/shop"
)

// Results lists every measured value of an insert in the order of recording,
// those that were corrected too.
func (s *Store) Results(ctx context.Context, insert string) ([]shop.Result, error) {
	return list(ctx, s.db, "results", func(row scanner) (shop.Result, error) {
		r := shop.Result{Insert: insert}
		var value, temp readingColumns
		var at stamp
		into := append([]any{&r.Seq, &r.Characteristic}, value.scan()...)
		into = append(append(into, &r.Gauge), temp.scan()...)
		if err := row.Scan(append(into, &r.Purpose, &r.Verdict, &at, &r.By, &r.CorrectedBy)...); err != nil {
			return r, err
		}
		r.At = at.Time
		return r, readings(map[*shop.Reading]*readingColumns{&r.Value: &value, &r.PartTemp: &temp})
	}, `SELECT result.id, characteristic, value_text, value_unit, value_base, gauge.gauge, temp_text, temp_unit, temp_c, purpose, verdict, at, by_badge, coalesce(corrected_by, 0)
		FROM result JOIN mould_insert ON mould_insert.id = result.insert_id JOIN gauge ON gauge.id = result.gauge_id
		WHERE mould_insert.serial = $1 ORDER BY result.id`, insert)
}

// missingResults names the characteristics of an insert that have no reading,
// or none since it went back to its inspection or further. To correct what was
// read before is not to read it again.
func missingResults(ctx context.Context, q querier, i shop.Insert) ([]string, error) {
	return list(ctx, q, "missing results", word, `SELECT characteristic.number || ' ' || characteristic.name FROM characteristic
		JOIN mould_insert ON mould_insert.design_id = characteristic.design_id
		WHERE mould_insert.id = $1 AND NOT EXISTS (SELECT 1 FROM result WHERE result.insert_id = mould_insert.id
			AND result.characteristic = characteristic.number AND corrected_by IS NULL AND result.id > $2
				AND NOT EXISTS (SELECT 1 FROM result earlier WHERE earlier.corrected_by = result.id AND earlier.id <= $2)) ORDER BY characteristic.place`, i.ID, i.ReadFrom)
}

// failedOf lists the characteristics whose last standing reading failed.
func failedOf(ctx context.Context, q querier, insert string) ([]shop.Fail, error) {
	fails, err := list(ctx, q, "failed results", func(row scanner) (shop.Fail, error) {
		var x shop.Fail
		var value readingColumns
		if err := row.Scan(append([]any{&x.Characteristic}, value.scan()...)...); err != nil {
			return x, err
		}
		return x, readings(map[*shop.Reading]*readingColumns{&x.Value: &value})
	},
		`SELECT r.characteristic, r.value_text, r.value_unit, r.value_base FROM result r JOIN mould_insert ON mould_insert.id = r.insert_id
		WHERE mould_insert.serial = $1 AND r.verdict = 'fail' AND r.id = (SELECT max(l.id) FROM result l
			WHERE l.insert_id = r.insert_id AND l.characteristic = r.characteristic AND l.corrected_by IS NULL) ORDER BY r.characteristic`, insert)
	if err != nil {
		return nil, err
	}
	for i, x := range fails {
		c, err := characteristicOf(ctx, q, insert, x.Characteristic)
		if err != nil {
			return nil, err
		}
		fails[i].Name, fails[i].Limits = c.Name, c.Limits()
	}
	return fails, nil
}

func (a applying) resultRecorded(e shop.ResultRecorded) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	gauge, err := thing(a.ctx, a.q, "gauge", e.Gauge)
	if err != nil {
		return err
	}
	if err := a.correct("result"); err != nil {
		return err
	}
	if err := a.exec(`INSERT INTO result (id, insert_id, characteristic, value_text, value_unit, value_base, gauge_id, temp_text, temp_unit, temp_c, purpose, verdict, at, by_badge)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
		args(a.seq, id, e.Characteristic, e.Value, gauge, e.PartTemp, e.Purpose, e.Verdict, a.at(), a.By)...); err != nil {
		return err
	}
	if e.Purpose != "inspection" || a.Corrects != 0 {
		return nil
	}
	return a.started(id, shop.OpInspect)
}

func (a applying) inspectionFinished(e shop.InspectionFinished) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.done(id, shop.OpInspect); err != nil {
		return err
	}
	return a.stands(id, shop.StatusInspected, "waits for fit-up")
}
