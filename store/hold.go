package store

import (
	"context"

	"sinterbook/store/shop"
)

const holdColumns = "SELECT id, hold, on_kind, on_code, reason, set_at, set_by, lifted_at, lifted_by, lift_reason, containment FROM hold"

func scanHold(row scanner) (shop.Hold, error) {
	var h shop.Hold
	var set, lifted stamp
	err := row.Scan(&h.ID, &h.Hold, &h.OnKind, &h.OnCode, &h.Reason, &set, &h.SetBy, &lifted, &h.LiftedBy, &h.LiftReason, &h.Containment)
	h.SetAt, h.LiftedAt = set.Time, lifted.Time
	return h, err
}

// Holds lists all holds, those that stand first, newest first.
func (s *Store) Holds(ctx context.Context) ([]shop.Hold, error) {
	return list(ctx, s.db, "holds", scanHold, holdColumns+" ORDER BY lifted_at IS NOT NULL, id DESC")
}

// HoldsOn lists the holds on a thing, lifted ones too.
func (s *Store) HoldsOn(ctx context.Context, kind, number string) ([]shop.Hold, error) {
	return holdsOn(ctx, s.db, kind, number)
}

func holdsOn(ctx context.Context, q querier, kind, number string) ([]shop.Hold, error) {
	return list(ctx, q, "holds", scanHold, holdColumns+" WHERE on_kind = $1 AND on_code = $2 ORDER BY id", kind, number)
}

// checkHeld refuses to lift a hold that does not stand or lies on something else.
func checkHeld(ctx context.Context, q querier, e shop.HoldLifted) error {
	h, err := one("hold", e.Hold, scanHold, q.QueryRowContext(ctx, holdColumns+" WHERE hold = $1", e.Hold))
	if err != nil {
		return err
	}
	switch {
	case h.OnKind != e.OnKind || h.OnCode != e.OnCode:
		return shop.Conflict("Hold %s lies on %s %s, not on %s %s.", e.Hold, h.OnKind, h.OnCode, e.OnKind, e.OnCode)
	case !h.LiftedAt.IsZero():
		return shop.Conflict("Hold %s was lifted by %s already.", e.Hold, h.LiftedBy)
	}
	return nil
}

func (a applying) holdSet(e shop.HoldSet) error {
	return a.add("hold", e.Hold, "INSERT INTO hold (id, hold, on_kind, on_code, reason, set_at, set_by, lifted_by, lift_reason, containment) VALUES ($1, $2, $3, $4, $5, $6, $7, '', '', $8)",
		a.seq, e.Hold, e.OnKind, e.OnCode, e.Why, a.at(), a.By, e.Containment)
}

func (a applying) holdLifted(e shop.HoldLifted) error {
	return a.exec("UPDATE hold SET lifted_at = $1, lifted_by = $2, lift_reason = $3 WHERE hold = $4", a.at(), a.By, e.Why, e.Hold)
}
