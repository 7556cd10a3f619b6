package store

import (
	"context"
	"strings"

	"sinterbook/store/shop"
)

// Qualification is the plan by which a lot is qualified, the last one that was
// made; ErrNotFound where there is none.
func (s *Store) Qualification(ctx context.Context, lot string) (shop.Qualification, error) {
	return one("qualification of", lot, func(row scanner) (shop.Qualification, error) {
		var q shop.Qualification
		var at stamp
		var axes string
		err := row.Scan(&q.Lot, &q.Coupons, &q.Design, &q.Revision, &axes, &q.Note, &at, &q.By)
		q.At, q.Axes = at.Time, strings.Fields(axes)
		return q, err
	}, s.db.QueryRowContext(ctx, `SELECT lot.lot, q.coupons, design.design, design.revision, q.axes, q.note, q.at, q.by_badge
		FROM qualification_plan q JOIN lot ON lot.id = q.lot_id JOIN design ON design.id = q.design_id
		WHERE lot.lot = $1 ORDER BY q.id DESC LIMIT 1`, lot))
}

// checkQualification refuses the plan of a lot or of coupons that there are
// not.
func checkQualification(ctx context.Context, q querier, e shop.QualificationPlanned) error {
	if err := exists(ctx, q, "lot", e.Lot); err != nil {
		return err
	}
	_, err := designOf(ctx, q, e.Design, e.Revision)
	return err
}

func (a applying) qualificationPlanned(e shop.QualificationPlanned) error {
	lot, err := thing(a.ctx, a.q, "lot", e.Lot)
	if err != nil {
		return err
	}
	d, err := designOf(a.ctx, a.q, e.Design, e.Revision)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO qualification_plan (id, lot_id, coupons, design_id, axes, note, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		a.seq, lot, e.Coupons, d.ID, strings.Join(e.Axes, " "), e.Note, a.at(), a.By)
}
