package main

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store"
	"sinterbook/store/shop"
)

func bundleCommand() command {
	var p place
	var to, since, seal string
	return command{
		name: "bundle", takes: []string{"CODE"}, does: "write the proof of a thing's history, for check",
		more: `Writes everything that the log says about one thing, with the proof of each entry:
a file that check proves on any machine, without the book. CODE is the number or
the scan code of anything that has a history: an insert, a lot, a load, a gauge,
a person's badge. What has no number of its own is named in full, as route/RT-1.

The bundle is as of the newest signed checkpoint. It is sealed by the private key
in the data folder, or in the file of --seal-key; where none is at hand, it is
written without a seal, and check refuses it unless told otherwise. It names people by their badges only.

It brings proofs from the checkpoints before, so that check --since can show that
nothing was rewritten. For an older one, name its file with --since here too.`,
		flags: func(f *flag.FlagSet) {
			p.flags(f)
			f.StringVar(&to, "o", "", "`file` to write, which must not be there yet; the bundle goes to standard output where none is named")
			f.StringVar(&seal, "seal-key", "", "`file` of the private key that signs; checkpoint.key in the data folder where none is named")
			f.StringVar(&since, "since", "", "`file` with an older checkpoint, or an older bundle, from which a proof is to be in the bundle")
		},
		run: func(ctx context.Context, args []string, c console) error {
			return bundle(ctx, p, args[0], bundleFiles{to, since, cmp.Or(seal, filepath.Join(p.data, keyFile))}, c)
		},
	}
}

// bundleFiles are the files of one bundle.
type bundleFiles struct{ to, since, seal string }

func bundle(ctx context.Context, p place, code string, files bundleFiles, c console) (err error) {
	signer, err := readKey(files.seal)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	st, err := store.OpenToRead(ctx, store.Options{DB: p.book(), Signer: signer})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	subject, err := st.SubjectOf(ctx, code)
	if err != nil {
		return notThere(err)
	}
	old, err := sinceIn(ctx, st, files.since)
	if err != nil {
		return err
	}
	var r store.Bundled
	if files.to == "" {
		r, err = st.Bundle(ctx, subject, old, c.out)
	} else {
		err = newFile(files.to, func(w io.Writer) error {
			var err error
			r, err = st.Bundle(ctx, subject, old, w)
			return err
		})
	}
	if err != nil {
		return err
	}
	describeBundle(c.err, r)
	if files.to != "" {
		fmt.Fprintf(c.out, "The proof of %s was written to %s.\n", r.Subject(), files.to)
	}
	return nil
}

// newFile makes a file and fills it; nothing is left of one that was not
// filled to its end.
func newFile(path string, fill func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return &store.Finding{Why: fmt.Sprintf("There is a file %s already, and it is never overwritten. Name another one.", path)}
	}
	if err != nil {
		return err
	}
	if err := errors.Join(fill(f), f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	return nil
}

// checkpointLimit bounds the file of a checkpoint, in bytes.
const checkpointLimit = 1 << 16

// readCheckpoint reads the file of a checkpoint, or the checkpoint of a bundle
// that was kept.
func readCheckpoint(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, checkpointLimit+1))
	if err != nil {
		return "", err
	}
	if signed, ok := store.BundleCheckpoint(string(raw)); ok {
		return signed, nil
	}
	if len(raw) > checkpointLimit {
		return "", &store.Finding{Why: path + " is no checkpoint: it is too large."}
	}
	return string(raw), nil
}

// sinceIn is the size of the older checkpoint in a file, 0 for none. A
// checkpoint with which this book does not agree is refused at once.
func sinceIn(ctx context.Context, st *store.Store, path string) (int64, error) {
	if path == "" {
		return 0, nil
	}
	text, err := readCheckpoint(path)
	if err != nil {
		return 0, err
	}
	size, root, err := store.ParseCheckpoint(text)
	if err != nil {
		return 0, err
	}
	var own tlog.Hash
	if own, err = st.Root(ctx, size); err == nil && own != root {
		err = &store.Finding{Why: fmt.Sprintf("The checkpoint in %s fixes its first %d entries with the root %v; in this book they have the root %v. It is of another log, or this one was rewritten.", path, size, root, own)}
	}
	return size, err
}

