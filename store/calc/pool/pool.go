// Package pool puts lots together: how much lots differ from each other beyond
// what their own scatter explains, and how far a lot with few measurements is
// to be moved towards the others.
//
// A variance component is the variance of one cause alone. The variance of lot
// means is not it: it also holds what is left of the scatter within the lots.
// That is subtracted, and the difference may come out below zero; the moment
// estimate is then given as it is, and REML as zero. The tempting mistakes are
// to hide such a value, and to take pieces of one lot for as many lots.
//
// REML is the restricted likelihood: that of the contrasts which do not depend
// on the mean. Plain likelihood takes the estimated mean for the true one and
// finds components that are too small.
package pool

import (
	"errors"
	"math"
)

// What keeps a number from being given. Each is a sentence for a person, save
// its capital and full stop.
var (
	ErrFewGroups    = errors.New("there are too few groups: a difference between groups needs two of them")
	ErrNoRepeats    = errors.New("no group has two values: the scatter within groups cannot be told from that between them")
	ErrNotSeparable = errors.New("cannot be separated: the groupings go together, so the data fit any split between them")
	ErrNotPositive  = errors.New("a variance that must be above zero is not")
	ErrNotFinite    = errors.New("a number is missing or too large to be one")
	ErrLength       = errors.New("there is not one group for each value")
	ErrColumns      = errors.New("the columns go together: their coefficients cannot be told apart")
	ErrNoSpread     = errors.New("all values are equal: there is no spread to take apart")
	ErrNotConverged = errors.New("the search for the components did not come to an end")
)

// finite reports whether all of v are numbers.
func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// highest finds where a smooth curve over x >= 0 is highest: it looks at
// steps that grow evenly from scale/1e6 to scale*1e6, and halves the slope's
// sign change beside the best of them. It answers exactly 0 where the curve
// falls from the start on.
func highest(scale float64, height, slope func(x float64) float64) float64 {
	best, top := 0.0, height(0)
	const perDecade = 8
	ratio := math.Pow(10, 1.0/perDecade)
	for x := scale * 1e-6; x <= scale*1e6; x *= ratio {
		if h := height(x); h > top {
			best, top = x, h
		}
	}
	lo, hi := best/ratio, best*ratio
	if best == 0 {
		if slope(0) <= 0 {
			return 0
		}
		lo, hi = 0, scale*1e-6
	}
	for range 100 {
		mid := (lo + hi) / 2
		if slope(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
