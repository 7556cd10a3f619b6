package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"sinterbook/store/shop"
)

const couponColumns = `SELECT c.id, c.coupon, c.made_for, lot.lot, container.container, machine.machine, c.with_insert, c.release, design.design, design.revision, c.kx_text, c.ky_text, c.kz_text, c.layers,
	drawn_text, drawn_unit, drawn_g, purged_text, purged_unit, purged_g, made_at, made_by, coalesce(furnace_load.load, ''), c.position, c.setter, c.lying,
	loss_text, loss_unit, loss_pct, placed_at, placed_by, c.scanned_out = 1, c.code
	FROM coupon c JOIN container ON container.id = c.container_id JOIN lot ON lot.id = container.lot_id JOIN machine ON machine.id = c.machine_id
	JOIN design ON design.id = c.design_id LEFT JOIN furnace_load ON furnace_load.id = c.load_id`

func scanCoupon(row scanner) (shop.Coupon, error) {
	var c shop.Coupon
	var made, placed stamp
	var drawn, purged, loss readingColumns
	var x, y, z string
	into := append([]any{&c.ID, &c.Coupon, &c.For, &c.Lot, &c.Container, &c.Machine, &c.With, &c.Release, &c.Design, &c.Revision, &x, &y, &z, &c.Layers}, drawn.scan()...)
	into = append(append(into, purged.scan()...), &made, &c.MadeBy, &c.Load, &c.Position, &c.Setter, &c.Lying)
	into = append(append(into, loss.scan()...), &placed, &c.PlacedBy, &c.Out, &c.Code)
	if err := row.Scan(into...); err != nil {
		return c, err
	}
	c.MadeAt, c.PlacedAt = made.Time, placed.Time
	for _, k := range []struct {
		text string
		into *shop.Reading
	}{{x, &c.KX}, {y, &c.KY}, {z, &c.KZ}} {
		var err error
		if *k.into, err = factorOf(k.text); err != nil {
			return c, err
		}
	}
	return c, readings(map[*shop.Reading]*readingColumns{&c.Drawn: &drawn, &c.Purged: &purged, &c.Loss: &loss})
}

// factorOf is a factor as it was typed; not taken where nothing was.
func factorOf(text string) (shop.Reading, error) {
	if text == "" {
		return shop.Reading{}, nil
	}
	return shop.ReadingOf(text, "1")
}

// Coupons lists the coupons that have a thing in common: of a lot, container
// or load by its number; "" for all.
func (s *Store) Coupons(ctx context.Context, kind, number string) ([]shop.Coupon, error) {
	return couponsOf(ctx, s.db, kind, number)
}

func couponsOf(ctx context.Context, q querier, kind, number string) ([]shop.Coupon, error) {
	column, known := map[string]string{"": "''", "lot": "lot.lot", "container": "container.container", "load": "furnace_load.load"}[kind]
	if !known {
		return nil, shop.Wrong("kind", "Coupons are not listed by %s.", kind)
	}
	return list(ctx, q, "coupons", scanCoupon, couponColumns+" WHERE "+column+" = $1 ORDER BY c.id", number)
}

// Coupon is a coupon by its number, or ErrNotFound.
func (s *Store) Coupon(ctx context.Context, number string) (shop.Coupon, error) {
	return couponByNumber(ctx, s.db, number)
}

func couponByNumber(ctx context.Context, q querier, number string) (shop.Coupon, error) {
	return one("coupon", number, scanCoupon, q.QueryRowContext(ctx, couponColumns+" WHERE c.coupon = $1", number))
}

// CouponResults lists the measured values of a coupon, oldest first, those that
// were corrected too.
func (s *Store) CouponResults(ctx context.Context, coupon string) ([]shop.CouponResult, error) {
	return couponResults(ctx, s.db, coupon)
}

func couponResults(ctx context.Context, q querier, coupon string) ([]shop.CouponResult, error) {
	return list(ctx, q, "results of a coupon", func(row scanner) (shop.CouponResult, error) {
		var r shop.CouponResult
		var at stamp
		var value, temp readingColumns
		into := append([]any{&r.Seq, &r.Coupon, &r.Stage, &r.Characteristic}, value.scan()...)
		into = append(append(into, &r.Gauge), temp.scan()...)
		if err := row.Scan(append(into, &r.Verdict, &at, &r.By, &r.CorrectedBy)...); err != nil {
			return r, err
		}
		r.At = at.Time
		return r, readings(map[*shop.Reading]*readingColumns{&r.Value: &value, &r.PartTemp: &temp})
	}, `SELECT r.id, coupon.coupon, stage, characteristic, value_text, value_unit, value_base, gauge.gauge, temp_text, temp_unit, temp_c, verdict, at, by_badge, coalesce(corrected_by, 0)
		FROM coupon_result r JOIN coupon ON coupon.id = r.coupon_id JOIN gauge ON gauge.id = r.gauge_id WHERE coupon.coupon = $1 ORDER BY r.id`, coupon)
}

