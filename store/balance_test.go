package store

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// balanced is the balance of a container.
func balanced(t testing.TB, s *Store, container string) Balance {
	t.Helper()
	lot, _, _ := strings.Cut(container, "/")
	all, err := s.Balances(t.Context(), lot)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range all {
		if b.Container.Container == container {
			return b
		}
	}
	t.Fatalf("lot %s has no container %s", lot, container)
	return Balance{}
}

// asked records an entry, wants to be asked with such a sentence, and answers.
func asked(t testing.TB, s *Store, e shop.Entry, gate string, says ...string) {
	t.Helper()
	before := size(t, s)
	_, err := s.Record(t.Context(), e)
	no, ok := errors.AsType[*shop.Refusal](err)
	if !ok || !errors.Is(err, shop.ErrAsks) || len(no.Objections) != 1 || no.Objections[0].Gate != gate {
		t.Fatalf("%s: %v; want to be asked by %q", e.Event.Kind(), err, gate)
	}
	for _, words := range says {
		if !strings.Contains(no.Why, words) {
			t.Errorf("it asks %q; want %q in it", no.Why, words)
		}
	}
	if size(t, s) != before {
		t.Error("the question was recorded as if it were an answer")
	}
	e.Answers = map[string]string{gate: "weighed twice"}
	if _, err := s.Record(t.Context(), e); err != nil {
		t.Errorf("with a reason: %v", err)
	}
}

