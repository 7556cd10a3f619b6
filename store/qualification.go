package store

import (
	"context"
	"errors"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// qualificationOf is the plan by which a lot is qualified, the last one that was
// made; nil where there is none.
func qualificationOf(ctx context.Context, q querier, lot string) (*shop.Qualification, error) {
	var id int64
	plan, err := one("qualification of", lot, func(row scanner) (shop.Qualification, error) {
		var p shop.Qualification
		var at stamp
		var axes string
		var k shop.PlannedCoupons
		err := row.Scan(&id, &p.Lot, &k.Coupons, &k.Design, &k.Revision, &p.Firsts, &axes, &p.Note, &at, &p.By)
		p.At, p.Axes, p.Kinds = at.Time, strings.Fields(axes), []shop.PlannedCoupons{k}
		return p, err
	}, q.QueryRowContext(ctx, `SELECT q.id, lot.lot, q.coupons, design.design, design.revision, q.first_inserts, q.axes, q.note, q.at, q.by_badge
		FROM qualification_plan q JOIN lot ON lot.id = q.lot_id JOIN design ON design.id = q.design_id
		WHERE lot.lot = $1 ORDER BY q.id DESC LIMIT 1`, lot))
	if errors.Is(err, shop.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	further, err := list(ctx, q, "further coupons of a plan", func(row scanner) (k shop.PlannedCoupons, err error) {
		return k, row.Scan(&k.Coupons, &k.Design, &k.Revision)
	}, "SELECT c.coupons, design.design, design.revision FROM qualification_coupon c JOIN design ON design.id = c.design_id WHERE c.plan_id = $1 ORDER BY c.place", id)
	plan.Kinds = append(plan.Kinds, further...)
	return &plan, err
}

// firstsOf are the first inserts of a lot: those that releases in force name,
// and those that were printed by one that no longer is. $1 is the lot.
const firstsOf = insertColumns + ` WHERE i.id IN (SELECT f.insert_id FROM release_first f JOIN design_release x ON x.id = f.release_id JOIN lot ON lot.id = x.lot_id
	WHERE lot.lot = $1 AND (x.superseded_by = '' OR EXISTS (SELECT 1 FROM print p WHERE p.insert_id = f.insert_id AND p.release_id = x.id))) ORDER BY i.id`

// Qualifying is how far a lot has come, by what was recorded until now.
func (s *Store) Qualifying(ctx context.Context, lot string) (shop.Qualifying, error) {
	return qualifying(ctx, s.db, lot, s.Now())
}

// qualifying is how far a lot has come, by the lengths that were read until a
// time.
func qualifying(ctx context.Context, q querier, lot string, at time.Time) (how shop.Qualifying, err error) {
	if how.Lot, err = lotByNumber(ctx, q, lot); err != nil {
		return how, err
	}
	if how.Certificate, err = certificateOf(ctx, q, lot); err != nil {
		return how, err
	}
	if how.Plan, err = qualificationOf(ctx, q, lot); err != nil {
		return how, err
	}
	if how.Plan != nil {
		for _, k := range how.Plan.Kinds {
			d, err := designOf(ctx, q, k.Design, k.Revision)
			if err != nil {
				return how, err
			}
			how.Designs = append(how.Designs, d)
		}
	}
	if how.Coupons, err = couponsOf(ctx, q, "lot", lot); err != nil {
		return how, err
	}
	if how.Firsts, err = list(ctx, q, "first inserts", scanInsert, firstsOf, lot); err != nil {
		return how, err
	}
	how.Fit, err = fitOf(ctx, q, lot, at)
	return how, err
}

// checkQualification refuses the plan of a lot or of coupons that there are
// not.
func checkQualification(ctx context.Context, q querier, e shop.QualificationPlanned) error {
	if err := exists(ctx, q, "lot", e.Lot); err != nil {
		return err
	}
	for _, k := range e.Kinds() {
		if _, err := designOf(ctx, q, k.Design, k.Revision); err != nil {
			return err
		}
	}
	return nil
}

// checkFirsts refuses a release for first inserts that there are not, or that
// are of another design.
func checkFirsts(ctx context.Context, q querier, e shop.ReleaseDrafted) error {
	for _, first := range e.Firsts {
		i, err := insertByNumber(ctx, q, first)
		switch {
		case errors.Is(err, shop.ErrNotFound):
			return shop.Wrong("first_inserts", "There is no insert %s in this book: open its traveler first.", first)
		case err != nil:
			return err
		case i.Design != e.Design || i.Revision != e.Revision:
			return shop.Wrong("first_inserts", "%s is %s revision %s; the release is for %s revision %s.", first, i.Design, i.Revision, e.Design, e.Revision)
		case i.Status != shop.StatusOpened:
			return shop.Wrong("first_inserts", "%s is %s: a first insert is one that is still to be printed.", first, i.Status)
		}
	}
	return nil
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
	if err := a.exec("INSERT INTO qualification_plan (id, lot_id, coupons, design_id, axes, note, at, by_badge, first_inserts) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
		a.seq, lot, e.Coupons, d.ID, strings.Join(e.Axes, " "), e.Note, a.at(), a.By, e.Firsts); err != nil {
		return err
	}
	for i, k := range e.Further {
		d, err := designOf(a.ctx, a.q, k.Design, k.Revision)
		if err != nil {
			return err
		}
		if err := a.exec("INSERT INTO qualification_coupon (plan_id, place, coupons, design_id) VALUES ($1, $2, $3, $4)", a.seq, i+1, k.Coupons, d.ID); err != nil {
			return err
		}
	}
	return nil
}
