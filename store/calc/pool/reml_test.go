package pool

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

func TestREMLRefuses(t *testing.T) {
	t.Parallel()
	y := []float64{1, 2, 4, 3, 5, 5}
	lot := Grouping{"lot", []string{"A", "A", "B", "B", "C", "C"}}
	for _, tt := range []struct {
		name string
		y    []float64
		of   []Grouping
		want error
	}{
		{"nothing", nil, nil, ErrFewGroups},
		{"a group missing", y, []Grouping{{"lot", lot.Of[1:]}}, ErrLength},
		{"one group", y, []Grouping{{"lot", []string{"A", "A", "A", "A", "A", "A"}}}, ErrFewGroups},
		{"a group for each value", y, []Grouping{{"part", []string{"1", "2", "3", "4", "5", "6"}}}, ErrNotSeparable},
		{"the same twice", y, []Grouping{lot, lot}, ErrNotSeparable},
		{"the same by other names", y, []Grouping{lot, {"run", []string{"3", "3", "1", "1", "2", "2"}}}, ErrNotSeparable},
		{"all equal", []float64{2, 2, 2, 2, 2, 2}, []Grouping{lot}, ErrNoSpread},
		{"no number", []float64{2, 2, math.NaN(), 2, 2, 2}, []Grouping{lot}, ErrNotFinite},
	} {
		if f, err := REML(tt.y, nil, tt.of...); !errors.Is(err, tt.want) {
			t.Errorf("%s: %+v, %v; want %v", tt.name, f, err, tt.want)
		}
	}
}

// TestREMLByDefinition works out -2 log restricted likelihood as it is
// defined, from the whole covariance matrix, for crossed groupings and a
// column; any step away from the answer must make it worse.
func TestREMLByDefinition(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 13))
	lot, run := Grouping{Name: "lot"}, Grouping{Name: "run"}
	var y, x []float64
	for i := range 36 {
		lot.Of, run.Of = append(lot.Of, fmt.Sprint(i%6)), append(run.Of, fmt.Sprint(i/6))
		x = append(x, r.Float64())
		y = append(y, 16+2*x[i]+float64(i%6)*0.2+0.3*float64(i/6%3)+0.2*r.NormFloat64())
	}
	f, err := REML(y, [][]float64{x}, lot, run)
	check(t, err)
	if at, coef := defined(f.Components, y, x, lot, run); !near(at, f.Criterion, 1e-10) || !near(coef[1], f.Coef[1], 1e-9) || !near(coef[0], f.Mean(), 1e-9) {
		t.Errorf("criterion %v with %v, by definition %v with %v", f.Criterion, f.Coef, at, coef)
	}
	for i := range f.Components {
		for _, factor := range []float64{0.99, 1.01} {
			theta := slices.Clone(f.Components)
			theta[i] *= factor
			if at, _ := defined(theta, y, x, lot, run); at <= f.Criterion {
				t.Errorf("component %d times %v: %v is no worse than %v", i, factor, at, f.Criterion)
			}
		}
	}
	if _, err := REML(y, [][]float64{x, x}, lot); !errors.Is(err, ErrColumns) {
		t.Errorf("the same column twice: %v", err)
	}
	if _, err := REML(y, [][]float64{x[1:]}, lot); !errors.Is(err, ErrLength) {
		t.Errorf("a value missing in a column: %v", err)
	}
}

func defined(theta, y, x []float64, of ...Grouping) (criterion float64, coef []float64) {
	n := len(y)
	v, design := mat.NewDense(n, n, nil), mat.NewDense(n, 2, nil)
	for i := range n {
		design.SetRow(i, []float64{1, x[i]})
		for j := range n {
			for k, g := range of {
				if g.Of[i] == g.Of[j] {
					v.Set(i, j, v.At(i, j)+theta[k])
				}
			}
		}
		v.Set(i, i, v.At(i, i)+theta[len(theta)-1])
	}
	var inverse, xv, xvx, c mat.Dense
	var xvy, b, fit, rest, vrest mat.VecDense
	inverse.Inverse(v)
	xv.Mul(design.T(), &inverse)
	xvx.Mul(&xv, design)
	c.Inverse(&xvx)
	values := mat.NewVecDense(n, y)
	xvy.MulVec(&xv, values)
	b.MulVec(&c, &xvy)
	fit.MulVec(design, &b)
	rest.SubVec(values, &fit)
	vrest.MulVec(&inverse, &rest)
	logV, _ := mat.LogDet(v)
	logX, _ := mat.LogDet(&xvx)
	return logV + logX + mat.Dot(&rest, &vrest) + float64(n-2)*math.Log(2*math.Pi), b.RawVector().Data
}

// TestFreedom: the variance of a mean of equal groups has as many degrees of
// freedom as there are groups but one.
func TestFreedom(t *testing.T) {
	t.Parallel()
	y := []float64{1, 2, 5, 6, 9, 12, 3, 1}
	f, err := REML(y, nil, Grouping{"lot", []string{"A", "A", "B", "B", "C", "C", "D", "D"}})
	if err != nil || !near(f.DF[0], 3, 1e-6) {
		t.Errorf("DF = %v, %v; want 3", f.DF, err)
	}
}
