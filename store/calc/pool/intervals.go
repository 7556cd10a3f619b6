package pool

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Why an interval is not given.
var (
	ErrConfidence = errors.New("the confidence must lie between 0 and 1, as 0.95 does")
	ErrUnbalanced = errors.New("the groups are of different sizes: this interval needs the same number of values in each")
)

// tails are the two chances that an interval leaves out.
func tails(confidence float64) (lower, upper float64, err error) {
	if !(confidence > 0 && confidence < 1) {
		return 0, 0, ErrConfidence
	}
	return (1 - confidence) / 2, (1 + confidence) / 2, nil
}

// WithinInterval is that of the scatter within groups, by chi-square.
func (c Components) WithinInterval(confidence float64) (lo, hi float64, err error) {
	low, high, err := tails(confidence)
	if err != nil {
		return 0, 0, err
	}
	df := float64(c.DFWithin)
	chi := distuv.ChiSquared{K: df}
	return df * c.MSWithin / chi.Quantile(high), df * c.MSWithin / chi.Quantile(low), nil
}

// RatioInterval is that of Between/Within by the F distribution: exact, for
// groups of one size, and not cut off at zero.
func (c Components) RatioInterval(confidence float64) (lo, hi float64, err error) {
	low, high, err := tails(confidence)
	if err != nil {
		return 0, 0, err
	}
	if !c.balanced() {
		return 0, 0, ErrUnbalanced
	}
	f := distuv.F{D1: float64(c.DFBetween), D2: float64(c.DFWithin)}
	return (c.F/f.Quantile(high) - 1) / c.PerGroup, (c.F/f.Quantile(low) - 1) / c.PerGroup, nil
}

// BetweenInterval is that of the variance between groups, for groups of one
// size, by the modified large sample of Ting, Burdick, Graybill, Jeyaratnam
// and Lu (1990; the formula is from memory, its coverage is simulated in the
// tests). It is cut off at zero.
func (c Components) BetweenInterval(confidence float64) (lo, hi float64, err error) {
	low, high, err := tails(confidence)
	if err != nil {
		return 0, 0, err
	}
	if !c.balanced() {
		return 0, 0, ErrUnbalanced
	}
	down, up := c.largeSample(high), c.largeSample(low)
	at := c.MSBetween - c.MSWithin
	return max(0, at-down) / c.PerGroup, max(0, at+up) / c.PerGroup, nil
}

// largeSample is how far the interval of MSBetween - MSWithin reaches down
// (at the upper quantile) or up (at the lower one).
func (c Components) largeSample(at float64) float64 {
	dfB, dfW := float64(c.DFBetween), float64(c.DFWithin)
	f := distuv.F{D1: dfB, D2: dfW}.Quantile(at)
	g := 1 - dfB/distuv.ChiSquared{K: dfB}.Quantile(at)
	h := dfW/distuv.ChiSquared{K: dfW}.Quantile(1-at) - 1
	cross := ((f-1)*(f-1) - g*g*f*f - h*h) / f
	square := g*g*c.MSBetween*c.MSBetween + h*h*c.MSWithin*c.MSWithin + cross*c.MSBetween*c.MSWithin
	return math.Sqrt(max(0, square))
}

func (c Components) balanced() bool {
	return math.Abs(c.PerGroup*float64(c.Groups)-float64(c.N)) < 1e-9*float64(c.N)
}
