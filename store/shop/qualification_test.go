package shop

import (
	"fmt"
	"maps"
	"strings"
	"testing"
	"time"
)

// qualificationRows are the questions to the gates at a desk about a lot, by
// gate.
var qualificationRows = map[string][]gateRow{
	MeasuredAsBook.Name: {
		{"another act", asIs, nil},
		{"as the lengths say", proposes("16.787", Measured, 4, "16.741", "16.833", fourX), nil},
		{"to fewer decimals", proposes("16.79", Measured, 4, "16.74", "16.83", fourX), nil},
		{"another count", proposes("16.79", Measured, 5, "16.74", "16.83", fourX),
			[]string{"X is proposed as 16.79 %, measured, n 5, from 16.74 % to 16.83 %.", "The book's lengths of lot L2509-A say 16.79 %, n 4, from 16.74 % to 16.83 %."}},
		{"another interval", proposes("16.79", Measured, 4, "16.78", "16.80", fourX), []string{"from 16.78 % to 16.80 %", "from 16.74 % to 16.83 %"}},
		{"a value outside", proposes("18.38", Measured, 4, "16.74", "18.40", fourX), []string{"proposed as 18.38 %", "say 16.79 %"}},
		{"nothing measured", proposes("16.79", Measured, 5, "16.74", "16.83", nil), []string{"X is proposed as 16.79 %, measured, n 5", "has no length of lot L2509-A along X"}},
		{"one length", proposes("16.79", Measured, 1, "16.74", "16.83", lengths("X", 48.00, 39.94)), []string{"say 16.79 %, n 1, and give no interval"}},
		{"no number", proposes("16.79", Measured, 1, "16.74", "16.83", lengths("X", 39.94, 48.00)), []string{"give no number: n 1"}},
		{"not said to be measured", proposes("18.38", OtherAxis, 0, "", "", nil), nil},
		{"pooled of one lot", proposes("16.79", Pooled, 4, "16.70", "16.90", fourX), []string{"pooled, n 4", "say 16.79 %, n 4"}},
	},
}

// fourX are lengths of four coupons in X. Their line, sintered on green with
// weights 1/green², has s = 16.787 % from 16.741 % to 16.833 % (worked apart from
// the program by the normal equations; t of 0.975 with 2 degrees is 4.3027).
var fourX = lengths("X", 48.00, 39.94, 48.05, 39.98, 33.60, 27.96, 24.02, 19.985)

func init() { maps.Copy(gateRows, qualificationRows) }

// lengths are green and sintered sizes along an axis, in turn, each of its own
// coupon of one run.
func lengths(axis string, sizes ...float64) []LengthPair {
	size := func(v float64) Reading { return mm(fmt.Sprintf("%.3f", v)) }
	var all []LengthPair
	for i := 0; i+1 < len(sizes); i += 2 {
		all = append(all, LengthPair{Piece: fmt.Sprintf("CP-%04d", len(all)+1), Coupon: true, Axis: axis, Green: size(sizes[i]), Sintered: size(sizes[i+1]), Nominal: size(sizes[i+1]), GreenU: 0.004, SinteredU: 0.002, Load: "F1-01", At: noon.Add(-time.Hour)})
	}
	return all
}

// proposes is a factor in X, beside what the lot's lengths say.
func proposes(s, method string, n int, low, high string, pairs []LengthPair) func(*Facts) {
	return func(f *Facts) {
		l := ProposedFactor{Axis: "X", S: MustReading(s, "%"), K: times("1.2019"), N: n, Method: method}
		if low != "" {
			l.Low, l.High = MustReading(low, "%"), MustReading(high, "%")
		}
		f.Event = FactorProposed{Proposal: "FA-002", Lot: "L2509-A", Lines: []ProposedFactor{l}, Basis: "coupons"}
		f.Fits = []LotFit{FitLot("L2509-A", pairs, nil, noon)}
	}
}

// TestShortOfWhatIsProposed: a lot does not have what nobody approved yet.
func TestShortOfWhatIsProposed(t *testing.T) {
	f := Factor{Lot: "L2509-A", Axis: "Z", K: times("1.2031"), Proposal: "FA-002"}
	if said := (Shift{Axis: "Z", Has: times("1.2180"), Now: f}).Short(); !strings.HasPrefix(said, "Z 1.2180, proposed is 1.2031") {
		t.Errorf("of what is proposed it says %q", said)
	}
	f.By = "601"
	if said := (Shift{Axis: "Z", Has: times("1.2180"), Now: f}).Short(); !strings.HasPrefix(said, "Z 1.2180, the lot has 1.2031") {
		t.Errorf("of what is in force it says %q", said)
	}
}
