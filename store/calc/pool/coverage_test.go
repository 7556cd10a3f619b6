package pool

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"
)

// draws is how many shops are made up to see how often an interval holds the
// truth; -draws 20000 takes some minutes.
var draws = flag.Int("draws", 150, "shops that are simulated to see how often intervals hold the truth")

// TestTowardsCoverage: with few or many other lots, alike or not, the 95 %
// interval of a pooled shrinkage holds the truth in at least 92 of a hundred
// shops, and pooling does not make estimates worse than leaving them alone.
func TestTowardsCoverage(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 8))
	for _, lots := range []int{2, 3, 5, 12} {
		for _, tau2 := range []float64{0.3, 4, 20} {
			for _, within := range []float64{1, 4} {
				held, gain := simulated(t, r, lots, tau2, within)
				t.Logf("%2d others, between %4.1f, own %v: held %.3f, squared error %.2f of the own one's", lots, tau2, within, held, gain)
				if held < 0.92-4*math.Sqrt(0.92*0.08/float64(*draws)) {
					t.Errorf("%d others, between %v, own %v: held in %.3f", lots, tau2, within, held)
				}
				if gain > 1.05+4*math.Sqrt(2/float64(*draws)) {
					t.Errorf("%d others, between %v, own %v: squared error %.2f times that of the lot's own", lots, tau2, within, gain)
				}
			}
		}
	}
}

// simulated is how often the interval held, and the squared error against that
// of the lot's own estimate.
func simulated(t *testing.T, r *rand.Rand, lots int, tau2, within float64) (held, gain float64) {
	t.Helper()
	for range *draws {
		others, _ := shop(r, lots, tau2)
		truth := math.Sqrt(tau2) * r.NormFloat64()
		p, err := Towards(Estimate{S: truth + math.Sqrt(within)*r.NormFloat64(), Var: within}, others)
		check(t, err)
		lo, hi, err := p.Interval(0.95)
		check(t, err)
		if lo <= truth && truth <= hi {
			held++
		}
		gain += (p.S - truth) * (p.S - truth) / within
	}
	return held / float64(*draws), gain / float64(*draws)
}

// TestUntriedCoverage: of a lot that was not measured, the other lots alone
// say where it lies; the least is 85 of a hundred, with few lots that differ
// by about as much as each is known.
func TestUntriedCoverage(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 9))
	for _, lots := range []int{3, 8, 20} {
		for _, tau2 := range []float64{1, 10} {
			held := 0
			for range 4 * *draws {
				others, _ := shop(r, lots, tau2)
				p, err := Untried(others)
				check(t, err)
				lo, hi, err := p.Interval(0.95)
				check(t, err)
				if truth := math.Sqrt(tau2) * r.NormFloat64(); lo <= truth && truth <= hi {
					held++
				}
			}
			share := float64(held) / float64(4**draws)
			t.Logf("%2d others, between %v: held %.3f", lots, tau2, share)
			if share < 0.85 {
				t.Errorf("%d others, between %v: held in %.3f", lots, tau2, share)
			}
		}
	}
}

// TestBetweenIntervalCoverage: the interval by the modified large sample,
// whose formula is from memory.
func TestBetweenIntervalCoverage(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 10))
	for _, between := range []float64{0.2, 1, 5} {
		held, n := 0.0, float64(10**draws)
		for range 10 * *draws {
			of := groups(r, 6, 1, between, 0)
			for i := range of {
				mean := of[i][0]
				of[i] = of[i][:0]
				for range 5 {
					of[i] = append(of[i], mean+r.NormFloat64())
				}
			}
			c, err := OneWay(of)
			check(t, err)
			lo, hi, err := c.BetweenInterval(0.95)
			check(t, err)
			if lo <= between && between <= hi {
				held++
			}
		}
		t.Logf("between %v: held %.4f", between, held/n)
		if math.Abs(held/n-0.95) > 0.01+4*math.Sqrt(0.95*0.05/n) {
			t.Errorf("between %v: held in %.4f", between, held/n)
		}
	}
}
