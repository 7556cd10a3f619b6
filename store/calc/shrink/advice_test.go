package shrink

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// noisy are coupons of s near 0.17 with a scatter of some hundredths of a mm.
var noisy = []Point{
	{20, 16.61, 1}, {20, 16.58, 1}, {35, 29.06, 1}, {35, 29.03, 1},
	{50, 41.53, 1}, {50, 41.47, 1}, {60, 49.78, 1}, {60, 49.83, 1},
}

func fitted(t testing.TB, of []Point) Line {
	t.Helper()
	l, err := Fit(of)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// near compares to a share of the larger one.
func near(got, want, rel float64) bool {
	return got == want || math.Abs(got-want) <= rel*max(math.Abs(got), math.Abs(want))
}

func TestAdvise(t *testing.T) {
	t.Parallel()
	l := fitted(t, noisy)
	lo, hi := must2(t)(l.KInterval(0.95))
	const wide = 1
	for _, tt := range []struct {
		name         string
		k, band      float64
		keep, change bool
	}{
		{"what the results say", l.K(), wide, true, false},
		{"just inside", hi - 1e-9, wide, true, false},
		{"less than a last decimal outside", hi + 0.4*Step, wide, true, false},
		{"outside above", hi + 0.6*Step, wide, false, true},
		{"outside below", lo - 0.6*Step, wide, false, true},
		{"the band just holds the interval", l.K(), max(hi-l.K(), l.K()-lo) + 1e-9, true, false},
		{"covered, but so is what is too far off", l.K(), max(hi-l.K(), l.K()-lo) - 1e-9, false, false},
		{"covered at the end, and the other end is too far off", hi - 1e-9, 0.9 * (hi - lo), false, false},
	} {
		a, err := Advise(tt.k, tt.band, l, 0.95)
		if err != nil || a.Keep != tt.keep || a.Change != tt.change || a.K != l.K() || a.Lo != lo || a.Hi != hi || a.InForce != tt.k {
			t.Errorf("%s: %+v, %v; want keep %v, change %v", tt.name, a, err, tt.keep, tt.change)
		}
		if (a.Z > 0) != (tt.k > l.K()) && tt.k != l.K() {
			t.Errorf("%s: Z = %v for %v against %v", tt.name, a.Z, tt.k, l.K())
		}
	}
	a, err := Advise(hi, wide, l, 0.95)
	if err != nil || !near(a.Z, a.Limit, 1e-9) {
		t.Errorf("at the end of the interval Z = %v, limit %v, %v", a.Z, a.Limit, err)
	}
	// A factor a thousandth too large makes parts 1 µm/mm long.
	if a, err := Advise(1.001*l.K(), wide, l, 0.95); err != nil || !near(a.Relative, 0.001, 1e-9) {
		t.Errorf("Relative = %v, %v; want 0.001", a.Relative, err)
	}
	for _, k := range []float64{0, 0.83, -1.2, math.NaN(), math.Inf(1)} {
		if _, err := Advise(k, wide, l, 0.95); !errors.Is(err, ErrOutside) {
			t.Errorf("Advise(%v): %v", k, err)
		}
	}
	if _, err := Advise(1.2, wide, l, 1); !errors.Is(err, ErrConfidence) {
		t.Errorf("certainty: %v", err)
	}
}

// TestChasing: adjusting by the last error of independent ones doubles their
// variance (the second rule of the funnel experiment; from memory, and the
// variance of a difference). A random walk gains by it: there is only the last
// step left.
func TestChasing(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 1))
	apart, walk, at := make([]float64, 100_000), make([]float64, 100_000), 0.0
	for i := range apart {
		apart[i] = 0.001 * r.NormFloat64()
		at += 0.00001 * r.NormFloat64()
		walk[i] = at
	}
	kept, chased := Chasing(apart)
	if !near(kept, 0.001, 0.01) || !near(chased/kept, math.Sqrt2, 0.01) {
		t.Errorf("independent: kept %v, chased %v; want 0.001 and sqrt(2) times it", kept, chased)
	}
	if kept, chased := Chasing(walk); !near(chased, 0.00001, 0.02) || chased > kept/5 {
		t.Errorf("drift: kept %v, chased %v", kept, chased)
	}
	for name, of := range map[string][]float64{
		"two": {0.001, 0.002}, "none": nil, "no number": {0, math.NaN(), 0, 0}, "all of it": {0, -1, 0, 0},
	} {
		if kept, chased := Chasing(of); !math.IsNaN(kept) || !math.IsNaN(chased) {
			t.Errorf("%s: %v, %v; want nothing said", name, kept, chased)
		}
	}
}