// A draw that was typed wrong is put right as of when it was drawn: the weighing
// after it stands, and so does that the container was open and there.
func TestCorrectedDrawStaysInItsTime(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		draw := shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("280.5"), Purged: gram("3.1")}
		wrong := put(t, s, "204", draw)
		clockOf(s).advance(time.Hour)
		left := gram(fmt.Sprintf("%.1f", balanced(t, s, "L1/01").Left-8))
		put(t, s, "204", shop.ContainerWeighed{Container: "L1/01", Left: left})
		clockOf(s).advance(40 * 24 * time.Hour) // its open life is over
		put(t, s, "601", shop.ContainerScrapped{Container: "L1/01", Mass: left, Why: "open for too long"})
		clockOf(s).advance(time.Hour)
		for mass, why := range map[string]string{"80": "was scrapped", "0": ""} { // it may be weighed empty
			_, err := s.Record(t.Context(), entryBy("204", shop.ContainerWeighed{Container: "L1/01", Left: gram(mass)}))
			if why == "" && err != nil || why != "" && (err == nil || !strings.Contains(err.Error(), why)) {
				t.Errorf("weighed at %s g once it was scrapped: %v", mass, err)
			}
		}
		draw.Drawn = gram("288.5")
		right := entryBy("204", draw)
		right.Corrects, right.Reason = wrong.Seq, "digits swapped"
		if _, err := s.Record(t.Context(), right); err != nil {
			t.Fatal(err)
		}
		if b := balanced(t, s, "L1/01"); math.Abs(b.Unexplained) > 1e-6 || b.Over() {
			t.Errorf("%v g are unexplained; want none", b.Unexplained)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// Everything that can become of a container's paste is in its balance, and in
// is the sum of it.
func TestBalanceClosesWhateverBecomesOfIt(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		for _, c := range []string{"L1/02", "L1/03", "L1/04"} {
			put(t, s, "204", shop.ContainerReceived{Container: c, Lot: "L1", Mass: gram("1000"), Code: shop.NewScanCode()})
		}
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		wrong := put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("208.5"), Purged: gram("3.1")})
		right := entryBy("204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("280.5"), Purged: gram("3.1")})
		right.Corrects, right.Reason = wrong.Seq, "digits swapped"
		if _, err := s.Record(t.Context(), right); err != nil {
			t.Fatal(err)
		}
		put(t, s, "204", shop.PasteWasted{Container: "L1/01", Mass: gram("8.4"), Why: "wiped off the paddle"})
		put(t, s, "204", shop.ContainerOpened{Container: "L1/02"})
		put(t, s, "204", shop.CouponMade{Coupon: "CP-1", For: shop.ReceiptCoupon, Design: "CR40", Revision: "B", Container: "L1/02", Machine: "P1", Release: "DR-02 A", Layers: 146, Drawn: gram("56"), Purged: gram("2.5"), Code: shop.NewScanCode()})
		weighed(t, s, "L1/02", "930", "11.5 g less")
		put(t, s, "204", shop.ContainerScrapped{Container: "L1/02", Mass: gram("900"), Why: "open life over"})
		put(t, s, "101", shop.ContainerReturned{Container: "L1/03", Mass: gram("995"), Note: "RN-7", Why: "recalled"})
		for _, tt := range []struct {
			container, state                                             string
			drawn, purged, wasted, scrapped, returned, left, unexplained float64
		}{
			{"L1/01", "open", 280.5, 3.1, 8.4, 0, 0, 2207.8, 0},
			{"L1/02", "scrapped", 56, 2.5, 900, 900, 0, 0, 41.5}, // 11.5 g by its weighing, 30 g that were not there any more
			{"L1/03", "sent back", 0, 0, 0, 0, 995, 0, 5},
			{"L1/04", "sealed", 0, 0, 0, 0, 0, 1000, 0},
		} {
			b := balanced(t, s, tt.container)
			if b.Drawn != tt.drawn || b.Purged != tt.purged || b.Wasted != tt.wasted || b.ScrappedOf != tt.scrapped || b.Returned != tt.returned || b.Left != tt.left || b.Unexplained != tt.unexplained || b.State() != tt.state {
				t.Errorf("%s: %+v; want %+v", tt.container, b, tt)
			}
			if sum := tidy(b.Drawn + b.Purged + b.Wasted + b.Returned + b.Left + b.Unexplained); sum != b.In {
				t.Errorf("%s: the parts add up to %v of %v g", tt.container, sum, b.In)
			}
		}
		for name, e := range map[string]shop.Event{"opened": shop.ContainerOpened{Container: "L1/03"},
			"thrown away": shop.PasteWasted{Container: "L1/03", Mass: gram("1"), Why: "dry"}} {
			if _, err := s.Record(t.Context(), entryBy("204", e)); !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "L1/03 was sent back to its maker.") {
				t.Errorf("%s after it was sent back: %v", name, err)
			}
		}
		coupon := shop.CouponMade{Coupon: "CP-0901", For: shop.ReceiptCoupon, Design: "CR40", Revision: "B", Container: "L1/03", Machine: "P1", Release: "DR-01 A", Layers: 146, Drawn: gram("1"), Code: shop.NewScanCode()}
		if _, err := s.Record(t.Context(), entryBy("204", coupon)); !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "L1/03 was sent back to its maker.") {
			t.Errorf("a coupon after it was sent back: %v", err)
		}
		if _, err := s.Record(t.Context(), entryBy("101", shop.ContainerReturned{Container: "L1/04", Mass: gram("1000.1"), Why: "recalled"})); !errors.Is(err, shop.ErrInvalid) || !strings.Contains(err.Error(), "holds 1000 g by its records, not 1000.1 g") {
			t.Errorf("more is sent back than is there: %v", err)
		}
		accounts(t, s)
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// accounts asks for the account of the lot above.
func accounts(t *testing.T, s *Store) {
	t.Helper()
	a, err := s.Account(t.Context(), "L1", "")
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]AccountLine{
		"In stock, sealed": {Grams: 1000, Count: 1}, "In stock, open": {Grams: 2207.8, Count: 1}, "Drawn for inserts": {Grams: 280.5, Count: 1}, "Drawn for coupons": {Grams: 56, Count: 1},
		"Purged through the nozzle": {Grams: 5.6}, "Thrown away in use": {Grams: 8.4}, "Scrapped with the container": {Grams: 900, Count: 1}, "Sent back to the maker": {Grams: 995, Count: 1}, "Unexplained": {Grams: 46.5, Count: 2},
	}
	for _, l := range a.Lines() {
		if w := want[l.What]; l.Grams != w.Grams || l.Count != w.Count {
			t.Errorf("%s: %v g of %d; want %v of %d", l.What, l.Grams, l.Count, w.Grams, w.Count)
		}
		delete(want, l.What)
	}
	if len(want) > 0 {
		t.Errorf("the account has no lines for %v", want)
	}
	if a.In() != 5499.8 || a.Sum() != a.In() {
		t.Errorf("the lines add up to %v g of %v; want 5499.8 of both", a.Sum(), a.In())
	}
	if now := a.Now["I-0001"]; now.Status != shop.StatusPrinting || a.Entries != size(t, s) {
		t.Errorf("I-0001 is %q as of entry %d; want printing as of the last", now.Status, a.Entries)
	}
	one, err := s.Account(t.Context(), "L1", "L1/02")
	if err != nil || one.In() != 1000 || one.Sum() != 1000 || len(one.Draws) != 0 || len(one.Coupons) != 1 || len(one.Events) != 1 || len(one.Events[0].Events) != 2 {
		t.Errorf("the account of one container: %+v, %v", one, err)
	}
	if _, err := s.Account(t.Context(), "L1", "L9/01"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("the account of a container that there is not: %v", err)
	}
}

