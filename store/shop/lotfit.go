package shop

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"sinterbook/store/calc/pool"
	"sinterbook/store/calc/shrink"
)

// FitConfidence is that of every interval of a lot's shrinkage.
const FitConfidence = 0.95

// oneLength is by how much of their mean the lengths must differ before a line
// tells shrinkage from a constant error: a tenth (ours; below it the interval
// of the slope is wider than any band of a factor).
const oneLength = 0.10

// An AxisFit is what a lot's lengths say of its shrinkage along one axis of the
// build: sintered on green length by weighted least squares, weights 1/green²,
// since scatter grows with length; its variance is estimated from the scatter
// of the pieces, never from the gauge alone.
//
// Plain takes each piece for a witness of its own. Line has the scatter between
// furnace runs in it too, by way of Runs: everything that is said and decided
// rests on it.
type AxisFit struct {
	Axis         string
	Pairs        []*LengthPair // those that lay along the axis, all of them
	Plain        shrink.Line
	Line         shrink.Line
	Runs         RunsFrom
	OneLength    bool    // lengths alike: the line goes through the origin
	S, Lo, Hi    float64 // (green − sintered) / green, and its interval of 95 %, by Line
	NoNumber     string  // why S is not known, "" where it is
	NoInterval   string  // why its interval is not known, "" where it is
	Apart        []int   // of Pairs: too far from the line for chance, shown and counted
	Crossed      []int   // of Pairs: longer green than another, and not sintered
	Scatter      Scatter
	ByRun        ByRun
	Pooled       pool.Pooled
	Untried      pool.Pooled // what the other lots say of it, where it was not measured
	OtherLots    int         // with an interval, towards which it was pooled; 0 where none
	OtherRuns    shrink.Part // variance between runs in the shop's other lots, share of length squared; NaN where not known
	OtherInserts shrink.Part // the same between inserts of a run
	InForce      Factor

	run   shrink.Part     // variance of the shrinkage between runs, as Line has it
	share shrink.RunShare // how much of it is in Line
	apart *ownRuns        // nil where the own runs of the lot were not taken apart
}

// A Scatter says where the spread of a lot's lengths comes from, as standard
// deviations, share of the length. What is not known is NaN.
type Scatter struct {
	All        float64 // about the line
	BetweenRun float64
	WithinRun  float64 // between inserts of one run, gauge included
	Gauge      float64 // by the uncertainty of the gauges
	Between    float64 // between inserts, without the gauge
	Runs       int
	parts      pool.Components
}

// ByRun is the shrinkage with the runs as the sample: the scatter between runs
// counts in its interval.
type ByRun struct {
	S, Lo, Hi float64
	N         int // runs; 0 where there is no estimate
}

// FitAxis fits the lengths that lay along an axis of the build.
func FitAxis(axis string, pairs []LengthPair, inForce Factor) AxisFit {
	f := AxisFit{Axis: axis, InForce: inForce, S: math.NaN(), Lo: math.NaN(), Hi: math.NaN(), OtherRuns: notKnownPart, OtherInserts: notKnownPart}
	f.Pairs = make([]*LengthPair, 0, len(pairs)/2)
	for i := range pairs {
		if pairs[i].Axis == axis {
			f.Pairs = append(f.Pairs, &pairs[i])
		}
	}
	if len(f.Pairs) == 0 {
		f.NoNumber = "Nothing of this lot was measured along " + axis + ", green and sintered."
		return f
	}
	points, gauge, groups := f.Points(), gaugeShare(f.Pairs), runsOf(f.Pairs)
	runs := valuesOf(groups, func(i int) shrink.Point { return points[i] })
	f.fit(points, gauge)
	f.Scatter = scatterOf(f, groups, gauge)
	f.ByRun = byRun(runs)
	f.byOwnRuns(runs)
	return f
}

