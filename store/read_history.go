package store

import (
	"context"
	"encoding/hex"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/shop"
)

// Leaf is the entry's SHA-256 leaf hash in the Merkle tree of RFC 6962, in
// hexadecimal.
func (l Logged) Leaf() string {
	h := tlog.RecordHash([]byte(l.Payload))
	return hex.EncodeToString(h[:])
}

// Corrections names, for entries of a subject's history that were corrected,
// the entry that took their place. It asks about those after the n-th, through
// the last one.
func (s *Store) Corrections(ctx context.Context, subject string, after, last int64) (map[int64]int64, error) {
	type pair struct{ old, by int64 }
	query := ""
	for i, table := range []string{"result", "draw", "fit_up", "green_size", "coupon_result"} {
		if i > 0 {
			query += " UNION ALL "
		}
		query += "SELECT subject_entry.seq, corrected_by FROM subject_entry JOIN " + table + " ON " + table + `.id = subject_entry.seq
			WHERE subject_entry.name = $1 AND subject_entry.n > $2 AND subject_entry.n <= $3 AND corrected_by IS NOT NULL`
	}
	pairs, err := list(ctx, s.db, "corrections of "+subject, func(row scanner) (pair, error) {
		var p pair
		err := row.Scan(&p.old, &p.by)
		return p, err
	}, query, subject, after, last)
	if err != nil {
		return nil, err
	}
	by := make(map[int64]int64, len(pairs))
	for _, p := range pairs {
		by[p.old] = p.by
	}
	return by, nil
}

// LatestCheckpoint is the newest signed checkpoint of the log: how many entries
// it covers, and its note. It is ErrNotFound before the first one.
func (s *Store) LatestCheckpoint(ctx context.Context) (size int64, note string, err error) {
	err = s.db.QueryRowContext(ctx, "SELECT size, note FROM checkpoint ORDER BY size DESC LIMIT 1").Scan(&size, &note)
	if kindOf(err) == shop.ErrNotFound {
		return 0, "", shop.NotFound("checkpoint", "signed")
	}
	if err != nil {
		return 0, "", fmt.Errorf("reading the newest checkpoint: %w", err)
	}
	return size, note, nil
}
