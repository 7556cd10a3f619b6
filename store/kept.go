package store

import (
	"context"
	"errors"

	"github.com/google/uuid"

	"sinterbook/store/shop"
)

// atTablet fills in when an act happened that was kept on a tablet. A time that
// the person gave stands; else it is the tablet's, put right by how far its
// clock is off.
func atTablet(e *shop.Entry) error {
	if e.Kept == nil {
		return nil
	}
	if err := e.FitsKept(); err != nil {
		return err
	}
	k := *e.Kept // whoever sent the entry keeps theirs
	e.Kept = &k
	err := k.Received(e.Entered)
	if err == nil && e.At.IsZero() {
		e.At, err = k.Pressed()
	}
	return err
}

// Commanded is the entry that stands under the id of a command, or ErrNotFound.
func (s *Store) Commanded(ctx context.Context, id uuid.UUID) (Logged, error) {
	return entryByID(ctx, s.db, id)
}

// checkLeftOut sees to it that nothing is left out that stands in the book.
func checkLeftOut(ctx context.Context, q querier, e shop.KeptActLeftOut) error {
	if err := exists(ctx, q, "insert", e.Insert); err != nil {
		return err
	}
	id, err := uuid.Parse(e.Command)
	if err != nil {
		return err
	}
	old, err := entryByID(ctx, q, id)
	if errors.Is(err, shop.ErrNotFound) {
		return nil
	}
	if _, no := old.Event.(shop.GateRefused); err != nil || no {
		return err
	}
	return shop.Conflict("This act was recorded, as entry %d: there is nothing to leave out.", old.Seq)
}
