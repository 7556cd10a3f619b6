package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/shop"
)

// A Finding is what is wrong with a book, or with a copy of one: a whole
// sentence about the first thing that was found.
type Finding struct{ Why string }

func (f *Finding) Error() string { return f.Why }

func found(format string, args ...any) error { return &Finding{Why: fmt.Sprintf(format, args...)} }

// A Report says what a verified book holds.
type Report struct {
	Entries     int64
	Root        tlog.Hash
	Checkpoints int64
	Sealed      int64  // entries that the newest checkpoint covers
	Verifier    string // key that the log names now, "" before set-up
	Tables      int
	Rows        int64
	Documents   int64 // whose bytes are those that the log names
}

// Verify checks the whole book as it stands at one moment, while others may go
// on writing: every hash is computed again from the entries, every checkpoint
// is checked, the log is replayed into empty tables which are compared row by
// row with the book's, and the bytes of every document are hashed. The error is a *Finding for the first thing that is
// wrong. progress may be nil; it is told how many of all steps are done.
func (s *Store) Verify(ctx context.Context, progress func(done, total int64)) (Report, error) {
	tx, err := s.db.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil {
		return Report{}, fmt.Errorf("verifying: %w", err)
	}
	defer tx.Rollback()
	r, err := verify(ctx, tx, progress)
	if err != nil {
		return Report{}, fmt.Errorf("verifying: %w", damaged(err))
	}
	return r, nil
}

func verify(ctx context.Context, book querier, progress func(done, total int64)) (Report, error) {
	given, err := newScratch(ctx)
	if err != nil {
		return Report{}, err
	}
	defer given.close()
	v := &verifying{ctx: ctx, book: book, given: given, tree: newGrowing(), named: byHash{}, progress: progress}
	err = v.all()
	return v.report, err
}

// verifying is one run of Verify.
type verifying struct {
	ctx   context.Context
	book  querier
	given *scratch
	tree  *growing
	named byHash

	checkpoints []checkpoint // not yet reached by the tree
	report      Report
	progress    func(done, total int64)
	done, total int64
}

type checkpoint struct {
	size int64
	note string
}

func (v *verifying) all() error {
	var size int64
	if err := v.book.QueryRowContext(v.ctx, "SELECT size FROM head WHERE id = 1").Scan(&size); err != nil {
		return fmt.Errorf("reading the log's head: %w", err)
	}
	rows, err := rowsIn(v.ctx, v.book, projected)
	if err != nil {
		return err
	}
	v.total = size + rows
	if v.checkpoints, err = checkpointsOf(v.ctx, v.book); err != nil {
		return err
	}
	if err := v.entries(); err != nil {
		return err
	}
	if err := v.ends(size); err != nil {
		return err
	}
	if err := v.tables(); err != nil {
		return err
	}
	return v.documents()
}

func checkpointsOf(ctx context.Context, q querier) ([]checkpoint, error) {
	return list(ctx, q, "checkpoints", func(row scanner) (checkpoint, error) {
		var c checkpoint
		err := row.Scan(&c.size, &c.note)
		return c, err
	}, "SELECT size, note FROM checkpoint ORDER BY size")
}

// entries goes through the log once: hashes, checkpoints and replay.
func (v *verifying) entries() error {
	read := func(seq int64) ([]entryRow, error) { return entriesFrom(v.ctx, v.book, seq, page) }
	err := inPages(read, entryRow.read, func(p decodedPage) error {
		nodes, err := nodesOf(v.ctx, v.book, v.tree.size, v.tree.size+int64(len(p.entries)))
		if err != nil {
			return err
		}
		for _, e := range p.entries {
			if nodes, err = v.entry(e, nodes); err != nil {
				return err
			}
			v.tick()
		}
		return nil
	})
	return errors.Join(err, v.given.finish())
}

