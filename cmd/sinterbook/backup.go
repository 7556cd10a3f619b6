package main

import (
	"context"
	"errors"
	"fmt"

	"sinterbook/store"
)

func backupCommand() command {
	var p place
	return command{
		name: "backup", takes: []string{"FILE"}, does: "copy the book while it is in use, and prove the copy",
		more: `Copies the book into a new file, also while it is served, and then proves the
copy: the database checks it and the whole of it is verified. A backup that fails
its check ends with exit code 1 and leaves no file. Of a book in PostgreSQL the
backup is an export, which import reads into an empty database.

The key that signs checkpoints is not in the backup: keep a copy of it apart.`,
		flags: p.flags,
		run:   func(ctx context.Context, args []string, c console) error { return backup(ctx, p, args[0], c) },
	}
}

func backup(ctx context.Context, p place, to string, c console) (err error) {
	st, err := store.OpenToRead(ctx, store.Options{DB: p.book()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	m := newMeter(c.err, "Checking the copy's entries and rows")
	r, err := st.Backup(ctx, to, m.tell)
	m.end()
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "The book at %s was copied to %s, and the copy is good.\n", p.shown(), to)
	describe(c, r)
	return nil
}
