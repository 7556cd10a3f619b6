package shrink

import (
	"errors"
	"math"
	"testing"

	"sinterbook/store/calc/reference"
)

// TestDistributions: the quantiles of which all intervals are made, and the
// tail of Good, against R and mpmath (testdata/reference/distributions).
func TestDistributions(t *testing.T) {
	ref := reference.Open(t, "distributions")
	inf := math.Inf(1)
	var got []float64
	for _, df := range []float64{1, 2, 3, 5, 10, 15, 30, 100} {
		q, err := student(0.95, df)
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, q)
	}
	ref.Equal("dist.t_q975", got...)
	got = nil
	for _, p := range []float64{0.9, 0.95, 0.975, 0.99, 0.995, 0.99865} {
		q, err := student(2*p-1, inf)
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, q)
	}
	ref.Equal("dist.norm_q", got...)
	ref.Near("dist.norm_tail", 1e-8, Good(0, 1, inf, 3, inf), Good(0, 1, inf, 4.5, inf), Good(0, 1, inf, 6, inf))
	ref.Rest(nil)
}

// TestGood: twelve sizes with their limits, computed twice by others
// (testdata/reference/decision).
func TestGood(t *testing.T) {
	ref := reference.Open(t, "decision")
	var got []float64
	for _, row := range ref.Rows("measurements.csv") {
		n := func(column string) float64 { return reference.Number(t, row[column]) }
		got = append(got, Good(n("y"), n("u"), math.Inf(1), n("lsl"), n("usl")))
	}
	ref.Equal("decision.conformance_prob", got...)
	ref.Rest(nil)

	inf := math.Inf(1)
	for _, tt := range []struct {
		name                       string
		mean, sd, df, lower, upper float64
		want                       float64
	}{
		// The quantiles are those of TestDistributions.
		{"95 % of Student with five", 40, 0.01, 5, 40 - 0.025705818356363155, 40 + 0.025705818356363155, 0.95},
		{"one side", 40, 0.01, 5, -inf, 40 + 0.025705818356363155, 0.975},
		{"other side", 40, 0.01, 5, 40 - 0.025705818356363155, inf, 0.975},
		{"no limit", 40, 0.01, 5, -inf, inf, 1},
		{"known for certain, in", 40, 0, inf, 40, 41, 1},
		{"known for certain, out", 39.9, 0, inf, 40, 41, 0},
		{"limits exchanged", 40, 0.01, inf, 41, 39, 0},
		{"negative sd", 40, -0.01, inf, 39, 41, 0},
		{"no degrees of freedom", 40, 0.01, 0, 39, 41, 0},
		{"mean no number", math.NaN(), 0.01, inf, 39, 41, 0},
		{"sd no number", 40, math.NaN(), inf, 39, 41, 0},
		{"df no number", 40, 0.01, math.NaN(), 39, 41, 0},
		{"limit no number", 40, 0.01, inf, math.NaN(), 41, 0},
	} {
		if got := Good(tt.mean, tt.sd, tt.df, tt.lower, tt.upper); !near(got, tt.want, 1e-9) {
			t.Errorf("%s: Good = %v, want %v", tt.name, got, tt.want)
		}
	}
}

