package shrink

import (
	"math"

	"gonum.org/v1/gonum/stat/combin"
	"gonum.org/v1/gonum/stat/distuv"
)

// Step is the last decimal of an oversize factor, as shops give it: a smaller
// change cannot be set (common practice, no source).
const Step = 0.0001

// Advice says whether the factor in force is to be kept. It may say neither:
// then nobody can tell yet, and more is to be measured.
type Advice struct {
	Keep   bool // the interval covers the factor in force, and all of it is as good as that one
	Change bool // the interval leaves the factor in force out

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
// larger (see Chasing). The tempting mistake is the other one: an interval that
// covers the factor because it covers everything is no reason to keep it. So
// keeping it asks that the whole interval lies within the band, which is how far
// a factor may be off. This is how equivalence is shown in two tests of one side
// each (Schuirmann 1987, from memory; at the confidence of the interval here,
// which is the stricter of the two in use).
func Advise(kInForce, band float64, l Line, confidence float64) (Advice, error) {
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
	a.Change = kInForce < lo-Step/2 || kInForce > hi+Step/2
	a.Keep = !a.Change && kInForce-band <= lo && hi <= kInForce+band
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

// fewToOrder are so few errors that all their orders can be gone through.
const fewToOrder = 7

// Follow reports whether errors follow the ones before them more closely than
// chance explains at that confidence: then something drifts. It asks for the
// squares of the steps from one to the next against those about the mean (von
// Neumann 1941). For few errors it counts in how many of all their orders the
// steps are as small, and for more than seven it takes Young's normal
// approximation (1941): 1 less half of that ratio has the variance
// (n-2)/(n²-1). Fewer than five can never be told, whatever they are.
func Follow(errors []float64, confidence float64) bool {
	n := float64(len(errors))
	if len(errors) < 3 || !finite(errors...) || !(confidence > 0 && confidence < 1) {
		return false
	}
	_, sd := meanSD(errors)
	if sd == 0 {
		return false
	}
	if len(errors) <= fewToOrder {
		return asSmall(errors) <= 1-confidence
	}
	c := 1 - steps(errors)/(2*sd*sd*(n-1))
	return c/math.Sqrt((n-2)/(n*n-1)) > distuv.UnitNormal.Quantile(confidence)
}

// steps is the sum of the squares of the steps from one value to the next.
func steps(of []float64) (sum float64) {
	for i := 1; i < len(of); i++ {
		sum += (of[i] - of[i-1]) * (of[i] - of[i-1])
	}
	return sum
}

// asSmall is the share of all orders of some values whose steps are no larger
// than they are in this one.
func asSmall(of []float64) float64 {
	limit := steps(of) * (1 + 1e-9)
	small, orders := 0, combin.NumPermutations(len(of), len(of))
	next, ordered := combin.NewPermutationGenerator(len(of), len(of)), make([]float64, len(of))
	for at := make([]int, len(of)); next.Next(); {
		for i, j := range next.Permutation(at) {
			ordered[i] = of[j]
		}
		if steps(ordered) <= limit {
			small++
		}
	}
	return float64(small) / float64(orders)
}
