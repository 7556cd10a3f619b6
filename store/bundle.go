package store

import (
	"bufio"
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/shop"
)

// earlierAtMost bounds the proofs that a bundle brings from earlier
// checkpoints of the book, the newest of which are taken; the one that is
// asked for comes on top.
const earlierAtMost = 200

// Bundle writes a proof bundle about a subject, as of the newest checkpoint:
// every entry about it that the checkpoint covers with its inclusion proof,
// and proofs from earlier sizes of the log. since is a size that must be among
// them, 0 for none. The bundle is sealed where the key that signed the
// checkpoint is at hand.
//
// Every line is checked as it is written: a book whose hashes do not fit is
// refused as a *Finding. The error is ErrNotFound for a subject without
// entries, and ErrConflict where no checkpoint covers any.
func (s *Store) Bundle(ctx context.Context, subject string, since int64, to io.Writer) (Bundled, error) {
	tx, err := s.db.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil {
		return Bundled{}, fmt.Errorf("bundling: %w", err)
	}
	defer tx.Rollback()
	buffered := bufio.NewWriterSize(to, 1<<16)
	b := &bundling{ctx: ctx, book: tx, to: buffered, signer: s.signer, subject: subject, since: since, hashes: remembering(hashReader(ctx, tx))}
	if err := b.all(); err != nil {
		return Bundled{}, fmt.Errorf("bundling: %w", damaged(err))
	}
	if err := buffered.Flush(); err != nil {
		return Bundled{}, fmt.Errorf("bundling: %w", err)
	}
	return b.check.report, nil
}

// bundling is one run of Bundle.
type bundling struct {
	ctx     context.Context
	book    querier
	to      io.Writer
	signer  string
	subject string
	since   int64
	hashes  tlog.HashReader
	check   *bundleChecker
	later   int64
}

func (b *bundling) all() error {
	for _, part := range []func() error{b.begin, b.entries, b.earlier, b.end} {
		if err := part(); err != nil {
			return err
		}
	}
	b.check.report.Later = b.later
	return nil
}

// write writes a line once the checker has found it good.
func (b *bundling) write(l bundleLine) error {
	text, err := l.text()
	if err != nil {
		return err
	}
	if err := b.check.takeText(text); err != nil {
		if f, ok := errors.AsType[*Finding](err); ok {
			return found("This book proves nothing about %s. Verify it. The bundle stopped at its line: %s", b.subject, f.Why)
		}
		return err
	}
	_, err = b.to.Write(text)
	return err
}

func (b *bundling) begin() error {
	var newest checkpoint
	err := b.book.QueryRowContext(b.ctx, "SELECT size, note FROM checkpoint ORDER BY size DESC LIMIT 1").Scan(&newest.size, &newest.note)
	if errors.Is(err, sql.ErrNoRows) {
		return shop.Conflict("No checkpoint of this book was signed yet, and without one nothing is proven. serve signs one when it starts, if the key is in its data folder; the quality manager signs one on the page Checkpoints.")
	}
	if err != nil {
		return fmt.Errorf("reading the newest checkpoint: %w", err)
	}
	count, err := b.counts(newest.size)
	if err != nil {
		return err
	}
	var verifier string
	if err := b.book.QueryRowContext(b.ctx, "SELECT verifier FROM verifier WHERE seq < $1 ORDER BY seq DESC LIMIT 1", newest.size).Scan(&verifier); err != nil {
		return fmt.Errorf("reading the key of the checkpoint: %w", err)
	}
	b.check = newBundleChecker(verifier)
	return b.write(bundleLine{Head: &bundleHead{Format: bundleFormat, Version: bundleVersion, Subject: b.subject, Count: count, Checkpoint: newest.note}})
}

// counts counts the entries about the subject that a checkpoint covers, and
// the later ones.
func (b *bundling) counts(size int64) (covered int64, err error) {
	var all int64
	err = b.book.QueryRowContext(b.ctx, "SELECT count(*), coalesce(sum(CASE WHEN seq < $2 THEN 1 ELSE 0 END), 0) FROM subject_entry WHERE name = $1", b.subject, size).Scan(&all, &covered)
	if err != nil {
		return 0, fmt.Errorf("counting entries about %s: %w", b.subject, err)
	}
	kind, number := shop.SubjectParts(b.subject)
	switch {
	case all == 0:
		return 0, shop.NotFound(kind, number)
	case covered == 0:
		return 0, shop.Conflict("The newest checkpoint covers no entry about %s %s: all are newer. They can be proven once the next checkpoint was signed; the quality manager signs one on the page Checkpoints.", kind, number)
	}
	b.later = all - covered
	return covered, nil
}

