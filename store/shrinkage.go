package store

import (
	"context"
	"slices"

	"sinterbook/store/shop"
)

// insertPairs are the lengths of inserts that have no paste but a lot's in
// them: the size along an axis of the drawing, as it was last measured green
// and last inspected. Lengths that are not the whole size along their axis have
// no green reading of their own. $1 is the lot.
const insertPairs = `WITH wholly AS (SELECT DISTINCT d.insert_id AS id, l.id AS lot_id FROM lot l JOIN container c ON c.lot_id = l.id
		JOIN draw d ON d.container_id = c.id AND d.corrected_by IS NULL
		WHERE l.lot = $1 AND NOT EXISTS (SELECT 1 FROM draw o JOIN container oc ON oc.id = o.container_id
			WHERE o.insert_id = d.insert_id AND o.corrected_by IS NULL AND oc.lot_id <> l.id))
	SELECT i.serial, 0, ch.number, ch.axis, r.orientation, ch.nominal_text, ch.nominal_unit, ch.nominal, p.kx_text, p.ky_text, p.kz_text,
		g.size_text, g.size_unit, g.size_mm, gg.gauge, coalesce(gg.uncertainty_mm, 0), v.value_text, v.value_unit, v.value_base, vg.gauge, coalesce(vg.uncertainty_mm, 0), v.by_badge, v.at,
		coalesce(f.load, ''), coalesce(x.position, ''), coalesce(x.lying, '')
	FROM wholly w JOIN mould_insert i ON i.id = w.id JOIN design ON design.id = i.design_id
	JOIN characteristic ch ON ch.design_id = i.design_id AND ch.quantity = 'length' AND ch.axis <> ''
		AND ch.nominal = CASE ch.axis WHEN 'X' THEN design.x_mm WHEN 'Y' THEN design.y_mm ELSE design.z_mm END
	JOIN result v ON v.id = (SELECT max(q.id) FROM result q WHERE q.insert_id = i.id AND q.characteristic = ch.number AND q.purpose = 'inspection' AND q.corrected_by IS NULL)
	JOIN gauge vg ON vg.id = v.gauge_id
	JOIN green_size g ON g.id = (SELECT max(q.id) FROM green_size q WHERE q.insert_id = i.id AND q.axis = ch.axis AND q.corrected_by IS NULL)
	JOIN gauge gg ON gg.id = g.gauge_id
	JOIN print p ON p.id = (SELECT max(q.id) FROM print q WHERE q.insert_id = i.id) JOIN design_release r ON r.id = p.release_id
	LEFT JOIN furnace_load f ON f.id = (SELECT max(q.load_id) FROM load_item q WHERE q.insert_id = i.id)
	LEFT JOIN load_item x ON x.load_id = f.id AND x.insert_id = i.id
	ORDER BY v.id`

// couponPairs are the lengths of a lot's coupons, of which each has a green
// reading of its own, as they were last read and not corrected. The factor is
// that which the coupon was made with, else that of the print it was made in,
// else its release's. $1 is the lot.
const couponPairs = `SELECT c.coupon, 1, ch.number, ch.axis, r.orientation, ch.nominal_text, ch.nominal_unit, ch.nominal,
		coalesce(nullif(c.kx_text, ''), p.kx_text, r.kx_text), coalesce(nullif(c.ky_text, ''), p.ky_text, r.ky_text), coalesce(nullif(c.kz_text, ''), p.kz_text, r.kz_text),
		g.value_text, g.value_unit, g.value_base, gg.gauge, coalesce(gg.uncertainty_mm, 0), v.value_text, v.value_unit, v.value_base, vg.gauge, coalesce(vg.uncertainty_mm, 0), v.by_badge, v.at,
		coalesce(f.load, ''), c.position, c.lying
	FROM lot l JOIN container k ON k.lot_id = l.id JOIN coupon c ON c.container_id = k.id
	JOIN characteristic ch ON ch.design_id = c.design_id AND ch.quantity = 'length' AND ch.axis <> ''
	JOIN coupon_result v ON v.id = (SELECT max(q.id) FROM coupon_result q WHERE q.coupon_id = c.id AND q.characteristic = ch.number AND q.stage = 'sintered' AND q.corrected_by IS NULL)
	JOIN gauge vg ON vg.id = v.gauge_id
	JOIN coupon_result g ON g.id = (SELECT max(q.id) FROM coupon_result q WHERE q.coupon_id = c.id AND q.characteristic = ch.number AND q.stage = 'green' AND q.corrected_by IS NULL)
	JOIN gauge gg ON gg.id = g.gauge_id
	LEFT JOIN mould_insert i ON i.serial = c.with_insert AND c.release = ''
	LEFT JOIN print p ON p.id = (SELECT max(q.id) FROM print q WHERE q.insert_id = i.id)
	JOIN design_release r ON r.id = coalesce((SELECT o.id FROM design_release o WHERE o.release = c.release), i.release_id)
	LEFT JOIN furnace_load f ON f.id = c.load_id
	WHERE l.lot = $1 ORDER BY v.id`

// LengthPairs lists what a lot's shrinkage is told from: the lengths of its
// coupons and of the inserts that are wholly of it, measured green and
// sintered, in the order in which they were read sintered. Nothing is left out
// for its value.
func (s *Store) LengthPairs(ctx context.Context, lot string) ([]shop.LengthPair, error) {
	return lengthPairs(ctx, s.db, lot)
}

// lengthPairs are the same, not to be changed by who gets them.
func lengthPairs(ctx context.Context, q querier, lot string) ([]shop.LengthPair, error) {
	return asOfNow(ctx, q, "lengths/"+lot, func() ([]shop.LengthPair, error) { return readPairs(ctx, q, lot) })
}

func readPairs(ctx context.Context, q querier, lot string) ([]shop.LengthPair, error) {
	inserts, err := list(ctx, q, "lengths of inserts", scanPair, insertPairs, lot)
	if err != nil {
		return nil, err
	}
	coupons, err := list(ctx, q, "lengths of coupons", scanPair, couponPairs, lot)
	if err != nil {
		return nil, err
	}
	all := append(coupons, inserts...)
	slices.SortStableFunc(all, func(a, b shop.LengthPair) int { return a.At.Compare(b.At) })
	return all, nil
}

func scanPair(row scanner) (shop.LengthPair, error) {
	var p shop.LengthPair
	var at stamp
	var nominal, green, sintered readingColumns
	var x, y, z string
	var coupon int
	into := append([]any{&p.Piece, &coupon, &p.Number, &p.Drawn, &p.Orientation}, nominal.scan()...)
	into = append(append(into, &x, &y, &z), green.scan()...)
	into = append(append(into, &p.GreenGauge, &p.GreenU), sintered.scan()...)
	if err := row.Scan(append(into, &p.Gauge, &p.SinteredU, &p.By, &at, &p.Load, &p.Position, &p.Lying)...); err != nil {
		return p, err
	}
	p.At, p.Coupon = at.Time, coupon == 1
	p.Axis = shop.BuildAxis(p.Orientation, p.Drawn)
	if err := readings(map[*shop.Reading]*readingColumns{&p.Nominal: &nominal, &p.Green: &green, &p.Sintered: &sintered}); err != nil {
		return p, err
	}
	var err error
	p.KUsed, err = factorOf(map[string]string{"X": x, "Y": y, "Z": z}[p.Axis])
	return p, err
}
