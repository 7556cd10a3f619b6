package shop

import (
	"math"

	"sinterbook/store/calc/shrink"
)

// What to do about the factor along an axis.
const (
	AdviceKeep    = "keep"    // all that the lengths leave possible is as good as the one in force
	AdviceChange  = "change"  // the interval leaves the one in force out
	AdvicePropose = "propose" // none is in force, and one is known
	AdviceMeasure = "measure" // nobody can tell yet
)

// Advice says what to do about the factor in force. It is kept only where the
// whole interval lies within the band: an interval that covers it because it is
// wide is no reason to keep it.
func (f AxisFit) Advice() string {
	switch {
	case !f.Bounded():
		return AdviceMeasure
	case f.InForce.Seq == 0:
		return AdvicePropose
	case !f.Sure():
		return AdviceMeasure // one run may be an odd one
	}
	a, err := shrink.Advise(f.InForce.K.Value(), FactorBand, f.Line, FitConfidence)
	switch {
	case err == nil && a.Keep:
		return AdviceKeep
	case err == nil && a.Change:
		return AdviceChange
	}
	return AdviceMeasure
}

// A More is what would have to be measured until the lengths can tell whether the
// factor in force is right, by what is known of their scatter now. Either is
// enough; 0 where it would not be, however much there is of it.
type More struct {
	Pieces int // more in the runs that there are
	Runs   int // more, of PerRun pieces each
	PerRun int
}

// mostMore is how many pieces or runs are thought of: what a lot of paste gives
// (ours).
const mostMore = 12

// More says how much more. An interval of half the width of what is asked either
// leaves the factor in force out or lies within the band; it is reckoned as if
// the estimate stayed where it is.
func (f AxisFit) More() More {
	n, runs := f.Count(), f.Scatter.Runs
	m := More{PerRun: max(1, (n+runs/2)/max(1, runs))}
	if !f.Sure() {
		m.Runs = max(1, fewRuns-runs)
		return m
	}
	k := f.Line.K()
	off := math.Abs(k - f.InForce.K.Value())
	enough := max(off-shrink.Step/2, FactorBand-off) / (k * k)
	for i := mostMore; i >= 1; i-- {
		if f.halfWith(i, 0) <= enough {
			m.Pieces = i
		}
		if f.halfWith(i*m.PerRun, i) <= enough {
			m.Runs = i
		}
	}
	return m
}

// halfWith is half of the interval of s that so many pieces more, in so many runs
// more, would leave.
func (f AxisFit) halfWith(pieces, runs int) float64 {
	n, r := float64(f.Count()), float64(f.Scatter.Runs)
	ofRuns := min(f.run.Var*f.share.F, f.Line.VarF)
	between := shrink.Part{Var: ofRuns * r / (r + float64(runs)), DF: f.run.DF}
	if f.Scatter.Runs+runs >= fewRuns {
		between.DF = r + float64(runs) - 1
	}
	half, err := shrink.Half(FitConfidence, between, shrink.Part{Var: (f.Line.VarF - ofRuns) * n / (n + float64(pieces)), DF: float64(max(1, f.Line.DF+pieces-runs))})
	if err != nil {
		return math.Inf(1)
	}
	return half
}

// Places are the decimals that a number of this uncertainty is written with: so
// many that the uncertainty has one figure, and two where its first is a 1, which
// one figure alone would round by up to a half. Two at most is what JCGM
// 100:2008 (GUM), 7.2.6, allows. Five are the most, two are taken where nothing
// is known of the uncertainty.
func Places(half float64) int {
	if math.IsNaN(half) || half <= 0 {
		return 2
	}
	return max(0, min(5, int(math.Ceil(-math.Log10(half/2)-1e-9))))
}

// Places are the decimals of s in percent and of k that the interval supports;
// of k no more than a machine can be set to.
func (f AxisFit) Places() (s, k int) {
	if !f.Bounded() {
		return 2, 3
	}
	half := (f.Hi - f.Lo) / 2
	return Places(100 * half), min(4, Places(sq(f.Line.K())*half))
}