// checkCoupon refuses a coupon of paste that is not there, not in date or
// held; of a lot on test only receipt coupons are printed.
func checkCoupon(ctx context.Context, q querier, e shop.Entry, ev shop.CouponMade) error {
	if ev.With == "" && ev.Release == "" {
		return shop.Wrong("release", "Name the release that it was printed by, or the insert beside which it was printed.")
	}
	c, err := checkInUse(ctx, q, ev.Container, e.At)
	if err != nil {
		return err
	}
	if c, err = asOf(ctx, q, c, e.At); err != nil {
		return err
	}
	lot, err := lotByNumber(ctx, q, c.Lot)
	if err != nil {
		return err
	}
	zone, err := zoneOf(ctx, q)
	if err != nil {
		return err
	}
	if _, err := thing(ctx, q, "machine", ev.Machine); err != nil {
		return err
	}
	if err := checkPrintOf(ctx, q, ev, c.Lot, shop.DayOf(e.At, zone), zone); err != nil {
		return err
	}
	switch need := ev.Drawn.Value() + ev.Purged.Value(); {
	case c.Opened.IsZero():
		return shop.Conflict("Container %s is sealed: record its opening first.", c.Container)
	case need > c.Left+1e-9:
		return shop.Conflict("Container %s holds %s g by its records, not %s g.", c.Container, shop.InGrams(c.Left), shop.InGrams(need))
	case !lot.InDate(shop.DayOf(e.At, zone)):
		return shop.Conflict("Lot %s expired: its last day of use was %s.", lot.Lot, lot.ExpiresOn)
	case ev.For == shop.RunCoupon && !lot.Released():
		return shop.Conflict("Lot %s is on test: only its receipt coupons are printed.", lot.Lot)
	}
	holds, err := holdsOnAny(ctx, q, []string{shop.Subject("lot", c.Lot), shop.Subject("container", c.Container), shop.Subject("machine", ev.Machine)})
	for _, h := range holds {
		if h.Standing() {
			return shop.Conflict("%s is held by %s (%s): %s", h.OnCode, h.SetBy, h.Hold, h.Reason)
		}
	}
	return err
}

// makingCoupon adds what the gates ask about a coupon that was printed.
func makingCoupon(ctx context.Context, q querier, f *shop.Facts, ev shop.CouponMade) (err error) {
	if ev.Release != "" {
		if f.Release, err = releaseByNumber(ctx, q, ev.Release); err != nil {
			return err
		}
	}
	if f.Container, err = containerByNumber(ctx, q, ev.Container); err != nil {
		return err
	}
	f.Lot, err = lotByNumber(ctx, q, f.Container.Lot)
	return err
}

// checkPrintOf refuses a coupon that the release or the insert which it names
// cannot have made.
func checkPrintOf(ctx context.Context, q querier, ev shop.CouponMade, lot string, day shop.Date, zone *time.Location) error {
	if ev.Release != "" {
		r, err := releaseByNumber(ctx, q, ev.Release)
		if err != nil {
			return err
		}
		if err := ev.ByRelease(r, lot); err != nil {
			return err
		}
	}
	if ev.With == "" {
		return nil
	}
	run, err := runOf(ctx, q, ev.With, zone)
	if err != nil {
		return err
	}
	return ev.Beside(run, lot, day)
}

// runOf says where and when an insert is printed, or is to be.
func runOf(ctx context.Context, q querier, insert string, zone *time.Location) (run shop.PrintRun, err error) {
	if run.Insert, err = insertByNumber(ctx, q, insert); err != nil || run.Insert.Release == "" {
		return run, err
	}
	if run.Release, err = releaseByNumber(ctx, q, run.Insert.Release); err != nil {
		return run, err
	}
	if run.Release, err = changedBy(ctx, q, run.Release, insert); err != nil {
		return run, err
	}
	run.Machine = run.Release.Machine
	p, err := printOf(ctx, q, insert)
	if errors.Is(err, shop.ErrNotFound) {
		return run, nil
	}
	if err != nil {
		return run, err
	}
	run.Machine, run.From = p.Machine, shop.DayOf(p.StartedAt.Time, zone)
	if !p.FinishedAt.IsZero() {
		run.Until = shop.DayOf(p.FinishedAt.Time, zone)
	}
	return run, nil
}

