package shop

import (
	"fmt"
	"math"

	"sinterbook/store/calc/shrink"
)

// A way is how a piece may shrink along an axis: by one lot, or along the height
// by all of them together, each by its share.
type way struct {
	lot    string // "" for all together
	factor shrink.Factor
	by     shrink.Scatter
	byFit  bool   // by the lengths of the lots
	unsure string // why nobody can say how sure it is, "" where it is known
}

// ways are those of a piece along an axis of the build. Lots that lie above each
// other add up along the height; within a layer each shrinks by itself, so that
// head and foot of the piece differ. Missing is a lot of which nothing is known.
func (g Green) ways(axis string, shares map[string]float64) (all []way, missing string) {
	var each []float64
	for _, lot := range g.Release.Lots() {
		if shares[lot] == 0 {
			continue
		}
		w, ok := g.way(lot, axis)
		if !ok {
			return nil, lot
		}
		all, each = append(all, w), append(each, shares[lot])
	}
	switch {
	case len(all) == 0:
		return nil, cmpOr(g.Release.Lot, "(none)")
	case axis == "Z" && len(all) > 1:
		return []way{together(all, each)}, ""
	}
	return all, ""
}

// together is the way of a height of several lots.
func together(ways []way, shares []float64) way {
	sum := way{byFit: true}
	factors := make([]shrink.Factor, len(ways))
	var inserts, runs, sintered []shrink.Part
	for i, w := range ways {
		factors[i] = w.factor
		inserts, runs, sintered = append(inserts, w.by.Insert), append(runs, w.by.Run), append(sintered, w.by.Sintered)
		sum.byFit = sum.byFit && w.byFit
		sum.unsure = cmpOr(sum.unsure, w.unsure)
	}
	sum.by = shrink.Scatter{Insert: shrink.Shared(shares, inserts), Run: shrink.Shared(shares, runs), Sintered: shrink.Shared(shares, sintered)}
	var err error
	if sum.factor, err = shrink.Mixed(shares, factors); err != nil {
		sum.unsure = cmpOr(sum.unsure, sentenceCase(err.Error())+".")
	}
	return sum
}

// predict is the size of a green one whose gauge has an expanded uncertainty u.
func (w way) predict(green, u float64) (shrink.Prediction, error) {
	by := w.by
	by.Green = shrink.Part{Var: sq(u / 2)}
	return shrink.PredictGreen(green, w.factor, by)
}

// sd is the standard deviation of a size of about so many mm; 0 where it is not
// known.
func (w way) sd(size, u float64) float64 {
	p, err := w.predict(w.greenFor(size), u)
	if err != nil || w.unsure != "" {
		return 0
	}
	return math.Sqrt(p.Var)
}

// greenFor is the green size that becomes a size.
func (w way) greenFor(size float64) float64 { return (size - w.factor.A) / (1 - w.factor.S) }

// certain are ways whose shrinkage and scatter are known exactly: what is left
// then is that pieces differ.
func certain(ways []way) []way {
	known := make([]way, len(ways))
	for i, w := range ways {
		w.factor = shrink.Factor{S: w.factor.S, A: w.factor.A}
		w.by.Insert.DF, w.by.Run.DF, w.by.Sintered.DF = 0, 0, 0
		known[i] = w
	}
	return known
}

// way is how a piece of a lot shrinks along an axis: by its own lengths, pooled
// with the shop's other lots where they are few; else by the factor in force
// with the interval that it was given; else, where the lot was never measured,
// by the other lots; at last by a factor of which nobody knows how sure it is.
func (g Green) way(lot, axis string) (way, bool) {
	fit := g.fit(lot, axis)
	if fit.Known() {
		if f, by, ok := fit.forPiece(); ok {
			return way{lot: lot, factor: f, by: by, byFit: true}, true
		}
	}
	in, ok := FactorAt(g.Factors, lot, axis, g.At)
	stated := way{lot: lot, factor: shrink.Factor{S: in.S.Value() / 100}}
	if ok {
		if stated.unsure = stated.byFactor(in, fit); stated.unsure == "" {
			return stated, true
		}
	}
	if f, by, known := fit.pooledForPiece(); known {
		return way{lot: lot, factor: f, by: by, byFit: true}, true
	}
	return stated, ok
}

func (g Green) fit(lot, axis string) AxisFit {
	for _, l := range g.Fits {
		for _, a := range l.Axes {
			if l.Lot == lot && a.Axis == axis {
				return a
			}
		}
	}
	return AxisFit{NoNumber: "not measured", OtherRuns: notKnownPart, OtherInserts: notKnownPart}
}

