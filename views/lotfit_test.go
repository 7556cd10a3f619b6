package views

import (
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// lengthsAlong are two lengths a run, long and short, of a lot that shrinks by
// 0.168; off is how far each run is off, share of the length.
func lengthsAlong(lot string, greens []float64, off ...float64) []shop.LengthPair {
	var all []shop.LengthPair
	for i, run := range off {
		for j, green := range greens {
			s := 0.168 - run + []float64{0.0002, -0.0002, -0.0001, 0.0001}[(i+j)%4]
			all = append(all, shop.LengthPair{Piece: fmt.Sprintf("CP-%s%d%d", lot, i, j), Coupon: true, Number: "CP40.1", Drawn: "X", Axis: "X", Load: fmt.Sprintf("F1-%s%d", lot, i), Position: "M3",
				Nominal: shop.MustReading(fmt.Sprintf("%.3f", green/1.2019), "mm"), KUsed: shop.MustReading("1.2019", "1"), GreenU: 0.002, SinteredU: 0.002,
				Green: shop.MustReading(fmt.Sprintf("%.3f", green), "mm"), Sintered: shop.MustReading(fmt.Sprintf("%.4f", green*(1-s)), "mm"), At: time.Date(2025, 11, 1+i, 9, 0, 0, 0, time.UTC)})
		}
	}
	return all
}

// fitted is the page of a lot with these lengths in a shop with these lots.
func fitted(pairs []shop.LengthPair, k string, others ...[]shop.LengthPair) LotFit {
	var factors []shop.Factor
	at := time.Date(2025, 11, 20, 9, 0, 0, 0, time.UTC)
	if k != "" {
		factors = []shop.Factor{{Seq: 1, Lot: "L1", Axis: "X", K: shop.MustReading(k, "1"), S: shop.MustReading("16.80", "%"), From: at.AddDate(0, -1, 0)}}
	}
	fit := shop.FitLot("L1", pairs, factors, at)
	var of []shop.LotFit
	for i, o := range others {
		of = append(of, shop.FitLot(fmt.Sprint("L", i+2), o, nil, at))
	}
	fit.Towards(of)
	return LotFit{Lot: "L1", Fit: fit, Zone: time.UTC, Propose: true}
}

// TestLotFitWords: what is said of an axis never claims more than its runs and
// lengths support.
func TestLotFitWords(t *testing.T) {
	t.Parallel()
	two, one := []float64{48, 14.4, 47, 15}, []float64{48, 48.02, 47.99, 48.01}
	other := lengthsAlong("B", two, 0.0003, -0.0003, 0.0004, -0.0002, 0.0001)
	for _, tt := range []struct {
		name   string
		page   LotFit
		span   string // in the summary
		says   string // advice and facts
		silent string
	}{
		{"one run in a shop that knows none", fitted(lengthsAlong("A", two, 0), "1.2019"), "none: within this run only", "measure 4 lengths each in 2 runs more", "noise"},
		{"one run, no factor in force", fitted(lengthsAlong("A", two, 0), ""), "none: within this run only", "No factor is in force: the lengths say 1.20", "95 %"},
		{"one run in a shop with others", fitted(lengthsAlong("A", two, 0), "1.2019", other), " to ", "what the shop's other lots say", "only"},
		{"one length", fitted(lengthsAlong("A", one, 0, 0.0002, -0.0001), "1.2019"), " to ", "The constant error is taken as none", "weights 1/green²"},
		{"its own runs", fitted(lengthsAlong("A", two, 0.0001, -0.0001, 0.0002, -0.0002), "1.2019"), " to ", "all of that is within 0.0020 of it. What differs from it is noise", "yet"},
		{"wide", fitted(lengthsAlong("A", two, 0.002, -0.002, 0.0015), "1.2019"), " to ", "Cannot be told yet", "noise"},
		{"far off", fitted(lengthsAlong("A", two, 0.0001, -0.0001, 0.0002, -0.0002), "1.2119"), " to ", "not with a cutter's offset or a gauge's zero", "it is the factor"},
		{"runs that follow each other", fitted(lengthsAlong("A", two, -0.0006, -0.0003, 0, 0.0003, 0.0006), "1.2019"), " to ", "something drifts. Look for it in runs, places and machine", "noise"},
		{"gauges", fitted(lengthsAlong("A", two, 0, 0.0001, 0.0002), "1.2019"), " to ", "gauges alone 0.0", "of that the gauges"},
	} {
		x := tt.page.Axes()[0]
		said := x.AdviceWords() + " " + x.CauseWords()
		for _, f := range x.Facts() {
			said += " " + f.Value
		}
		if _, span := x.percents(); !strings.Contains(span, tt.span) {
			t.Errorf("%s: the interval is %q; want %q", tt.name, span, tt.span)
		}
		if !strings.Contains(said, tt.says) || strings.Contains(said, tt.silent) {
			t.Errorf("%s: it says\n%s\nwant %q and not %q", tt.name, said, tt.says, tt.silent)
		}
	}
}

// TestProposedBasis: one click proposes with the method that was used, axis by
// axis, and says of an interval what it leaves out.
func TestProposedBasis(t *testing.T) {
	t.Parallel()
	for says, page := range map[string]LotFit{
		"The constant error is taken as none. 1 run cannot tell how runs differ, and no other lot of the shop has enough of them: the interval holds within this run only.": fitted(lengthsAlong("A", []float64{48, 48.01, 47.99}, 0), ""),
		"weights 1/green²; the constant part is": fitted(lengthsAlong("A", []float64{48, 14.4}, 0, 0.0001, 0.0002), ""),
	} {
		address, err := url.Parse(page.ProposeHref())
		if err != nil {
			t.Fatal(err)
		}
		if basis := address.Query().Get("basis"); !strings.Contains(basis, says) || !strings.HasPrefix(basis, "X: ") {
			t.Errorf("the basis is %q; want %q", basis, says)
		}
	}
}

// TestLotFitWithoutFactor: while a lot is on test its pictures and lengths stand
// there as well, by the factor that they say themselves.
func TestLotFitWithoutFactor(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	if err := lotFit(fitted(lengthsAlong("A", []float64{48, 14.4}, 0, 0.0001), "")).Render(t.Context(), &b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`class="plot"`, "No factor is in force: errors are by 1.20", "Lengths along X", "X, X"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	slip := lengthsAlong("A", []float64{48}, 0)
	slip[0].Sintered = shop.MustReading("48.5", "mm")
	b.Reset()
	if err := lotFit(fitted(slip, "")).Render(t.Context(), &b); err != nil {
		t.Fatal(err)
	}
	if page := b.String(); !strings.Contains(page, "Lengths along X") || !strings.Contains(page, "against the drawing") || strings.Contains(page, `class="plot"`) {
		t.Error("lengths with a slip are not listed, or drawn as if there were a number")
	}
}
