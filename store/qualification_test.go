package store

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// onTest receives another lot with an open container, and nothing else.
func onTest(t testing.TB, s *Store) {
	t.Helper()
	put(t, s, "101", shop.LotReceived{Lot: "L2", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Code: shop.NewScanCode()})
	put(t, s, "204", shop.ContainerReceived{Container: "L2/01", Lot: "L2", Mass: gram("2499.8"), Code: shop.NewScanCode()})
	put(t, s, "204", shop.ContainerOpened{Container: "L2/01"})
}

// TestLotReleaseIsJudged: of a lot of which nothing was done each gate asks for a
// reason while the shop has not decided, and stops by a strict policy; reasons
// stand beside the evidence in the record.
func TestLotReleaseIsJudged(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		onTest(t, s)
		release := signed("601", shop.LotReleased{Lot: "L2", Evidence: "I trust the maker"})
		answers := release.Answers
		release.Answers = nil
		before := size(t, s)
		_, err := s.Record(t.Context(), release)
		no, ok := errors.AsType[*shop.Refusal](err)
		if !ok || !errors.Is(err, shop.ErrAsks) || len(no.Objections) != 4 || size(t, s) != before {
			t.Fatalf("a lot of which nothing was done: %v; want four questions and nothing recorded", err)
		}
		for _, want := range []string{"The maker's certificate of lot L2 was not entered.", "Nobody planned how lot L2 is to be qualified.", "No factor of lot L2 in X, Y and Z is in force.", "The book has no length of lot L2 along X, Y and Z, green and sintered."} {
			if !strings.Contains(no.Why, want) {
				t.Errorf("it says %q; want %q in it", no.Why, want)
			}
		}
		put(t, s, "601", shop.PolicySet{Gate: shop.QualifiedAsPlanned.Name, Op: shop.EveryOperation, From: s.Now(), Mode: shop.Stop})
		release.Answers = answers
		if _, err := s.Record(t.Context(), release); !errors.Is(err, shop.ErrRefused) || !strings.Contains(err.Error(), "Nobody planned") {
			t.Errorf("by a strict policy: %v", err)
		}
		if l, err := s.Lot(t.Context(), "L2"); err != nil || l.Released() {
			t.Errorf("the lot is %+v, %v; want it on test", l, err)
		}
		put(t, s, "601", shop.PolicySet{Gate: shop.QualifiedAsPlanned.Name, Op: shop.EveryOperation, From: s.Now(), Mode: shop.Warn})
		again := signed("601", shop.LotReleased{Lot: "L2", Evidence: "I trust the maker"})
		receipt, err := s.Record(t.Context(), again)
		if err != nil {
			t.Fatal(err)
		}
		e, err := s.Entry(t.Context(), receipt.Seq)
		if ev := e.Event.(shop.LotReleased); err != nil || ev.Evidence != "I trust the maker" || e.Answers[shop.ShrinkageKnown.Name] == "" {
			t.Errorf("the record is %+v, %v", e, err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// TestFirstInserts: of a lot on test just those inserts are printed that a signed
// release names and the plan has room for; what is planned and what was done of
// it comes back from the log.
func TestFirstInserts(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		onTest(t, s)
		factored(t, s, "FA-002", "L2", proposed("X", "16.80", "1.2019"), proposed("Y", "16.80", "1.2019"), proposed("Z", "17.90", "1.2180"))
		for _, insert := range []string{"I-0001", "I-0002"} {
			put(t, s, "700", shop.TravelerOpened{Insert: insert, Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
		}
		draft := shop.ReleaseDrafted{Release: "DR-05 A", Design: "CR40", Revision: "B", Lot: "L2", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up", KX: times("1.2019"), KY: times("1.2019"),
			KZ: times("1.2180"), Evidence: "coupons", Program: "a.pgm", ProgramHash: program, Firsts: []string{"I-0001"}}
		no := func(what string, kind error, by string, e shop.Event, says string) {
			t.Helper()
			if _, err := s.Record(t.Context(), signed(by, e)); !errors.Is(err, kind) || !strings.Contains(err.Error(), says) {
				t.Errorf("%s: %v; want %v that says %q", what, err, kind, says)
			}
		}
		no("first inserts that nobody planned", shop.ErrRefused, "101", draft, "no first inserts of it are planned")
		put(t, s, "101", shop.QualificationPlanned{Lot: "L2", Coupons: 4, Design: "CR40", Revision: "B", Axes: []string{"X"}, Firsts: 1})
		unknown, both := draft, draft
		unknown.Firsts, both.Firsts = []string{"I-0099"}, []string{"I-0001", "I-0002"}
		no("an insert that there is not", shop.ErrInvalid, "101", unknown, "no insert I-0099")
		no("more than planned", shop.ErrRefused, "101", both, "1 first inserts of it are planned")
		put(t, s, "101", draft)
		no("one signature", shop.ErrRefused, "204", firstPrint(t, s, "I-0001"), "no second signature")
		for _, badge := range []string{"101", "601"} {
			if _, err := s.Record(t.Context(), signed(badge, shop.ReleaseSigned{Release: "DR-05 A"})); err != nil {
				t.Fatal(err)
			}
		}
		no("an insert that it does not name", shop.ErrRefused, "101", shop.ReleaseAssigned{Insert: "I-0002", Release: "DR-05 A"}, "for the first inserts of lot L2 only, I-0001, not I-0002")
		all := draft
		all.Release, all.Firsts = "DR-06 A", nil
		put(t, s, "101", all)
		put(t, s, "101", shop.ReleaseAssigned{Insert: "I-0002", Release: "DR-06 A"})
		other := printStart("I-0002", "PL-02")
		other.Release = "DR-06 A"
		no("another insert of the lot", shop.ErrRefused, "204", other, "Lot L2 is not released for printing.")
		start := printStart("I-0001", "PL-01")
		start.Release = "DR-05 A"
		put(t, s, "204", start)
		put(t, s, "204", shop.PasteDrawn{Container: "L2/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("280")})
		q, err := s.Qualifying(t.Context(), "L2")
		if err != nil || q.Plan == nil || q.Plan.Firsts != 1 || len(q.Firsts) != 1 || q.Firsts[0].Insert != "I-0001" || q.Firsts[0].Status != shop.StatusPrinting {
			t.Errorf("the qualification is %+v, %v", q, err)
		}
		if r, err := s.Release(t.Context(), "DR-05 A"); err != nil || !slices.Equal(r.Firsts, []string{"I-0001"}) {
			t.Errorf("the release is %+v, %v", r, err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// firstPrint assigns the release for first inserts and is the start of a print by
// it.
func firstPrint(t testing.TB, s *Store, insert string) shop.PrintStarted {
	t.Helper()
	put(t, s, "101", shop.ReleaseAssigned{Insert: insert, Release: "DR-05 A"})
	start := printStart(insert, "PL-01")
	start.Release = "DR-05 A"
	return start
}

// TestPlanOfSeveralDesigns: the last plan of a lot counts, with its coupons of
// every design in their order.
func TestPlanOfSeveralDesigns(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		onTest(t, s)
		put(t, s, "101", shop.DesignReleased{Design: "CP20", Revision: "A", Name: "short bar", Material: "HT44", DrawingUnit: "mm", X: mm("20"), Y: mm("12"), Z: mm("12"), Layer: mm("0.1"), LayersBetweenPasses: 5, Orientation: "+Z up, X along the machine X",
			Characteristics: []shop.Characteristic{{Number: "CP20.1", Name: "length X", Axis: "X", Kind: shop.Length, Nominal: mm("20"), Lower: mm("19.9"), Upper: mm("20.1"), How: "micrometer"}}})
		put(t, s, "101", shop.QualificationPlanned{Lot: "L2", Coupons: 2, Design: "CR40", Revision: "B", Axes: []string{"X"}})
		plan := shop.QualificationPlanned{Lot: "L2", Coupons: 4, Design: "CR40", Revision: "B", Further: []shop.PlannedCoupons{{Coupons: 3, Design: "CP20", Revision: "A"}}, Axes: []string{"X", "Y"}, Note: "two runs"}
		put(t, s, "101", plan)
		q, err := s.Qualifying(t.Context(), "L2")
		if err != nil || !slices.Equal(q.Plan.Kinds, plan.Kinds()) || q.Plan.Note != "two runs" || len(q.Designs) != 2 || q.Designs[1].Design != "CP20" {
			t.Errorf("the plan is %+v of %+v, %v", q.Plan, q.Designs, err)
		}
		lost := plan
		lost.Further = []shop.PlannedCoupons{{Coupons: 3, Design: "CP99", Revision: "A"}}
		if _, err := s.Record(t.Context(), entryBy("101", lost)); !errors.Is(err, shop.ErrNotFound) && !errors.Is(err, shop.ErrInvalid) {
			t.Errorf("coupons of a design that there is not: %v", err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// A lot that nobody may print is not released: one that is held, or past its
// last day.
func TestReleaseOfALotThatIsNotFit(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "101", shop.LotReceived{Lot: "L2", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: shop.DayOf(s.Now().Add(48*time.Hour), time.UTC), OpenLifeDays: 30, Code: shop.NewScanCode()})
		release := func() error {
			e := signed("601", shop.LotReleased{Lot: "L2", Evidence: "receipt coupons"})
			e.Answers = map[string]string{}
			for _, g := range (shop.LotReleased{}).Gates() {
				e.Answers[g.Name] = "as the lot before it"
			}
			_, err := s.Record(t.Context(), e)
			return err
		}
		put(t, s, "601", shop.HoldSet{Hold: "H-201", OnKind: "lot", OnCode: "L2", Why: "certificate in doubt"})
		if err := release(); err == nil || !strings.Contains(err.Error(), "is held by 601 (H-201): certificate in doubt. It is released once that hold is lifted.") {
			t.Errorf("a held lot: %v", err)
		}
		if _, err := s.Record(t.Context(), signed("601", shop.HoldLifted{Hold: "H-201", OnKind: "lot", OnCode: "L2", Why: "the maker confirmed it"})); err != nil {
			t.Fatal(err)
		}
		clockOf(s).advance(96 * time.Hour)
		if err := release(); err == nil || !strings.Contains(err.Error(), "Lot L2 expired: its last day of use was") {
			t.Errorf("one past its last day: %v", err)
		}
		clockOf(s).advance(-96 * time.Hour)
		if err := release(); err != nil {
			t.Errorf("one that is fit: %v", err)
		}
	})
}
