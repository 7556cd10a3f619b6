package shop

import (
	"math"
	"slices"
	"strings"
	"time"

	"sinterbook/store/calc/shrink"
)

// RunsFrom is where a lot's line has from by how much furnace runs differ.
type RunsFrom int

// From nowhere, from the lot's own runs, or from those of the shop's other lots.
const (
	RunsUnknown RunsFrom = iota
	RunsOwn
	RunsOthers
)

// fewRuns are too few to tell from them how runs differ.
const fewRuns = 3

// An ownRuns is a lot's line with its own runs in the scatter, by REML.
type ownRuns struct {
	line shrink.Line
	by   shrink.Scatter
}

// WithRuns is the line with the furnace runs as a part of the scatter, which is
// estimated from the pieces themselves: pieces of one run share its furnace and
// are no witnesses of their own. False where the lengths are alike, the runs too
// few, or the pieces more than it takes.
func (f AxisFit) WithRuns() (shrink.Line, shrink.Scatter, bool) {
	if f.apart == nil {
		return shrink.Line{}, shrink.Scatter{}, false
	}
	return f.apart.line, f.apart.by, true
}

// byOwnRuns lets the fit rest on a line that has the scatter between its own
// runs in it: where lengths differ by REML (FitRuns), of more pieces than that
// takes by the analysis of variance, and where they are alike with the runs as
// the sample.
func (f *AxisFit) byOwnRuns(runs [][]shrink.Point) {
	if !f.Bounded() {
		return
	}
	f.share = shrink.RunShares(runs, f.OneLength)
	if f.Scatter.Runs < fewRuns {
		return
	}
	line := f.Plain
	if c := f.Scatter.parts; c.DFWithin > 0 {
		f.run = estimatedPart(c.Between, c.SEBetween)
		line = f.Plain.Among(f.share, shrink.Part{Var: c.Within, DF: float64(c.DFWithin)}, f.run)
	}
	if f.OneLength {
		if of, err := shrink.LineOfRuns(runs); err == nil {
			line = of
		}
	} else if of, by, err := f.fitRuns(runs); err == nil && of.DF >= 1 {
		f.noLessThan(f.Scatter.Gauge, &of)
		line, f.run, f.apart = of, by.Run, &ownRuns{of, by}
	}
	if line.DF < 1 { // as with too few runs: hardly a degree of freedom is left to tell how they differ
		f.run, f.apart = shrink.Part{}, nil
		return
	}
	f.noLessThan(f.Scatter.Gauge, &line)
	f.Runs = RunsOwn
	f.rest(line)
}

func (f *AxisFit) fitRuns(runs [][]shrink.Point) (shrink.Line, shrink.Scatter, error) {
	if f.Count() > shrink.MostPieces {
		return shrink.Line{}, shrink.Scatter{}, shrink.ErrTooMany
	}
	return shrink.FitRuns(runs, gaugesVar(f.Pairs))
}

// estimatedPart is a variance with the degrees of freedom that its standard
// error says: that of a variance is Var*sqrt(2/DF).
func estimatedPart(v, se float64) shrink.Part {
	if !(v > 0 && se > 0) {
		return shrink.Part{}
	}
	return shrink.Part{Var: v, DF: 2 * v * v / (se * se)}
}

// byOthersRuns lets the fit of few runs rest on a line that has in it by how
// much runs differ in the shop's other lots. What the lot has too few pieces to
// tell between inserts of a run is put together with what the others say.
func (f *AxisFit) byOthersRuns(runs, inserts shrink.Part) {
	if !f.Bounded() || f.Runs == RunsOwn || math.IsNaN(runs.Var) {
		return
	}
	within := shrink.Part{Var: sq(f.Plain.SD), DF: float64(f.Plain.DF)}
	if c := f.Scatter.parts; c.DFWithin > 1 && !f.OneLength || c.DFWithin > 0 && f.OneLength {
		within = shrink.Part{Var: max(c.MSWithin, sq(gaugeOr0(f.Scatter.Gauge))), DF: float64(c.DFWithin)}
		if !f.OneLength {
			within.DF-- // the slope takes one
		}
	}
	if within.DF < fewDegrees && !math.IsNaN(inserts.Var) {
		others := shrink.Part{Var: inserts.Var + sq(gaugeOr0(f.Scatter.Gauge)), DF: inserts.DF}
		within.Var = (within.DF*within.Var + others.DF*others.Var) / (within.DF + others.DF)
		within.DF += others.DF
	}
	f.Runs, f.run = RunsOthers, runs
	f.rest(f.Plain.Among(f.share, within, runs))
}

// gaugeOr0 is what the gauges add, none where nobody knows it.
func gaugeOr0(gauge float64) float64 {
	if math.IsNaN(gauge) {
		return 0
	}
	return gauge
}

