package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"sinterbook/store"
)

func importCommand() command {
	var p place
	return command{
		name: "import", takes: []string{"FILE"}, does: "read an exported book into an empty one",
		more: `Reads what export wrote, all of it or nothing, into a book that has no entries
yet, in either database. The log keeps its root, its checkpoints and the key that
it names: to go on signing, put the key file of the old data folder into this one.`,
		flags: p.flags,
		run:   func(ctx context.Context, args []string, c console) error { return importBook(ctx, p, args[0], c) },
	}
}

func importBook(ctx context.Context, p place, from string, c console) (err error) {
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := p.folder(); err != nil {
		return err
	}
	st, err := store.Open(ctx, store.Options{DB: p.book()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	m := newMeter(c.err, "Importing entries")
	r, err := st.Import(ctx, f, m.tell)
	m.end()
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s was imported into %s.\n", from, p.shown())
	describe(c, r)
	return nil
}
