package shrink

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestRunShares against what runs do: a run that shrinks less moves the line's
// coefficients, and the squares of those moves are the shares.
func TestRunShares(t *testing.T) {
	t.Parallel()
	of := runsOf(rand.New(rand.NewPCG(6, 31)), 3, 4, 0, 0.0003)
	for i := range of {
		for j := range of[i] {
			of[i][j].Weight = 1 / (of[i][j].Green * of[i][j].Green)
		}
	}
	for through, fit := range map[bool]func([]Point) (Line, error){false: Fit, true: FitOrigin} {
		before := must(t)(fit(slices.Concat(of...)))
		var want RunShare
		for i := range of {
			moved := slices.Clone(of)
			moved[i] = slices.Clone(of[i])
			for j := range moved[i] {
				moved[i][j].Sintered += 0.001 * moved[i][j].Green
			}
			after := must(t)(fit(slices.Concat(moved...)))
			f, a := (after.F-before.F)/0.001, (after.A-before.A)/0.001
			want.F, want.A, want.FA = want.F+f*f, want.A+a*a, want.FA+f*a
		}
		got := RunShares(of, through)
		if !near(got.F, want.F, 1e-6) || math.Abs(got.A-want.A) > 1e-6*(1+want.A) || math.Abs(got.FA-want.FA) > 1e-6*(1+math.Abs(want.FA)) {
			t.Errorf("through the origin %v: %+v; want %+v", through, got, want)
		}
	}
	if one := RunShares([][]Point{bars}, false); !near(one.F, 1, 1e-9) || math.Abs(one.A) > 1e-9 {
		t.Errorf("one run: %+v; want all of it in F", one)
	}
	if two := RunShares([][]Point{bars, bars}, true); !near(two.F, 0.5, 1e-9) {
		t.Errorf("two runs of the same pieces: %+v; want half", two)
	}
}

// TestAmong by hand: a variance of 4 with 3 degrees of freedom and one of 1
// with 10 are 5 with 25/(16/3 + 1/10) = 4.6, hence 4.
func TestAmong(t *testing.T) {
	t.Parallel()
	l := Line{N: 4, DF: 3, F: 0.83, VarF: 1, VarA: 3, CovFA: -1, SD: 2}
	got := l.Among(RunShare{F: 0.5, A: 0.1, FA: 0.2}, Part{16, 3}, Part{2, 10})
	if want := (Line{N: 4, DF: 4, F: 0.83, VarF: 5, VarA: 12.2, CovFA: -3.6, SD: math.Sqrt(18)}); got != want {
		t.Errorf("Among = %+v; want %+v", got, want)
	}
	if got := (Line{F: 0.83}).Among(RunShare{F: 1}, Part{}, Part{1, 1}); got != (Line{F: 0.83}) {
		t.Errorf("of no scatter: %+v; want it left", got)
	}
}

// TestLineOfRuns: it is MeanOfRuns in another form.
func TestLineOfRuns(t *testing.T) {
	t.Parallel()
	of := runsOf(rand.New(rand.NewPCG(6, 32)), 4, 3, 0.0005, 0.0003)
	s, lo, hi, _, err := MeanOfRuns(of)
	l, err2 := LineOfRuns(of)
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	gotLo, gotHi := must2(t)(l.Interval(0.95))
	if !near(l.S(), s, 1e-12) || !near(gotLo, lo, 1e-9) || !near(gotHi, hi, 1e-9) || l.N != 12 || l.DF != 3 || !(l.SD > 0.0003 && l.SD < 0.002) {
		t.Errorf("LineOfRuns = %+v, [%v, %v]; want %v [%v, %v]", l, gotLo, gotHi, s, lo, hi)
	}
	if _, err := LineOfRuns(of[:1]); err == nil {
		t.Error("one run has an interval")
	}
}

// TestHalf with t = 4.302652729749464 for two degrees of freedom
// (testdata/reference/distributions).
func TestHalf(t *testing.T) {
	t.Parallel()
	if got, err := Half(0.95, Part{9, 2}); err != nil || !near(got, 3*4.302652729749464, 1e-9) {
		t.Errorf("Half = %v, %v", got, err)
	}
	if _, err := Half(1, Part{9, 2}); err == nil {
		t.Error("certainty has an interval")
	}
}
