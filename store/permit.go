package store

import (
	"context"
	"maps"
	"slices"
	"time"

	"sinterbook/store/shop"
)

const permitColumns = `SELECT permit.id, permit, i.serial, gate, operation, why, expires_day, given_at, given_by FROM permit JOIN mould_insert i ON i.id = permit.insert_id`

func scanPermit(row scanner) (shop.Permit, error) {
	var p shop.Permit
	var at stamp
	err := row.Scan(&p.Seq, &p.Permit, &p.Insert, &p.Gate, &p.Operation, &p.Why, &p.ExpiresOn, &at, &p.GivenBy)
	p.GivenAt = at.Time
	return p, err
}

// Permits lists the deviation permits, newest first.
func (s *Store) Permits(ctx context.Context) ([]shop.Permit, error) {
	return list(ctx, s.db, "permits", scanPermit, permitColumns+" ORDER BY permit.id DESC")
}

// PermitsFor lists the deviation permits of an insert, oldest first.
func (s *Store) PermitsFor(ctx context.Context, insert string) ([]shop.Permit, error) {
	return permitsOf(ctx, s.db, insert, shop.EndOfTime)
}

func permitsOf(ctx context.Context, q querier, insert string, upTo time.Time) ([]shop.Permit, error) {
	return list(ctx, q, "permits", scanPermit, permitColumns+" WHERE i.serial = $1 AND given_at <= $2 ORDER BY permit.id", insert, stamp{upTo})
}

// permitted leaves out the objections that a permit of the insert passes, and
// notes with the entry which permit it was.
func permitted(ctx context.Context, q querier, e *shop.Entry, f shop.Facts, objections []shop.Objection) ([]shop.Objection, error) {
	if len(objections) == 0 || f.Insert.Insert == "" {
		return objections, nil
	}
	permits, err := permitsOf(ctx, q, f.Insert.Insert, f.AsOf())
	if err != nil || len(permits) == 0 {
		return objections, err
	}
	answers := maps.Clone(e.Answers)
	left := slices.DeleteFunc(objections, func(o shop.Objection) bool {
		p, ok := shop.Passes(permits, o.Gate, f.Operation, shop.DayOf(f.At, f.Zone))
		if ok {
			if answers == nil {
				answers = map[string]string{}
			}
			answers[o.Gate] = o.Why + " Deviation permit " + p.Permit + " by " + p.GivenBy + ": " + p.Why
		}
		return ok
	})
	e.Answers = answers
	return left, nil
}

func (a applying) permitGiven(e shop.PermitGiven) error {
	insert, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	return a.add("permit", e.Permit, "INSERT INTO permit (id, permit, insert_id, gate, operation, why, expires_day, given_at, given_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
		a.seq, e.Permit, insert, e.Gate, e.Op, e.Why, e.ExpiresOn, a.at(), a.By)
}