// TestPredictGreen adds up by hand: 50 mm green at s = 0.2 is 40 mm.
func TestPredictGreen(t *testing.T) {
	t.Parallel()
	f := Factor{S: 0.2, VarS: 4e-8, DF: 6}
	p, err := PredictGreen(50, f, Scatter{
		Insert: Part{Var: 1e-7, DF: 10}, Run: Part{Var: 9e-8, DF: 4},
		Green: Part{Var: 1e-4}, Sintered: Part{Var: 25e-6},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := Prediction{Size: 40, Factor: 1e-4, Insert: 2.5e-4, Run: 2.25e-4, Green: 0.64e-4, Sintered: 0.25e-4, Var: 6.64e-4}
	// Welch and Satterthwaite: var² / sum of part²/df.
	want.DF = 6.64 * 6.64 / (1.0/6 + 2.5*2.5/10 + 2.25*2.25/4)
	for name, pair := range map[string][2]float64{
		"size": {p.Size, want.Size}, "factor": {p.Factor, want.Factor}, "insert": {p.Insert, want.Insert},
		"run": {p.Run, want.Run}, "green": {p.Green, want.Green}, "sintered": {p.Sintered, want.Sintered},
		"all": {p.Var, want.Var}, "df": {p.DF, want.DF},
	} {
		if !near(pair[0], pair[1], 1e-12) {
			t.Errorf("%s = %v, want %v", name, pair[0], pair[1])
		}
	}
	lo, hi, err := p.Interval(0.95)
	if err != nil || !near(p.Good(lo, hi), 0.95, 1e-9) {
		t.Errorf("Good(%v, %v) = %v, %v; want 0.95", lo, hi, p.Good(lo, hi), err)
	}
	known, err := PredictGreen(50, Factor{S: 0.2, VarS: 4e-8}, Scatter{})
	if err != nil || !math.IsInf(known.DF, 1) || !near(known.Var, 1e-4, 1e-12) {
		t.Errorf("known factor: %+v, %v", known, err)
	}
}

// TestPredictGreenOfLine is Predict by another road.
func TestPredictGreenOfLine(t *testing.T) {
	t.Parallel()
	l := fitted(t, noisy)
	f, err := l.Factor()
	if err != nil {
		t.Fatal(err)
	}
	own := l.SD * l.SD / 0.5
	p, err := PredictGreen(45, f, Scatter{Sintered: Part{Var: own, DF: float64(l.DF)}})
	size, _, _ := must3(t)(l.Predict(45, 0.5, 0.95))
	if err != nil || !near(p.Size, size, 1e-12) || !near(p.Var, l.PredictVar(45, 0.5), 1e-9) {
		t.Errorf("PredictGreen = %+v, %v; want %v with variance %v", p, err, size, l.PredictVar(45, 0.5))
	}
}

func TestPredictGreenRefuses(t *testing.T) {
	t.Parallel()
	good := Factor{S: 0.17, VarS: 1e-8, DF: 5}
	for _, tt := range []struct {
		name  string
		green float64
		f     Factor
		by    Scatter
		want  error
	}{
		{"no green size", 0, good, Scatter{}, ErrNotPositive},
		{"green no number", math.NaN(), good, Scatter{}, ErrNotFinite},
		{"percent for a share", 48, Factor{S: 17}, Scatter{}, ErrOutside},
		{"grows", 48, Factor{S: -0.1}, Scatter{}, ErrOutside},
		{"negative variance", 48, good, Scatter{Run: Part{Var: -1}}, ErrNotPositive},
		{"variance no number", 48, good, Scatter{Insert: Part{Var: math.NaN()}}, ErrNotFinite},
		{"negative df", 48, good, Scatter{Insert: Part{Var: 1, DF: -1}}, ErrNotPositive},
		{"factor no number", 48, Factor{S: math.NaN()}, Scatter{}, ErrNotFinite},
	} {
		if p, err := PredictGreen(tt.green, tt.f, tt.by); !errors.Is(err, tt.want) {
			t.Errorf("%s: %+v, %v; want %v", tt.name, p, err, tt.want)
		}
	}
}

// TestMixed: three quarters of the height of one lot, a quarter of another.
func TestMixed(t *testing.T) {
	t.Parallel()
	a, b := Factor{S: 0.16, VarS: 4e-8, DF: 6}, Factor{S: 0.18, VarS: 16e-8, DF: 3}
	m, err := Mixed([]float64{0.75, 0.25}, []Factor{a, b})
	if err != nil || !near(m.S, 0.165, 1e-12) || !near(m.VarS, 3.25e-8, 1e-12) {
		t.Errorf("Mixed = %+v, %v; want 0.165 with variance 3.25e-8", m, err)
	}
	if df := 3.25 * 3.25 / (2.25*2.25/6 + 1.0/3); !near(m.DF, df, 1e-12) {
		t.Errorf("DF = %v, want %v", m.DF, df)
	}
	if one, err := Mixed([]float64{1}, []Factor{a}); err != nil || !near(one.S, a.S, 1e-15) || !near(one.DF, a.DF, 1e-12) {
		t.Errorf("one lot: %+v, %v", one, err)
	}
	for name, shares := range map[string][]float64{
		"too much": {0.75, 0.5}, "too little": {0.5, 0.25}, "one missing": {1}, "no number": {math.NaN(), 1},
	} {
		if m, err := Mixed(shares, []Factor{a, b}); !errors.Is(err, ErrShares) {
			t.Errorf("%s: %+v, %v; want ErrShares", name, m, err)
		}
	}
	if _, err := Mixed([]float64{1.5, -0.5}, []Factor{a, b}); !errors.Is(err, ErrNotPositive) {
		t.Errorf("negative share: %v", err)
	}
}

// A small share of a source that is hardly known lessens little what is known
// of the rest (Welch and Satterthwaite, by hand: 1/(0.02²/7) = 17,500).
func TestShared(t *testing.T) {
	for _, tt := range []struct {
		shares []float64
		parts  []Part
		v, df  float64
	}{
		{[]float64{0.98, 0.02}, []Part{{Var: 1}, {Var: 1, DF: 7}}, 1, 17_500},
		{[]float64{0.5, 0.5}, []Part{{Var: 4, DF: 3}, {Var: 4, DF: 3}}, 4, 6},
		{[]float64{0.25, 0.75}, []Part{{Var: 4}, {Var: 8}}, 7, 0},
		{[]float64{1}, []Part{{Var: 2, DF: 5}}, 2, 5},
	} {
		if got := Shared(tt.shares, tt.parts); math.Abs(got.Var-tt.v) > 1e-12 || math.Abs(got.DF-tt.df) > 1e-6*tt.df {
			t.Errorf("%v of %v scatter by %+v; want %v with %v degrees of freedom", tt.shares, tt.parts, got, tt.v, tt.df)
		}
	}
}
