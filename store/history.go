package store

import (
	"context"
	"fmt"

	"github.com/google/uuid"

	"sinterbook/store/shop"
)

// History lists entries about a subject in the order of recording, which no
// clock can change: those after its n-th one, limit at the most.
func (s *Store) History(ctx context.Context, subject string, after int64, limit int) ([]Logged, error) {
	return history(ctx, s.db, subject, after, limit)
}

func history(ctx context.Context, q querier, subject string, after int64, limit int) ([]Logged, error) {
	return list(ctx, q, "the history of "+subject, scanLogged, `SELECT entry.payload FROM subject_entry JOIN entry ON entry.seq = subject_entry.seq
		WHERE subject_entry.name = $1 AND subject_entry.n > $2 ORDER BY subject_entry.n LIMIT $3`, subject, after, limit)
}

func scanLogged(row scanner) (Logged, error) {
	var text string
	if err := row.Scan(&text); err != nil {
		return Logged{}, err
	}
	return decodeEntry(text)
}

// Entries lists entries of the whole log from a number on, limit at the most.
func (s *Store) Entries(ctx context.Context, from int64, limit int) ([]Logged, error) {
	return list(ctx, s.db, "the log", scanLogged, "SELECT payload FROM entry WHERE seq >= $1 ORDER BY seq LIMIT $2", from, limit)
}

// Entry is one entry of the log by its number, or ErrNotFound.
func (s *Store) Entry(ctx context.Context, seq int64) (Logged, error) {
	return entryBySeq(ctx, s.db, seq)
}

// EntryOf is the entry that a command recorded.
func (s *Store) EntryOf(ctx context.Context, command uuid.UUID) (Logged, error) {
	return entryByID(ctx, s.db, command)
}

// Count is how many entries there are about a subject.
func (s *Store) Count(ctx context.Context, subject string) (int64, error) {
	var n int64
	err := s.db.QueryRowContext(ctx, "SELECT coalesce((SELECT n FROM subject WHERE name = $1), 0)", subject).Scan(&n)
	if err != nil {
		return 0, fmt.Errorf("counting entries about %s: %w", subject, err)
	}
	return n, nil
}

// Judge says what Record would answer, without recording anything: nil, or the
// *shop.Invalid or *shop.Refusal with which it would refuse.
func (s *Store) Judge(ctx context.Context, e shop.Entry) error {
	if err := s.asCorrected(ctx, &e); err != nil {
		return err
	}
	if err := s.prepare(&e); err != nil {
		return err
	}
	return judge(ctx, s.db, &e)
}
