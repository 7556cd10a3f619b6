package store

import (
	"bytes"
	"context"

	"github.com/gowebpki/jcs"
	"golang.org/x/mod/sumdb/tlog"
)

// An entryRow is an entry as it is stored.
type entryRow struct {
	seq     int64
	id      []byte
	kind    string
	payload string
}

// read decodes the entry that should be number seq, and checks that its
// columns and its text agree and that the text is in its canonical form.
func (r entryRow) read(seq int64) (Logged, error) {
	e, err := r.decode(seq)
	if err != nil {
		return Logged{}, err
	}
	if e.Seq != seq || !bytes.Equal(e.ID[:], r.id) || e.Event.Kind() != r.kind {
		return Logged{}, found("Entry %d is stored as %s %x; its text says entry %d, %s %x.", seq, r.kind, r.id, e.Seq, e.Event.Kind(), e.ID[:])
	}
	canon, err := jcs.Transform([]byte(r.payload))
	if err != nil || string(canon) != r.payload {
		return Logged{}, found("The text of entry %d is not in the canonical form.", seq)
	}
	return e, nil
}

// decode decodes the entry that should be number seq.
func (r entryRow) decode(seq int64) (Logged, error) {
	if r.seq != seq {
		return Logged{}, found("Entry %d is missing: the next one that stands is %d.", seq, r.seq)
	}
	e, err := decodeEntry(r.payload)
	if err != nil {
		return Logged{}, found("Entry %d cannot be read: %v.", seq, err)
	}
	return e, nil
}

func entriesFrom(ctx context.Context, q querier, seq int64, limit int) ([]entryRow, error) {
	return list(ctx, q, "entries", func(row scanner) (entryRow, error) {
		var r entryRow
		err := row.Scan(&r.seq, &r.id, &r.kind, &r.payload)
		return r, err
	}, "SELECT seq, id, kind, payload FROM entry WHERE seq >= $1 ORDER BY seq LIMIT $2", seq, limit)
}

type node struct {
	idx  int64
	hash []byte
}

// nodesOf reads the hashes that the entries from first up to end make.
func nodesOf(ctx context.Context, q querier, first, end int64) ([]node, error) {
	return list(ctx, q, "hashes", func(row scanner) (node, error) {
		var n node
		err := row.Scan(&n.idx, &n.hash)
		return n, err
	}, "SELECT idx, hash FROM node WHERE idx >= $1 AND idx < $2 ORDER BY idx", tlog.StoredHashIndex(0, first), tlog.StoredHashIndex(0, end))
}
