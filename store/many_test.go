package store

import (
	"context"
	"errors"
	commandline "flag" // flag is a function of ours
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"sinterbook/store/shop"
)

var long = commandline.Bool("long", false, "run what takes minutes at full length")

// Twelve people draw 10 g from 100 g at one moment: ten get it.
func TestTwelveDrawFromOneContainer(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", shop.ContainerReceived{Container: "L1/02", Lot: "L1", Mass: gram("100"), Code: shop.NewScanCode()})
		put(t, s, "204", shop.ContainerOpened{Container: "L1/02"})
		put(t, s, "204", printStart("I-0001", "PL-01"))
		var mu sync.Mutex
		var drawn, refused int
		var wg sync.WaitGroup
		for i := range 12 {
			wg.Go(func() {
				e := entryBy("204", shop.PasteDrawn{Container: "L1/02", Insert: "I-0001", FromLayer: i + 1, ToLayer: i + 1, Drawn: gram("10")})
				e.Station = fmt.Sprintf("ST%d", i) // a refusal of one station is not a repeat of another's
				_, err := s.Record(t.Context(), e)
				mu.Lock()
				defer mu.Unlock()
				switch {
				case err == nil:
					drawn++
				case errors.Is(err, shop.ErrRefused):
					refused++
				default:
					t.Errorf("draw %d: %v", i, err)
				}
			})
		}
		wg.Wait()
		if drawn != 10 || refused != 2 {
			t.Errorf("%d drew and %d were refused; want 10 and 2", drawn, refused)
		}
		draws, err := s.DrawsFrom(t.Context(), "L1/02")
		if err != nil || len(draws) != 10 {
			t.Errorf("%d draws stand, %v; want 10", len(draws), err)
		}
	})
}

// Fifty people record and five lists are brought in while ten read. Every
// acknowledged entry is there once, nobody hears of locks.
func TestFiftyWriters(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		before := size(t, s)
		each, rows := 20, 100 // 2000 with -long
		if *long {
			rows = 2000
		}
		var mu sync.Mutex
		var seqs []int64
		record := func(e shop.Event, by string) {
			r, err := s.Record(t.Context(), entryBy(by, e))
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Errorf("%s: %v", e.Kind(), err)
				return
			}
			seqs = append(seqs, r.Seq)
		}
		var writers, readers sync.WaitGroup
		for w := range 50 {
			writers.Go(func() {
				for i := range each {
					if w < 25 { // half of them write about one insert
						record(shop.LayersMade{Insert: "I-0001", FromLayer: w*each + i + 1, ToLayer: w*each + i + 1}, "204")
						continue
					}
					record(shop.HoldSet{Hold: fmt.Sprintf("H-%d-%d", w, i), OnKind: "gauge", OnCode: "M-12", Why: "check"}, "402")
				}
			})
		}
		for l := range 5 {
			writers.Go(func() {
				for i := range rows {
					record(shop.MouldReceived{Mould: fmt.Sprintf("M-%d-%d", l, i), Customer: "K1", Code: shop.NewScanCode()}, "601")
				}
			})
		}
		ctx, stop := context.WithCancel(t.Context())
		for range 10 {
			readers.Go(func() { readWhile(ctx, t, s) })
		}
		writers.Wait()
		stop()
		readers.Wait()
		slices.Sort(seqs)
		if want := int64(50*each + 5*rows); int64(len(slices.Compact(seqs))) != want || size(t, s)-before != want {
			t.Errorf("%d entries acknowledged, %d in the log; want %d, each once", len(seqs), size(t, s)-before, want)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

func readWhile(ctx context.Context, t *testing.T, s *Store) {
	for ctx.Err() == nil {
		if _, err := s.Lots(ctx); err != nil && ctx.Err() == nil {
			t.Errorf("reading lots: %v", err)
		}
		if _, err := s.History(ctx, "gauge/M-12", 0, 100); err != nil && ctx.Err() == nil {
			t.Errorf("reading a history: %v", err)
		}
		select {
		case <-ctx.Done():
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// Two people take the number that was proposed to both: one has it, the other
// hears so and nothing of theirs is stored.
func TestOneNumberIsTakenOnce(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		number, err := s.NextNumber(t.Context(), "hold", "H-")
		if err != nil {
			t.Fatal(err)
		}
		before := size(t, s)
		answers := make([]error, 12)
		var wg sync.WaitGroup
		for i := range answers {
			wg.Go(func() {
				_, answers[i] = s.Record(t.Context(), entryBy("601", shop.HoldSet{Hold: number, OnKind: "gauge", OnCode: "M-12", Why: fmt.Sprintf("check %d", i)}))
			})
		}
		wg.Wait()
		taken := 0
		for _, err := range answers {
			switch {
			case err == nil:
				taken++
			case !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "There is already a hold "+number):
				t.Errorf("the number was taken: %v; want to hear of hold %s", err, number)
			}
		}
		if taken != 1 || size(t, s)-before != 1 {
			t.Errorf("%d took %s and %d entries were added; want one", taken, number, size(t, s)-before)
		}
		if next, err := s.NextNumber(t.Context(), "hold", "H-"); err != nil || next == number {
			t.Errorf("after that the next is %s, %v; want another", next, err)
		}
	})
}

// A client that hangs up does not keep the connection it read with.
func TestHangingUpLeavesThePoolWhole(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for range 200 {
			ctx, cancel := context.WithTimeout(t.Context(), 50*time.Microsecond)
			_, _ = s.Inserts(ctx, "", "") // most of these are cut off in the middle
			cancel()
		}
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		defer cancel()
		var wg sync.WaitGroup
		for range 40 {
			wg.Go(func() {
				if _, err := s.Lots(ctx); err != nil {
					t.Errorf("after a burst of hang-ups: %v", err)
				}
			})
		}
		wg.Wait()
	})
}

// Two people edit one order; the second sees what the first changed before
// anything of theirs is taken.
func TestTwoEditOneOrder(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		o, err := s.Order(t.Context(), "O-1")
		if err != nil {
			t.Fatal(err)
		}
		first := entryBy("700", shop.OrderChanged{Order: "O-1", Changes: []shop.Change{{Field: "quantity", From: "3", To: "4"}}})
		first.Seen = o.Count
		if _, err := s.Record(t.Context(), first); err != nil {
			t.Fatal(err)
		}
		second := entryBy("601", shop.OrderChanged{Order: "O-1", Changes: []shop.Change{{Field: "remark", From: "", To: "use setter B"}}})
		second.Seen = o.Count
		_, err = s.Record(t.Context(), second)
		no, ok := errors.AsType[*shop.Refusal](err)
		if !ok || !errors.Is(err, shop.ErrStale) || len(no.Meanwhile) != 1 {
			t.Fatalf("on the old page: %v; want to hear what changed", err)
		}
		if c := no.Meanwhile[0]; c.By != "700" || c.Field != "quantity" || c.From != "3" || c.To != "4" || c.At.IsZero() {
			t.Errorf("meanwhile %+v; want quantity from 3 to 4 by 700, with the time", c)
		}
		second.Seen = o.Count + 1
		if _, err := s.Record(t.Context(), second); err != nil {
			t.Fatal(err)
		}
		o, err = s.Order(t.Context(), "O-1")
		if err != nil || o.Quantity != 4 || o.Remark != "use setter B" || o.Due != "2025-10-10" {
			t.Errorf("order %+v, %v; want both changes and the old day", o, err)
		}
	})
}
