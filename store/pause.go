package store

import (
	"context"

	"sinterbook/store/shop"
)

// checkPause says whether an operation can be put to rest, or gone on with.
func checkPause(ctx context.Context, q querier, insert, operation string, rests bool) error {
	i, err := insertByNumber(ctx, q, insert)
	if err != nil {
		return err
	}
	step, _ := i.Next()
	switch {
	case step.Operation != operation || step.State != shop.Started:
		return shop.Conflict("The operation %s of %s is not under way.", operation, insert)
	case !rests && !i.Paused():
		return shop.Conflict("The operation %s of %s is not paused.", operation, insert)
	case rests && i.Paused():
		return shop.Conflict("The operation %s of %s is paused already, by %s.", operation, insert, step.PausedBy)
	}
	return nil
}

func (a applying) stepPaused(e shop.StepPaused) error {
	return a.rested(e.Insert, e.Op, a.at(), a.By)
}

func (a applying) stepResumed(e shop.StepResumed) error {
	return a.rested(e.Insert, e.Op, nil, "")
}

func (a applying) rested(insert, operation string, at any, by string) error {
	return a.exec(`UPDATE insert_step SET paused_at = $1, paused_by = $2
		WHERE insert_id = (SELECT id FROM mould_insert WHERE serial = $3) AND operation = $4 AND state = $5`, at, by, insert, operation, shop.Started)
}
