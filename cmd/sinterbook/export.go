package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"sinterbook/store"
)

func exportCommand() command {
	var p place
	return command{
		name: "export", takes: []string{"FILE"}, does: "write the whole book as lines of JSON",
		more: `Writes the book as it stands at this moment, also while it is served: the log
with its checkpoints, and the names and hashes of keys beside it, so that the
file must be kept like the book. Sessions are left out. The file is read by
import, into either database. It must not be there yet.`,
		flags: p.flags,
		run:   func(ctx context.Context, args []string, c console) error { return export(ctx, p, args[0], c) },
	}
}

func export(ctx context.Context, p place, to string, c console) (err error) {
	st, err := store.OpenToRead(ctx, store.Options{DB: p.book()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	f, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return &store.Finding{Why: fmt.Sprintf("There is a file %s already, and it is never overwritten. Name another one.", to)}
	}
	if err != nil {
		return err
	}
	m := newMeter(c.err, "Exporting entries")
	r, err := st.Export(ctx, f, m.tell)
	m.end()
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(to)) // half a book is none
	}
	fmt.Fprintf(c.out, "The book at %s was exported to %s.\n", p.shown(), to)
	describe(c, r)
	return nil
}
