package shrink

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"testing/quick"
)

// some runs a property on made-up lots, each from its own number.
func some(t *testing.T, holds func(r *rand.Rand, of []Point) bool) {
	t.Helper()
	property := func(seed uint64) bool {
		r := rand.New(rand.NewPCG(seed, 6))
		return holds(r, lot(r, 4+r.IntN(20), 0.1+0.1*r.Float64(), 0.1*r.Float64()-0.05, 0.0005))
	}
	if err := quick.Check(property, nil); err != nil {
		t.Error(err)
	}
}

// lot makes pieces of a shrinkage and a constant whose scatter grows with
// length, weighted accordingly.
func lot(r *rand.Rand, n int, s, constant, scatter float64) []Point {
	of := make([]Point, n)
	for i := range of {
		g := 10 + 70*r.Float64()
		of[i] = Point{g, constant + (1-s)*g + scatter*g*r.NormFloat64(), 1 / (g * g)}
	}
	return of
}

// alike reports whether two lines are the same but for rounding.
func alike(a, b Line, rel float64) bool {
	return a.N == b.N && a.DF == b.DF && near(a.F, b.F, rel) && near(a.A, b.A, 1e3*rel) && near(a.SD, b.SD, 1e3*rel) &&
		near(a.VarF, b.VarF, 1e3*rel) && near(a.VarA, b.VarA, 1e3*rel) && near(a.CovFA, b.CovFA, 1e3*rel)
}

// TestFactorOfShrinkage: k(1-s) = 1, and each follows from the other.
func TestFactorOfShrinkage(t *testing.T) {
	t.Parallel()
	property := func(n uint32) bool {
		s := float64(n) / (1 << 32)
		k, err := Oversize(s)
		back, err2 := Shrinkage(k)
		return err == nil && err2 == nil && near(k*(1-s), 1, 1e-15) && math.Abs(back-s) < 1e-15
	}
	if err := quick.Check(property, nil); err != nil {
		t.Error(err)
	}
}

// TestKOfLine: the line's k and s belong together, ends of intervals too.
func TestKOfLine(t *testing.T) {
	t.Parallel()
	some(t, func(_ *rand.Rand, of []Point) bool {
		l := fitted(t, of)
		sLo, sHi := must2(t)(l.Interval(0.95))
		kLo, kHi := must2(t)(l.KInterval(0.95))
		return near(l.K()*(1-l.S()), 1, 1e-14) && near(kLo*(1-sLo), 1, 1e-14) && near(kHi*(1-sHi), 1, 1e-14) && kLo < l.K() && l.K() < kHi
	})
}

// TestUnits: in inches the shrinkage is the same, the constant is one in
// inches; and a factor common to all weights says nothing.
func TestUnits(t *testing.T) {
	t.Parallel()
	some(t, func(_ *rand.Rand, of []Point) bool {
		inches := slices.Clone(of)
		for i, p := range of {
			inches[i] = Point{p.Green / 25.4, p.Sintered / 25.4, 25.4 * 25.4 * p.Weight}
		}
		l, in := fitted(t, of), fitted(t, inches)
		in.A, in.VarA, in.CovFA = 25.4*in.A, 25.4*25.4*in.VarA, 25.4*in.CovFA
		if !alike(l, in, 1e-11) || !slices.Equal(l.Outliers(of, 0.9), fitted(t, inches).Outliers(inches, 0.9)) {
			return false
		}
		heavier := slices.Clone(of)
		for i := range heavier {
			heavier[i].Weight *= 1000
		}
		h := fitted(t, heavier)
		h.SD /= math.Sqrt(1000)
		return alike(l, h, 1e-11)
	})
}

// TestUninformative: a point of no weight changes nothing at all, one of
// negligible weight does not move the line, and the order is nothing either.
func TestUninformative(t *testing.T) {
	t.Parallel()
	some(t, func(r *rand.Rand, of []Point) bool {
		l, through := fitted(t, of), must(t)(FitOrigin(of))
		none := slices.Insert(slices.Clone(of), r.IntN(len(of)), Point{200, 100, 0})
		if fitted(t, none) != l || must(t)(FitOrigin(none)) != through {
			return false
		}
		little := fitted(t, append(slices.Clone(of), Point{200, 100, 1e-18}))
		if !near(little.F, l.F, 1e-9) || math.Abs(little.A-l.A) > 1e-7 {
			return false
		}
		r.Shuffle(len(of), func(i, j int) { of[i], of[j] = of[j], of[i] })
		return alike(fitted(t, of), l, 1e-12)
	})
}

// TestTwice: the same piece twice is the same as once with twice the weight,
// for the line; not for what is known of the scatter.
func TestTwice(t *testing.T) {
	t.Parallel()
	some(t, func(_ *rand.Rand, of []Point) bool {
		double := slices.Clone(of)
		double[0].Weight *= 2
		l, twice := fitted(t, double), fitted(t, append(slices.Clone(of), of[0]))
		return near(l.F, twice.F, 1e-12) && math.Abs(l.A-twice.A) < 1e-10 && twice.DF == l.DF+1
	})
}

// TestFieller: at both ends of the green interval the line is just so far
// from the wanted length as its own interval there reaches.
func TestFieller(t *testing.T) {
	t.Parallel()
	some(t, func(_ *rand.Rand, of []Point) bool {
		l := fitted(t, of)
		limit, err := l.t(0.95)
		green, lo, hi := must3(t)(l.GreenFor(40, 0.95))
		for _, end := range []float64{lo, hi} {
			if !near(math.Abs(40-l.at(end)), limit*math.Sqrt(l.varAt(end)), 1e-6) {
				return false
			}
		}
		return err == nil && lo < green && green < hi && near(l.at(green), 40, 1e-12)
	})
}

func must(t *testing.T) func(l Line, err error) Line {
	return func(l Line, err error) Line {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
}

// FuzzFit: whatever comes in, what comes out is numbers, or an error.
func FuzzFit(f *testing.F) {
	f.Add(10.0, 8.0, 1.0, 20.0, 16.1, 1.0, 30.0, 24.0, 1.0)
	f.Add(40.0, 33.0, 1.0, 40.0, 33.1, 0.5, 40.0, 33.2, 0.0)
	f.Add(1e300, 1e299, 1e-300, 2e300, 2e299, 1.0, 3.0, 2.0, 1e300)
	f.Add(1e-320, 1e-321, 1.0, 2e-320, 1e-320, 1.0, 3e-320, 2e-320, 1.0)
	f.Fuzz(func(t *testing.T, g1, s1, w1, g2, s2, w2, g3, s3, w3 float64) {
		of := []Point{{g1, s1, w1}, {g2, s2, w2}, {g3, s3, w3}}
		Crossed(of)
		for _, fit := range []func([]Point) (Line, error){Fit, FitOrigin} {
			l, err := fit(of)
			if err != nil {
				continue
			}
			if !finite(l.F, l.A, l.VarF, l.VarA, l.CovFA, l.SD, l.S(), l.K()) || l.F <= 0 || l.F >= 1 {
				t.Errorf("%v gave %+v", of, l)
			}
			if lo, hi, err := l.KInterval(0.95); err == nil && !(lo <= l.K() && l.K() <= hi) {
				t.Errorf("%v gave %v in [%v, %v]", of, l.K(), lo, hi)
			}
			l.Outliers(of, 0.95)
		}
	})
}
