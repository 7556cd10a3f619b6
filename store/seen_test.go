package store

import (
	"fmt"
	"sync"
	"testing"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

// What readers are told is kept until the log grows, and no longer: whoever
// records sees it at once.
func TestSeenGoesWithTheLog(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for i := range 20 {
			insert := fmt.Sprintf("I-%04d", i+1)
			opened(t, s, insert)
			for range 2 { // the second is from memory
				rows, err := s.Board(t.Context(), Board{Limit: 100})
				if err != nil || len(rows) != i+1 || rows[i].Insert != insert || rows[i].Held != "" {
					t.Fatalf("%d rows after %s, %v", len(rows), insert, err)
				}
			}
			put(t, s, "601", shop.HoldSet{Hold: fmt.Sprintf("H-%03d", i+1), OnKind: "insert", OnCode: insert, Why: "looked at twice"})
			rows, err := s.Board(t.Context(), Board{Limit: 100})
			if err != nil || rows[i].Held == "" {
				t.Fatalf("%+v, %v; want it held", rows[i], err)
			}
		}
	})
}

// Another server on the same book is heard of at once as well.
func TestSeenGoesWithAnotherServer(t *testing.T) {
	address := outside.Schema(t)
	here, there := openAt(t, address, newClock(day)), openAt(t, address, newClock(day))
	seeded(t, here)
	for i := range 5 {
		opened(t, there, fmt.Sprintf("I-%04d", i+1))
		if rows, err := here.Board(t.Context(), Board{Limit: 100}); err != nil || len(rows) != i+1 {
			t.Fatalf("%d rows, %v; want %d", len(rows), err, i+1)
		}
	}
}

// While others record, nobody is told less than what stood when he asked.
func TestSeenWhileOthersRecord(t *testing.T) {
	s := openAt(t, liteAddress(t), newClock(day))
	seeded(t, s)
	var wg sync.WaitGroup
	done := make(chan struct{})
	for range 4 {
		wg.Go(func() {
			for had := 0; ; {
				rows, err := s.Board(t.Context(), Board{Limit: 1000})
				if err != nil || len(rows) < had {
					t.Errorf("%d rows after %d, %v", len(rows), had, err)
					return
				}
				had = len(rows)
				select {
				case <-done:
					return
				default:
				}
			}
		})
	}
	for i := range 60 {
		opened(t, s, fmt.Sprintf("I-%04d", i+1))
		if rows, err := s.Board(t.Context(), Board{Limit: 1000}); err != nil || len(rows) != i+1 {
			t.Errorf("%d rows, %v; want %d: the last one was recorded before it was asked", len(rows), err, i+1)
		}
	}
	close(done)
	wg.Wait()
}

// The answers to many questions are not all kept.
func TestSeenIsBounded(t *testing.T) {
	s := openAt(t, liteAddress(t), newClock(day))
	seeded(t, s)
	for i := range 3 * seenAtMost {
		if _, err := s.Board(t.Context(), Board{Limit: i + 1}); err != nil {
			t.Fatal(err)
		}
		if n := len(s.db.seen.answers); n > seenAtMost {
			t.Fatalf("%d answers are kept; want at most %d", n, seenAtMost)
		}
	}
}
