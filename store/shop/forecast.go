package shop

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"sinterbook/store/calc/shrink"
)

// A Forecast is what a green size will become in the furnace, and how sure
// that is.
type Forecast struct {
	Of     Characteristic
	Green  GreenSize
	Axis   string  // of the build, along which it shrinks
	Size   float64 // mm
	Lo, Hi float64 // in which it will lie with 95 %; NaN where nobody can tell
	Chance float64 // that it comes out within its limits; NaN where nobody can tell
	Aim    float64 // green size that becomes the nominal, mm
	Why    string  // why there is none, "" where there is one
	ByFit  bool    // by the lot's lengths; else by the factor in force alone
}

// A Green is what a forecast takes: the piece, what is known of its lots, and
// when.
type Green struct {
	Insert          string
	Characteristics []Characteristic
	Sizes           []GreenSize // that stand, the newest first
	Release         Release
	Layers          int // of the print
	Fits            []LotFit
	Factors         []Factor
	At              time.Time
}

// Forecasts are those of every length along an axis that has limits.
func (g Green) Forecasts() []Forecast {
	var all []Forecast
	shares := g.Release.LotShares(max(g.Layers, 1))
	for _, c := range g.Characteristics {
		if c.Kind != Length || c.Axis == "" || !c.Lower.Taken() && !c.Upper.Taken() {
			continue
		}
		all = append(all, g.forecast(c, shares))
	}
	return all
}

func (g Green) forecast(c Characteristic, shares map[string]float64) Forecast {
	nan := math.NaN()
	f := Forecast{Of: c, Axis: BuildAxis(g.Release.Orientation, c.Axis), Lo: nan, Hi: nan, Chance: nan}
	if f.Axis == "" {
		f.Axis = c.Axis // as it is drawn, where nobody said otherwise
	}
	at := slices.IndexFunc(g.Sizes, func(s GreenSize) bool { return s.Axis == c.Axis })
	if at < 0 {
		f.Why = fmt.Sprintf("The green size of %s in %s was not measured: %s cannot be predicted.", g.Insert, c.Axis, c.Number)
		return f
	}
	f.Green = g.Sizes[at]
	if g.byLengths(&f, shares) {
		return f
	}
	mm, missing := Predicted(f.Green.Size, f.Axis, shares, g.Factors, g.At)
	if missing != "" {
		f.Why = fmt.Sprintf("No factor of lot %s in %s is in force: %s cannot be predicted.", missing, f.Axis, c.Number)
		return f
	}
	f.Size, f.Aim = mm, c.Nominal.Value()*f.Green.Size.Value()/mm
	return f
}

// fewDegrees of freedom are too few to say a chance by: what a lot scatters is
// hardly known then (ours).
const fewDegrees = 3

// byLengths forecasts by what the lengths of the lots say; false where a lot
// has too few.
func (g Green) byLengths(f *Forecast, shares map[string]float64) bool {
	var of []shrink.Factor
	var each []float64
	by := shrink.Scatter{Green: shrink.Part{Var: sq(f.Green.U / 2)}}
	for _, lot := range g.Release.Lots() {
		if shares[lot] == 0 {
			continue
		}
		factor, scatter, ok := g.fit(lot, f.Axis).forPiece()
		if !ok {
			return false
		}
		of, each = append(of, factor), append(each, shares[lot])
		addScatter(&by, scatter, shares[lot])
	}
	mixed, err := shrink.Mixed(each, of)
	if err != nil {
		return false
	}
	p, err := shrink.PredictGreen(f.Green.Size.Value(), mixed, by)
	if err != nil {
		return false
	}
	lower, upper := math.Inf(-1), math.Inf(1)
	if f.Of.Lower.Taken() {
		lower = f.Of.Lower.Value()
	}
	if f.Of.Upper.Taken() {
		upper = f.Of.Upper.Value()
	}
	f.ByFit, f.Size, f.Chance = true, p.Size, p.Good(lower, upper)
	f.Aim = (f.Of.Nominal.Value() - mixed.A) / (1 - mixed.S)
	if f.Lo, f.Hi, err = p.Interval(FitConfidence); err != nil {
		f.Lo, f.Hi = math.NaN(), math.NaN()
	}
	return true
}

func (g Green) fit(lot, axis string) AxisFit {
	for _, l := range g.Fits {
		for _, a := range l.Axes {
			if l.Lot == lot && a.Axis == axis {
				return a
			}
		}
	}
	return AxisFit{NoNumber: "not measured"}
}

