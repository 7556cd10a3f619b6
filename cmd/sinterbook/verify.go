package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"strings"

	"golang.org/x/mod/sumdb/note"

	"sinterbook/store"
)

func verifyCommand() command {
	var p place
	var key string
	return command{
		name: "verify", does: "check every hash, signature and row of the book",
		more: `Checks the whole book as it stands at this moment, also while it is served: every
hash is computed again from the entries, every checkpoint's signature is checked
by the key that the log names, and the log is replayed into empty tables, which
are compared row by row with the book's. It writes nothing. The first thing that
is wrong is named, and the exit code is 1.

With --key the log must name the verifier key that you kept elsewhere, and at
least one checkpoint must be signed by it: only then does the check rest on more
than the book itself.`,
		flags: func(f *flag.FlagSet) {
			p.flags(f)
			f.StringVar(&key, "key", os.Getenv("SINTERBOOK_KEY"), "verifier `key` that you kept, or a file that has it (SINTERBOOK_KEY)")
		},
		run: func(ctx context.Context, _ []string, c console) error { return verify(ctx, p, key, c) },
	}
}

func verify(ctx context.Context, p place, key string, c console) (err error) {
	known, err := keptKey(key)
	if err != nil {
		return err
	}
	st, err := store.OpenToRead(ctx, store.Options{DB: p.book()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	m := newMeter(c.err, "Verifying entries and rows")
	r, err := st.Verify(ctx, m.tell)
	m.end()
	if err != nil {
		return err
	}
	if err := vouches(r, known); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "The book at %s is whole.\n", p.shown())
	describe(c, r)
	fmt.Fprintf(c.out, "Rows compared  %d in %d tables\n", r.Rows, r.Tables)
	return nil
}

// keptKey reads a verifier key from the command line, or from the file that it
// names.
func keptKey(text string) (string, error) {
	if text == "" {
		return "", nil
	}
	if raw, err := os.ReadFile(text); err == nil {
		text = string(raw)
	}
	text = strings.TrimSpace(text)
	if strings.HasPrefix(text, "PRIVATE+KEY+") {
		return "", misused("--key takes the verifier key; this is the private one, which signs and stays where it is")
	}
	if _, err := note.NewVerifier(text); err != nil {
		return "", misused("what --key says is neither a verifier key nor a file that has one: a verifier key looks like name+0123abcd+AbCd…")
	}
	return text, nil
}

// vouches checks that a key from outside the book signs for it.
func vouches(r store.Report, known string) error {
	switch {
	case known == "":
		return nil
	case r.Verifier != known:
		return &store.Finding{Why: fmt.Sprintf("The log names the key %s, not the one that you gave, %s.", r.Verifier, known)}
	case r.Checkpoints == 0:
		return &store.Finding{Why: "The log names your key, but no checkpoint is signed by it: it does not vouch for any entry."}
	}
	return nil
}

// describe writes what a book, or a copy of it, holds.
func describe(c console, r store.Report) {
	fmt.Fprintf(c.out, "Entries        %d\nRoot           %v\n", r.Entries, r.Root)
	if r.Checkpoints > 0 {
		fmt.Fprintf(c.out, "Checkpoints    %d; the newest covers %d entries\n", r.Checkpoints, r.Sealed)
	} else {
		fmt.Fprint(c.out, "Checkpoints    none\n")
	}
	if r.Documents > 0 {
		fmt.Fprintf(c.out, "Documents      %d, each with the bytes that the log names\n", r.Documents)
	}
	if r.Verifier != "" {
		fmt.Fprintf(c.out, "Verifier key   %s\n", r.Verifier)
	}
}
