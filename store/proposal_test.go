package store

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// measuredZ is a factor that rests on measurements.
func measuredZ() shop.ProposedFactor {
	return shop.ProposedFactor{Axis: "Z", S: shop.MustReading("18.38", "%"), K: times("1.2252"), Low: shop.MustReading("18.31", "%"), High: shop.MustReading("18.44", "%"), N: 14, Method: shop.Measured}
}

// TestFactorLife: proposed by one, approved by another, in force from then on;
// what stood before stays in the record, and the release that it touches is
// named with the inserts that are planned and made to it.
func TestFactorLife(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		opened(t, s, "I-0002")
		dried(t, s, "I-0002", "PL-02")
		put(t, s, "101", shop.FactorProposed{Proposal: "FA-002", Lot: "L1", Lines: []shop.ProposedFactor{measuredZ(), proposed("Y", "16.85", "1.2026")}, Basis: "fourteen pieces", Evidence: "CP-0001"})
		if in := inForce(t, s, "L1"); !slices.Equal(in, []string{"X 1.2019", "Y 1.2019", "Z 1.2180"}) {
			t.Errorf("in force while it waits: %q", in)
		}
		p, err := s.Proposal(t.Context(), "FA-002")
		if err != nil || p.State != shop.Waiting || len(p.Lines) != 2 || p.Lines[1] != measuredZ() {
			t.Fatalf("the proposal is %+v, %v", p, err)
		}
		all, err := s.Touched(t.Context(), "L1", p.Factors(s.Now()))
		if err != nil || len(all) != 1 || all[0].Release.Release != "DR-02 A" || len(all[0].Shifts) != 2 || !shop.Beyond(all[0].Shifts) || len(all[0].Inserts) != 2 {
			t.Fatalf("touched are %+v, %v", all, err)
		}
		for _, e := range []shop.Entry{
			signed("101", shop.FactorApproved{Proposal: "FA-002", Lot: "L1"}),
			entryBy("101", shop.FactorProposalDropped{Proposal: "FA-002", Lot: "L1", How: shop.Refused, Why: "no"}),
			entryBy("601", shop.FactorProposalDropped{Proposal: "FA-002", Lot: "L1", How: shop.Withdrawn, Why: "no"}),
			signed("601", shop.FactorApproved{Proposal: "FA-002", Lot: "L2"}),
		} {
			if _, err := s.Record(t.Context(), e); !errors.Is(err, shop.ErrConflict) {
				t.Errorf("%s of %+v by %s: %v; want a conflict", e.Event.Kind(), e.Event, e.By, err)
			}
		}
		if _, err := s.Record(t.Context(), entryBy("601", shop.FactorApproved{Proposal: "FA-002", Lot: "L1"})); !errors.Is(err, shop.ErrInvalid) {
			t.Errorf("approved without saying what it means: %v", err)
		}
		clockOf(s).advance(time.Hour)
		receipt, err := s.Record(t.Context(), signed("601", shop.FactorApproved{Proposal: "FA-002", Lot: "L1"}))
		if err != nil {
			t.Fatal(err)
		}
		if in := inForce(t, s, "L1"); !slices.Equal(in, []string{"X 1.2019", "Y 1.2026", "Z 1.2252"}) {
			t.Errorf("in force once it is approved: %q", in)
		}
		if factors, err := s.Factors(t.Context(), "L1"); err != nil || len(factors) != 5 || factors[4].Low.Text != "18.31" || factors[4].By != "601" || factors[4].ProposedBy != "101" || factors[4].N != 14 {
			t.Errorf("the history of factors is %+v, %v", factors, err)
		}
		e, err := s.Entry(t.Context(), receipt.Seq)
		if ev, ok := e.Event.(shop.FactorApproved); err != nil || !ok || !slices.Equal(ev.Differ, []string{"DR-02 A"}) {
			t.Errorf("the approval says %+v, %v; want the release that differs", e.Event, err)
		}
		if _, err := s.Record(t.Context(), entryBy("204", printStart("I-0001", "PL-03"))); err == nil || !strings.Contains(err.Error(), "1.2252") {
			t.Errorf("a print by the former factor: %v", err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// TestProposalDropped: withdrawn by who proposed it, refused by another; nothing
// comes into force, and the number is not given twice.
func TestProposalDropped(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for number, how := range map[string]string{"FA-002": shop.Withdrawn, "FA-003": shop.Refused} {
			put(t, s, "101", shop.FactorProposed{Proposal: number, Lot: "L1", Lines: []shop.ProposedFactor{measuredZ()}, Basis: "fourteen pieces"})
			by := map[string]string{shop.Withdrawn: "101", shop.Refused: "601"}[how]
			put(t, s, by, shop.FactorProposalDropped{Proposal: number, Lot: "L1", How: how, Why: "one run only"})
			if p, err := s.Proposal(t.Context(), number); err != nil || p.State != how || p.DecidedBy != by || p.DecidedWhy != "one run only" {
				t.Errorf("%s is %+v, %v", number, p, err)
			}
		}
		if in := inForce(t, s, "L1"); !slices.Equal(in, []string{"X 1.2019", "Y 1.2019", "Z 1.2180"}) {
			t.Errorf("in force: %q", in)
		}
		if _, err := s.Record(t.Context(), entryBy("101", shop.FactorProposed{Proposal: "FA-002", Lot: "L1", Lines: []shop.ProposedFactor{measuredZ()}, Basis: "again"})); !errors.Is(err, shop.ErrConflict) {
			t.Errorf("a number given twice: %v", err)
		}
	})
}

// TestFactorByOne: what the gate of one person's factors says is a policy.
func TestFactorByOne(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		alone := shop.FactorSet{Lot: "L1", Axis: "X", S: shop.MustReading("16.85", "%"), K: times("1.2026"), Basis: "coupons"}
		before := size(t, s)
		if _, err := s.Record(t.Context(), entryBy("101", alone)); !errors.Is(err, shop.ErrRefused) || size(t, s) != before+1 {
			t.Errorf("by one person: %v; want refused, and the attempt noted", err)
		}
		put(t, s, "601", shop.PolicySet{Gate: shop.FactorByTwo.Name, Op: shop.EveryOperation, From: s.Now(), Mode: shop.Silent})
		put(t, s, "101", alone)
		if in := inForce(t, s, "L1"); in[0] != "X 1.2026" {
			t.Errorf("in force: %q", in)
		}
	})
}

