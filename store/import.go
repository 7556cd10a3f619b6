package store

import (
	"context"
	"fmt"
	"io"

	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/shop"
)

// Import reads what Export wrote into an empty book, all of it or nothing: the
// log keeps its root, its checkpoints and its verifier key. A file that was
// cut, edited or is another's is refused with a *Finding that says in which
// line, and what was expected. progress may be nil.
func (s *Store) Import(ctx context.Context, from io.Reader, progress func(done, total int64)) (Report, error) {
	var report Report
	err := s.submit(ctx, func(inner context.Context, w *session, size *int64) error {
		if *size > 0 {
			return shop.Conflict("This book has %d entries already. A whole book can be imported into an empty one only; nothing was imported.", *size)
		}
		w.forget()
		m := &importing{outer: ctx, ctx: inner, w: w, size: size, replay: newReplay(inner, w), named: byHash{}, progress: progress}
		m.missing = byHash{}
		err := readBook(from, m.take)
		report = m.report
		return err
	})
	if err != nil {
		return Report{}, fmt.Errorf("importing: %w", err)
	}
	return report, nil
}

// importing is one run of Import, inside the writer's transaction.
type importing struct {
	outer, ctx context.Context // the caller's, which may end; the transaction's, which does not
	w          *session
	size       *int64
	replay     *replay
	header     header
	keys       []keyFrom
	named      byHash // documents in the log
	missing    byHash // those whose bytes have not come yet
	bytes      []byte // of the document that is coming in, part by part
	part       int    // the last of it that came
	report     Report
	progress   func(done, total int64)
}

// keyFrom is a verifier key and the size of the log from which on it holds.
type keyFrom struct {
	size     int64
	verifier string
}

// take stores one line of the file; those before it are stored.
func (m *importing) take(l line) error {
	if err := m.outer.Err(); err != nil {
		return err
	}
	switch {
	case l.Header != nil:
		m.header = *l.Header
		m.report = Report{Entries: l.Header.Size, Root: l.Header.Root}
		return m.reached()
	case l.Entry != nil:
		return m.entry(l)
	case l.Checkpoint != nil:
		return m.checkpoint(checkpoint{l.Checkpoint.Size, l.Checkpoint.Note})
	case l.Person != nil:
		return m.insert("INSERT INTO private_person (badge, name, pin_hash, password_hash) VALUES ($1, $2, $3, $4)", l.Person.Badge, l.Person.Name, l.Person.PIN, l.Person.Password)
	case l.Device != nil:
		return m.insert("INSERT INTO device (token_hash, device, station) VALUES ($1, $2, $3)", l.Device.Token, l.Device.Device, l.Device.Station)
	case l.Document != nil:
		return m.document(*l.Document)
	case l.End != nil:
		return m.missing.none()
	}
	return nil
}

// document takes a part of a document; with its last part it is stored.
func (m *importing) document(l documentLine) error {
	if l.Part != m.part+1 || l.Part > l.Of || len(m.bytes)+len(l.Bytes) > shop.DocumentLimit {
		return found("It is part %d of %d of document %s; expected part %d, and no more than %d bytes.", l.Part, l.Of, l.Document, m.part+1, shop.DocumentLimit)
	}
	m.bytes, m.part = append(m.bytes, l.Bytes...), l.Part
	if l.Part < l.Of {
		return nil
	}
	if err := m.named.check(l.Document, m.bytes); err != nil {
		return err
	}
	delete(m.missing, l.Document)
	m.report.Documents++
	err := m.insert("INSERT INTO document_bytes (document, bytes) VALUES ($1, $2)", l.Document, m.bytes)
	m.bytes, m.part = nil, 0
	return err
}

func (m *importing) insert(query string, args ...any) error {
	_, err := m.w.ExecContext(m.ctx, query, args...)
	return err
}

// entry appends an entry with the bytes that it has, and applies it.
func (m *importing) entry(l line) error {
	r := entryRow{seq: *m.size, payload: string(l.Entry)}
	e, err := decodeEntry(r.payload)
	if err != nil {
		return found("Entry %d cannot be read: %v.", r.seq, err)
	}
	r.id, r.kind = e.ID[:], e.Event.Kind()
	if _, err := r.read(r.seq); err != nil {
		return err
	}
	if got := tlog.RecordHash(l.Entry); got != *l.Leaf {
		return found("Entry %d has the hash %v; the file says %v, so that one of the two was changed.", r.seq, got, *l.Leaf)
	}
	if m.w.standing[e.ID] {
		return found("Entry %d has the id %s of an entry before it.", r.seq, e.ID)
	}
	if err := m.w.append(m.ctx, r.seq, e.ID, r.kind, l.Entry); err != nil {
		return err
	}
	if err := m.replay.entry(e); err != nil {
		return err
	}
	m.named.note(e)
	m.missing.note(e)
	*m.size++
	if key := verifierIn(e.Event); key != "" {
		m.keys = append(m.keys, keyFrom{*m.size, key})
		m.report.Verifier = key
	}
	return m.reached()
}

// reached tells how far the import is, and compares the root when the log is
// whole.
func (m *importing) reached() error {
	if m.progress != nil && (*m.size%page == 0 || *m.size == m.header.Size) {
		m.progress(*m.size, m.header.Size)
	}
	if *m.size < m.header.Size {
		return nil
	}
	if err := m.replay.finish(); err != nil {
		return err
	}
	root, err := m.root(*m.size)
	if err == nil && root != m.header.Root {
		err = found("The %d entries have the root %v; the first line says %v.", *m.size, root, m.header.Root)
	}
	return err
}

func (m *importing) root(size int64) (tlog.Hash, error) {
	return tlog.TreeHash(size, tlog.HashReaderFunc(func(idx []int64) ([]tlog.Hash, error) { return m.w.hashes(m.ctx, idx) }))
}

func (m *importing) checkpoint(c checkpoint) error {
	if c.size < 1 || c.size > *m.size {
		return found("There is a checkpoint of %d entries; the log has %d of them.", c.size, *m.size)
	}
	root, err := m.root(c.size)
	if err != nil {
		return err
	}
	verifier := ""
	for _, k := range m.keys {
		if k.size <= c.size {
			verifier = k.verifier
		}
	}
	if err := checkSeal(c, verifier, root); err != nil {
		return err
	}
	m.report.Checkpoints++
	m.report.Sealed = c.size
	return m.insert("INSERT INTO checkpoint (size, note) VALUES ($1, $2)", c.size, c.note)
}
