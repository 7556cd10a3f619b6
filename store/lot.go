package store

import (
	"context"

	"sinterbook/store/shop"
)

const lotColumns = "SELECT id, lot, material, made_day, expires_day, open_life_days, certificate, received_at, released_at, released_by, drying_low_text, drying_low_unit, drying_low_pct, drying_high_text, drying_high_unit, drying_high_pct, article, label, code, wet_density_text, wet_density_unit, wet_density, supplier FROM lot"

func scanLot(row scanner) (shop.Lot, error) {
	var l shop.Lot
	var received, released stamp
	var low, high, wet readingColumns
	into := append([]any{&l.ID, &l.Lot, &l.Material, &l.MadeOn, &l.ExpiresOn, &l.OpenLifeDays, &l.Certificate, &received, &released, &l.ReleasedBy}, low.scan()...)
	into = append(append(append(into, high.scan()...), &l.Article, &l.Label, &l.Code), wet.scan()...)
	if err := row.Scan(append(into, &l.Supplier)...); err != nil {
		return l, err
	}
	l.Received, l.ReleasedAt = received.Time, released.Time
	return l, readings(map[*shop.Reading]*readingColumns{&l.DryingLow: &low, &l.DryingHigh: &high, &l.WetDensity: &wet})
}

// Lots lists all paste lots, newest first.
func (s *Store) Lots(ctx context.Context) ([]shop.Lot, error) {
	return list(ctx, s.db, "lots", scanLot, lotColumns+" ORDER BY id DESC")
}

// Lot is a paste lot by its number, or ErrNotFound.
func (s *Store) Lot(ctx context.Context, number string) (shop.Lot, error) {
	return lotByNumber(ctx, s.db, number)
}

func lotByNumber(ctx context.Context, q querier, number string) (shop.Lot, error) {
	return one("lot", number, scanLot, q.QueryRowContext(ctx, lotColumns+" WHERE lot = $1", number))
}

func (a applying) lotReceived(e shop.LotReceived) error {
	if err := a.add("lot", e.Lot, `INSERT INTO lot (id, lot, material, made_day, expires_day, open_life_days, certificate, received_at, released_by,
		drying_low_text, drying_low_unit, drying_low_pct, drying_high_text, drying_high_unit, drying_high_pct, article, label, code, wet_density_text, wet_density_unit, wet_density, supplier)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, '', $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21)`,
		args(a.seq, e.Lot, e.Material, e.MadeOn, e.ExpiresOn, e.OpenLifeDays, e.Certificate, a.at(), e.DryingLow, e.DryingHigh, e.Article, e.Label, e.Code, e.WetDensity, e.Supplier)...); err != nil {
		return err
	}
	return a.code(e.Code, "lot", e.Lot)
}

// checkFit refuses to release a lot that nobody may print: past its last day, or
// held.
func checkFit(ctx context.Context, q querier, e shop.Entry, lot string) error {
	l, err := lotByNumber(ctx, q, lot)
	if err != nil {
		return err
	}
	zone, err := zoneOf(ctx, q)
	if err != nil {
		return err
	}
	if !l.InDate(shop.DayOf(e.At, zone)) {
		return shop.Conflict("Lot %s expired: its last day of use was %s.", lot, l.ExpiresOn)
	}
	holds, err := holdsOn(ctx, q, "lot", lot)
	for _, h := range holds {
		if h.Standing() {
			return shop.Conflict("Lot %s is held by %s (%s): %s. It is released once that hold is lifted.", lot, h.SetBy, h.Hold, h.Reason)
		}
	}
	return err
}

func (a applying) lotReleased(e shop.LotReleased) error {
	l, err := lotByNumber(a.ctx, a.q, e.Lot)
	if err != nil {
		return err
	}
	if l.Released() {
		return shop.Conflict("Lot %s was released by %s already.", e.Lot, l.ReleasedBy)
	}
	return a.exec("UPDATE lot SET released_at = $1, released_by = $2 WHERE id = $3", a.at(), a.By, l.ID)
}
