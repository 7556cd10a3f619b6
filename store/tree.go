package store

import (
	"context"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"
)

// grow adds the leaf of an entry to the Merkle tree of RFC 6962.
func (w *session) grow(ctx context.Context, seq int64, text []byte) error {
	hashes, err := tlog.StoredHashes(seq, text, tlog.HashReaderFunc(func(idx []int64) ([]tlog.Hash, error) {
		return w.hashes(ctx, idx)
	}))
	if err != nil {
		return fmt.Errorf("hashing entry %d: %w", seq, err)
	}
	at := tlog.StoredHashIndex(0, seq)
	for i, h := range hashes {
		w.nodes = append(w.nodes, at+int64(i), h[:])
		w.remember(at+int64(i), h)
	}
	return nil
}

// edgeSize bounds the hashes that the writer keeps in memory.
const edgeSize = 4096

func (w *session) remember(idx int64, h tlog.Hash) {
	if len(w.edge) >= edgeSize {
		clear(w.edge)
	}
	w.edge[idx] = h
}

// forget drops what is remembered or pending and was undone, or may have been
// overtaken.
func (w *session) forget() {
	w.edge, w.count = map[int64]tlog.Hash{}, map[string]int64{}
	w.known, w.pending = map[string]answer{}, newPending()
}

func (w *session) hashes(ctx context.Context, idx []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(idx))
	for i, n := range idx {
		if h, ok := w.edge[n]; ok {
			out[i] = h
			continue
		}
		h, err := storedHash(ctx, w, n)
		if err != nil {
			return nil, err
		}
		w.remember(n, h)
		out[i] = h
	}
	return out, nil
}

func storedHash(ctx context.Context, q querier, idx int64) (tlog.Hash, error) {
	var raw []byte
	if err := q.QueryRowContext(ctx, "SELECT hash FROM node WHERE idx = $1", idx).Scan(&raw); err != nil {
		return tlog.Hash{}, fmt.Errorf("reading hash %d: %w", idx, err)
	}
	if len(raw) != tlog.HashSize {
		return tlog.Hash{}, fmt.Errorf("hash %d has %d bytes", idx, len(raw))
	}
	return tlog.Hash(raw), nil
}

// hashReader reads the tree's hashes for proofs.
func hashReader(ctx context.Context, q querier) tlog.HashReaderFunc {
	return func(idx []int64) ([]tlog.Hash, error) {
		out := make([]tlog.Hash, len(idx))
		for i, n := range idx {
			h, err := storedHash(ctx, q, n)
			if err != nil {
				return nil, err
			}
			out[i] = h
		}
		return out, nil
	}
}