func (f *AxisFit) fit(points []shrink.Point, gauge float64) {
	f.Crossed = shrink.Crossed(points)
	var err error
	green := make([]float64, len(points))
	for i, p := range points {
		green[i] = p.Green
	}
	if f.OneLength = alike(green); f.OneLength {
		f.Plain, err = shrink.FitOrigin(points)
	} else if f.Plain, err = shrink.Fit(points); err == nil && f.Plain.DF == 0 {
		f.OneLength = true // two lengths lie on any line: nothing is left to tell the scatter by
		f.Plain, err = shrink.FitOrigin(points)
	}
	if err != nil {
		f.NoNumber = f.words(err)
		return
	}
	if f.Plain.DF > 0 && !f.noLessThan(gauge, &f.Plain) {
		f.NoInterval = "The lengths do not scatter at all, and how sure their gauges are is not known: there is no interval."
	}
	f.Apart = f.Plain.Outliers(points, FitConfidence)
	f.rest(f.Plain)
}

// rest lets everything rest on a line.
func (f *AxisFit) rest(line shrink.Line) {
	f.Line, f.S = line, line.S()
	var err error
	if f.Lo, f.Hi, err = line.Interval(FitConfidence); err != nil && f.NoInterval == "" {
		f.NoInterval = "One length says nothing of the scatter: there is no interval."
	}
	if f.NoInterval != "" {
		f.Lo, f.Hi = math.NaN(), math.NaN()
	}
}

// noScatter is a scatter that no pieces have, as a share of the length: what is
// left of rounding.
const noScatter = 1e-9

// noLessThan widens a line whose lengths happen to scatter less than the
// gauges alone can tell: a few readings that agree are no proof that all do.
// False where there is no scatter to go by at all.
func (f *AxisFit) noLessThan(gauge float64, l *shrink.Line) bool {
	switch {
	case l.SD > noScatter && !(l.SD < gauge):
		return true
	case l.SD > noScatter:
		more := sq(gauge / l.SD)
		l.VarF, l.VarA, l.CovFA = more*l.VarF, more*l.VarA, more*l.CovFA
	case f.OneLength && gauge > 0:
		l.VarF = gauge * gauge / float64(l.N) // weights are 1/green²
	default:
		return false
	}
	l.SD = gauge
	return true
}

// words say why lengths give no number, and which.
func (f AxisFit) words(err error) string {
	for _, p := range f.Pairs {
		if errors.Is(err, shrink.ErrNotShrunk) && p.Sintered.Value() >= p.Green.Value() {
			return fmt.Sprintf("%s %s is %s green and %s sintered: it did not shrink. One of the two readings is a slip, so no number is given.", p.Piece, p.Number, p.Green, p.Sintered)
		}
	}
	return "No number is given: " + err.Error() + "."
}

// Points are the lengths with their weights.
func (f AxisFit) Points() []shrink.Point {
	points := make([]shrink.Point, len(f.Pairs))
	for i, p := range f.Pairs {
		points[i] = shrink.Point{Green: p.Green.Value(), Sintered: p.Sintered.Value(), Weight: 1 / (p.Green.Value() * p.Green.Value())}
	}
	return points
}

// alike reports whether lengths are so near each other that a line through
// them says nothing of its slope.
func alike(lengths []float64) bool {
	sum := 0.0
	for _, l := range lengths {
		sum += l
	}
	return slices.Max(lengths)-slices.Min(lengths) <= oneLength*sum/float64(len(lengths))
}

// runsOf are the indexes of the lengths of each run; pieces without one are a
// run of their own.
func runsOf(pairs []*LengthPair) [][]int {
	at := map[string]int{}
	var groups [][]int
	for i, p := range pairs {
		run := p.Load
		if run == "" {
			run = p.Piece
		}
		n, seen := at[run]
		if !seen {
			n, at[run] = len(groups), len(groups)
			groups = append(groups, nil)
		}
		groups[n] = append(groups[n], i)
	}
	return groups
}

func valuesOf[T any](groups [][]int, value func(i int) T) [][]T {
	all := make([][]T, len(groups))
	for g, of := range groups {
		all[g] = make([]T, len(of))
		for j, i := range of {
			all[g][j] = value(i)
		}
	}
	return all
}