// checkCouponPlace refuses a place that is not there or has an insert on it,
// and a coupon that went through a run already.
func checkCouponPlace(ctx context.Context, q querier, e shop.CouponPlaced) error {
	l, err := loadByNumber(ctx, q, e.Load)
	if err != nil {
		return err
	}
	f, err := furnaceByNumber(ctx, q, l.Furnace)
	if err != nil {
		return err
	}
	c, err := couponByNumber(ctx, q, e.Coupon)
	if err != nil {
		return err
	}
	switch there := l.At(e.Position); {
	case !f.HasPlace(e.Position):
		return shop.Wrong("position", "Furnace %s has no place %s.", l.Furnace, e.Position)
	case !l.Closed.IsZero():
		return shop.Conflict("The door of load %s was closed by %s: nothing can be laid in it.", l.Load, l.ClosedBy)
	case there != "":
		return shop.Conflict("Place %s of load %s is taken by %s.", e.Position, l.Load, there)
	}
	if c.Load != "" && c.Load != e.Load {
		before, err := loadByNumber(ctx, q, c.Load)
		if err != nil {
			return err
		}
		if !before.Closed.IsZero() {
			return shop.Conflict("%s went into the furnace with load %s already.", c.Coupon, c.Load)
		}
	}
	if e.Setter != "" {
		if _, err := setterByNumber(ctx, q, e.Setter); err != nil {
			return err
		}
		return elsewhere(ctx, q, e.Setter, e.Load)
	}
	return nil
}

// characteristicOfCoupon is a characteristic of a coupon's design.
func characteristicOfCoupon(ctx context.Context, q querier, coupon, number string) (shop.Characteristic, error) {
	c, err := couponByNumber(ctx, q, coupon)
	if err != nil {
		return shop.Characteristic{}, err
	}
	d, err := designOf(ctx, q, c.Design, c.Revision)
	if err != nil {
		return shop.Characteristic{}, err
	}
	for _, known := range d.Characteristics {
		if known.Number == number {
			return known, nil
		}
	}
	return shop.Characteristic{}, shop.Wrong("characteristic", "%s has no characteristic %s: it is a coupon of %s revision %s.", coupon, number, c.Design, c.Revision)
}

// judgeCoupon decides the verdict of a reading; what is read green has none.
func judgeCoupon(ctx context.Context, q querier, e shop.CouponMeasured) (string, error) {
	c, err := characteristicOfCoupon(ctx, q, e.Coupon, e.Characteristic)
	if err != nil {
		return "", err
	}
	verdict, err := c.Judge(e.Value)
	if e.Stage == "green" {
		verdict = ""
	}
	return verdict, err
}

// checkCouponReading refuses a reading of another stage than the coupon is at,
// by a gauge that does not read it, or of a length that it cannot have. What was
// written down wrongly is put right also once the coupon was sintered.
func checkCouponReading(ctx context.Context, q querier, e shop.Entry, ev shop.CouponMeasured) error {
	c, err := couponByNumber(ctx, q, ev.Coupon)
	if err != nil {
		return err
	}
	of, err := characteristicOfCoupon(ctx, q, ev.Coupon, ev.Characteristic)
	if err != nil {
		return err
	}
	readings, err := couponResults(ctx, q, ev.Coupon)
	if err != nil {
		return err
	}
	var other shop.Reading
	for _, r := range readings {
		switch {
		case r.Seq == e.Corrects && r.Stage != ev.Stage:
			return shop.Wrong("stage", "%s was read %s: that is put right by another reading taken %s.", c.Coupon, r.Stage, r.Stage)
		case r.CorrectedBy == 0 && r.Characteristic == ev.Characteristic && r.Stage == shop.OtherStage(ev.Stage):
			other = r.Value // the newest that stands counts
		}
	}
	switch {
	case ev.Stage == shop.SinteredStage && !c.Out:
		return shop.Conflict("%s was not through a run: it can only be measured green.", c.Coupon)
	case ev.Stage == shop.GreenStage && c.Out && e.Corrects == 0:
		return shop.Conflict("%s was sintered in load %s: it cannot be measured green any more. A green reading that was written down wrongly can be corrected.", c.Coupon, c.Load)
	}
	if err := checkGauge(ctx, q, ev.Gauge, of.Kind, shop.Facts{At: e.At, Later: !e.At.Equal(e.Entered)}.AsOf()); err != nil {
		return err
	}
	return ev.Plausible(of, other)
}

