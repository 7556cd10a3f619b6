package store

import (
	"context"
	"fmt"
	"time"
)

// Guesses are counted by where they come from, never by whom alone they are
// aimed at: nobody can be locked out by somebody else.
const (
	wrongInAMinute = 10             // from one address, whoever it tried to be
	wrongInARow    = 5              // from one address for one badge, before waits begin
	longestWait    = time.Minute    // between two tries after that
	triesKept      = 24 * time.Hour // and counted
	triesRead      = 500            // of one address
)

// A TooSoon is the answer to a try that must wait.
type TooSoon struct{ Wait time.Duration }

func (e *TooSoon) Error() string { return fmt.Sprintf("too many wrong tries: wait %v", e.Wait) }

// A try is one attempt to sign in, or to sign, from an address.
type try struct {
	badge string
	at    time.Time
	good  bool
}

// Try counts an attempt before it is looked at, so that many at once are
// counted too, or answers with a *TooSoon. It stands as a wrong one until Good
// says otherwise. badge is as it was typed, address is the peer's own.
func (s *Store) Try(ctx context.Context, badge, address string) (id int64, err error) {
	now := s.Now()
	err = s.submit(ctx, func(ctx context.Context, w *session, _ *int64) error {
		if _, err := w.ExecContext(ctx, "DELETE FROM sign_in_try WHERE at < $1", stamp{now.Add(-triesKept)}); err != nil {
			return err
		}
		tries, err := triesFrom(ctx, w, address)
		if err != nil {
			return err
		}
		if wait := waitOf(tries, badge, now); wait > 0 {
			return &TooSoon{Wait: wait}
		}
		return w.QueryRowContext(ctx, "INSERT INTO sign_in_try (id, badge, address, at, good) SELECT coalesce(max(id), 0) + 1, $1, $2, $3, 0 FROM sign_in_try RETURNING id",
			badge, address, stamp{now}).Scan(&id)
	})
	if err != nil {
		return 0, fmt.Errorf("trying to sign in: %w", err)
	}
	return id, nil
}

// triesFrom lists the tries of an address, the newest first.
func triesFrom(ctx context.Context, q querier, address string) ([]try, error) {
	return list(ctx, q, "tries", func(row scanner) (try, error) {
		var t try
		var at stamp
		var good int64
		err := row.Scan(&t.badge, &at, &good)
		t.at, t.good = at.Time, good != 0
		return t, err
	}, "SELECT badge, at, good FROM sign_in_try WHERE address = $1 ORDER BY id DESC LIMIT $2", address, triesRead)
}

// waitOf is how long an address must wait before it may try a badge: until
// fewer than ten of its tries went wrong within a minute, and, after five
// wrong ones in a row for that badge, one second, then two, four and so on.
func waitOf(tries []try, badge string, now time.Time) time.Duration {
	var wait time.Duration
	wrong, inARow := 0, 0
	var last time.Time
	ended := false
	for _, t := range tries {
		if since := now.Sub(t.at).Abs(); !t.good && since < time.Minute {
			if wrong++; wrong == wrongInAMinute {
				wait = time.Minute - since
			}
		}
		if t.badge != badge || ended {
			continue
		}
		if ended = t.good; ended {
			continue
		}
		if inARow++; inARow == 1 {
			last = t.at
		}
	}
	if over := inARow - wrongInARow; over >= 0 {
		pause := min(time.Second<<min(over, 10), longestWait)
		wait = max(wait, pause-now.Sub(last).Abs())
	}
	return wait
}

// Good marks a try as right.
func (s *Store) Good(ctx context.Context, id int64) error {
	err := s.submit(ctx, func(ctx context.Context, w *session, _ *int64) error {
		_, err := w.ExecContext(ctx, "UPDATE sign_in_try SET good = 1 WHERE id = $1", id)
		return err
	})
	if err != nil {
		return fmt.Errorf("noting a sign-in: %w", err)
	}
	return nil
}

// WrongTries counts the wrong tries of the last day for a badge, from
// everywhere, and says when the last one was.
func (s *Store) WrongTries(ctx context.Context, badge string) (n int, last time.Time, err error) {
	tries, err := list(ctx, s.db, "tries", func(row scanner) (time.Time, error) {
		var at stamp
		err := row.Scan(&at)
		return at.Time, err
	}, "SELECT at FROM sign_in_try WHERE badge = $1 AND good = 0 AND at >= $2 ORDER BY at", badge, stamp{s.Now().Add(-triesKept)})
	if err != nil || len(tries) == 0 {
		return 0, time.Time{}, err
	}
	return len(tries), tries[len(tries)-1], nil
}