// TestReleaseHasTheLotsFactors: a mistyped release is stopped while it is
// drafted, with the numbers side by side.
func TestReleaseHasTheLotsFactors(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		draft := shop.ReleaseDrafted{Release: "DR-14 A", Design: "CR40", Revision: "B", Lot: "L1", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
			KX: times("1.2109"), KY: times("1.2019"), KZ: times("1.2180"), Evidence: "coupons", Program: "a.pgm", ProgramHash: program}
		_, err := s.Record(t.Context(), entryBy("101", draft))
		no, ok := errors.AsType[*shop.Refusal](err)
		if !ok || !strings.Contains(no.Why, "1.2109 has two digits of 1.2019 swapped.") || len(no.Objections) != 1 || len(no.Objections[0].Compared) != 3 || !no.Objections[0].Compared[0].Differs {
			t.Errorf("a mistyped release: %v", err)
		}
		draft.KX = times("1.2019")
		put(t, s, "101", draft)
	})
}

// TestAxesMeasured: a lot that nobody measured along an axis is neither released
// nor printed by a strict policy; coupons count once they were read green and
// sintered, inserts of that lot alone too.
func TestAxesMeasured(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "601", shop.PolicySet{Gate: shop.AxesMeasured.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Stop})
		opened(t, s, "I-0001")
		if _, err := s.Record(t.Context(), entryBy("204", printStart("I-0001", "PL-01"))); err == nil || !strings.Contains(err.Error(), "Lot L1 was never measured: X, Y and Z rest on no measurement.") {
			t.Errorf("a print of what was never measured: %v", err)
		}
		put(t, s, "601", shop.PolicySet{Gate: shop.AxesMeasured.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Silent})
		fitted(t, s, "I-0001", "K1") // its X is measured
		put(t, s, "601", shop.PolicySet{Gate: shop.AxesMeasured.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Stop})
		if axes, err := s.AxesMeasured(t.Context(), "L1"); err != nil || !slices.Equal(axes, []string{"X"}) {
			t.Errorf("measured along %q, %v; want X", axes, err)
		}
		put(t, s, "101", shop.ReleaseDrafted{Release: "DR-03 A", Design: "CR40", Revision: "B", Lot: "L1", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
			KX: times("1.2019"), KY: times("1.2019"), KZ: times("1.2180"), Evidence: "coupons", Program: "a.pgm", ProgramHash: program})
		if _, err := s.Record(t.Context(), signed("101", shop.ReleaseSigned{Release: "DR-03 A"})); !errors.Is(err, shop.ErrRefused) || !strings.Contains(err.Error(), "Lot L1 was measured in X only: Y and Z rest on no measurement.") {
			t.Errorf("signing it: %v", err)
		}
	})
}

