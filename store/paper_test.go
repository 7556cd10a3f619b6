package store

import (
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// fromForm is an act of the past that somebody types in from a form.
func fromForm(by, typist, form string, at time.Time, e shop.Event) shop.Entry {
	entry := entryBy(by, e)
	entry.At, entry.Paper = at, &shop.Paper{Form: form, TypedBy: typist}
	return entry
}

// What a form says was done is in the book, although a gate would have stopped
// it: the stop is noted, and a second person compares form and book.
func TestTypedInFromPaper(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "601", shop.PolicySet{Gate: shop.CompensationOfLot.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		opened(t, s, "I-0001")
		then := s.Now().Add(time.Hour)
		clockOf(s).advance(4 * time.Hour)
		start := printStart("I-0001", "PL-01")
		start.KX = times("1.2020")
		typed := fromForm("204", "207", "PF-0001", then, start)
		if _, err := s.Record(t.Context(), typed); err != nil {
			t.Fatalf("what the form says: %v", err)
		}
		f, err := s.PaperForm(t.Context(), "PF-0001")
		if err != nil || len(f.Entries) != 1 || f.Missed() != 1 {
			t.Fatalf("the form has %+v, %v; want one entry with one missed stop", f, err)
		}
		e := f.Entries[0]
		if e.By != "204" || e.TypedBy != "207" || !e.At.Equal(then) || e.Subject != "insert/I-0001" || e.Missed[0].Gate != shop.OversizeOfRelease.Name || e.Missed[0].Mode != shop.Stop {
			t.Errorf("the entry is %+v", e)
		}
		in, err := s.History(t.Context(), "form/PF-0001", 0, 10)
		if err != nil || len(in) != 1 || in[0].Paper.TypedBy != "207" || len(in[0].Missed) != 1 {
			t.Errorf("the form's history is %+v, %v", in, err)
		}
		check := shop.FormChecked{Form: "PF-0001"}
		conflict(t, s, "207", check, "Badge 207 typed form PF-0001 in: another person checks it.")
		conflict(t, s, "601", shop.FormChecked{Form: "PF-0002"}, "PF-0002")
		put(t, s, "601", check)
		conflict(t, s, "402", check, "was checked by 601 already")
		late := fromForm("204", "207", "PF-0001", then.Add(time.Minute), shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 5, Pass: 1, Cutter: "CU-11"})
		if _, err := s.Record(t.Context(), late); !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "nothing more can be typed in from it") {
			t.Errorf("after the check: %v; want the form closed", err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

// A form goes around no malformed input, no order of the route, no right and
// no clock: such a thing is refused as ever.
func TestPaperIsNoWayAround(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		then := s.Now().Add(time.Hour)
		clockOf(s).advance(4 * time.Hour)
		for name, c := range map[string]struct {
			entry shop.Entry
			kind  error
			says  string
		}{
			"before the print":       {fromForm("204", "207", "PF-0001", then, shop.DryingStarted{Insert: "I-0001", Oven: "D1", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")}), shop.ErrRefused, "print comes first"},
			"happening now":          {fromForm("204", "207", "PF-0001", s.Now(), printStart("I-0001", "PL-01")), shop.ErrInvalid, "say when it happened"},
			"no number":              {fromForm("204", "207", "", then, printStart("I-0001", "PL-01")), shop.ErrInvalid, "The number of the form is missing."},
			"typed in by nobody":     {fromForm("204", "", "PF-0001", then, printStart("I-0001", "PL-01")), shop.ErrInvalid, "who types it in is missing"},
			"typed in by a stranger": {fromForm("204", "999", "PF-0001", then, printStart("I-0001", "PL-01")), shop.ErrNotFound, "999"},
			"typed in by an auditor": {fromForm("204", "900", "PF-0001", then, printStart("I-0001", "PL-01")), shop.ErrForbidden, "changes nothing"},
			"a signature": {func() shop.Entry {
				e := fromForm("601", "207", "PF-0001", then, shop.ReleaseSigned{Release: "DR-02 A"})
				e.Meaning = "checked"
				return e
			}(), shop.ErrInvalid, "nobody signs for another"},
			"a correction": {func() shop.Entry {
				e := fromForm("204", "207", "PF-0001", then, shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 1})
				e.Corrects, e.Reason = 3, "mistyped"
				return e
			}(), shop.ErrInvalid, "whoever found the mistake"},
			"a right":            {fromForm("601", "207", "PF-0001", then, shop.PersonAuthorised{Badge: "207", Operation: shop.OpSinter, From: "2025-01-01", Evidence: "TR-9"}), shop.ErrInvalid, "There is no paper form for this"},
			"done by an auditor": {fromForm("900", "207", "PF-0001", then, printStart("I-0001", "PL-01")), shop.ErrForbidden, "changes nothing"},
		} {
			if _, err := s.Record(t.Context(), c.entry); !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s: %v; want %v, saying %q", name, err, c.kind, c.says)
			}
		}
		forged := fromForm("204", "207", "PF-0001", then, printStart("I-0001", "PL-01"))
		forged.Missed = []shop.Objection{{Gate: "not held", Why: "Invented.", Mode: shop.Stop}}
		if _, err := s.Record(t.Context(), forged); err != nil {
			t.Fatal(err)
		}
		if f, err := s.PaperForm(t.Context(), "PF-0001"); err != nil || f.Missed() != 0 {
			t.Errorf("the form has %+v, %v; want no missed stop but what a gate said", f, err)
		}
	})
}

// No number of a form is given out twice, not even to two people at once; what
// was typed in or seen blank is not missing after an outage.
func TestBlankForms(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		next := func(want int) {
			t.Helper()
			if n, err := s.NextForm(t.Context()); n != want || err != nil {
				t.Errorf("the next form is %d, %v; want %d", n, err, want)
			}
		}
		next(1)
		then := s.Now().Add(time.Hour)
		clockOf(s).advance(4 * time.Hour)
		if _, err := s.Record(t.Context(), fromForm("204", "207", "PF-0007", then, printStart("I-0001", "PL-01"))); err != nil {
			t.Fatal(err)
		}
		next(8)
		conflict(t, s, "204", shop.FormsIssued{Op: shop.OpPrint, First: 6, Count: 3}, "Form PF-0007 was handed out already")
		var wg sync.WaitGroup
		for range 12 {
			wg.Go(func() {
				_, err := s.Record(t.Context(), entryBy("204", shop.FormsIssued{Op: shop.OpPrint, First: 8, Count: 4}))
				if err != nil && !errors.Is(err, shop.ErrConflict) {
					t.Errorf("handing out: %v", err)
				}
			})
		}
		wg.Wait()
		next(12)
		put(t, s, "601", shop.FormsIssued{Op: shop.OpDry, First: 12, Count: 2})
		outage := shop.OutageNoted{From: then, Until: s.Now().Add(2 * time.Hour), Note: "switch cabinet"}
		clockOf(s).advance(3 * time.Hour)
		put(t, s, "601", outage)
		if _, err := s.Record(t.Context(), fromForm("204", "207", "PF-0009", s.Now().Add(-2*time.Hour), shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 5})); err != nil {
			t.Fatal(err)
		}
		put(t, s, "601", shop.FormsCounted{Forms: []string{"PF-0008", "PF-0012", "PF-0013"}})
		conflict(t, s, "601", shop.FormsCounted{Forms: []string{"PF-0009"}}, "is not blank")
		conflict(t, s, "601", shop.FormsCounted{Forms: []string{"PF-0099"}}, "PF-0099")
		var missing, issued []string
		all, err := s.BlankForms(t.Context(), true)
		for _, b := range all {
			issued = append(issued, b.Form+" "+b.Operation)
			if b.Missing(shop.Outage{From: outage.From, Until: outage.Until}) {
				missing = append(missing, b.Form)
			}
		}
		if want := "PF-0008 print PF-0009 print PF-0010 print PF-0011 print PF-0012 final drying PF-0013 final drying"; strings.Join(issued, " ") != want || err != nil {
			t.Errorf("handed out: %v, %v; want %s", issued, err, want)
		}
		if want := "PF-0010 PF-0011"; strings.Join(missing, " ") != want {
			t.Errorf("missing: %v; want %s", missing, want)
		}
		open, err := s.BlankForms(t.Context(), false)
		if len(open) != 5 || err != nil {
			t.Errorf("%d forms wait, %v; want 5", len(open), err)
		}
		if b, err := s.BlankForm(t.Context(), "PF-0012"); err != nil || b.SeenBy != "601" || b.IssuedBy != "601" || b.Typed {
			t.Errorf("the form is %+v, %v", b, err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}
