package main

import (
	"context"
	"fmt"

	"sinterbook/store"
)

func restoreCommand() command {
	var p place
	return command{
		name: "restore", takes: []string{"FILE"}, does: "put a backup in the place of the book",
		more: `Proves the backup, whole, and only then puts it in the place of the book. The
book that stood there is moved aside under a name with the date, never deleted.
It refuses while a service has the book open. Everybody signs in again after it.
A book in PostgreSQL is restored by importing its backup into an empty database.`,
		flags: p.flags,
		run:   func(ctx context.Context, args []string, c console) error { return restore(ctx, p, args[0], c) },
	}
}

func restore(ctx context.Context, p place, from string, c console) error {
	if err := p.folder(); err != nil {
		return err
	}
	m := newMeter(c.err, "Checking the backup's entries and rows")
	r, err := store.Restore(ctx, store.Options{DB: p.book()}, from, m.tell)
	m.end()
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s was checked and stands as %s.\n", from, p.shown())
	if r.Aside != "" {
		fmt.Fprintf(c.out, "The book before is %s.\n", r.Aside)
	}
	describe(c, r.Report)
	return nil
}