// othersScatter are the variances between runs, and between inserts of a run, of
// those other lots that had enough runs, share of length squared, with their
// degrees of freedom; NaN where there is none. Lots count by their degrees of
// freedom: that between runs is the mean of their moment estimates, which alone
// errs to neither side, and becomes nothing only where that of all lots is.
func othersScatter(lot string, lots []LotFit, axis int) (runs, inserts shrink.Part) {
	var sum, variance, free, squares, within float64
	for _, l := range lots {
		s := l.Axes[axis].Scatter
		if l.Lot == lot || s.Runs < fewRuns || s.parts.DFWithin < 1 {
			continue
		}
		c, df := s.parts, float64(s.parts.DFBetween)
		sum += df * c.MomentBetween
		variance += 2 * df * sq(c.MSBetween/c.PerGroup)
		variance += 2 * sq(df*c.MSWithin/c.PerGroup) / float64(c.DFWithin)
		free += df
		squares += float64(c.DFWithin) * max(0, c.MSWithin-sq(gaugeOr0(s.Gauge)))
		within += float64(c.DFWithin)
	}
	if free == 0 {
		return notKnownPart, notKnownPart
	}
	return seenAtLeast(sum/free, math.Sqrt(variance)/free), shrink.Part{Var: squares / within, DF: within}
}

// notKnownPart is a variance that nobody knows.
var notKnownPart = shrink.Part{Var: math.NaN()}

// seenAtLeast is a variance as estimated; where it does not stand out of its own
// standard error, as much as that: runs that seem alike, in few runs, may differ
// by so much unseen (ours).
func seenAtLeast(v, se float64) shrink.Part { return estimatedPart(max(v, se), se) }

// A GroupMean is the mean length error of the pieces of a furnace run, or of a
// place in the furnace, as a share of the length, give or take two standard
// errors; Half is NaN for one piece.
type GroupMean struct {
	Of         string    // run or place
	At         time.Time // when the first of them was read
	Mean, Half float64
	N          int
}

// RunMeans are those of the runs, in the order of reading; the scatter within
// runs is taken as the same in all. Pieces without a run are left out.
func (f AxisFit) RunMeans() []GroupMean {
	return f.means(func(p *LengthPair) string { return p.Load })
}

// PlaceMeans are those of the places in the furnace, by name.
func (f AxisFit) PlaceMeans() []GroupMean {
	means := f.means(func(p *LengthPair) string { return p.Position })
	slices.SortFunc(means, func(a, b GroupMean) int { return strings.Compare(a.Of, b.Of) })
	return means
}

func (f AxisFit) means(of func(*LengthPair) string) []GroupMean {
	errs := f.Errors()
	groups := map[string][]int{}
	var order []string
	for i, p := range f.Pairs {
		name := of(p)
		if name == "" {
			continue
		}
		if groups[name] == nil {
			order = append(order, name)
		}
		groups[name] = append(groups[name], i)
	}
	var means []GroupMean
	var squares, free float64
	for _, name := range order {
		m, off := meanOf(f.Pairs, errs, groups[name])
		m.Of = name
		means, squares, free = append(means, m), squares+off, free+float64(m.N-1)
	}
	for i := range means {
		means[i].Half = math.NaN()
		if means[i].N > 1 {
			means[i].Half = 2 * math.Sqrt(squares/free/float64(means[i].N))
		}
	}
	slices.SortStableFunc(means, func(a, b GroupMean) int { return a.At.Compare(b.At) })
	return means
}

// meanOf is the mean error of some of the lengths, and the squares about it.
func meanOf(pairs []*LengthPair, errs []float64, of []int) (m GroupMean, squares float64) {
	m = GroupMean{At: pairs[of[0]].At, N: len(of)}
	for _, i := range of {
		m.Mean += errs[i] / float64(len(of))
		if pairs[i].At.Before(m.At) {
			m.At = pairs[i].At
		}
	}
	for _, i := range of {
		squares += sq(errs[i] - m.Mean)
	}
	return m, squares
}

// A Chase is what setting the factor anew after each furnace run would do.
type Chase struct {
	Kept, Chased float64 // spread of the runs' mean errors, share of the length; NaN where the runs are too few
	Runs         int
	Follows      bool // they follow each other more closely than chance explains
}

// Chasing is the spread of the runs' mean length errors with one factor for all,
// and what it would have been had each run been given the factor that the one
// before asked for. Within a run nobody could have chased anything: its pieces
// come out of the furnace together, and the lengths of one piece are of one
// piece.
func (f AxisFit) Chasing() Chase {
	var errs []float64
	for _, m := range f.RunMeans() {
		errs = append(errs, m.Mean)
	}
	c := Chase{Runs: len(errs), Follows: shrink.Follow(errs, FitConfidence)}
	c.Kept, c.Chased = shrink.Chasing(errs)
	return c
}

// Wins reports whether chasing would have made the spread smaller.
func (c Chase) Wins() bool { return c.Chased < c.Kept }
