package store

import (
	"errors"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

func TestWholeRoute(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		delivered(t, s, "I-0001")
		i, err := s.Insert(t.Context(), "I-0001")
		if err != nil {
			t.Fatal(err)
		}
		if i.Status != shop.StatusDelivered || !i.Done || i.Place != "M301 at K1" {
			t.Errorf("status %q at %q, done %v; want delivered, M301 at K1", i.Status, i.Place, i.Done)
		}
		if next, ok := i.Next(); ok {
			t.Errorf("next is %s; want the end of the traveler", next.Operation)
		}
		d, err := s.Dryings(t.Context(), "I-0001")
		if err != nil || len(d) != 1 || d[0].Loss.Text != "8.62" { // 100·(254.82 − 232.85)/254.82, worked by hand
			t.Errorf("dryings %+v, %v; want one that lost 8.62 %%", d, err)
		}
	})
}

func TestGatesStop(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		before := size(t, s)
		for _, tt := range []struct {
			name, by string
			e        shop.Event
			gate     string
		}{
			{"drying before the print", "204", shop.DryingStarted{Insert: "I-0001", Oven: "D1", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")}, "route order"},
			{"a furnace operator prints", "311", printStart("I-0001", "PL-01"), "person authorised"},
			{"another program", "204", func() shop.Event {
				e := printStart("I-0001", "PL-01")
				e.ProgramHash = strings.Repeat("0", 64)
				return e
			}(), "program hash"},
			{"another oversize", "204", func() shop.Event {
				e := printStart("I-0001", "PL-01")
				e.KX = times("1.2101")
				return e
			}(), "oversize equals release"},
		} {
			_, err := s.Record(t.Context(), entryBy(tt.by, tt.e))
			no, ok := errors.AsType[*shop.Refusal](err)
			if !ok || !errors.Is(err, shop.ErrRefused) || no.Objections[0].Gate != tt.gate {
				t.Errorf("%s: %v; want a refusal by %q", tt.name, err, tt.gate)
			}
		}
		if got := size(t, s) - before; got != 4 {
			t.Errorf("%d entries were added; want one for each refusal, 4", got)
		}
		if i, _ := s.Insert(t.Context(), "I-0001"); i.Status != shop.StatusOpened {
			t.Errorf("status %q after refusals; want opened", i.Status)
		}
	})
}

func TestHeldAndLifted(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		for _, on := range []struct{ hold, kind, code string }{{"H-001", "insert", "I-0001"}, {"H-002", "lot", "L1"}, {"H-003", "machine", "P1"}} {
			put(t, s, "601", shop.HoldSet{Hold: on.hold, OnKind: on.kind, OnCode: on.code, Why: "being looked at"})
			_, err := s.Record(t.Context(), entryBy("204", printStart("I-0001", "PL-01")))
			if !errors.Is(err, shop.ErrRefused) || !strings.Contains(err.Error(), on.code+" is held by 601") {
				t.Errorf("print with %s held: %v; want a refusal that names it", on.code, err)
			}
			put(t, s, "601", shop.HoldLifted{Hold: on.hold, OnKind: on.kind, OnCode: on.code, Why: "looked at"})
			clockOf(s).advance(3 * time.Second)
		}
		put(t, s, "204", printStart("I-0001", "PL-01"))
	})
}

func TestPolicyOfTheDay(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "601", shop.PolicySet{Gate: shop.CompensationOfLot.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		opened(t, s, "I-0001")
		put(t, s, "601", shop.PolicySet{Gate: "oversize equals release", Op: shop.OpPrint, From: day, Mode: shop.Warn})
		for name, e := range map[string]shop.PolicySet{
			"from before it was set": {Gate: "program hash", Op: shop.OpPrint, From: day.Add(-time.Hour), Mode: shop.Warn},
			"holds made silent":      {Gate: "not held", Op: shop.EveryOperation, From: day, Mode: shop.Silent},
		} {
			if _, err := s.Record(t.Context(), entryBy("601", e)); !errors.Is(err, shop.ErrInvalid) {
				t.Errorf("%s: %v; want it refused", name, err)
			}
		}
		e := printStart("I-0001", "PL-01")
		e.KX = times("1.2020")
		asked := entryBy("204", e)
		before := size(t, s)
		if _, err := s.Record(t.Context(), asked); !errors.Is(err, shop.ErrAsks) {
			t.Fatalf("recorded with %v; want to be asked for a reason", err)
		}
		if size(t, s) != before {
			t.Error("asking for a reason wrote an entry")
		}
		asked.Answers = map[string]string{"oversize equals release": "trial of one step"}
		if _, err := s.Record(t.Context(), asked); err != nil {
			t.Errorf("with a reason: %v", err)
		}
	})
}

func TestSameCommandIsOneEntry(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		e := entryBy("204", printStart("I-0001", "PL-01"))
		first, err := s.Record(t.Context(), e)
		if err != nil {
			t.Fatal(err)
		}
		again, err := s.Record(t.Context(), e)
		if err != nil || !again.Repeat || again.Seq != first.Seq {
			t.Errorf("resent: %+v, %v; want a repeat of entry %d", again, err, first.Seq)
		}
		other := e
		other.Event = printStart("I-0001", "PL-02")
		if _, err := s.Record(t.Context(), other); !errors.Is(err, shop.ErrConflict) {
			t.Errorf("same id with another plate: %v; want a conflict", err)
		}
	})
}

