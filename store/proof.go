package store

import (
	"context"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/shop"
)

// Root is the root hash of the log's first size entries, as RFC 6962 computes
// it.
func (s *Store) Root(ctx context.Context, size int64) (tlog.Hash, error) {
	if err := s.within(ctx, size); err != nil {
		return tlog.Hash{}, err
	}
	root, err := tlog.TreeHash(size, hashReader(ctx, s.db))
	if err != nil {
		return tlog.Hash{}, fmt.Errorf("reading the root at %d: %w", size, err)
	}
	return root, nil
}

// Inclusion proves that entry seq is among the log's first size entries: the
// hashes on the way from its leaf to the root.
func (s *Store) Inclusion(ctx context.Context, seq, size int64) (tlog.RecordProof, error) {
	if err := s.within(ctx, size); err != nil {
		return nil, err
	}
	if seq < 0 || seq >= size {
		return nil, shop.Wrong("seq", "Entry %d is not among the first %d entries.", seq, size)
	}
	p, err := tlog.ProveRecord(size, seq, hashReader(ctx, s.db))
	if err != nil {
		return nil, fmt.Errorf("proving entry %d: %w", seq, err)
	}
	return p, nil
}

// Consistency proves that the log's first old entries are still the first ones
// of the log at a later size.
func (s *Store) Consistency(ctx context.Context, old, size int64) (tlog.TreeProof, error) {
	if err := s.within(ctx, size); err != nil {
		return nil, err
	}
	if old < 1 || old > size {
		return nil, shop.Wrong("old", "A log of %d entries has no earlier size of %d.", size, old)
	}
	p, err := tlog.ProveTree(size, old, hashReader(ctx, s.db))
	if err != nil {
		return nil, fmt.Errorf("proving %d from %d: %w", size, old, err)
	}
	return p, nil
}

// within refuses a size that the log has not reached.
func (s *Store) within(ctx context.Context, size int64) error {
	var has int64
	if err := s.db.QueryRowContext(ctx, "SELECT size FROM head WHERE id = 1").Scan(&has); err != nil {
		return fmt.Errorf("reading the log's head: %w", err)
	}
	if size < 0 || size > has {
		return shop.Wrong("size", "The log has %d entries, not %d.", has, size)
	}
	return nil
}

// A growing tree computes the hashes of a log from its entries alone. It keeps
// the right edge only, so that a log of any length needs no room.
type growing struct {
	size int64
	edge map[int64]tlog.Hash
}

func newGrowing() *growing { return &growing{edge: map[int64]tlog.Hash{}} }

// add takes the next entry and returns the hashes that it completes: its leaf
// and the nodes above, which are stored from index at on.
func (g *growing) add(text []byte) (at int64, hashes []tlog.Hash, err error) {
	at = tlog.StoredHashIndex(0, g.size)
	var used []int64
	hashes, err = tlog.StoredHashes(g.size, text, tlog.HashReaderFunc(func(idx []int64) ([]tlog.Hash, error) {
		used = append(used, idx...)
		return g.read(idx)
	}))
	if err != nil {
		return 0, nil, err
	}
	for _, idx := range used { // they lie below the new edge
		delete(g.edge, idx)
	}
	g.edge[at+int64(len(hashes))-1] = hashes[len(hashes)-1]
	g.size++
	return at, hashes, nil
}

func (g *growing) read(idx []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(idx))
	for i, n := range idx {
		h, ok := g.edge[n]
		if !ok {
			return nil, fmt.Errorf("hash %d is not on the tree's edge", n)
		}
		out[i] = h
	}
	return out, nil
}

// root is the tree's hash as it has grown so far.
func (g *growing) root() (tlog.Hash, error) {
	return tlog.TreeHash(g.size, tlog.HashReaderFunc(g.read))
}
