package store

import (
	"context"
	"fmt"
	"sync"
)

// seen is what readers were told of the book as it stands. Between two entries
// many screens ask the same, the floor's above all; once the log has grown,
// whoever wrote, all of it is dropped. Only what follows from the log may be
// kept here, and who gets it changes nothing in it.
type seen struct {
	mu      sync.Mutex
	size    int64 // of the log
	answers map[string]any
}

// seenAtMost bounds what is kept of one state of the book.
const seenAtMost = 100

// asOfNow answers a reader from what was read since the log last grew, or reads
// and keeps it. The writer always reads: it asks in the middle of a change.
func asOfNow[T any](ctx context.Context, q querier, key string, read func() (T, error)) (T, error) {
	r, ok := q.(*readers)
	if !ok {
		return read()
	}
	var size int64
	if err := r.QueryRowContext(ctx, "SELECT size FROM head WHERE id = 1").Scan(&size); err != nil {
		var none T
		return none, fmt.Errorf("reading how far the log goes: %w", err)
	}
	if v, ok := r.seen.get(size, key); ok {
		return v.(T), nil
	}
	v, err := read()
	if err == nil {
		r.seen.put(size, key, v)
	}
	return v, err
}

func (s *seen) get(size int64, key string) (any, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.size != size || s.answers == nil || len(s.answers) >= seenAtMost {
		s.size, s.answers = size, map[string]any{}
	}
	v, ok := s.answers[key]
	return v, ok
}

// put keeps what was read, unless the log has grown meanwhile: it may then be of
// either state.
func (s *seen) put(size int64, key string, v any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.size == size {
		s.answers[key] = v
	}
}
