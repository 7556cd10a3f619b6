package shrink

import "math"

// Step is the last decimal of an oversize factor, as shops give it: a smaller
// change cannot be set (common practice, no source).
const Step = 0.0001

// Advice says whether the factor in force is to be kept.
type Advice struct {
	Keep      bool    // the interval covers the factor in force: what differs is noise
	InForce   float64 // k as it is
	K, Lo, Hi float64 // k as the results say, with its interval

	// Z is how many standard errors the factor in force is off, Limit how many
	// chance explains. Z is positive when k in force is too large, so that
	// parts come out long.
	Z, Limit float64

	// Relative is by how much a length comes out long, as a share of it, when
	// the factor is kept: InForce/K - 1. A thousandth is 1 µm/mm.
	Relative float64
}

// Advise compares the factor in force with what the results say of it: it is
// to be changed only when their interval leaves it out, by more than half of the
// last decimal. Setting it to each newest result instead makes the spread
// larger (see Chasing).
func Advise(kInForce float64, l Line, confidence float64) (Advice, error) {
	if _, err := Shrinkage(kInForce); err != nil {
		return Advice{}, err
	}
	limit, err := l.t(confidence)
	if err != nil {
		return Advice{}, err
	}
	lo, hi, err := l.KInterval(confidence)
	if err != nil {
		return Advice{}, err
	}
	a := Advice{InForce: kInForce, K: l.K(), Lo: lo, Hi: hi, Limit: limit, Relative: kInForce*l.F - 1}
	a.Keep = lo-Step/2 <= kInForce && kInForce <= hi+Step/2
	if l.VarF > 0 {
		a.Z = (l.F - 1/kInForce) / math.Sqrt(l.VarF)
	}
	return a, nil
}

// Chasing takes the relative errors of pieces made one after the other with
// one factor, and gives their spread as it is and as it would be had each
// piece's factor been set so that the piece before it came out right. For
// errors that know nothing of each other theory says sqrt(2) times as much.
// Errors that grow from piece to piece gain by it: then something drifts, and
// that is what to look for.
//
// Both are NaN where there is nothing to say: fewer than three errors, or one
// that is no number or as large as the piece.
func Chasing(errors []float64) (sdKept, sdChased float64) {
	if len(errors) < 3 || !finite(errors...) {
		return math.NaN(), math.NaN()
	}
	chased := make([]float64, len(errors)-1)
	for i := range chased {
		if errors[i] <= -1 {
			return math.NaN(), math.NaN()
		}
		chased[i] = (1+errors[i+1])/(1+errors[i]) - 1
	}
	_, sdKept = meanSD(errors)
	_, sdChased = meanSD(chased)
	return sdKept, sdChased
}