// byFactor takes how sure the factor in force is from its interval of 95 % and
// the number of measurements: an interval of the mean of n that scatter by
// √n as much. What one more run differs by is that of the shop's other lots. It
// says why nobody can tell, "" where somebody can.
func (w *way) byFactor(in Factor, fit AxisFit) string {
	half := (in.High.Value() - in.Low.Value()) / 200
	switch name := fmt.Sprintf("The factor of lot %s in %s in force", in.Lot, in.Axis); {
	case !in.Low.Taken() || !in.High.Taken() || half <= 0:
		return name + " has no interval, and the lot's own lengths give none."
	case in.N < 2:
		return name + " rests on one measurement at most, and the lot's own lengths give no interval."
	}
	df := float64(in.N - 1)
	_, t, err := shrink.Prediction{Var: 1, DF: df}.Interval(FitConfidence)
	if err != nil {
		return sentenceCase(err.Error()) + "."
	}
	// Mean and scatter are of the same measurements: both together have n − 1
	// degrees of freedom, no more, by Welch and Satterthwaite.
	n := float64(in.N)
	df *= (sq(n) + 1) / sq(n+1)
	w.factor.VarS, w.factor.DF = sq(half/t), df
	w.by = shrink.Scatter{Insert: shrink.Part{Var: n * sq(half/t), DF: df}}
	if !math.IsNaN(fit.OtherRuns.Var) {
		w.by.Run = fit.OtherRuns
	}
	return ""
}

// fewDegrees of freedom are too few to say a chance by: what a lot scatters is
// hardly known then (ours).
const fewDegrees = 3

// forPiece is what a lot says of one more piece: its line, and what makes one
// piece differ from it; false where nobody can say how sure that is. The runs
// count twice: those that were measured make the line unsure, and the one to
// come differs from it again. A lot with too few lengths is pooled with the
// shop's other lots, and takes its scatter from them; so does one whose runs are
// too few to tell how runs differ.
func (f AxisFit) forPiece() (shrink.Factor, shrink.Scatter, bool) {
	sintered := shrink.Part{Var: sq(sinteredU(f.Pairs) / 2)}
	if line, by, ok := f.WithRuns(); ok && line.DF >= fewDegrees {
		factor, err := line.Factor()
		by.Run = f.nextRun(by.Run)
		by.Sintered = sintered
		return factor, by, err == nil
	}
	if s := f.Scatter; f.Bounded() && f.Plain.DF >= fewDegrees && (s.Runs >= fewRuns || !math.IsNaN(f.OtherRuns.Var)) {
		factor, err := f.Line.Factor()
		by := shrink.Scatter{Insert: shrink.Part{Var: f.betweenInserts(), DF: float64(max(1, f.Count()-s.Runs))}, Sintered: sintered}
		by.Run = f.nextRun(f.betweenRuns())
		return factor, by, !math.IsNaN(by.Run.Var) && err == nil
	}
	return f.pooledForPiece()
}

// betweenRuns is the lot's own variance between runs. It was told from the
// scatter of their means, in which the pieces have their share: the less it is
// of that, the fewer degrees of freedom it has (Satterthwaite).
func (f AxisFit) betweenRuns() shrink.Part {
	s := f.Scatter
	own := shrink.Part{Var: sq(s.BetweenRun), DF: float64(s.Runs - 1)}
	if own.Var > 0 {
		own.DF *= sq(own.Var / (own.Var + sq(s.WithinRun)*float64(s.Runs)/float64(f.Count())))
	}
	return own
}

// nextRun is by how much the run to come differs, from what the lot's own runs
// say: too few of them say nothing, and the shop's other lots stand for them;
// where both speak, each counts by its degrees of freedom.
func (f AxisFit) nextRun(own shrink.Part) shrink.Part {
	others := f.OtherRuns
	switch {
	case math.IsNaN(others.Var):
		return own
	case f.Scatter.Runs < fewRuns || math.IsNaN(own.Var) || others.DF == 0: // known as well as can be
		return others
	}
	n, of := float64(f.Scatter.Runs-1), others.DF
	return shrink.Part{Var: (n*own.Var + of*others.Var) / (n + of), DF: n + of}
}

// betweenInserts is the lot's own variance between inserts of a run, without
// the gauges, share of length squared.
func (f AxisFit) betweenInserts() float64 {
	switch s := f.Scatter; {
	case !math.IsNaN(s.Between):
		return sq(s.Between)
	case math.IsNaN(s.Gauge):
		return sq(s.All)
	default:
		return max(0, sq(s.All)-sq(s.Gauge))
	}
}

// pooledForPiece is the same of a lot that says too little by itself.
func (f AxisFit) pooledForPiece() (shrink.Factor, shrink.Scatter, bool) {
	p := f.Pooled
	if !f.Known() {
		p = f.Untried
	}
	if p.Lots == 0 || math.IsNaN(f.OtherRuns.Var) || math.IsNaN(f.OtherInserts.Var) {
		return shrink.Factor{}, shrink.Scatter{}, false
	}
	factor := shrink.Factor{S: p.S, VarS: p.Var, DF: p.DF}
	if math.IsInf(p.DF, 1) {
		factor.DF = 0 // as good as known
	}
	by := shrink.Scatter{Insert: f.OtherInserts, Run: f.OtherRuns, Sintered: shrink.Part{Var: sq(sinteredU(f.Pairs) / 2)}}
	return factor, by, true
}

// sinteredU is the expanded uncertainty of the gauges that the lot's sintered
// lengths were read with, root mean square, mm; 0 where it is not known.
func sinteredU(pairs []*LengthPair) float64 {
	sum := 0.0
	for _, p := range pairs {
		sum += sq(p.SinteredU)
	}
	if len(pairs) == 0 {
		return 0
	}
	return math.Sqrt(sum / float64(len(pairs)))
}
