package pool

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"testing/quick"
)

// groups makes values up, of groups of different sizes.
func groups(r *rand.Rand, n, most int, between, within float64) [][]float64 {
	of := make([][]float64, n)
	for i := range of {
		shift := math.Sqrt(between) * r.NormFloat64()
		for range 1 + r.IntN(most) {
			of[i] = append(of[i], 16+shift+math.Sqrt(within)*r.NormFloat64())
		}
	}
	return of
}

// TestOneWayAgainstREML: group sums and a search for the ratio here, dense
// matrices and Fisher's scoring there.
func TestOneWayAgainstREML(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 6))
	for range 15 {
		of := append(groups(r, 3+r.IntN(6), 5, 0.3*r.Float64(), 0.1), []float64{16.1, 15.9})
		c, err := OneWay(of)
		check(t, err)
		var y []float64
		g := Grouping{Name: "group"}
		for i, values := range of {
			for _, v := range values {
				y, g.Of = append(y, v), append(g.Of, fmt.Sprint(i))
			}
		}
		f, err := REML(y, nil, g)
		check(t, err)
		for name, pair := range map[string][2]float64{
			"within": {c.Within, f.Components[1]}, "mean": {c.Mean, f.Mean()}, "its variance": {c.VarMean, f.VarMean()},
			"criterion": {c.Criterion, f.Criterion},
		} {
			if !near(pair[0], pair[1], 1e-6) {
				t.Errorf("%s: %v by sums, %v dense", name, pair[0], pair[1])
			}
		}
		if math.Abs(c.Between-f.Components[0]) > 1e-6*c.Within {
			t.Errorf("between: %v by sums, %v dense", c.Between, f.Components[0])
		}
		if c.Between > 0 && (!near(c.SEBetween, f.SE[0], 1e-5) || !near(c.SEWithin, f.SE[1], 1e-5)) {
			t.Errorf("standard errors: %v %v by sums, %v dense", c.SEBetween, c.SEWithin, f.SE)
		}
	}
}

// TestOneWayProperties: units and zero are arbitrary, order and empty groups
// are nothing; in balanced groups REML is the moment estimate, or zero.
func TestOneWayProperties(t *testing.T) {
	t.Parallel()
	property := func(seed uint64) bool {
		r := rand.New(rand.NewPCG(seed, 6))
		of := append(groups(r, 3+r.IntN(9), 6, r.Float64(), 0.2), []float64{16, 16.5})
		c, err := OneWay(of)
		var other [][]float64
		for _, g := range of {
			var scaled []float64
			for _, v := range g {
				scaled = append(scaled, 100+25.4*v)
			}
			other = append([][]float64{scaled, nil}, other...)
		}
		d, err2 := OneWay(other)
		const area = 25.4 * 25.4
		return errors.Join(err, err2) == nil && d.Groups == c.Groups && d.N == c.N &&
			near(d.Within, area*c.Within, 1e-7) && math.Abs(d.Between-area*c.Between) < 1e-6*d.Within &&
			near(d.Mean, 100+25.4*c.Mean, 1e-9) && near(d.MomentBetween, area*c.MomentBetween, 1e-7)
	}
	if err := quick.Check(property, nil); err != nil {
		t.Error(err)
	}
	balanced := func(seed uint64) bool {
		r := rand.New(rand.NewPCG(seed, 7))
		of := groups(r, 8, 1, 0.2, 0.2)
		for i := range of {
			for range 3 {
				of[i] = append(of[i], of[i][0]+r.NormFloat64())
			}
		}
		c, err := OneWay(of)
		return err == nil && math.Abs(c.Between-max(0, c.MomentBetween)) < 1e-7
	}
	if err := quick.Check(balanced, nil); err != nil {
		t.Error(err)
	}
}

// TestOnlyBetween: values that repeat exactly leave the groups' means as the
// sample.
func TestOnlyBetween(t *testing.T) {
	t.Parallel()
	c, err := OneWay([][]float64{{1, 1, 1}, {2, 2}, {6, 6}})
	if err != nil || c.Within != 0 || !near(c.Between, 7, 1e-12) || !near(c.Mean, 3, 1e-12) || !near(c.VarMean, 7.0/3, 1e-12) || !near(c.SEBetween, 7, 1e-12) {
		t.Errorf("%+v, %v; want between 7 ± 7 about 3", c, err)
	}
}

func TestOneWayRefuses(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		of   [][]float64
		want error
	}{
		{"nothing", nil, ErrFewGroups},
		{"one group", [][]float64{{1, 2, 3}, {}}, ErrFewGroups},
		{"one value each", [][]float64{{1}, {2}, {3}}, ErrNoRepeats},
		{"all equal", [][]float64{{2, 2}, {2, 2}}, ErrNoSpread},
		{"no number", [][]float64{{1, math.NaN()}, {2, 3}}, ErrNotFinite},
		{"infinite", [][]float64{{1, math.Inf(1)}, {2, 3}}, ErrNotFinite},
	} {
		if c, err := OneWay(tt.of); !errors.Is(err, tt.want) {
			t.Errorf("%s: %+v, %v; want %v", tt.name, c, err, tt.want)
		}
	}
	c, err := OneWay([][]float64{{1, 2}, {2, 4, 3}})
	check(t, err)
	if _, _, err := c.RatioInterval(0.95); !errors.Is(err, ErrUnbalanced) {
		t.Errorf("RatioInterval of groups of different sizes: %v", err)
	}
	if _, _, err := c.BetweenInterval(0.95); !errors.Is(err, ErrUnbalanced) {
		t.Errorf("BetweenInterval of groups of different sizes: %v", err)
	}
	if _, _, err := c.WithinInterval(1.5); !errors.Is(err, ErrConfidence) {
		t.Errorf("WithinInterval(1.5): %v", err)
	}
}