// Two reads of one label within moments are one start; a start a minute later
// is a mistake that is said and noted.
func TestDoubleScan(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		printed(t, s, "I-0001", "PL-01")
		start := shop.DryingStarted{Insert: "I-0001", Oven: "D1", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")}
		first := put(t, s, "204", start)
		before := size(t, s)
		clockOf(s).advance(180 * time.Millisecond)
		again := put(t, s, "204", start)
		if !again.Repeat || again.Seq != first.Seq || again.By != "204" || size(t, s) != before {
			t.Errorf("second read: %+v, %d new entries; want a repeat of entry %d by 204", again, size(t, s)-before, first.Seq)
		}
		clockOf(s).advance(time.Minute)
		if _, err := s.Record(t.Context(), entryBy("204", start)); !errors.Is(err, shop.ErrRefused) || !strings.Contains(err.Error(), "was started by 204") {
			t.Errorf("a minute later: %v; want a refusal that says who started it", err)
		}
		if size(t, s) != before+1 {
			t.Errorf("%d entries; want the one refusal", size(t, s)-before)
		}
	})
}

// The clock of the server steps back in the middle of an insert's route.
func TestClockStepsBack(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		printed(t, s, "I-0001", "PL-01")
		c := clockOf(s)
		noon := time.Date(2026, 8, 11, 6, 0, 0, 0, time.UTC)
		put(t, s, "601", shop.PolicySet{Gate: "lot released and in date", Op: shop.OpPrint, From: day, Mode: shop.Silent})
		put(t, s, "601", shop.PolicySet{Gate: shop.ConstantMass.Name, Op: shop.OpDry, From: day, Mode: shop.Silent})
		c.set(noon.Add(500 * time.Millisecond))
		put(t, s, "204", shop.DryingStarted{Insert: "I-0001", Oven: "D1", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")})
		c.set(noon.Add(500*time.Millisecond + 10*time.Microsecond))
		put(t, s, "402", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0001", Why: "look at the edge"})
		c.set(noon.Add(-298 * time.Second))
		put(t, s, "601", shop.HoldLifted{Hold: "H-001", OnKind: "insert", OnCode: "I-0001", Why: "edge is good"})
		put(t, s, "204", shop.DryingFinished{Insert: "I-0001", Dry: gram("232.85")})
		entries, err := s.History(t.Context(), "insert/I-0001", 0, 100)
		if err != nil {
			t.Fatal(err)
		}
		last := entries[len(entries)-4:]
		for i, want := range []string{"drying-started", "hold-set", "hold-lifted", "drying-finished"} {
			if last[i].Event.Kind() != want {
				t.Errorf("entry %d is %s; want %s", i, last[i].Event.Kind(), want)
			}
		}
		if !last[2].At.Before(last[1].At) {
			t.Error("the step back is not visible in the history")
		}
		i, err := s.Insert(t.Context(), "I-0001")
		if err != nil {
			t.Fatal(err)
		}
		st, _ := i.StepOf(shop.OpDry)
		if took, known := st.Took(); known {
			t.Errorf("drying took %v; want a duration that is not known", took)
		}
	})
}

func TestTimesThatCannotBe(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		before := size(t, s)
		for _, tt := range []struct {
			name string
			at   time.Time
		}{{"tomorrow", day.Add(24 * time.Hour)}, {"before the release was assigned", day.Add(-2 * time.Hour)}} {
			e := entryBy("204", printStart("I-0001", "PL-01"))
			e.At = tt.at
			_, err := s.Record(t.Context(), e)
			no, ok := errors.AsType[*shop.Invalid](err)
			if !ok || no.Fields["at"] == "" {
				t.Errorf("%s: %v; want a sentence about the time", tt.name, err)
			}
		}
		if size(t, s) != before {
			t.Error("malformed input was stored")
		}
	})
}

func TestCorrection(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		wrong := put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("820.5")})
		fix := entryBy("204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("280.5")})
		fix.Corrects = wrong.Seq
		if _, err := s.Record(t.Context(), fix); !errors.Is(err, shop.ErrInvalid) {
			t.Fatalf("without a reason: %v; want it asked for", err)
		}
		fix.Reason = "digits swapped"
		if _, err := s.Record(t.Context(), fix); err != nil {
			t.Fatal(err)
		}
		c, err := s.Container(t.Context(), "L1/01")
		if err != nil || c.Left < 2219.29 || c.Left > 2219.31 {
			t.Errorf("left %.2f g, %v; want 2499.8 − 280.5 = 2219.3", c.Left, err)
		}
		draws, err := s.Draws(t.Context(), "I-0001")
		if err != nil || len(draws) != 2 || draws[0].CorrectedBy != draws[1].Seq {
			t.Errorf("draws %+v, %v; want both, the first corrected by the second", draws, err)
		}
		fix.ID = entryBy("", fix.Event).ID
		if _, err := s.Record(t.Context(), fix); !errors.Is(err, shop.ErrStale) {
			t.Errorf("corrected twice: %v; want to hear that it was corrected already", err)
		}
	})
}

func TestAuditorChangesNothing(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		before := size(t, s)
		_, err := s.Record(t.Context(), entryBy("900", shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "because"}))
		if !errors.Is(err, shop.ErrForbidden) || size(t, s) != before {
			t.Errorf("%v, %d new entries; want it forbidden and nothing stored", err, size(t, s)-before)
		}
	})
}
