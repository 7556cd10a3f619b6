// Package shrink says how much a paste shrinks from green to sintered, how
// well that is known, and what follows for the next insert.
//
// Lengths are in mm. Shrinkage is a share of the green length,
// s = (green - sintered) / green, positive when the part becomes smaller. The
// oversize factor is what a drawn length is multiplied by before printing,
// k = green / sintered = 1 / (1 - s). The tempting mistake is k = 1 + s: at
// s = 0.168 it leaves 40 mm 1.13 mm small. The other one is to take the share
// of the sintered length, which is k - 1 and not s.
//
// A line is sintered = A + F * green with F = 1 - s. F is the paste; A is what
// does not grow with length, a cutter's offset or a gauge's zero. A factor
// times one length says neither of them apart.
//
// Nothing here takes NaN or infinity for a number, but where a doc comment
// says so.
package shrink

import (
	"errors"
	"math"
)

// What keeps a number from being given. Each is a sentence for a person, save
// its capital and full stop.
var (
	ErrFewPoints   = errors.New("there are too few measurements: a line needs two of different lengths, an interval one more")
	ErrSameLength  = errors.New("all lengths are equal: the slope cannot be told from the intercept")
	ErrNotShrunk   = errors.New("sintered is not smaller than green")
	ErrNotPositive = errors.New("a length or weight that must be above zero is not")
	ErrNotFinite   = errors.New("a number is missing or too large to be one")
	ErrNotGrowing  = errors.New("the sintered lengths do not grow with the green ones as those of one paste do")
	ErrConfidence  = errors.New("the confidence must lie between 0 and 1, as 0.95 does")
	ErrUnbounded   = errors.New("the measurements scatter so much that the interval has no end")
	ErrOutside     = errors.New("a shrinkage is from 0 to below 1, and an oversize factor is 1 or more")
	ErrShares      = errors.New("the shares of the lots do not add up to the whole")
)

// Oversize is k = 1/(1-s), by which a drawn length is multiplied before
// printing. It is not 1+s.
func Oversize(s float64) (k float64, err error) {
	if !(0 <= s && s < 1) { // so written that NaN fails too
		return 0, ErrOutside
	}
	return 1 / (1 - s), nil
}

// Shrinkage is s = 1 - 1/k, the share of the green length that is lost. It is
// not k-1, which is a share of the sintered length.
func Shrinkage(k float64) (s float64, err error) {
	if !(1 <= k && k <= math.MaxFloat64) {
		return 0, ErrOutside
	}
	return (k - 1) / k, nil
}

// A Point is one piece measured before and after the furnace, in mm. Weight is
// one over the variance of the sintered length, up to a factor that all points
// share. A weight of zero leaves the point out, as if it were not there.
type Point struct{ Green, Sintered, Weight float64 }

// check refuses what cannot be a piece of paste, also one of no weight.
func (p Point) check() error {
	if 0 < p.Sintered && p.Sintered < p.Green && p.Green <= math.MaxFloat64 && 0 <= p.Weight && p.Weight <= math.MaxFloat64 {
		return nil // so written that NaN fails, and that ten thousand are quick
	}
	return p.wrong()
}

func (p Point) wrong() error {
	switch {
	case !finite(p.Green, p.Sintered, p.Weight):
		return ErrNotFinite
	case p.Green <= 0 || p.Sintered <= 0 || p.Weight < 0:
		return ErrNotPositive
	}
	return ErrNotShrunk
}

// finite reports whether all of v are numbers.
func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
