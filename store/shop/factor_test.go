package shop

import (
	"math"
	"testing"
)

// The pairs of shrinkage and factor are those of the demo shop's lots, worked
// by hand as 1/(1 - s) to four decimals.
func TestFactorFollowsFromShrinkage(t *testing.T) {
	for _, tt := range []struct{ s, k string }{{"16.80", "1.2019"}, {"17.90", "1.2180"}, {"16.92", "1.2037"}, {"18.02", "1.2198"}, {"16.85", "1.2026"}, {"17.95", "1.2188"}, {"16.74", "1.2011"}, {"17.84", "1.2171"}, {"16.8", "1.2016"}} {
		e := an[FactorSet]()
		e.S, e.K = MustReading(tt.s, "%"), times(tt.k)
		if err := Check(e); err != nil {
			t.Errorf("s = %s, k = %s: %v", tt.s, tt.k, err)
		}
	}
}

func TestSharesByHeight(t *testing.T) {
	r := Release{Lot: "L2509-A", Further: []LayerLot{{Lot: "L2509-B", FromLayer: 184}}}
	for layers, want := range map[int]map[string]float64{305: {"L2509-A": 0.6, "L2509-B": 0.4}, 100: {"L2509-A": 1}, 0: {}} {
		got := r.LotShares(layers)
		if len(got) != len(want) {
			t.Errorf("%d layers: %v; want %v", layers, got, want)
		}
		for lot, share := range want {
			if math.Abs(got[lot]-share) > 1e-9 {
				t.Errorf("%d layers: %s has %v; want %v", layers, lot, got[lot], share)
			}
		}
	}
}