func (b *bundling) entries() error {
	for b.check.seen < b.check.head.Count {
		before := b.check.seen
		texts, err := list(b.ctx, b.book, "the history of "+b.subject, word, `SELECT entry.payload FROM subject_entry JOIN entry ON entry.seq = subject_entry.seq
			WHERE subject_entry.name = $1 AND subject_entry.n > $2 AND subject_entry.seq < $3 ORDER BY subject_entry.n LIMIT $4`, b.subject, before, b.check.fixed.size, page)
		if err != nil {
			return err
		}
		for _, text := range texts {
			if err := b.entry(text); err != nil {
				return err
			}
		}
		if b.check.seen == before {
			return found("The book counts %d entries about %s, and %d of them stand in its log. Verify it.", b.check.head.Count, b.subject, before)
		}
	}
	return nil
}

func (b *bundling) entry(text string) error {
	p, err := placeOf([]byte(text))
	if err != nil {
		return found("An entry about %s cannot be read: %v. Verify this book.", b.subject, err)
	}
	if p.seq >= b.check.fixed.size {
		return found("Entry %d stands in another place of the book than its text says. Verify it.", p.seq)
	}
	path, err := tlog.ProveRecord(b.check.fixed.size, p.seq, b.hashes)
	if err != nil {
		return fmt.Errorf("proving entry %d: %w", p.seq, err)
	}
	return b.write(bundleLine{Entry: &bundledEntry{Leaf: tlog.RecordHash([]byte(text)), Path: path, Text: json.RawMessage(text)}})
}

// earlier proves that the log goes on from what it was at earlier sizes.
func (b *bundling) earlier() error {
	size := b.check.fixed.size
	sizes, err := list(b.ctx, b.book, "checkpoints", func(row scanner) (int64, error) {
		var n int64
		err := row.Scan(&n)
		return n, err
	}, "SELECT size FROM checkpoint WHERE size < $1 ORDER BY size DESC LIMIT $2", size, earlierAtMost)
	if err != nil {
		return err
	}
	switch {
	case b.since < 0 || b.since > size:
		return shop.Wrong("since", "The newest checkpoint covers %d entries: there is no proof that leads to it from %d.", size, b.since)
	case b.since != 0 && b.since != size && !slices.Contains(sizes, b.since):
		sizes = append(sizes, b.since)
	}
	slices.Sort(sizes)
	for _, old := range sizes {
		root, err := tlog.TreeHash(old, b.hashes)
		if err != nil {
			return fmt.Errorf("reading the root at %d: %w", old, err)
		}
		path, err := tlog.ProveTree(size, old, b.hashes)
		if err != nil {
			return fmt.Errorf("proving %d from %d: %w", size, old, err)
		}
		if err := b.write(bundleLine{Earlier: &bundleEarlier{Size: old, Root: root, Path: path}}); err != nil {
			return err
		}
	}
	return nil
}

// end seals the bundle, unless the key at hand is not the one that signed the
// checkpoint: who checks the one could not check the other.
func (b *bundling) end() error {
	stated := b.check.stated()
	e := bundleEnd{SHA256: hex.EncodeToString(stated.lines)}
	if b.signer != "" {
		seal, err := stated.sealWith(b.signer)
		if err != nil {
			return err
		}
		if _, err := openStrictly("seal", seal, b.check.verifier); err == nil {
			e.Seal = seal
		}
	}
	return b.write(bundleLine{End: &e})
}

// remembered bounds the hashes that one bundle keeps in memory.
const remembered = 1 << 16

// remembering asks for each of the tree's hashes once, while there is room.
func remembering(from tlog.HashReader) tlog.HashReaderFunc {
	known := map[int64]tlog.Hash{}
	return func(idx []int64) ([]tlog.Hash, error) {
		if len(known) > remembered {
			clear(known)
		}
		missing := slices.DeleteFunc(slices.Clone(idx), func(n int64) bool { _, ok := known[n]; return ok })
		hashes, err := from.ReadHashes(missing)
		if err != nil {
			return nil, err
		}
		for i, n := range missing {
			known[n] = hashes[i]
		}
		out := make([]tlog.Hash, len(idx))
		for i, n := range idx {
			out[i] = known[n]
		}
		return out, nil
	}
}

// SubjectOf finds what a shop number or a scan code stands for and is a
// subject of the log. What Find does not look for may be named in full, as
// "route/RT-1".
func (s *Store) SubjectOf(ctx context.Context, code string) (string, error) {
	if strings.Contains(code, "/") {
		if n, err := s.Count(ctx, code); err != nil || n > 0 {
			return code, err
		}
	}
	t, err := s.Find(ctx, code)
	return shop.Subject(t.Kind, t.Number), err
}
