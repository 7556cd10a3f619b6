package store

import (
	"context"

	"sinterbook/store/shop"
)

const factorColumns = `SELECT factor.id, lot.lot, axis, s_text, s_unit, s_pct, k_text, k_unit, k_base, basis, at, by_badge
	FROM factor JOIN lot ON lot.id = factor.lot_id`

func scanFactor(row scanner) (shop.Factor, error) {
	var f shop.Factor
	var at stamp
	var s, k readingColumns
	into := append(append([]any{&f.Seq, &f.Lot, &f.Axis}, s.scan()...), k.scan()...)
	if err := row.Scan(append(into, &f.Basis, &at, &f.By)...); err != nil {
		return f, err
	}
	f.From = at.Time
	return f, readings(map[*shop.Reading]*readingColumns{&f.S: &s, &f.K: &k})
}

// Factors lists all factors of a lot that ever were in force, oldest first.
func (s *Store) Factors(ctx context.Context, lot string) ([]shop.Factor, error) {
	return factorsOf(ctx, s.db, lot)
}

// AllFactors lists the factors of all lots that ever were in force, oldest
// first.
func (s *Store) AllFactors(ctx context.Context) ([]shop.Factor, error) {
	return list(ctx, s.db, "factors", scanFactor, factorColumns+" ORDER BY at, factor.id")
}

func factorsOf(ctx context.Context, q querier, lot string) ([]shop.Factor, error) {
	return kept(q, "factors/"+lot, func() ([]shop.Factor, error) {
		return list(ctx, q, "factors", scanFactor, factorColumns+" WHERE lot.lot = $1 ORDER BY at, factor.id", lot)
	})
}

// compensated adds the factors of the lots of a release.
func compensated(ctx context.Context, q querier, f *shop.Facts) error {
	for _, lot := range f.Release.Lots() {
		factors, err := factorsOf(ctx, q, lot)
		if err != nil {
			return err
		}
		f.Factors = append(f.Factors, factors...)
	}
	return nil
}

func (a applying) factorSet(e shop.FactorSet) error {
	lot, err := thing(a.ctx, a.q, "lot", e.Lot)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO factor (id, lot_id, axis, s_text, s_unit, s_pct, k_text, k_unit, k_base, basis, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)",
		args(a.seq, lot, e.Axis, e.S, e.K, e.Basis, a.at(), a.By)...)
}
