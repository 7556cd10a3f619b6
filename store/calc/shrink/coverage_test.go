package shrink

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"
)

// draws is how many lots are made up to see how often an interval holds the
// truth. -draws 100000 takes a minute and tells a thousandth.
var draws = flag.Int("draws", 2000, "lots that are simulated to see how often intervals hold the truth")

// TestCoverage: intervals of 90 % hold the planted value in 90 of a hundred
// lots, within four standard deviations of that count.
func TestCoverage(t *testing.T) {
	t.Parallel()
	const s, constant, scatter, confidence = 0.168, 0.02, 0.0008, 0.9
	r := rand.New(rand.NewPCG(6, 2))
	held := map[string]int{}
	count := func(what string, truth, lo, hi float64) {
		if lo <= truth && truth <= hi {
			held[what]++
		}
	}
	for range *draws {
		of := lot(r, 5+r.IntN(6), s, constant, scatter)
		l := fitted(t, of)
		lo, hi := must2(t)(l.Interval(confidence))
		count("shrinkage", s, lo, hi)
		lo, hi = must2(t)(l.KInterval(confidence))
		count("factor", 1/(1-s), lo, hi)
		_, lo, hi = must3(t)(l.GreenFor(40, confidence))
		count("green length", (40-constant)/(1-s), lo, hi)
		next := lot(r, 1, s, constant, scatter)[0]
		_, lo, hi = must3(t)(l.Predict(next.Green, next.Weight, confidence))
		count("next piece", next.Sintered, lo, hi)
		lo, hi = greenInterval(t, l, next, scatter, confidence)
		count("next piece by its parts", next.Sintered, lo, hi)
		if l.Outliers(of, confidence) == nil {
			held["no outlier in a clean lot"]++
		}
	}
	coverage(t, held, confidence, *draws)
}

// greenInterval predicts a piece when the scatter is known and the factor is
// not: the degrees of freedom are then Welch and Satterthwaite's.
func greenInterval(t *testing.T, l Line, next Point, scatter, confidence float64) (lo, hi float64) {
	t.Helper()
	f, err := l.Factor()
	if err != nil {
		t.Fatal(err)
	}
	p, err := PredictGreen(next.Green, f, Scatter{Insert: Part{Var: scatter * scatter}})
	if err != nil {
		t.Fatal(err)
	}
	return must2(t)(p.Interval(confidence))
}

func coverage(t *testing.T, held map[string]int, confidence float64, n int) {
	t.Helper()
	for what, h := range held {
		got := float64(h) / float64(n)
		t.Logf("%-26s %.4f", what, got)
		if math.Abs(got-confidence) > 4*math.Sqrt(confidence*(1-confidence)/float64(n))+0.01 {
			t.Errorf("%s: held in %.4f of %d lots, want %v", what, got, n, confidence)
		}
	}
	if len(held) == 0 {
		t.Error("nothing was counted")
	}
}

// TestCoverageOfRuns: where each furnace run adds its own error, the runs are
// the sample, and pieces taken as if each stood alone promise too much.
func TestCoverageOfRuns(t *testing.T) {
	t.Parallel()
	const s, between, within = 0.168, 0.0008, 0.0004
	r := rand.New(rand.NewPCG(6, 3))
	byRun, byPiece := 0, 0
	for range *draws {
		runs, all := make([][]Point, 4), []Point(nil)
		for i := range runs {
			shift := between * r.NormFloat64()
			runs[i] = lot(r, 5, s+shift, 0, within)
			all = append(all, runs[i]...)
		}
		_, lo, hi, _, err := MeanOfRuns(runs)
		if err != nil {
			t.Fatal(err)
		}
		if lo <= s && s <= hi {
			byRun++
		}
		lo, hi = must2(t)(must(t)(FitOrigin(all)).Interval(0.95))
		if lo <= s && s <= hi {
			byPiece++
		}
	}
	coverage(t, map[string]int{"mean of runs": byRun}, 0.95, *draws)
	if float64(byPiece) > 0.85*float64(*draws) {
		t.Errorf("pieces as if alone held in %d of %d: the simulation does not show what it is for", byPiece, *draws)
	}
}