// TestAxesMeasuredAreThoseOfTheBuild: what stood on its side in the machine was
// measured along another axis than that of its drawing.
func TestAxesMeasuredAreThoseOfTheBuild(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "601", shop.PolicySet{Gate: shop.GreenPredictsGood.Name, Op: shop.EveryOperation, From: s.Now(), Mode: shop.Silent}) // sizes do not matter here
		put(t, s, "101", shop.ReleaseDrafted{Release: "DR-03 A", Design: "CR40", Revision: "B", Lot: "L1", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+X up, Y along the machine X",
			KX: times("1.2019"), KY: times("1.2019"), KZ: times("1.2180"), Evidence: "coupons", Program: "a.pgm", ProgramHash: program})
		for _, badge := range []string{"101", "601"} {
			if _, err := s.Record(t.Context(), signed(badge, shop.ReleaseSigned{Release: "DR-03 A"})); err != nil {
				t.Fatal(err)
			}
		}
		put(t, s, "700", shop.TravelerOpened{Insert: "I-0001", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
		put(t, s, "101", shop.ReleaseAssigned{Insert: "I-0001", Release: "DR-03 A"})
		start := printStart("I-0001", "PL-01")
		start.Release = "DR-03 A"
		put(t, s, "204", start)
		put(t, s, "204", layersDrawn("I-0001", 1, 304, "280.5"))
		put(t, s, "204", shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 304, Pass: 1, Cutter: "CU-11", Probe: mm("0.501")})
		put(t, s, "204", shop.PrintFinished{Insert: "I-0001", LayersDone: 304, Printed: gram("254.3")})
		put(t, s, "204", shop.DryingStarted{Insert: "I-0001", Oven: "D1", Shelf: "2", Air: shop.MustReading("65", "C"), Wet: gram("254.82"), Constant: shop.MustReading("0.05", "%")})
		dryOut(t, s, "I-0001")
		put(t, s, "311", shop.LoadOpened{Load: "F1-0001", Furnace: "F1", Recipe: "SR-1340 C", Code: shop.NewScanCode()})
		put(t, s, "311", shop.LoadPlaced{Load: "F1-0001", Insert: "I-0001", Position: "T1"})
		put(t, s, "311", shop.LoadClosed{Load: "F1-0001"})
		put(t, s, "311", shop.LoadUnloaded{Load: "F1-0001", Inserts: []string{"I-0001"}})
		if axes, err := s.AxesMeasured(t.Context(), "L1"); err != nil || len(axes) != 0 {
			t.Errorf("measured green only: along %q, %v; want none", axes, err)
		}
		measured(t, s, "I-0001", "39.987") // the drawing's X
		if axes, err := s.AxesMeasured(t.Context(), "L1"); err != nil || !slices.Equal(axes, []string{"Z"}) {
			t.Errorf("measured along %q, %v; want Z of the build", axes, err)
		}
	})
}

