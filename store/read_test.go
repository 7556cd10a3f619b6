package store

import (
	"errors"
	"fmt"
	"testing"

	"sinterbook/store/shop"
)

func TestBalancesLeaveOutWhatWasReplaced(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		wrong := put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("820.5")})
		fix := entryBy("204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("280.5"), Purged: gram("3.1")})
		fix.Corrects, fix.Reason = wrong.Seq, "digits swapped"
		if _, err := s.Record(t.Context(), fix); err != nil {
			t.Fatal(err)
		}
		put(t, s, "204", shop.ContainerReceived{Container: "L1/02", Lot: "L1", Mass: gram("100"), Code: shop.NewScanCode()})
		balances, err := s.Balances(t.Context(), "L1")
		if err != nil || len(balances) != 2 {
			t.Fatalf("%d balances, %v; want 2", len(balances), err)
		}
		for i, want := range []string{"L1/01 2499.8 280.5 3.1 2216.2 1", "L1/02 100.0 0.0 0.0 100.0 0"} {
			b := balances[i]
			if got := fmt.Sprintf("%s %.1f %.1f %.1f %.1f %d", b.Container.Container, b.In, b.Drawn, b.Purged, b.Left, b.Draws); got != want {
				t.Errorf("balance %q; want %q", got, want)
			}
		}
		made, err := s.MadeOf(t.Context(), "L1", 0, 10)
		if err != nil || len(made) != 1 || made[0].Insert != "I-0001" || made[0].Grams != 280.5 {
			t.Errorf("made of it: %+v, %v; want I-0001 with 280.5 g", made, err)
		}
		if all, before, err := s.MadeCount(t.Context(), "L1", made[0].ID); all != 1 || before != 1 || err != nil {
			t.Errorf("%d made, %d before, %v; want 1 and 1", all, before, err)
		}
	})
}

func TestCorrectionsOfAHistory(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		wrong := put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("820.5")})
		fix := entryBy("204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("280.5")})
		fix.Corrects, fix.Reason = wrong.Seq, "digits swapped"
		right, err := s.Record(t.Context(), fix)
		if err != nil {
			t.Fatal(err)
		}
		for _, tt := range []struct {
			name, subject string
			after, last   int64
			want          int
		}{{"of the insert", "insert/I-0001", 0, 100, 1}, {"of the container", "container/L1/01", 0, 100, 1}, {"before it", "insert/I-0001", 0, 3, 0}, {"after it", "insert/I-0001", 4, 100, 0}} {
			got, err := s.Corrections(t.Context(), tt.subject, tt.after, tt.last)
			if err != nil || len(got) != tt.want || tt.want == 1 && got[wrong.Seq] != right.Seq {
				t.Errorf("%s: %v, %v; want %d, entry %d by %d", tt.name, got, err, tt.want, wrong.Seq, right.Seq)
			}
		}
	})
}

func TestBoard(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for i := range 5 {
			opened(t, s, fmt.Sprintf("I-%04d", i+1))
		}
		dried(t, s, "I-0002", "PL-02")
		put(t, s, "601", shop.InsertScrapped{Insert: "I-0005", Why: "broken"})
		put(t, s, "601", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0003", Why: "look at it"})
		board := func(b Board) (serials string, last int64) {
			t.Helper()
			rows, err := s.Board(t.Context(), b)
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range rows {
				serials += r.Insert + r.Held + " "
				last = r.ID
			}
			return serials, last
		}
		if got, _ := board(Board{Limit: 10}); got != "I-0001 I-0002 I-0003H-001 I-0004 " {
			t.Errorf("the floor is %q", got)
		}
		if got, _ := board(Board{Limit: 10, Next: shop.OpSinter}); got != "I-0002 " {
			t.Errorf("next to the furnace: %q", got)
		}
		_, last := board(Board{Limit: 2})
		if got, _ := board(Board{Limit: 2, After: last}); got != "I-0003H-001 I-0004 " {
			t.Errorf("the second page is %q", got)
		}
		all, before, previous, err := s.BoardPlace(t.Context(), Board{Limit: 2, After: last})
		if all != 4 || before != 2 || err != nil {
			t.Errorf("%d in all, %d before, %v; want 4 and 2", all, before, err)
		}
		if got, _ := board(Board{Limit: 2, After: previous}); got != "I-0001 I-0002 " {
			t.Errorf("the page before the second is %q", got)
		}
		put(t, s, "601", shop.HoldSet{Hold: "H-002", OnKind: "lot", OnCode: "L1", Why: "coupons are small"})
		if got, _ := board(Board{Limit: 10}); got != "I-0001H-002 I-0002H-002 I-0003H-001 I-0004H-002 " {
			t.Errorf("with the lot held the floor is %q", got)
		}
		if got, _ := board(Board{Limit: 10, HeldBy: "H-001"}); got != "I-0003H-001 " {
			t.Errorf("held by H-001: %q", got)
		}
	})
}

func TestTalliesAndNextNumber(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		opened(t, s, "I-0002")
		dried(t, s, "I-0002", "PL-02")
		tallies, err := s.Tallies(t.Context())
		counted := map[string]int{}
		for _, tally := range tallies {
			counted[tally.Status] = tally.Count
		}
		if err != nil || counted[shop.StatusOpened] != 1 || counted[shop.StatusDried] != 1 || len(counted) != 2 {
			t.Errorf("tallies %v, %v; want one opened, one dried", counted, err)
		}
		put(t, s, "601", shop.HoldSet{Hold: "H-002", OnKind: "lot", OnCode: "L1", Why: "coupons are small"})
		if number, err := s.NextNumber(t.Context(), "hold", "H-"); number != "H-003" || err != nil {
			t.Errorf("next hold %q, %v; want H-003, since H-002 is taken", number, err)
		}
		for given, want := range map[string]string{"H-07": "H-08", "stop 9": "stop 10", "H-2025-099": "H-2025-100"} {
			put(t, s, "601", shop.HoldSet{Hold: given, OnKind: "lot", OnCode: "L1", Why: "coupons are small"})
			if number, err := s.NextNumber(t.Context(), "hold", "H-"); number != want || err != nil {
				t.Errorf("after %s comes %q, %v; want %s", given, number, err, want)
			}
		}
		for _, given := range []string{"H-11", "H-10", "the crack at the gate"} {
			put(t, s, "601", shop.HoldSet{Hold: given, OnKind: "lot", OnCode: "L1", Why: "coupons are small"})
		}
		if number, err := s.NextNumber(t.Context(), "hold", "H-"); number != "H-12" || err != nil {
			t.Errorf("next hold %q, %v; want H-12: H-11 is taken, and words are not counted on", number, err)
		}
		if number, err := s.NextNumber(t.Context(), "permit", "DP-"); number != "DP-001" || err != nil {
			t.Errorf("the first permit is %q, %v; want DP-001", number, err)
		}
	})
}

func TestLatestCheckpoint(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		if _, _, err := s.LatestCheckpoint(t.Context()); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("before the first one: %v; want not found", err)
		}
		for size, note := range map[int64]string{8: "eight", 30: "thirty"} {
			if _, err := s.write.ExecContext(t.Context(), "INSERT INTO checkpoint (size, note) VALUES ($1, $2)", size, note); err != nil {
				t.Fatal(err)
			}
		}
		if size, note, err := s.LatestCheckpoint(t.Context()); size != 30 || note != "thirty" || err != nil {
			t.Errorf("the newest is %d, %q, %v; want the one of 30", size, note, err)
		}
	})
}
