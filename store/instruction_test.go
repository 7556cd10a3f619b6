package store

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

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

// At a station nobody acts by a revision that they have not acknowledged; what
// a paper form or the office enters is not asked. One person says it once, and
// for nobody else.
func TestInstructionRead(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		release := func(revision string, from time.Time) {
			put(t, s, "601", shop.InstructionReleased{Instruction: "WI-20", Revision: revision, Op: shop.OpPrint, Title: "Print by layer", From: from})
		}
		read := func(revision string) shop.InstructionAcknowledged {
			return shop.InstructionAcknowledged{Instruction: "WI-20", Revision: revision, Badge: "204"}
		}
		at := func(station string, e shop.Event) error {
			entry := entryBy("204", e)
			entry.Station = station
			_, err := s.Record(t.Context(), entry)
			return err
		}
		layers := func(from int) shop.LayersMade {
			return shop.LayersMade{Insert: "I-0001", FromLayer: from, ToLayer: from, Pass: from, Cutter: "CU-11"}
		}
		release("A", s.Now())
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01")) // in the office nothing is asked
		clockOf(s).advance(10 * time.Minute)
		if err := at("PR1", layers(1)); !errors.Is(err, shop.ErrRefused) || !strings.Contains(err.Error(), "Instruction WI-20 A has been in force for print since") {
			t.Fatalf("an act by an unread instruction: %v", err)
		}
		forms := entryBy("204", layers(2))
		forms.Station, forms.Paper, forms.At = "PR1", &shop.Paper{Form: "PF-0001", TypedBy: "402"}, s.Now().Add(-5*time.Minute)
		if _, err := s.Record(t.Context(), forms); err != nil {
			t.Errorf("what a form says was done: %v", err)
		}
		if err := at("PR1", read("A")); err != nil {
			t.Fatal(err)
		}
		conflict(t, s, "204", read("A"), "has said already that they have read WI-20 A")
		if _, err := s.Record(t.Context(), entryBy("402", read("A"))); !errors.Is(err, shop.ErrForbidden) {
			t.Errorf("for somebody else: %v", err)
		}
		if _, err := s.Record(t.Context(), entryBy("204", read("Q"))); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("of a revision that is not there: %v", err)
		}
		if err := at("PR1", layers(3)); err != nil {
			t.Errorf("an act by what was read: %v", err)
		}
		clockOf(s).advance(time.Hour)
		release("B", s.Now())
		if err := at("PR1", layers(4)); !errors.Is(err, shop.ErrRefused) || !strings.Contains(err.Error(), "WI-20 B") {
			t.Errorf("an act by the next revision: %v", err)
		}
		earlier := entryBy("204", layers(5))
		earlier.Station, earlier.At = "PR1", s.Now().Add(-30*time.Minute)
		if _, err := s.Record(t.Context(), earlier); err != nil {
			t.Errorf("what was done while A was in force: %v", err)
		}
		put(t, s, "601", shop.PersonAuthorised{Badge: "311", Operation: shop.OpPrint, From: "2025-01-01", Evidence: "TR-009"})
		put(t, s, "311", shop.InstructionAcknowledged{Instruction: "WI-20", Revision: "B", Badge: "311"})
		earlier.ID, earlier.By, earlier.Event = uuid.Must(uuid.NewV7()), "311", layers(7)
		if _, err := s.Record(t.Context(), earlier); err != nil {
			t.Errorf("by somebody who came after A: %v", err)
		}
		put(t, s, "601", shop.PolicySet{Gate: shop.InstructionRead.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		if err := at("PR1", layers(6)); err != nil {
			t.Errorf("while the gate is silent: %v", err)
		}
		put(t, s, "204", read("B"))
		mine, err := s.ReadBy(t.Context(), "204")
		if err != nil || len(mine) != 2 || mine[0].Revision != "B" || mine[1].Station != "PR1" || mine[0].Station != "" {
			t.Errorf("204 has read %+v, %v", mine, err)
		}
		if all, err := s.ReadersOf(t.Context(), "WI-20"); err != nil || len(all) != 3 || all[1].Badge != "311" {
			t.Errorf("WI-20 was read by %+v, %v", all, err)
		}
		if n, err := s.Count(t.Context(), "person/204"); err != nil || n < 2 {
			t.Errorf("the history of 204 has %d entries, %v", n, err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

// A revision takes the place of the one before it, also of one that came into
// force at the same moment.
func TestReplacedInstruction(t *testing.T) {
	t.Parallel()
	in := func(seq int64, revision string, hour int) shop.Instruction {
		return shop.Instruction{Seq: seq, Instruction: "WI-20", Revision: revision, Operation: shop.OpPrint, From: time.Date(2025, 10, 13, hour, 0, 0, 0, time.UTC)}
	}
	all := []shop.Instruction{in(1, "A", 6), in(2, "B", 8), in(3, "C", 8)}
	for n, want := range []string{"", "A", "B"} {
		if was, ok := all[n].Replaced(all); was.Revision != want || ok != (want != "") {
			t.Errorf("%s took the place of %q, %v; want %q", all[n].Revision, was.Revision, ok, want)
		}
	}
}
