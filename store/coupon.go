package store

import (
	"context"
	"fmt"

	"sinterbook/store/shop"
)

const couponColumns = `SELECT c.id, c.coupon, c.made_for, lot.lot, container.container, machine.machine, c.with_insert, c.release, design.design, design.revision, c.layers,
	drawn_text, drawn_unit, drawn_g, purged_text, purged_unit, purged_g, made_at, made_by, coalesce(furnace_load.load, ''), c.position, c.setter, c.lying,
	loss_text, loss_unit, loss_pct, placed_at, placed_by, c.scanned_out = 1, c.code
	FROM coupon c JOIN container ON container.id = c.container_id JOIN lot ON lot.id = container.lot_id JOIN machine ON machine.id = c.machine_id
	JOIN design ON design.id = c.design_id LEFT JOIN furnace_load ON furnace_load.id = c.load_id`

func scanCoupon(row scanner) (shop.Coupon, error) {
	var c shop.Coupon
	var made, placed stamp
	var drawn, purged, loss readingColumns
	into := append([]any{&c.ID, &c.Coupon, &c.For, &c.Lot, &c.Container, &c.Machine, &c.With, &c.Release, &c.Design, &c.Revision, &c.Layers}, drawn.scan()...)
	into = append(append(into, purged.scan()...), &made, &c.MadeBy, &c.Load, &c.Position, &c.Setter, &c.Lying)
	into = append(append(into, loss.scan()...), &placed, &c.PlacedBy, &c.Out, &c.Code)
	if err := row.Scan(into...); err != nil {
		return c, err
	}
	c.MadeAt, c.PlacedAt = made.Time, placed.Time
	return c, readings(map[*shop.Reading]*readingColumns{&c.Drawn: &drawn, &c.Purged: &purged, &c.Loss: &loss})
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

// CouponResults lists the measured values of a coupon, oldest first.
func (s *Store) CouponResults(ctx context.Context, coupon string) ([]shop.CouponResult, error) {
	return list(ctx, s.db, "results of a coupon", func(row scanner) (shop.CouponResult, error) {
		var r shop.CouponResult
		var at stamp
		var value, temp readingColumns
		into := append([]any{&r.Seq, &r.Coupon, &r.Stage, &r.Characteristic}, value.scan()...)
		into = append(append(into, &r.Gauge), temp.scan()...)
		if err := row.Scan(append(into, &r.Verdict, &at, &r.By)...); err != nil {
			return r, err
		}
		r.At = at.Time
		return r, readings(map[*shop.Reading]*readingColumns{&r.Value: &value, &r.PartTemp: &temp})
	}, `SELECT r.id, coupon.coupon, stage, characteristic, value_text, value_unit, value_base, gauge.gauge, temp_text, temp_unit, temp_c, verdict, at, by_badge
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
	switch need := ev.Drawn.Value() + ev.Purged.Value(); {
	case c.Opened.IsZero():
		return shop.Conflict("Container %s is sealed: record its opening first.", c.Container)
	case need > c.Left+1e-9:
		return shop.Conflict("Container %s holds %.1f g by its records, not %.1f g.", c.Container, c.Left, need)
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
		if err != nil || !before.Closed.IsZero() {
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

func checkCouponStage(ctx context.Context, q querier, e shop.CouponMeasured) error {
	c, err := couponByNumber(ctx, q, e.Coupon)
	if err != nil {
		return err
	}
	switch {
	case e.Stage == "sintered" && !c.Out:
		return shop.Conflict("%s was not through a run: it can only be measured green.", c.Coupon)
	case e.Stage == "green" && c.Out:
		return shop.Conflict("%s was sintered in load %s: it cannot be measured green any more.", c.Coupon, c.Load)
	}
	return nil
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
	if err := a.add("coupon", e.Coupon, `INSERT INTO coupon (id, coupon, made_for, design_id, container_id, machine_id, with_insert, release, layers, drawn_text, drawn_unit, drawn_g,
		purged_text, purged_unit, purged_g, made_at, made_by, position, setter, lying, placed_by, scanned_out, code)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, '', '', '', '', 0, $18)`,
		args(a.seq, e.Coupon, e.For, d.ID, container, machine, e.With, e.Release, e.Layers, e.Drawn, e.Purged, a.at(), a.By, e.Code)...); err != nil {
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
	return a.exec(`INSERT INTO coupon_result (id, coupon_id, stage, characteristic, value_text, value_unit, value_base, gauge_id, temp_text, temp_unit, temp_c, verdict, at, by_badge)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
		args(a.seq, coupon, e.Stage, e.Characteristic, e.Value, gauge, e.PartTemp, e.Verdict, a.at(), a.By)...)
}
