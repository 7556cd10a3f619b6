package store

import (
	"context"
	"errors"
	"time"

	"sinterbook/store/shop"
)

const greenColumns = `SELECT n.id, i.serial, n.axis, size_text, size_unit, size_mm, gauge.gauge, coalesce(gauge.uncertainty_mm, 0), n.at, n.by_badge, coalesce(n.corrected_by, 0)
	FROM green_size n JOIN mould_insert i ON i.id = n.insert_id JOIN gauge ON gauge.id = n.gauge_id`

func scanGreen(row scanner) (shop.GreenSize, error) {
	var g shop.GreenSize
	var at stamp
	var size readingColumns
	into := append([]any{&g.Seq, &g.Insert, &g.Axis}, size.scan()...)
	if err := row.Scan(append(into, &g.Gauge, &g.U, &at, &g.By, &g.CorrectedBy)...); err != nil {
		return g, err
	}
	g.At = at.Time
	return g, readings(map[*shop.Reading]*readingColumns{&g.Size: &size})
}

// GreenSizes lists the green sizes of an insert in the order of recording,
// those that were corrected too.
func (s *Store) GreenSizes(ctx context.Context, insert string) ([]shop.GreenSize, error) {
	return list(ctx, s.db, "green sizes", scanGreen, greenColumns+" WHERE i.serial = $1 ORDER BY n.id", insert)
}

// predicting adds what a sintered size is predicted from: the green sizes that
// stand, the limits, the height of the print and the factors of the lots.
func predicting(ctx context.Context, q querier, f *shop.Facts) (err error) {
	insert := f.Insert.Insert
	if f.Greens, err = list(ctx, q, "green sizes", scanGreen, greenColumns+" WHERE i.serial = $1 AND n.corrected_by IS NULL AND n.at <= $2 ORDER BY n.id DESC", insert, stamp{f.AsOf()}); err != nil {
		return err
	}
	d, err := designOf(ctx, q, f.Insert.Design, f.Insert.Revision)
	if err != nil {
		return err
	}
	f.Characteristics = d.WholeLengths()
	p, err := printOf(ctx, q, insert)
	if err != nil && !errors.Is(err, shop.ErrNotFound) {
		return err
	}
	f.Layers = max(p.LayersDone, 0)
	if f.Layers == 0 {
		f.Layers = p.Layers
	}
	if f.Given, err = p.Given(); err != nil {
		return err
	}
	if err = compensated(ctx, q, f); err != nil {
		return err
	}
	if err = dryness(ctx, q, insert, f); err != nil {
		return err
	}
	if f.Others, err = allFactors(ctx, q); err != nil {
		return err
	}
	if f.Limit, err = limitAt(ctx, q, shop.GreenChance, f.At); err != nil {
		return err
	}
	f.Fits, err = fitsOf(ctx, q, f.Release.Lots(), f.AsOf(), f.At)
	return err
}

// Forecasts are what the green sizes of an insert will become, by what is known
// at a time, and the chance that the shop asks for.
func (s *Store) Forecasts(ctx context.Context, insert string, at time.Time) ([]shop.Forecast, shop.Limit, error) {
	f := shop.Facts{At: at}
	var err error
	if f.Insert, err = insertByNumber(ctx, s.db, insert); err != nil || f.Insert.Release == "" {
		return nil, f.Limit, err
	}
	if f.Release, err = s.ReleaseOf(ctx, f.Insert); err != nil {
		return nil, f.Limit, err
	}
	if err := lotsOfRelease(ctx, s.db, &f); err != nil {
		return nil, f.Limit, err
	}
	if err := predicting(ctx, s.db, &f); err != nil {
		return nil, f.Limit, err
	}
	return f.Forecasts(), f.Limit, nil
}

// checkGreen refuses a size that must be of another part or in another unit,
// and the size of a part that is not green; what was written down wrongly is
// put right also when it is not green any more.
func checkGreen(ctx context.Context, q querier, e shop.GreenMeasured, corrects bool) error {
	i, err := insertByNumber(ctx, q, e.Insert)
	if err != nil {
		return err
	}
	if !corrects && !i.Green() {
		return shop.Conflict("%s is %s: it has no green size to be measured.", i.Insert, i.Status)
	}
	d, err := designOf(ctx, q, i.Design, i.Revision)
	if err != nil {
		return err
	}
	nominal := map[string]shop.Reading{"X": d.X, "Y": d.Y, "Z": d.Z}[e.Axis]
	return shop.PlausibleGreen(e, nominal)
}

func (a applying) greenMeasured(e shop.GreenMeasured) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	gauge, err := thing(a.ctx, a.q, "gauge", e.Gauge)
	if err != nil {
		return err
	}
	if err := a.correct("green_size"); err != nil {
		return err
	}
	return a.exec("INSERT INTO green_size (id, insert_id, axis, size_text, size_unit, size_mm, gauge_id, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)", args(a.seq, id, e.Axis, e.Size, gauge, a.at(), a.By)...)
}