// TestFollow: a row that only grows has 2 orders of its 24 or 120 with steps as
// small; independent errors are called a drift in one of twenty rows at most,
// and a walk nearly always.
func TestFollow(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		of   []float64
		want bool
	}{
		{"two", []float64{0, 1}, false},
		{"four that grow: 2 of 24", []float64{0, 1, 2, 3}, false},
		{"five that grow: 2 of 120", []float64{0, 1, 2, 3, 4}, true},
		{"five that jump", []float64{0, 3, 1, 4, 2}, false},
		{"alike", []float64{1, 1, 1, 1, 1, 1}, false},
		{"ten that grow", []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}, true},
		{"ten that jump", []float64{0, 9, 1, 8, 2, 7, 3, 6, 4, 5}, false},
		{"no number", []float64{0, 1, 2, 3, math.NaN()}, false},
	} {
		if got := Follow(tt.of, 0.95); got != tt.want {
			t.Errorf("%s: %v; want %v", tt.name, got, tt.want)
		}
	}
	r := rand.New(rand.NewPCG(6, 4))
	for _, n := range []int{6, 8, 20} {
		apart, walks := 0, 0
		for range *draws {
			of, walk := make([]float64, n), make([]float64, n)
			for i := range of {
				of[i] = r.NormFloat64()
				walk[i] = of[i] + walk[max(0, i-1)]
			}
			if Follow(of, 0.95) {
				apart++
			}
			if Follow(walk, 0.95) {
				walks++
			}
		}
		t.Logf("%2d errors: %d of %d independent rows and %d walks are called a drift", n, apart, *draws, walks)
		if share := float64(apart) / float64(*draws); share > 0.05+4*math.Sqrt(0.05*0.95/float64(*draws)) || walks < 5*apart {
			t.Errorf("%d errors: %d of %d independent rows are called a drift, and %d walks", n, apart, *draws, walks)
		}
	}
}

// TestMeanOfRuns by hand: three runs of mean 0.160, 0.162 and 0.164, with
// t = 4.302652729749464 for two degrees of freedom (testdata/reference/distributions).
func TestMeanOfRuns(t *testing.T) {
	t.Parallel()
	runs := [][]Point{
		{{100, 84.1, 1}, {100, 83.9, 1}},
		{{100, 83.8, 1}, {50, 20, 0}}, // the second has no weight
		{},
		{{50, 41.8, 1}, {200, 167.2, 7}},
	}
	s, lo, hi, n, err := MeanOfRuns(runs)
	half := 4.302652729749464 * 0.002 / math.Sqrt(3)
	if err != nil || n != 3 || !near(s, 0.162, 1e-12) || !near(lo, 0.162-half, 1e-9) || !near(hi, 0.162+half, 1e-9) {
		t.Errorf("MeanOfRuns = %v [%v, %v] of %d, %v; want 0.162 ± %v of 3", s, lo, hi, n, err, half)
	}
	if s, _, _, n, err := MeanOfRuns(runs[:1]); !errors.Is(err, ErrFewPoints) || n != 1 || !near(s, 0.16, 1e-12) {
		t.Errorf("one run: %v of %d, %v", s, n, err)
	}
	if _, _, _, n, err := MeanOfRuns(nil); !errors.Is(err, ErrFewPoints) || n != 0 {
		t.Errorf("no run: %d, %v", n, err)
	}
	if _, _, _, _, err := MeanOfRuns(append(runs, []Point{{40, 41, 1}})); !errors.Is(err, ErrNotShrunk) {
		t.Errorf("grown: %v", err)
	}
}