func byRun(runs [][]shrink.Point) ByRun {
	s, lo, hi, n, err := shrink.MeanOfRuns(runs)
	if err != nil {
		return ByRun{}
	}
	return ByRun{s, lo, hi, n}
}

// scatterOf takes the spread about the line apart: between the runs, between
// the inserts of a run, and what the gauges alone would make.
func scatterOf(f AxisFit, groups [][]int, gauge float64) Scatter {
	nan := math.NaN()
	of := Scatter{All: nan, BetweenRun: nan, WithinRun: nan, Gauge: nan, Between: nan}
	of.Runs = len(groups)
	if f.NoNumber != "" || f.Plain.DF < 1 {
		return of
	}
	of.All = f.Plain.SD // weights are 1/green², so that it is a share of the green length
	of.Gauge = gauge
	c, err := pool.OneWay(valuesOf(groups, func(i int) float64 {
		p := f.Pairs[i]
		return (p.Sintered.Value() - f.Plain.A - f.Plain.F*p.Green.Value()) / p.Green.Value()
	}))
	if err != nil {
		return of
	}
	of.parts = c
	of.BetweenRun, of.WithinRun = math.Sqrt(c.Between), math.Sqrt(c.Within)
	of.Between = math.Sqrt(max(0, c.Within-of.Gauge*of.Gauge))
	return of
}

// gaugeShare is the root mean square of what the gauges add to each length:
// half of their expanded uncertainties, as a share of the green length.
func gaugeShare(pairs []*LengthPair) float64 {
	sum := 0.0
	for _, p := range pairs {
		if p.GreenU == 0 || p.SinteredU == 0 {
			return math.NaN()
		}
		f := p.Sintered.Value() / p.Green.Value()
		sum += (sq(p.SinteredU/2) + sq(f*p.GreenU/2)) / sq(p.Green.Value())
	}
	return math.Sqrt(sum / float64(len(pairs)))
}

// gaugesVar is what the gauges of both readings add to a sintered length, mm²;
// 0 where it is not known.
func gaugesVar(pairs []*LengthPair) float64 {
	sum := 0.0
	for _, p := range pairs {
		sum += sq(p.SinteredU/2) + sq(p.Sintered.Value()/p.Green.Value()*p.GreenU/2)
	}
	return sum / float64(len(pairs))
}

func sq(x float64) float64 { return x * x }

// Known reports whether there is a number.
func (f AxisFit) Known() bool { return f.NoNumber == "" }

// Bounded reports whether there is a number with an interval.
func (f AxisFit) Bounded() bool { return f.Known() && f.NoInterval == "" }

// Sure reports whether the interval counts how runs differ. Else it holds for
// pieces of these runs and says nothing of the next one.
func (f AxisFit) Sure() bool { return f.Bounded() && f.Runs != RunsUnknown }

// K is the oversize factor, 1/(1−s), and its interval.
// Its upper end is NaN where the lengths scatter so much that it has none.
func (f AxisFit) K() (k, lo, hi float64) {
	lo, hi, err := f.Line.KInterval(FitConfidence)
	if err != nil {
		lo, hi = 1/(1-f.Lo), math.NaN()
	}
	return 1 / (1 - f.S), lo, hi
}

// Count is how many lengths it rests on.
func (f AxisFit) Count() int { return len(f.Pairs) }

// Cause splits the length errors, in mm, into a part that grows with the length
// (factor, furnace, a machine's scale) and a constant one (cutter, gauge); false
// where the lengths are alike.
func (f AxisFit) Cause() (shrink.Cause, bool) {
	if f.OneLength || !f.Bounded() {
		return shrink.Cause{}, false
	}
	errs := f.Errors()
	of := make([]shrink.Deviation, len(errs))
	for i, e := range errs {
		nominal := f.Pairs[i].Nominal.Value()
		of[i] = shrink.Deviation{Nominal: nominal, Error: e * nominal, Weight: 1 / (nominal * nominal)}
	}
	c, err := shrink.ScaleOrConstant(of, FitConfidence)
	return c, err == nil
}