// inForce are the factors of a lot in force, as "X 1.2019".
func inForce(t *testing.T, s *Store, lot string) []string {
	t.Helper()
	factors, err := s.Factors(t.Context(), lot)
	if err != nil {
		t.Fatal(err)
	}
	var in []string
	for _, axis := range shop.Axes {
		if f, ok := shop.FactorAt(factors, lot, axis, s.Now()); ok {
			in = append(in, axis+" "+f.K.Text)
		}
	}
	return in
}

// TestGreenInsertsOutliveTheirRelease: what was printed of a lot is found until a
// furnace closes on it, whatever became of the release that it was printed by,
// and of both lots where another took over within the print.
func TestGreenInsertsOutliveTheirRelease(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		second(t, s)
		put(t, s, "204", shop.ContainerReceived{Container: "L2/01", Lot: "L2", Mass: gram("2499.8"), Code: shop.NewScanCode()})
		opened(t, s, "I-0001")
		opened(t, s, "I-0002")
		opened(t, s, "I-0003")
		dried(t, s, "I-0002", "PL-02")
		put(t, s, "204", printStart("I-0003", "PL-03"))
		put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0003", FromLayer: 1, ToLayer: 152, Drawn: gram("140")})
		if _, err := s.Record(t.Context(), signed("101", shop.LotChanged{Insert: "I-0003", FromLayer: 153, From: "L1", To: "L2", Why: "the tub ran out"})); err != nil {
			t.Fatal(err)
		}
		put(t, s, "101", shop.ReleaseDrafted{Release: "DR-03 A", Design: "CR40", Revision: "B", Lot: "L1", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
			KX: times("1.2019"), KY: times("1.2019"), KZ: times("1.2180"), Evidence: "coupons", Program: "a.pgm", ProgramHash: program, Supersedes: "DR-02 A"})
		for _, badge := range []string{"101", "601"} {
			if _, err := s.Record(t.Context(), signed(badge, shop.ReleaseSigned{Release: "DR-03 A"})); err != nil {
				t.Fatal(err)
			}
		}
		newer := []shop.Factor{{Seq: 99, Lot: "L1", Axis: "Z", S: shop.MustReading("18.38", "%"), K: times("1.2252"), From: s.Now()}, {Seq: 100, Lot: "L2", Axis: "Z", S: shop.MustReading("18.38", "%"), K: times("1.2252"), From: s.Now()}}
		for lot, want := range map[string][]string{"L1": {"I-0002", "I-0003"}, "L2": {"I-0003"}} {
			greens, err := s.GreenInserts(t.Context(), lot, newer)
			var got []string
			for _, g := range greens {
				got = append(got, g.Insert.Insert)
				if len(g.Shifts) != 1 || g.Shifts[0].Lot != lot || !shop.Beyond(g.Shifts) || g.Given.Release != "DR-02 A" || g.Given.KZ.Text != "1.2180" {
					t.Errorf("of %s, %s was given %+v and differs by %+v", lot, g.Insert.Insert, g.Given, g.Shifts)
				}
			}
			if err != nil || !slices.Equal(got, want) {
				t.Errorf("green of %s: %q, %v; want %q", lot, got, err, want)
			}
		}
		if changes, err := s.LotChanges(t.Context(), "I-0003"); err != nil || len(changes) != 1 || changes[0].FactorsOf("L1") != [3]string{"1.2019", "1.2019", "1.2180"} || changes[0].FactorsOf("L2") != [3]string{"1.2011", "1.2011", "1.2171"} {
			t.Errorf("the change of lot is %+v, %v; want the factors of both lots", changes, err)
		}
	})
}