// forPiece is what a lot says of one more piece: its line, and what makes one
// piece differ from it; false where nobody can say how sure that is. A lot with
// too few lengths is pooled with the shop's other lots, and takes its scatter
// from them; so does one whose runs are too few to tell how runs differ.
func (f AxisFit) forPiece() (shrink.Factor, shrink.Scatter, bool) {
	sintered := shrink.Part{Var: sq(sinteredU(f.Pairs) / 2)}
	if line, by, ok := f.WithRuns(); ok && line.DF >= fewDegrees {
		factor, err := line.Factor()
		by.Sintered = sintered
		return factor, by, err == nil
	}
	if s := f.Scatter; f.Bounded() && f.Line.DF >= fewDegrees && (s.Runs >= fewRuns || !math.IsNaN(f.OtherRuns)) {
		factor, err := f.Line.Factor()
		by := shrink.Scatter{Insert: shrink.Part{Var: f.betweenInserts(), DF: float64(max(1, f.Count()-s.Runs))}, Sintered: sintered}
		if by.Run = (shrink.Part{Var: sq(s.BetweenRun), DF: float64(s.Runs - 1)}); s.Runs < fewRuns || math.IsNaN(s.BetweenRun) {
			by.Run = shrink.Part{Var: f.OtherRuns}
		}
		return factor, by, !math.IsNaN(by.Run.Var) && err == nil
	}
	return f.pooledForPiece()
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
	if p.Lots == 0 || math.IsNaN(f.OtherRuns) || math.IsNaN(f.OtherInserts) {
		return shrink.Factor{}, shrink.Scatter{}, false
	}
	factor := shrink.Factor{S: p.S, VarS: p.Var, DF: p.DF}
	if math.IsInf(p.DF, 1) {
		factor.DF = 0 // as good as known
	}
	by := shrink.Scatter{Insert: shrink.Part{Var: f.OtherInserts}, Run: shrink.Part{Var: f.OtherRuns}, Sintered: shrink.Part{Var: sq(sinteredU(f.Pairs) / 2)}}
	return factor, by, true
}

// addScatter adds what a lot scatters by its share of the height.
func addScatter(by *shrink.Scatter, lot shrink.Scatter, share float64) {
	for _, p := range []struct{ sum, of *shrink.Part }{{&by.Insert, &lot.Insert}, {&by.Run, &lot.Run}, {&by.Sintered, &lot.Sintered}} {
		p.sum.Var += share * p.of.Var
		p.sum.DF += share * p.of.DF
	}
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

// Inside reports whether the size itself lies within the limits.
func (f Forecast) Inside() bool {
	return (!f.Of.Lower.Taken() || f.Size >= f.Of.Lower.Value()) && (!f.Of.Upper.Taken() || f.Size <= f.Of.Upper.Value())
}

// Good reports whether the chance that it comes out right is at least the one
// that the shop asks, in percent; where no chance is known, whether its size
// is inside.
func (f Forecast) Good(least float64) bool {
	switch {
	case f.Why != "":
		return false
	case math.IsNaN(f.Chance):
		return f.Inside()
	}
	return 100*f.Chance >= least-1e-9
}

// Sentence says what will become of it; least is the chance that is asked.
func (f Forecast) Sentence(insert string, least Limit) string {
	if f.Why != "" {
		return f.Why
	}
	will := fmt.Sprintf("%s in %s is %s green and will be about %.3f mm", insert, f.Of.Axis, f.Green.Size, f.Size)
	if math.IsNaN(f.Chance) {
		return fmt.Sprintf("%s; the limits of %s are %s. %s", will, f.Of.Number, f.Of.Limits(), f.remedy())
	}
	remedy := f.remedy()
	if f.Inside() {
		remedy = "Its size is inside, but the lot scatters too much to be sure. " + remedy
	}
	return fmt.Sprintf("%s, with 95 %% from %.3f to %.3f mm; the limits of %s are %s. The chance that it comes out right is %s, and %s is asked. %s",
		will, f.Lo, f.Hi, f.Of.Number, f.Of.Limits(), Chance(f.Chance), least.Value, remedy)
}

// Chance writes a probability so that it never says more than it is.
func Chance(p float64) string {
	switch {
	case p < 0.01:
		return "below 1 %"
	case p > 0.99:
		return "above 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// remedy says what can still be done with a green part.
func (f Forecast) remedy() string {
	off := f.Green.Size.Value() - f.Aim
	if off > 0 {
		return fmt.Sprintf("It can be shaped again while it is green: %.3f mm green becomes the nominal, %.3f mm less.", f.Aim, off)
	}
	return fmt.Sprintf("%.3f mm green would become the nominal, and nothing can be put on: measure it again, else make it anew.", f.Aim)
}

// GreenPredictsGood asks that each green size becomes a size within its limits,
// with the chance that the shop asks for.
var GreenPredictsGood = Gate{"green size predicts a good part", "the process engineer: shaping it again, drying on, or printing it anew", askGreen}

func askGreen(f Facts) string {
	if f.Insert.Insert == "" {
		return ""
	}
	var wrong []string
	for _, x := range f.Forecasts() {
		if !x.Good(f.Limit.Value.Value()) {
			wrong = append(wrong, x.Sentence(f.Insert.Insert, f.Limit))
		}
	}
	return strings.Join(wrong, " ")
}

// Forecasts are those of the insert by what is known of it.
func (f Facts) Forecasts() []Forecast {
	return Green{f.Insert.Insert, f.Characteristics, f.Greens, f.Release, f.Layers, f.Fits, f.Factors, f.AsOf()}.Forecasts()
}
