package store

import (
	"testing"
	"time"

	"sinterbook/store/shop"
)

// Every act notes the revision that was in force when it happened, also when
// it is entered later; what belongs to no operation notes none.
func TestInstructionOfTheDay(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		from := s.Now().Add(2 * time.Hour)
		revise := func(revision string, from time.Time) shop.InstructionReleased {
			return shop.InstructionReleased{Instruction: "WI-20", Revision: revision, Op: shop.OpPrint, Title: "Print by layer", From: from}
		}
		put(t, s, "601", revise("A", s.Now()))
		put(t, s, "601", revise("B", from))
		conflict(t, s, "601", revise("B", from), "already an instruction WI-20 B")
		opened(t, s, "I-0001")
		clockOf(s).advance(time.Hour)
		first := put(t, s, "204", printStart("I-0001", "PL-01"))
		clockOf(s).advance(2 * time.Hour)
		second := put(t, s, "204", shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 5, Pass: 1, Cutter: "CU-11"})
		before := entryBy("204", shop.LayersMade{Insert: "I-0001", FromLayer: 6, ToLayer: 9, Pass: 2, Cutter: "CU-11"})
		before.At, before.Instruction = from.Add(-time.Minute), "WI-99 Z"
		late, err := s.Record(t.Context(), before)
		if err != nil {
			t.Fatal(err)
		}
		held := put(t, s, "204", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0001", Why: "edge chipped"})
		for name, want := range map[string]struct {
			seq int64
			by  string
		}{"before the new revision": {first.Seq, "WI-20 A"}, "after it": {second.Seq, "WI-20 B"}, "entered after it, done before": {late.Seq, "WI-20 A"}, "of no operation": {held.Seq, ""}} {
			e, err := s.Entry(t.Context(), want.seq)
			if err != nil || e.Instruction != want.by {
				t.Errorf("%s: by %q, %v; want %q", name, e.Instruction, err, want.by)
			}
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}