// ConstantHalf is half the interval of the constant part of the line, in mm.
func (f AxisFit) ConstantHalf() float64 {
	return (f.Hi - f.Lo) / 2 * math.Sqrt(f.Line.VarA/f.Line.VarF)
}

// ErrorsBy is the factor that length errors are reckoned by: the one in force,
// or the one that the lengths say while none is. It is 0 where there is neither:
// then errors are those against the drawing.
func (f AxisFit) ErrorsBy() float64 {
	switch {
	case f.InForce.Seq != 0:
		return f.InForce.K.Value()
	case f.Known():
		return f.Line.K()
	}
	return 0
}

// ErrorOf is the error of one of the lengths free of a known slip, as a share of
// it: sintered / (nominal · k used / k) − 1 by the factor of ErrorsBy, and by
// none sintered / nominal − 1.
func (f AxisFit) ErrorOf(p *LengthPair) float64 {
	if k := f.ErrorsBy(); k > 0 {
		return p.ErrorFreeOfSlip(k)
	}
	return p.Sintered.Value()/p.Nominal.Value() - 1
}

// Errors are those of all lengths, in the order of Pairs.
func (f AxisFit) Errors() []float64 {
	all := make([]float64, len(f.Pairs))
	for i, p := range f.Pairs {
		all[i] = f.ErrorOf(p)
	}
	return all
}

// estimate is the fit as pooling takes it.
func (f AxisFit) estimate(lot string) pool.Estimate {
	return pool.Estimate{S: f.S, Var: f.Line.VarF, Group: lot, DF: float64(f.Line.DF)}
}

// A LotFit is what the lengths of a lot say, axis by axis.
type LotFit struct {
	Lot   string
	Axes  []AxisFit    // X, Y, Z
	Aside []LengthPair // along no axis of the build that the orientation names
}

// FitLot fits the lengths of a lot along each axis of the build, and says what
// the factors in force at a time have to do with them.
func FitLot(lot string, pairs []LengthPair, factors []Factor, at time.Time) LotFit {
	fit := LotFit{Lot: lot}
	for _, axis := range Axes {
		in, _ := FactorAt(factors, lot, axis, at)
		fit.Axes = append(fit.Axes, FitAxis(axis, pairs, in))
	}
	fit.Aside = slices.DeleteFunc(slices.Clone(pairs), func(p LengthPair) bool { return p.Axis != "" })
	return fit
}

// Towards takes from the shop's other lots how runs differ, where its own are too
// few to tell, and pools each axis towards those lots: the fewer lengths a lot
// has, the more the others count.
func (f *LotFit) Towards(others []LotFit) {
	for i := range f.Axes {
		a := &f.Axes[i]
		runs, inserts := othersScatter(f.Lot, others, i)
		a.OtherRuns, a.OtherInserts = runs, inserts
		a.byOthersRuns(runs, inserts)
		var of []pool.Estimate
		for _, o := range others {
			b := o.Axes[i]
			if b.byOthersRuns(runs, inserts); o.Lot != f.Lot && b.Sure() && b.Line.VarF > 0 {
				of = append(of, b.estimate(o.Lot))
			}
		}
		if len(a.Pairs) == 0 {
			a.Untried, a.OtherLots = untried(of)
		}
		if !a.Sure() || a.Line.VarF <= 0 || len(of) < 2 {
			continue // of one other lot nobody can tell how lots differ
		}
		if pooled, err := pool.Towards(a.estimate(f.Lot), of); err == nil {
			a.Pooled, a.OtherLots = pooled, len(of)
		}
	}
}

// untried is what other lots say of one that was not measured; of none where
// they are too few.
func untried(others []pool.Estimate) (pool.Pooled, int) {
	p, err := pool.Untried(others)
	if err != nil {
		return pool.Pooled{}, 0
	}
	return p, len(others)
}
