package store

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

// next is the change that a watcher is told next.
func next(t testing.TB, changes <-chan Change) Change {
	t.Helper()
	select {
	case c, open := <-changes:
		if !open {
			t.Fatal("the watch is over")
		}
		return c
	case <-time.After(10 * time.Second):
		t.Fatal("nothing was told for ten seconds")
	}
	return Change{}
}

// until takes changes up to a size and returns the kinds and subjects of all
// entries. There is no gap between one change and the next.
func until(t testing.TB, changes <-chan Change, from, size int64) (said []string) {
	t.Helper()
	for from < size {
		c := next(t, changes)
		if c.From != from || int64(len(c.Entries)) != c.Size-c.From {
			t.Fatalf("after %d came a change from %d to %d with %d entries", from, c.From, c.Size, len(c.Entries))
		}
		for _, e := range c.Entries {
			said = append(said, e.Event.Kind()+" "+strings.Join(e.Subjects(), " "))
		}
		from = c.Size
	}
	return said
}

func hold(code string) shop.HoldSet {
	return shop.HoldSet{Hold: "H-" + code, OnKind: "machine", OnCode: "P1", Why: "test"}
}

// bothTwice runs a test with two stores on one book, as two app servers are.
func bothTwice(t *testing.T, test func(t *testing.T, a, b *Store)) {
	for name, address := range map[string]func(testing.TB) string{"sqlite": liteAddress, "postgres": outside.Schema} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			at := address(t)
			a := openAt(t, at, newClock(day))
			seeded(t, a)
			test(t, a, openAt(t, at, newClock(day)))
		})
	}
}

// What one server records is told by both: at once by itself, soon by the
// other.
func TestWatch(t *testing.T) {
	t.Parallel()
	bothTwice(t, func(t *testing.T, a, b *Store) {
		here, there := a.Watch(t.Context()), b.Watch(t.Context())
		first := next(t, here)
		if got := next(t, there); got.From != first.Size || got.Size != first.Size || len(got.Entries) != 0 {
			t.Fatalf("it begins with %+v; want the log's size %d alone", got, first.Size)
		}
		put(t, a, "601", hold("1"))
		put(t, a, "601", hold("2"))
		want := []string{"hold-set machine/P1 hold/H-1", "hold-set machine/P1 hold/H-2"}
		if got := until(t, here, first.Size, first.Size+2); !slices.Equal(got, want) {
			t.Errorf("told here: %q; want %q", got, want)
		}
		if got := until(t, there, first.Size, first.Size+2); !slices.Equal(got, want) {
			t.Errorf("told there: %q; want %q", got, want)
		}
		late := b.Watch(t.Context())
		if c := next(t, late); c.From != first.Size+2 || c.Size != first.Size+2 {
			t.Errorf("who comes later begins with %+v", c)
		}
		put(t, b, "601", hold("3"))
		for _, w := range []<-chan Change{here, there, late} {
			if got := until(t, w, first.Size+2, first.Size+3); !slices.Equal(got, []string{"hold-set machine/P1 hold/H-3"}) {
				t.Errorf("told of the third: %q", got)
			}
		}
	})
}

// The bell, not the clock, tells of what is recorded here.
func TestWatchIsPrompt(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		changes := s.Watch(t.Context())
		size := next(t, changes).Size
		began := time.Now()
		for i := range 5 {
			put(t, s, "601", hold(fmt.Sprint(i)))
			until(t, changes, size, size+1)
			size++
		}
		if took := time.Since(began); took > 4*watchEvery {
			t.Errorf("five changes were told within %v: by the clock, not by the bell", took)
		}
	})
}

// Nobody waits for a watcher that takes nothing. What it missed is one change
// without entries, and after it there is no gap.
func TestWatchSlowly(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		slow, quick := s.Watch(t.Context()), s.Watch(t.Context())
		size := next(t, quick).Size
		const n = 3 * watchAhead
		for i := range n {
			put(t, s, "601", hold(fmt.Sprint(i)))
			until(t, quick, size, size+1)
			size++
		}
		at, missed := size-n, false
		for at < size {
			c := next(t, slow)
			if c.From > at {
				t.Fatalf("after %d it is told from %d on", at, c.From)
			}
			missed = missed || c.Size > c.From && c.Entries == nil
			at = c.Size
		}
		if !missed {
			t.Error("a watcher that took nothing missed nothing")
		}
		put(t, s, "601", hold("last"))
		if got := until(t, slow, size, size+1); !slices.Equal(got, []string{"hold-set machine/P1 hold/H-last"}) {
			t.Errorf("then it is told %q", got)
		}
	})
}

// A watch ends with its context and with the store, and leaves nothing behind.
func TestWatchEnds(t *testing.T) {
	onBothAlone(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		ctx, cancel := context.WithCancel(t.Context())
		ended, open := s.Watch(ctx), s.Watch(t.Context())
		next(t, ended)
		next(t, open)
		cancel()
		for range ended { // ends, or the test does not
		}
		put(t, s, "601", hold("1"))
		if got := next(t, open); got.Size != got.From+1 {
			t.Errorf("the other one is told %+v", got)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		for range open {
		}
		for range s.Watch(t.Context()) {
			t.Error("a closed store tells of something")
		}
		if left := watching(); left != "" {
			t.Errorf("after Close there is still:\n%s", left)
		}
	})
}

// onBothAlone is onBoth without anything beside it.
func onBothAlone(t *testing.T, test func(t *testing.T, s *Store)) {
	t.Run("sqlite", func(t *testing.T) { test(t, openAt(t, liteAddress(t), newClock(day))) })
	t.Run("postgres", func(t *testing.T) { test(t, openAt(t, outside.Schema(t), newClock(day))) })
}

// watching is the stacks of all goroutines while one of them watches a log; it
// waits a moment for the end.
func watching() string {
	stacks := make([]byte, 1<<20)
	for range 100 {
		all := string(stacks[:runtime.Stack(stacks, true)])
		if !strings.Contains(all, "(*Store).tell") {
			return ""
		}
		time.Sleep(10 * time.Millisecond)
	}
	return string(stacks[:runtime.Stack(stacks, true)])
}
