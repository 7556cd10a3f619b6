package scenario

import (
	"math"
	"slices"
	"testing"
)

// Of the whole demo one container is over the limit for unexplained mass, and
// every lot's account closes.
func TestOneContainerOfTheDemoIsShort(t *testing.T) {
	t.Parallel()
	d := whole{t, loaded(t)}
	balances, err := d.st.Balances(t.Context(), "")
	var flagged []string
	for _, b := range got(d, balances, err) {
		if b.Flagged() {
			flagged = append(flagged, b.Container.Container)
		}
	}
	if !slices.Equal(flagged, []string{"L2508-B/02"}) {
		t.Errorf("over the limit: %v; want L2508-B/02 alone", flagged)
	}
	lots, err := d.st.Lots(t.Context())
	for _, l := range got(d, lots, err) {
		a, err := d.st.Account(t.Context(), l.Lot, "")
		if a := got(d, a, err); a.Sum() != a.In() || a.In() == 0 {
			t.Errorf("the account of %s adds up to %v g of %v", l.Lot, a.Sum(), a.In())
		}
	}
}

// The insert of two lots stands under both, with the shares of expected.json's
// lot_z.mixed.
func TestMixedInsertOfTheDemoStandsUnderBothLots(t *testing.T) {
	t.Parallel()
	d := whole{t, loaded(t)}
	for lot, want := range map[string]float64{"L2509-A": 0.6, "L2509-B": 0.4} {
		made, err := d.st.MadeOf(t.Context(), lot, 0, 100)
		shares := map[string]float64{}
		for _, m := range got(d, made, err) {
			shares[m.Insert] = m.Share
			if m.Insert != "I-0026" && m.Share != 1 {
				t.Errorf("%s has a share of %v of %s; want all", m.Insert, m.Share, lot)
			}
		}
		if math.Abs(shares["I-0026"]-want) > 0.001 {
			t.Errorf("I-0026 has a share of %v of %s; want %v", shares["I-0026"], lot, want)
		}
	}
}