// describeBundle writes what a bundle has in it, and what it has not.
func describeBundle(w io.Writer, r store.Bundled) {
	fmt.Fprintf(w, "Subject        %s\nEntries        %d, numbered from 1 to %d without a gap\n", r.Subject(), r.Count, r.Count)
	fmt.Fprintf(w, "               the first is entry %d of the log, recorded %s; the last is entry %d, recorded %s\n", r.First, stamp(r.From), r.Last, stamp(r.Until))
	fmt.Fprintf(w, "Checkpoint     %d entries with the root %v\n", r.Size, r.Root)
	if n := len(r.Earlier); n > 0 {
		fmt.Fprintf(w, "Earlier        proofs from %d earlier %s of the log, from %d entries on\n", n, plural(int64(n), "size", "sizes"), r.Earlier[0])
	} else {
		fmt.Fprint(w, "Earlier        no proof from an earlier size of the log\n")
	}
	if r.Sealed {
		fmt.Fprint(w, "Seal           the shop signed for the bundle as a whole\n")
	} else {
		fmt.Fprintf(w, "Seal           none: %s\n", unsealedWhy)
	}
	if r.Later > 0 {
		fmt.Fprintf(w, "Not in it      %d later %s about %s: no checkpoint covers them yet\n", r.Later, plural(r.Later, "entry", "entries"), r.Subject())
	}
}

const unsealedWhy = "the key that signed the checkpoint was not at hand, so that whoever passes the bundle on can take its last entries off unseen"

func stamp(t time.Time) string { return t.Format("2006-01-02 15:04 MST") }

func plural(n int64, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}

func checkCommand() command {
	var key store.BundleKey
	var since string
	var unsealed bool
	return command{
		name: "check", takes: []string{"FILE"}, does: "check the proof of a thing's history, without the book",
		more: `Checks what bundle wrote, on any machine and without a book: the signature of its
checkpoint by the key that you kept, the hash of every entry and its way to the
checkpoint's root, that the entries are about one thing and are numbered from 1
without a gap, and the seal that the shop put on the bundle. The first thing that
is wrong is named, and the exit code is 1.

--key is the verifier key of the shop, which came to you another way than the
bundle did. With --since, a file with an older checkpoint that you kept, it is
checked too that nothing was rewritten since.`,
		flags: func(f *flag.FlagSet) {
			f.StringVar(&key.Verifier, "key", os.Getenv("SINTERBOOK_KEY"), "verifier `key` that you kept, or a file that has it (SINTERBOOK_KEY)")
			f.StringVar(&since, "since", "", "`file` with an older checkpoint, or an older bundle, that you kept")
			f.StringVar(&key.SinceKey, "since-key", "", "verifier `key` of the older checkpoint, or a file that has it, where the shop changed its key since")
			f.BoolVar(&unsealed, "unsealed", false, "let a bundle pass that the shop did not seal")
		},
		run: func(_ context.Context, args []string, c console) error {
			return checkBundle(args[0], key, since, unsealed, c)
		},
	}
}

func checkBundle(path string, key store.BundleKey, since string, unsealed bool, c console) (err error) {
	if key.Verifier, err = keptKey(key.Verifier); err != nil {
		return err
	}
	if key.Verifier == "" {
		return misused("check needs --key, the verifier key of the shop: a bundle cannot vouch for itself")
	}
	if key.SinceKey, err = keptKey(key.SinceKey); err != nil {
		return err
	}
	if since != "" {
		if key.Since, err = readCheckpoint(since); err != nil {
			return err
		}
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	r, err := store.CheckBundle(f, key)
	if err != nil {
		return err
	}
	if !r.Sealed && !unsealed {
		return &store.Finding{Why: "The bundle has no seal: " + unsealedWhy + ". All else in it is good. Ask the shop for one that is sealed, or let this one pass with --unsealed."}
	}
	fmt.Fprintf(c.out, "The proof of %s is good, by the key %s.\n", r.Subject(), key.Verifier)
	describeBundle(c.out, r)
	if r.Since > 0 {
		fmt.Fprintf(c.out, "Since          the %d entries of your older checkpoint are the beginning of this log, unchanged\n", r.Since)
	} else {
		fmt.Fprint(c.out, "Since          not held against an older checkpoint (--since)\n")
	}
	sayList(c.out, "What it proves:", proven(r))
	sayList(c.out, "What it does not:", shop.BundleLeaves)
	return nil
}

// proven are the sentences about what was proven by this check.
func proven(r store.Bundled) []string {
	said := shop.BundleProves[:1:1]
	if r.Sealed {
		said = append(said, shop.BundleProves[1])
	}
	if r.Since > 0 {
		said = append(said, shop.BundleProves[2])
	}
	return said
}

// sayList writes sentences under a heading.
func sayList(w io.Writer, heading string, said []string) {
	fmt.Fprintf(w, "\n%s\n  - %s\n", heading, strings.Join(said, "\n  - "))
}
