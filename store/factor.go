package store

import (
	"context"
	"slices"

	"sinterbook/store/shop"
)

// factorColumns are those that one person set and those that came into force by
// an approval, as one list.
const factorColumns = `SELECT f.seq, f.lot, f.axis, f.s_text, f.s_unit, f.s_pct, f.k_text, f.k_unit, f.k_base, f.low_text, f.low_unit, f.low_pct, f.high_text, f.high_unit, f.high_pct,
	f.n, f.method, f.taken_from, f.basis, f.at, f.by_badge, f.proposal, f.proposed_by FROM (
	SELECT factor.id AS seq, lot.lot, axis, s_text, s_unit, s_pct, k_text, k_unit, k_base, NULL AS low_text, NULL AS low_unit, NULL AS low_pct, NULL AS high_text, NULL AS high_unit, NULL AS high_pct,
		0 AS n, '' AS method, '' AS taken_from, basis, at, by_badge, '' AS proposal, '' AS proposed_by
	FROM factor JOIN lot ON lot.id = factor.lot_id
	UNION ALL
	SELECT p.decided_seq, lot.lot, l.axis, l.s_text, l.s_unit, l.s_pct, l.k_text, l.k_unit, l.k_base, l.low_text, l.low_unit, l.low_pct, l.high_text, l.high_unit, l.high_pct,
		l.n, l.method, l.taken_from, p.basis, p.decided_at, p.decided_by, p.proposal, p.by_badge
	FROM factor_proposal p JOIN lot ON lot.id = p.lot_id JOIN factor_line l ON l.proposal_id = p.id WHERE p.state = 'approved') f`

func scanFactor(row scanner) (shop.Factor, error) {
	var f shop.Factor
	var at stamp
	var s, k, low, high readingColumns
	into := slices.Concat([]any{&f.Seq, &f.Lot, &f.Axis}, s.scan(), k.scan(), low.scan(), high.scan(),
		[]any{&f.N, &f.Method, &f.TakenFrom, &f.Basis, &at, &f.By, &f.Proposal, &f.ProposedBy})
	if err := row.Scan(into...); err != nil {
		return f, err
	}
	f.From = at.Time
	return f, readings(map[*shop.Reading]*readingColumns{&f.S: &s, &f.K: &k, &f.Low: &low, &f.High: &high})
}

// Factors lists all factors of a lot that ever were in force, oldest first.
func (s *Store) Factors(ctx context.Context, lot string) ([]shop.Factor, error) {
	return factorsOf(ctx, s.db, lot)
}

func factorsOf(ctx context.Context, q querier, lot string) ([]shop.Factor, error) {
	return kept(q, "factors/"+lot, func() ([]shop.Factor, error) {
		return list(ctx, q, "factors", scanFactor, factorColumns+" WHERE f.lot = $1 ORDER BY f.at, f.seq", lot)
	})
}

// AllFactors lists the factors of all lots, oldest first.
func (s *Store) AllFactors(ctx context.Context) ([]shop.Factor, error) {
	return allFactors(ctx, s.db)
}

func allFactors(ctx context.Context, q querier) ([]shop.Factor, error) {
	return kept(q, "factors", func() ([]shop.Factor, error) {
		return list(ctx, q, "factors", scanFactor, factorColumns+" ORDER BY f.at, f.seq")
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

// deciding gathers what the gates of a decision ask. Of one about a release
// that is the release, its lots, their factors and what they were measured along.
func deciding(ctx context.Context, q querier, f *shop.Facts) error {
	var err error
	switch ev := f.Event.(type) {
	case shop.ReleaseDrafted:
		f.Release = ev.Drafted()
	case shop.ReleaseSigned:
		if f.Release, err = releaseByNumber(ctx, q, ev.Release); err != nil {
			return err
		}
	case shop.LotChanged:
		if err = changingLot(ctx, q, f, ev); err != nil {
			return err
		}
	case shop.CouponMade:
		return makingCoupon(ctx, q, f, ev)
	case shop.CouponMeasured:
		return measuringCoupon(ctx, q, f, ev)
	case shop.LotReleased:
		f.Qualifying, err = qualifying(ctx, q, ev.Lot, f.AsOf())
		return err
	case shop.FactorProposed:
		f.Fits, err = fitsOf(ctx, q, []string{ev.Lot}, f.AsOf(), f.At)
		return err
	default:
		return weighing(ctx, q, f)
	}
	if err := lotsOfRelease(ctx, q, f); err != nil {
		return err
	}
	if err := compensated(ctx, q, f); err != nil {
		return err
	}
	if len(f.Release.Firsts) > 0 {
		if f.Qualifying, err = qualifying(ctx, q, f.Release.Lot, f.AsOf()); err != nil {
			return err
		}
	}
	return measuredAlong(ctx, q, f)
}

// measuredAlong adds what a slip is told by, and along which axes the lots of a
// release were measured.
func measuredAlong(ctx context.Context, q querier, f *shop.Facts) (err error) {
	if f.Others, err = allFactors(ctx, q); err != nil {
		return err
	}
	f.AxesOf = map[string][]string{}
	for _, lot := range f.Release.Lots() {
		if f.AxesOf[lot], err = axesMeasured(ctx, q, lot); err != nil {
			return err
		}
	}
	return nil
}

// AxesMeasured are the axes of the build along which a lot was measured, green
// and sintered.
func (s *Store) AxesMeasured(ctx context.Context, lot string) ([]string, error) {
	return axesMeasured(ctx, s.db, lot)
}

// axesMeasured are the axes of the build, whichever way the pieces stood in the
// machine, along which what was read green and sintered gives a number.
func axesMeasured(ctx context.Context, q querier, lot string) ([]string, error) {
	pairs, err := lengthPairs(ctx, q, lot)
	if err != nil {
		return nil, err
	}
	var along []string
	for _, axis := range shop.Axes {
		if shop.FitAxis(axis, pairs, shop.Factor{}).Known() {
			along = append(along, axis)
		}
	}
	return along, nil
}

func (a applying) factorSet(e shop.FactorSet) error {
	lot, err := thing(a.ctx, a.q, "lot", e.Lot)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO factor (id, lot_id, axis, s_text, s_unit, s_pct, k_text, k_unit, k_base, basis, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)",
		args(a.seq, lot, e.Axis, e.S, e.K, e.Basis, a.at(), a.By)...)
}