// Eight people open one container at one moment: one does, the others hear when
// it was opened.
func TestEightOpenOneContainer(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "204", shop.ContainerReceived{Container: "L1/02", Lot: "L1", Mass: gram("100"), Code: shop.NewScanCode()})
		before := size(t, s)
		answers := make([]error, 8)
		var wg sync.WaitGroup
		for i := range answers {
			wg.Go(func() {
				_, answers[i] = s.Record(t.Context(), entryBy([]string{"204", "207"}[i%2], shop.ContainerOpened{Container: "L1/02"}))
			})
		}
		wg.Wait()
		opened := 0
		for _, err := range answers {
			switch {
			case err == nil:
				opened++
			case !errors.Is(err, shop.ErrConflict) || !strings.Contains(err.Error(), "Container L1/02 is open already: its open life runs from the first opening, 2025-"):
				t.Errorf("the container was opened: %v; want to hear since when", err)
			}
		}
		if opened != 1 || size(t, s)-before != 1 {
			t.Errorf("%d opened it with %d entries; want one", opened, size(t, s)-before)
		}
	})
}

// weighed records a weighing, with a reason where it is asked for one because of
// what it should say.
func weighed(t testing.TB, s *Store, container, g, asks string) {
	t.Helper()
	e := entryBy("204", shop.ContainerWeighed{Container: container, Left: gram(g)})
	if asks != "" {
		asked(t, s, e, shop.WeighingAsExpected.Name, asks)
		e.Answers = map[string]string{shop.WeighingAsExpected.Name: "weighed twice"}
	}
	if _, err := s.Record(t.Context(), e); err != nil {
		t.Fatalf("%s: %v", g, err)
	}
}

