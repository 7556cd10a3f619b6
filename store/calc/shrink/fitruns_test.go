package shrink

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// runsOf makes runs of a lot, each with an error of its own.
func runsOf(r *rand.Rand, runs, pieces int, between, within float64) [][]Point {
	of := make([][]Point, runs)
	for i := range of {
		of[i] = lot(r, pieces, 0.168+between*r.NormFloat64(), 0.02, within)
	}
	return of
}

// TestFitRunsWithoutRuns: where runs do not differ, it is Fit with weights
// 1/Green².
func TestFitRunsWithoutRuns(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 21))
	zero := 0
	for range 20 {
		of := runsOf(r, 4, 3, 0, 0.0005)
		l, by, err := FitRuns(of, 0)
		if err != nil {
			t.Fatal(err)
		}
		plain := fitted(t, slices.Concat(of...))
		if by.Run.Var > 0 {
			continue
		}
		zero++
		if !alike(l, plain, 1e-8) || !near(by.Insert.Var, plain.SD*plain.SD, 1e-6) || !near(by.Insert.DF, float64(plain.DF), 1e-6) {
			t.Errorf("FitRuns = %+v with %+v; Fit = %+v", l, by, plain)
		}
	}
	if zero == 0 {
		t.Error("runs differed in each of twenty lots without a difference")
	}
}

// TestFitRunsPlanted: many runs give the scatter back that was planted, and
// the gauge's share is taken out.
func TestFitRunsPlanted(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 22))
	of := runsOf(r, 33, 3, 0.0008, 0.0004)
	l, by, err := FitRuns(of, 0)
	if err != nil || math.Abs(l.S()-0.168) > 0.0005 || math.Abs(l.A-0.02) > 0.01 || l.N != 99 {
		t.Fatalf("FitRuns = %+v, %v", l, err)
	}
	if sd := math.Sqrt(by.Run.Var); math.Abs(sd-0.0008) > 0.0002 || by.Run.DF < 18 || by.Run.DF > 33 {
		t.Errorf("between runs %v with %v degrees of freedom; planted 0.0008 in 33", sd, by.Run.DF)
	}
	if sd := math.Sqrt(by.Insert.Var); math.Abs(sd-0.0004) > 0.00005 {
		t.Errorf("between inserts %v, planted 0.0004", sd)
	}
	sum, n := 0.0, 0.0
	for _, p := range slices.Concat(of...) {
		sum, n = sum+1/(p.Green*p.Green), n+1
	}
	const gauge = 0.003 * 0.003
	_, less, err := FitRuns(of, gauge)
	if err != nil || !near(less.Insert.Var, by.Insert.Var-gauge*sum/n, 1e-9) || less.Run != by.Run {
		t.Errorf("with a gauge of 3 µm: %+v, %v; without %+v", less, err, by)
	}
	if _, none, err := FitRuns(of, 1); err != nil || none.Insert.Var != 0 {
		t.Errorf("with a gauge that explains everything: %+v, %v; want 0", none, err)
	}
}

// TestFitRunsSingles: runs of one piece each are told from nothing.
func TestFitRunsSingles(t *testing.T) {
	t.Parallel()
	of := runsOf(rand.New(rand.NewPCG(6, 23)), 8, 1, 0.0005, 0.0005)
	l, by, err := FitRuns(of, 0)
	plain := fitted(t, slices.Concat(of...))
	if err != nil || l != plain || by.Run != (Part{}) || !near(by.Insert.Var, plain.SD*plain.SD, 1e-12) {
		t.Errorf("FitRuns = %+v with %+v, %v; want %+v", l, by, err, plain)
	}
}

func TestFitRunsRefuses(t *testing.T) {
	t.Parallel()
	good := runsOf(rand.New(rand.NewPCG(6, 24)), 3, 3, 0, 0.0005)
	many := runsOf(rand.New(rand.NewPCG(6, 25)), 2, 1+MostPieces/2, 0, 0.0005)
	length := [][]Point{{{40, 33, 1}, {40, 33.1, 1}}, {{40, 33.2, 1}, {40, 33.1, 1}}}
	for _, tt := range []struct {
		name  string
		of    [][]Point
		gauge float64
		want  error
	}{
		{"nothing", nil, 0, ErrFewPoints},
		{"two pieces", [][]Point{{{40, 33, 1}}, {{50, 41, 1}}}, 0, ErrFewPoints},
		{"one run", [][]Point{bars}, 0, ErrFewRuns},
		{"one run with weight", [][]Point{bars, {{40, 33, 0}}}, 0, ErrFewRuns},
		{"one length", length, 0, ErrSameLength},
		{"too many", many, 0, ErrTooMany},
		{"grown", append(slices.Clone(good), []Point{{40, 41, 1}}), 0, ErrNotShrunk},
		{"no number", append(slices.Clone(good), []Point{{40, math.NaN(), 1}}), 0, ErrNotFinite},
		{"negative gauge", good, -1, ErrNotPositive},
		{"gauge no number", good, math.NaN(), ErrNotPositive},
	} {
		if l, by, err := FitRuns(tt.of, tt.gauge); !errors.Is(err, tt.want) {
			t.Errorf("%s: %+v, %+v, %v; want %v", tt.name, l, by, err, tt.want)
		}
	}
}

// TestFitRunsCoverage: where runs differ by twice what their pieces do, the
// interval of FitRuns holds the shrinkage as often as it says, and so do its
// predictions of a piece of a new run. Fit's does not.
func TestFitRunsCoverage(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 26))
	held, n := map[string]int{}, *draws/5
	alone := 0
	for range n {
		of := runsOf(r, 6, 3, 0.001, 0.0005)
		l, by, err := FitRuns(of, 0)
		if err != nil {
			t.Fatal(err)
		}
		count := func(what string, truth, lo, hi float64) {
			if lo <= truth && truth <= hi {
				held[what]++
			}
		}
		lo, hi := must2(t)(l.Interval(0.95))
		count("shrinkage", 0.168, lo, hi)
		next := runsOf(r, 1, 1, 0.001, 0.0005)[0][0]
		_, lo, hi = must3(t)(l.Predict(next.Green, next.Weight, 0.95))
		count("piece of a new run", next.Sintered, lo, hi)
		f, err := l.Factor()
		p, err2 := PredictGreen(next.Green, f, by)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		lo, hi = must2(t)(p.Interval(0.95))
		count("the same by its parts", next.Sintered, lo, hi)
		if lo, hi = must2(t)(fitted(t, slices.Concat(of...)).Interval(0.95)); lo <= 0.168 && 0.168 <= hi {
			alone++
		}
	}
	coverage(t, held, 0.95, n)
	t.Logf("%-26s %.4f", "by Fit", float64(alone)/float64(n))
	if float64(alone) > 0.93*float64(n) {
		t.Errorf("Fit held in %d of %d: the simulation does not show what FitRuns is for", alone, n)
	}
}
