package shop

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
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
	Aim    float64 // green size with the best chance, mm
	Best   float64 // that chance, measured with the same gauge; NaN where nobody can tell
	Known  float64 // the same if the shrinkage of the lots were known exactly
	Lots   string  // that it rests on, in words
	Layers string  // lot in whose layers it comes out worst, where lots lie above each other; else ""
	Why    string  // why there is none, "" where there is one
	Unsure string  // why its chance is not known, "" where it is
	Wet    string  // why it is not dry through by its records; "" where nothing says so
	ByFit  bool    // by the lots' lengths; else by the factors in force
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
	Wet             string // why it is not dry through, "" where nothing says so
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
	f := Forecast{Of: c, Axis: BuildAxis(g.Release.Orientation, c.Axis), Lo: nan, Hi: nan, Chance: nan, Best: nan, Known: nan, Wet: g.Wet, Lots: Listed(g.Release.Lots())}
	if f.Axis == "" {
		f.Axis = c.Axis // as it is drawn, where nobody said otherwise
	}
	at := slices.IndexFunc(g.Sizes, func(s GreenSize) bool { return s.Axis == c.Axis })
	if at < 0 {
		f.Why = fmt.Sprintf("The green size of %s in %s was not measured: %s cannot be predicted.", g.Insert, c.Axis, c.Number)
		return f
	}
	f.Green = g.Sizes[at]
	ways, missing := g.ways(f.Axis, shares)
	if missing != "" {
		f.Why = fmt.Sprintf("No factor of lot %s in %s is in force: %s cannot be predicted.", missing, f.Axis, c.Number)
		return f
	}
	f.judge(ways)
	return f
}

// judge forecasts by the way that comes out worst, and finds the green size
// that would have come out best.
func (f *Forecast) judge(ways []way) {
	green := f.Green.Size.Value()
	worst := ways[0]
	for _, w := range ways[1:] {
		if f.worse(w, worst, green) {
			worst = w
		}
	}
	if len(ways) > 1 {
		f.Layers = worst.lot
	}
	p, err := worst.predict(green, f.Green.U)
	if err != nil { // numbers that are none
		worst.unsure = cmpOr(worst.unsure, sentenceCase(err.Error())+".")
	}
	f.Size, f.ByFit, f.Unsure = worst.factor.A+(1-worst.factor.S)*green, worst.byFit, worst.unsure
	f.Aim = f.best(ways)
	if f.Unsure != "" {
		return
	}
	f.Chance = f.chance(worst, green)
	f.Best, f.Known = f.least(ways, f.Aim), f.least(certain(ways), f.Aim)
	if lo, hi, err := p.Interval(FitConfidence); err == nil {
		f.Lo, f.Hi = lo, hi
	}
}

// worse reports whether a piece of a green size comes out worse one way than
// another: with a smaller chance, or further off where nobody knows a chance.
// What nobody can be sure of is worse than what somebody is.
func (f Forecast) worse(a, b way, green float64) bool {
	switch {
	case a.unsure == "" && b.unsure == "":
		return f.chance(a, green) < f.chance(b, green)
	case a.unsure == "" || b.unsure == "":
		return a.unsure != ""
	}
	off := func(w way) float64 { return math.Abs(w.greenFor(f.target(0)) - green) }
	return off(a) > off(b)
}

// chance that a green size comes out within the limits one way.
func (f Forecast) chance(w way, green float64) float64 {
	p, err := w.predict(green, f.Green.U)
	if err != nil {
		return 0
	}
	return p.Good(f.ends())
}

// least is the chance of a green size the way it comes out worst.
func (f Forecast) least(ways []way, green float64) float64 {
	least := 1.0
	for _, w := range ways {
		least = min(least, f.chance(w, green))
	}
	return least
}

// best is the green size whose chance is best. It lies between those that each
// way makes of the middle of the limits: from there on outwards it gets worse
// in all of them.
func (f Forecast) best(ways []way) float64 {
	lo, hi, sure := math.Inf(1), math.Inf(-1), true
	for _, w := range ways {
		aim := w.greenFor(f.target(w.sd(f.Of.Nominal.Value(), f.Green.U)))
		lo, hi, sure = min(lo, aim), max(hi, aim), sure && w.unsure == ""
	}
	for sure && hi-lo > 1e-5 {
		a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
		if f.least(ways, a) < f.least(ways, b) {
			lo = a
		} else {
			hi = b
		}
	}
	return (lo + hi) / 2
}

// inside is how many standard deviations a size keeps from its only limit where
// the nominal is nearer to it.
const inside = 2

// target is the size to aim at: the middle of the limits; of one limit alone
// the nominal, as long as that keeps clear of it.
func (f Forecast) target(sd float64) float64 {
	nominal := f.Of.Nominal.Value()
	switch lower, upper := f.ends(); {
	case math.IsInf(lower, -1):
		return min(nominal, upper-inside*sd)
	case math.IsInf(upper, 1):
		return max(nominal, lower+inside*sd)
	default:
		return (lower + upper) / 2
	}
}

// ends are the limits, mm; infinite where there is none.
func (f Forecast) ends() (lower, upper float64) {
	lower, upper = math.Inf(-1), math.Inf(1)
	if f.Of.Lower.Taken() {
		lower = f.Of.Lower.Value()
	}
	if f.Of.Upper.Taken() {
		upper = f.Of.Upper.Value()
	}
	return lower, upper
}

// Inside reports whether the size itself lies within the limits.
func (f Forecast) Inside() bool {
	lower, upper := f.ends()
	return lower <= f.Size && f.Size <= upper
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
	return enough(f.Chance, least)
}

// enough compares a chance with one in percent.
func enough(chance, least float64) bool { return 100*chance >= least-1e-9 }

// GreenPredictsGood asks that each green size becomes a size within its limits,
// with the chance that the shop asks for.
var GreenPredictsGood = Gate{"green size predicts a good part", "the process engineer, by shaping it again, drying it on or printing it anew, whichever helps; else the quality manager, by a deviation permit", askGreen}

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
	return Green{f.Insert.Insert, f.Characteristics, f.Greens, f.Release, f.Layers, f.Fits, f.Factors, f.AsOf(), f.notThrough()}.Forecasts()
}