// A container is judged by the limit of the day on which the mass was found
// missing; what was found about it answers that mass and no other.
func TestUnexplainedMassIsFlaggedByTheLimitOfItsDay(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		weigh := func(g, asks string) {
			t.Helper()
			weighed(t, s, "L1/01", g, asks)
			clockOf(s).advance(time.Hour)
		}
		flags := func(when string, unexplained float64, over, flagged bool, limit string) {
			t.Helper()
			if b := balanced(t, s, "L1/01"); b.Unexplained != unexplained || b.Over() != over || b.Flagged() != flagged || b.Limit.Value.Text != limit {
				t.Errorf("%s: %v g, over %v, flagged %v by %s; want %v, %v, %v by %s", when, b.Unexplained, b.Over(), b.Flagged(), b.Limit.Value, unexplained, over, flagged, limit)
			}
		}
		if _, err := s.Record(t.Context(), entryBy("601", shop.DifferenceExplained{Container: "L1/01", Why: "spilled"})); !errors.Is(err, shop.ErrConflict) {
			t.Errorf("nothing is unexplained, and it was explained: %v", err)
		}
		weigh("2489.8", "")
		flags("at the limit", 10, false, false, "10")
		weigh("2489.7", "0.1 g less; with what was unexplained before it is 10.1 g less")
		flags("a tenth more", 10.1, true, true, "10")
		put(t, s, "601", shop.LimitSet{Limit: shop.UnexplainedMass, Value: gram("50"), From: s.Now(), Basis: "a year of our own weighings"})
		flags("after the limit was raised", 10.1, true, true, "10")
		weigh("2461.8", "")
		flags("under the limit of the day", 38, false, false, "50")
		put(t, s, "601", shop.LimitSet{Limit: shop.UnexplainedMass, Value: gram("20"), From: s.Now(), Basis: "two people looked"})
		weigh("2461.8", "")
		flags("under the next one", 38, true, true, "20")
		put(t, s, "601", shop.DifferenceExplained{Container: "L1/01", Why: "spilled at the scale"})
		flags("once it was looked into", 38, true, false, "20")
		weigh("2460", "")
		flags("another mass", 39.8, true, true, "20")
		if _, err := s.Record(t.Context(), entryBy("601", shop.LimitSet{Limit: shop.UnexplainedMass, Value: gram("50"), From: s.Now().Add(-time.Hour), Basis: "late"})); !errors.Is(err, shop.ErrInvalid) {
			t.Errorf("a limit from before it was set: %v", err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// A weighing that says more than there can be is questioned, and one that was
// kept on paper is judged by what was there then.
func TestStrangeWeighingsAreQuestioned(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		clockOf(s).advance(time.Hour)
		before := s.Now()
		clockOf(s).advance(time.Hour)
		put(t, s, "204", shop.PasteWasted{Container: "L1/01", Mass: gram("1000"), Why: "dried"})
		asked(t, s, entryBy("204", shop.ContainerWeighed{Container: "L1/01", Left: gram("2600")}), shop.WeighingAsExpected.Name, "came with 2499.8 g", "2600 g is more", "right container")
		clockOf(s).advance(time.Hour)
		asked(t, s, entryBy("204", shop.ContainerWeighed{Container: "L1/01", Left: gram("2.6")}), shop.WeighingAsExpected.Name, "2.6 kg are 2600 g")
		asked(t, s, entryBy("204", shop.ContainerReceived{Container: "L1/02", Lot: "L1", Mass: gram("2.5"), Code: shop.NewScanCode()}), shop.WeighingAsExpected.Name, "2499.8 g in the mean", "2.5 kg are 2500 g")
		put(t, s, "601", shop.PolicySet{Gate: shop.WeighingAsExpected.Name, Op: shop.OpPrint, From: s.Now(), Mode: shop.Stop})
		stopped(t, s, entryBy("204", shop.ContainerWeighed{Container: "L1/01", Left: gram("3500")}), shop.WeighingAsExpected.Name, "3500 g is more")
		later := entryBy("204", shop.ContainerWeighed{Container: "L1/01", Left: gram("2499")})
		later.At = before
		if _, err := s.Record(t.Context(), later); err != nil {
			t.Errorf("what was left before anything was thrown away: %v", err)
		}
	})
}

// A draw that is far from what its layers should take is questioned with both
// numbers; a design without volume is asked nothing.
func TestStrangeDrawsAreQuestioned(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		put(t, s, "204", shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 1, ToLayer: 304, Drawn: gram("280.5")})
		put(t, s, "204", shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 304})
		put(t, s, "204", shop.PrintFinished{Insert: "I-0001", LayersDone: 304, Printed: gram("254.3")})
		takes, err := takingsOf(t, s, "L1")
		if err != nil || len(takes) != 1 || takes[0].ByVolume || takes[0].Grams != 280.5 || takes[0].Inserts != 1 {
			t.Errorf("without volume a CR40 takes %+v, %v; want the mean of what was drawn", takes, err)
		}
		withVolume(t, s)
		put(t, s, "700", shop.TravelerOpened{Insert: "I-0002", Design: "CR40", Revision: "C", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
		put(t, s, "101", shop.ReleaseAssigned{Insert: "I-0002", Release: "DR-03 A"})
		start := printStart("I-0002", "PL-02")
		start.Release = "DR-03 A"
		put(t, s, "204", start)
		// 29 cm³ at 1.2019 · 1.2019 · 1.2180 of 4.4 g/cm³ are 224.5 g, worked out by hand.
		strange := shop.PasteDrawn{Container: "L2/01", Insert: "I-0002", FromLayer: 1, ToLayer: 152, Drawn: gram("78.0")}
		asked(t, s, entryBy("204", strange), shop.DrawAsExpected.Name, "Layers 1 to 152 of I-0002 should take about 112.", "78.0 g was drawn", "The limit is 30 % (common practice, no source).")
		put(t, s, "601", shop.LimitSet{Limit: shop.DrawOff, Value: shop.MustReading("20", "%"), From: s.Now(), Basis: "our own draws"})
		strange.FromLayer, strange.ToLayer, strange.Drawn = 153, 228, gram("43.5")
		asked(t, s, entryBy("204", strange), shop.DrawAsExpected.Name, "about 56.", "20 % (our own draws)")
		strange.FromLayer, strange.ToLayer, strange.Drawn = 229, 304, gram("56.9")
		put(t, s, "204", strange)
		takes, err = takingsOf(t, s, "L2")
		if err != nil || len(takes) != 1 || !takes[0].ByVolume || takes[0].Grams < 224 || takes[0].Grams > 225 {
			t.Errorf("with volume a CR40 takes %+v, %v; want about 224.5 g", takes, err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

// Where no volume is known, a draw is questioned by what earlier inserts of the
// design took, by its share of the layers; a slip among those does not count.
func TestStrangeDrawsAreQuestionedByEarlierOnes(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		put(t, s, "204", shop.ContainerReceived{Container: "L1/02", Lot: "L1", Mass: gram("9000"), Code: shop.NewScanCode()})
		put(t, s, "204", shop.ContainerOpened{Container: "L1/02"})
		whole := func(insert, first, second, asks string) {
			t.Helper()
			opened(t, s, insert)
			put(t, s, "204", printStart(insert, "PL-0"+insert[5:]))
			clockOf(s).advance(poolFor)
			put(t, s, "204", shop.PasteDrawn{Container: "L1/02", Insert: insert, FromLayer: 1, ToLayer: 152, Drawn: gram(first), Purged: gram("3")})
			e := entryBy("204", shop.PasteDrawn{Container: "L1/02", Insert: insert, FromLayer: 153, ToLayer: 304, Drawn: gram(second)})
			if asks != "" {
				asked(t, s, e, shop.DrawAsExpected.Name, asks)
				e.Answers = map[string]string{shop.DrawAsExpected.Name: "looked again"}
			}
			if _, err := s.Record(t.Context(), e); err != nil {
				t.Fatal(err)
			}
			put(t, s, "204", shop.LayersMade{Insert: insert, FromLayer: 1, ToLayer: 304})
			end := entryBy("204", shop.PrintFinished{Insert: insert, LayersDone: 304, Printed: gram("270")})
			end.Answers = map[string]string{shop.PrintedAsDrawn.Name: "a slip among them"}
			if _, err := s.Record(t.Context(), end); err != nil {
				t.Fatal(err)
			}
			clockOf(s).advance(time.Hour)
		}
		whole("I-0001", "150", "150", "")
		whole("I-0002", "149", "1490", "") // two are too few to say anything
		whole("I-0003", "148", "152", "")
		whole("I-0004", "151", "152", "")
		whole("I-0005", "150", "2199.3", "Layers 153 to 304 of I-0005 should take about 150.5 g: the last 3 CR40 took 301.0 g in the mean (300.0 to 303.0 g) for all layers; 2199.3 g was drawn. The limit is 30 %")
		whole("I-0006", "150", "190", "")
		takes, err := takingsOf(t, s, "L1")
		if err != nil || len(takes) != 1 || takes[0].Inserts != 4 || math.Abs(takes[0].Grams-(300+300+303+340)/4.0-3) > 1e-9 {
			t.Errorf("a CR40 takes %+v, %v; want 313.75 g of four", takes, err)
		}
		opened(t, s, "I-0007")
		i, err := s.Insert(t.Context(), "I-0007")
		if err != nil {
			t.Fatal(err)
		}
		l, err := s.Lot(t.Context(), "L1")
		if x, err2 := s.Expected(t.Context(), i, l); err != nil || err2 != nil || x.Inserts != 4 || x.Low != 300 || x.High != 340 || x.Layers != 304 {
			t.Errorf("I-0007 should take %+v, %v, %v; want the mean of four, before its print began too", x, err, err2)
		}
		asked(t, s, entryBy("204", shop.PasteDrawn{Container: "L1/02", Insert: "I-0007", FromLayer: 1, ToLayer: 76, Drawn: gram("0.0777")}), shop.DrawAsExpected.Name, "should take about 77.7 g", "0.0777 kg are 77.7 g")
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

func takingsOf(t testing.TB, s *Store, lot string) ([]Taking, error) {
	t.Helper()
	l, err := s.Lot(t.Context(), lot)
	if err != nil {
		t.Fatal(err)
	}
	releases, err := s.ReleasesOfLot(t.Context(), lot)
	if err != nil {
		t.Fatal(err)
	}
	return s.Takings(t.Context(), releases, shop.WetDensity(l, nil), s.Now())
}

// withVolume brings a revision with a volume, and a lot whose density is known
// with a release that prints it.
func withVolume(t testing.TB, s *Store) {
	t.Helper()
	d, err := s.Design(t.Context(), "CR40", "B")
	if err != nil {
		t.Fatal(err)
	}
	put(t, s, "101", shop.DesignReleased{Design: "CR40", Revision: "C", Name: "core", Material: "HT44", DrawingUnit: "mm", X: d.X, Y: d.Y, Z: d.Z, Volume: shop.MustReading("29.0", "cm3"),
		Layer: d.Layer, LayersBetweenPasses: 5, Orientation: "+Z up", Characteristics: d.Characteristics})
	put(t, s, "101", shop.LotReceived{Lot: "L2", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, WetDensity: shop.MustReading("4.4", "g/cm3"), Code: shop.NewScanCode()})
	put(t, s, "601", shop.LotReleased{Lot: "L2", Evidence: "receipt coupons"})
	put(t, s, "204", shop.ContainerReceived{Container: "L2/01", Lot: "L2", Mass: gram("1000"), Code: shop.NewScanCode()})
	put(t, s, "204", shop.ContainerOpened{Container: "L2/01"})
	factored(t, s, "FA-002", "L2", proposed("X", "16.80", "1.2019"), proposed("Y", "16.80", "1.2019"), proposed("Z", "17.90", "1.2180"))
	put(t, s, "101", shop.ReleaseDrafted{Release: "DR-03 A", Design: "CR40", Revision: "C", Lot: "L2", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
		KX: times("1.2019"), KY: times("1.2019"), KZ: times("1.2180"), Evidence: "receipt coupons", Program: "CR40-03.pgm", ProgramHash: program})
	for _, badge := range []string{"101", "601"} {
		if _, err := s.Record(t.Context(), signed(badge, shop.ReleaseSigned{Release: "DR-03 A"})); err != nil {
			t.Fatal(err)
		}
	}
}

// An insert of two lots stands under both with its share of the height.
func TestMixedInsertStandsUnderBothLots(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		withVolume(t, s)
		put(t, s, "101", shop.ReleaseDrafted{Release: "DR-04 A", Design: "CR40", Revision: "B", Lot: "L1", Further: []shop.LayerLot{{Lot: "L2", FromLayer: 184}}, Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
			KX: times("1.2019"), KY: times("1.2019"), KZ: times("1.2180"), Evidence: "both lots shrink alike", Program: "CR40-02.pgm", ProgramHash: program})
		for _, badge := range []string{"101", "601"} {
			if _, err := s.Record(t.Context(), signed(badge, shop.ReleaseSigned{Release: "DR-04 A"})); err != nil {
				t.Fatal(err)
			}
		}
		put(t, s, "700", shop.TravelerOpened{Insert: "I-0002", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
		put(t, s, "601", shop.PolicySet{Gate: shop.DesignCurrent.Name, Op: shop.EveryOperation, From: s.Now(), Mode: shop.Silent})
		put(t, s, "101", shop.ReleaseAssigned{Insert: "I-0002", Release: "DR-04 A"})
		start := printStart("I-0002", "PL-02")
		start.Release, start.Layers = "DR-04 A", 305
		put(t, s, "204", start)
		for _, d := range []shop.PasteDrawn{{Container: "L1/01", FromLayer: 1, ToLayer: 183, Drawn: gram("170")}, {Container: "L2/01", FromLayer: 184, ToLayer: 305, Drawn: gram("110")}} {
			d.Insert = "I-0002"
			put(t, s, "204", d)
		}
		for lot, want := range map[string]float64{"L1": 183. / 305, "L2": 122. / 305} {
			made, err := s.MadeOf(t.Context(), lot, 0, 10)
			if err != nil || len(made) != 1 || made[0].Insert != "I-0002" || math.Abs(made[0].Share-want) > 1e-12 {
				t.Errorf("of %s: %+v, %v; want I-0002 with a share of %v", lot, made, err, want)
			}
		}
	})
}