// entry checks one entry and the hashes that it completes, which are the first
// of nodes, and returns the rest of them.
func (v *verifying) entry(e Logged, nodes []node) ([]node, error) {
	at, hashes, err := v.tree.add([]byte(e.Payload))
	if err != nil {
		return nil, err
	}
	for i, h := range hashes {
		if len(nodes) <= i || nodes[i].idx != at+int64(i) {
			return nil, found("Hash %d of the log's tree is missing; entry %d makes it.", at+int64(i), e.Seq)
		}
		if !bytes.Equal(nodes[i].hash, h[:]) {
			return nil, found("Entry %d has the hash %v, but the book has %x for it (hash %d of the tree): one of the two was changed.", e.Seq, h, nodes[i].hash, at+int64(i))
		}
	}
	if key := verifierIn(e.Event); key != "" {
		v.report.Verifier = key
	}
	v.named.note(e)
	if err := v.given.entry(e); err != nil {
		return nil, err
	}
	return nodes[len(hashes):], v.seals()
}

// verifierIn is the key that an event binds, or "".
func verifierIn(e shop.Event) string {
	switch e := e.(type) {
	case shop.BookOpened:
		return e.Verifier
	case shop.KeyChanged:
		return e.Verifier
	}
	return ""
}

// seals checks the checkpoint of the size that the tree has reached, by the
// key that the log named then.
func (v *verifying) seals() error {
	if len(v.checkpoints) == 0 || v.checkpoints[0].size != v.tree.size {
		return nil
	}
	root, err := v.tree.root()
	if err != nil {
		return err
	}
	c := v.checkpoints[0]
	if err := checkSeal(c, v.report.Verifier, root); err != nil {
		return err
	}
	v.checkpoints = v.checkpoints[1:]
	v.report.Checkpoints++
	v.report.Sealed = c.size
	return nil
}

func checkSeal(c checkpoint, verifier string, root tlog.Hash) error {
	signed, err := openSealed(c.note, verifier)
	if err != nil {
		return found("The checkpoint of %d entries cannot be trusted: %v.", c.size, err)
	}
	if signed.size != c.size || signed.root != root {
		return found("The checkpoint of %d entries fixes %d entries with the root %v; the log's first %d entries have the root %v.", c.size, signed.size, signed.root, c.size, root)
	}
	return nil
}

// ends checks that the log stops where everything says it does.
func (v *verifying) ends(size int64) error {
	var err error
	v.report.Entries = v.tree.size
	if v.report.Root, err = v.tree.root(); err != nil {
		return err
	}
	if v.tree.size != size {
		return found("The log's head counts %d entries; %d stand.", size, v.tree.size)
	}
	if len(v.checkpoints) > 0 {
		return found("There is a checkpoint of %d entries; the log has %d of them.", v.checkpoints[0].size, size)
	}
	var more int64
	if err := v.book.QueryRowContext(v.ctx, "SELECT count(*) FROM node WHERE idx < 0 OR idx >= $1", tlog.StoredHashCount(size)).Scan(&more); err != nil {
		return fmt.Errorf("counting hashes: %w", err)
	}
	if more > 0 {
		return found("The tree has %d hashes that no entry of the log makes.", more)
	}
	return nil
}

// tables compares what the log gives with what stands.
func (v *verifying) tables() error {
	for _, name := range projected {
		t, err := tableNamed(v.ctx, v.given.w, name)
		if err != nil {
			return err
		}
		if err := compare(v.ctx, v.book, v.given.w, t, func() { v.report.Rows++; v.tick() }); err != nil {
			return err
		}
		v.report.Tables++
	}
	return nil
}

// documents hashes the bytes that stand beside the log.
func (v *verifying) documents() error {
	err := v.named.each(v.ctx, v.book, func(string, []byte) error {
		v.report.Documents++
		return nil
	})
	v.tell()
	return err
}

func (v *verifying) tick() {
	if v.done++; v.done%page == 0 {
		v.tell()
	}
}

func (v *verifying) tell() {
	if v.progress != nil {
		v.progress(v.done, max(v.done, v.total))
	}
}
