package main

import (
	"context"
	"errors"
	"fmt"

	"sinterbook/store"
)

func rebuildCommand() command {
	var p place
	return command{
		name: "rebuild", does: "make the tables from the log again",
		more: `Empties the tables that follow from the log and makes them from it again, in one
transaction. The log, names, keys and sign-ins stay as they are. While it runs,
a service can be read and answers that it is busy where something is recorded.`,
		flags: p.flags,
		run:   func(ctx context.Context, _ []string, c console) error { return rebuild(ctx, p, c) },
	}
}

func rebuild(ctx context.Context, p place, c console) (err error) {
	st, err := openStanding(ctx, p)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	m := newMeter(c.err, "Replaying entries")
	n, err := st.Rebuild(ctx, m.tell)
	m.end()
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "The tables of %s were made again from %d entries.\n", p.shown(), n)
	return nil
}

// openStanding opens a book that must be there for writing.
func openStanding(ctx context.Context, p place) (*store.Store, error) {
	st, err := store.OpenToRead(ctx, store.Options{DB: p.book()})
	if err != nil {
		return nil, err
	}
	if err := st.Close(); err != nil {
		return nil, err
	}
	return store.Open(ctx, store.Options{DB: p.book()})
}