// checkGauge refuses a gauge that reads another quantity.
func checkGauge(ctx context.Context, q querier, gauge string, of shop.Quantity, at time.Time) error {
	g, calibrated, _, err := careOf(ctx, q, gauge, at)
	if err != nil {
		return err
	}
	if calibrated.Points, err = pointsOf(ctx, q, calibrated.Seq); err != nil {
		return err
	}
	if why := g.ReadsNo(of, calibrated); why != "" {
		return shop.Wrong("gauge", "%s", why)
	}
	return nil
}

// measuringCoupon gathers what the gates of a reading of a coupon ask.
func measuringCoupon(ctx context.Context, q querier, f *shop.Facts, e shop.CouponMeasured) (err error) {
	if f.Measured, err = characteristicOfCoupon(ctx, q, e.Coupon, e.Characteristic); err != nil {
		return err
	}
	if f.Gauge, f.Calibration, f.Check, err = careOf(ctx, q, e.Gauge, f.AsOf()); err != nil {
		return err
	}
	f.Holds, err = holdsOnAny(ctx, q, []string{shop.Subject("gauge", e.Gauge)})
	return err
}

func (a applying) couponMade(e shop.CouponMade) error {
	d, err := designOf(a.ctx, a.q, e.Design, e.Revision)
	if err != nil {
		return err
	}
	container, err := thing(a.ctx, a.q, "container", e.Container)
	if err != nil {
		return err
	}
	machine, err := thing(a.ctx, a.q, "machine", e.Machine)
	if err != nil {
		return err
	}
	for kind, number := range map[string]string{"insert": e.With, "release": e.Release} {
		if number != "" {
			if _, err := thing(a.ctx, a.q, kind, number); err != nil {
				return err
			}
		}
	}
	if err := a.add("coupon", e.Coupon, `INSERT INTO coupon (id, coupon, made_for, design_id, container_id, machine_id, with_insert, release, kx_text, ky_text, kz_text, layers, drawn_text, drawn_unit, drawn_g,
		purged_text, purged_unit, purged_g, made_at, made_by, position, setter, lying, placed_by, scanned_out, code)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, '', '', '', '', 0, $21)`,
		args(a.seq, e.Coupon, e.For, d.ID, container, machine, e.With, e.Release, e.KX.Text, e.KY.Text, e.KZ.Text, e.Layers, e.Drawn, e.Purged, a.at(), a.By, e.Code)...); err != nil {
		return err
	}
	return a.code(e.Code, "coupon", e.Coupon)
}

func (a applying) couponPlaced(e shop.CouponPlaced) error {
	load, err := thing(a.ctx, a.q, "load", e.Load)
	if err != nil {
		return err
	}
	return a.exec(`UPDATE coupon SET load_id = $1, position = $2, setter = $3, lying = $4, loss_text = $5, loss_unit = $6, loss_pct = $7, placed_at = $8, placed_by = $9 WHERE coupon = $10`,
		args(load, e.Position, e.Setter, e.Lying, e.Loss, a.at(), a.By, e.Coupon)...)
}

func (a applying) couponMeasured(e shop.CouponMeasured) error {
	coupon, err := thing(a.ctx, a.q, "coupon", e.Coupon)
	if err != nil {
		return err
	}
	gauge, err := thing(a.ctx, a.q, "gauge", e.Gauge)
	if err != nil {
		return fmt.Errorf("measuring %s: %w", e.Coupon, err)
	}
	if err := a.correct("coupon_result"); err != nil {
		return err
	}
	return a.exec(`INSERT INTO coupon_result (id, coupon_id, stage, characteristic, value_text, value_unit, value_base, gauge_id, temp_text, temp_unit, temp_c, verdict, at, by_badge)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
		args(a.seq, coupon, e.Stage, e.Characteristic, e.Value, gauge, e.PartTemp, e.Verdict, a.at(), a.By)...)
}
