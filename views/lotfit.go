package views

import (
	"cmp"
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"
	"time"

	"sinterbook/store/calc/shrink"
	"sinterbook/store/shop"
	"sinterbook/views/chart"
)

// LotFit is what the lengths of a lot say of its shrinkage, axis by axis.
type LotFit struct {
	Lot     string
	Fit     shop.LotFit
	Zone    *time.Location
	Propose bool   // this person may propose factors
	Style   string // address of the style of its pictures
}

// shownLengths is how many lengths a picture and its table show; a fit rests on
// all.
const shownLengths = 200

// AxisFit is one axis of it.
type AxisFit struct {
	shop.AxisFit
	Lot  string
	Zone *time.Location
}

// Axes are the axes of the build.
func (p LotFit) Axes() []AxisFit {
	axes := make([]AxisFit, len(p.Fit.Axes))
	for i, f := range p.Fit.Axes {
		axes[i] = AxisFit{f, p.Lot, p.Zone}
	}
	return axes
}

// ProposeHref is the form for proposing the factors that are to be changed or
// put into force, filled in; "" where there is none.
func (p LotFit) ProposeHref() string {
	q := url.Values{"lot": {p.Lot}}
	var basis []string
	for _, a := range p.Axes() {
		if what := a.Advice(); what != shop.AdviceChange && what != shop.AdvicePropose {
			continue
		}
		n := len(basis) + 1
		k, _, _ := a.K()
		for column, text := range map[string]string{"": a.Axis, "s": plain3(100 * a.S), "k": strconv.FormatFloat(k, 'f', 4, 64), "low": plain3(100 * a.Lo), "high": plain3(100 * a.Hi),
			"n": strconv.Itoa(a.Count()), "method": shop.Measured} {
			q.Set(Cell("lines", n, column), text)
		}
		basis = append(basis, fmt.Sprintf("%s: %s", a.Axis, a.countWords()))
	}
	if basis == nil {
		return ""
	}
	q.Set("basis", "Sintered on green length, weighted least squares, weights 1/green². "+strings.Join(basis, "; ")+".")
	return "/new/factor?" + q.Encode()
}

// plain3 writes a number as a person types it.
func plain3(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }

// AsideWords say which lengths count along no axis.
func (p LotFit) AsideWords() string {
	if len(p.Fit.Aside) == 0 {
		return ""
	}
	first := p.Fit.Aside[0]
	return fmt.Sprintf("%d lengths count along no axis: the orientation of the release (%q for %s) does not say how the part stood. Write it as: +Z up, X along the machine X.", len(p.Fit.Aside), first.Orientation, first.Piece)
}

// SummaryList is a line an axis.
func (p LotFit) SummaryList() Listing {
	l := Listing{Name: "Shrinkage of " + p.Lot, Columns: columnsOf("Axis", "#Shrinkage s", "#95 % interval", "#Oversize k", "#Lengths", "#k in force", "What to do")}
	for _, a := range p.Axes() {
		s, span := a.percents()
		l.Rows = append(l.Rows, Row{Stopped: a.Advice() == shop.AdviceChange, Cells: []Item{
			{Text: a.Axis, Href: "#fit-" + a.Axis, Code: true}, words(s), words(span), words(a.factor()), words(Whole(a.Count())), words(a.inForce()), a.adviceItem()}})
	}
	return l
}

func (a AxisFit) adviceItem() Item {
	switch a.Advice() {
	case shop.AdviceKeep:
		return stateItem("keep the factor", "done")
	case shop.AdviceChange:
		return stateItem("change the factor", "stopped")
	case shop.AdvicePropose:
		return stateItem("propose a factor", "open")
	}
	return stateItem("measure more", "todo")
}

// decimals are as many as an interval supports: the last one is worth at most
// half of its half width.
func decimals(half float64) int {
	if math.IsNaN(half) || half <= 0 {
		return 2
	}
	return max(0, min(5, int(math.Ceil(-math.Log10(half/2)))))
}

// percents are s and its interval, in percent of the green length.
func (a AxisFit) percents() (s, span string) {
	switch {
	case !a.Known():
		return notKnown, ""
	case !a.Bounded():
		return Number(100*a.S, 2) + " %", notKnown
	}
	d := decimals(100 * (a.Hi - a.Lo) / 2)
	return Number(100*a.S, d) + " %", Number(100*a.Lo, d) + " to " + Number(100*a.Hi, d)
}

func (a AxisFit) factor() string {
	k, lo, hi := a.K()
	switch {
	case !a.Known():
		return ""
	case !a.Bounded():
		return Number(k, 3)
	}
	return Number(k, decimals((hi-lo)/2))
}

func (a AxisFit) inForce() string {
	if a.InForce.Seq == 0 {
		return "none"
	}
	return a.InForce.K.Text
}

// Title heads the axis.
func (a AxisFit) Title() string { return "Along " + a.Axis + " of the build" }

// ID is the place on the page that the summary leads to.
func (a AxisFit) ID() string { return "fit-" + a.Axis }

// Unfolded reports whether it is shown at once: where something is to be done.
func (a AxisFit) Unfolded() bool { return a.Advice() == shop.AdviceChange }

// AdviceWords say what to do, and why.
func (a AxisFit) AdviceWords() string {
	k, lo, hi := a.K()
	switch a.Advice() {
	case shop.AdviceMeasure:
		return cmp.Or(strings.TrimSpace(a.NoNumber+" "+a.NoInterval), "The lengths are of one furnace run, which may be an odd one, and by how much runs differ is not known: measure coupons of another run before the factor is changed.")
	case shop.AdvicePropose:
		return fmt.Sprintf("No factor is in force. The lengths say %s, from %s to %s.", a.factor(), a.kText(lo), a.kText(hi))
	case shop.AdviceKeep:
		return fmt.Sprintf("Keep %s: the lengths say %s, from %s to %s. What differs from it is noise between pieces or runs.", a.InForce.K.Text, a.factor(), a.kText(lo), a.kText(hi))
	}
	off := 1000 * (a.InForce.K.Value()/k - 1)
	long := "long"
	if off < 0 {
		long = "short"
	}
	return fmt.Sprintf("Change it to %s, from %s to %s: the factor in force, %s, lies outside, and parts come out %s µm/mm %s.", a.factor(), a.kText(lo), a.kText(hi), a.InForce.K.Text, Number(math.Abs(off), 1), long)
}

func (a AxisFit) kText(k float64) string {
	_, lo, hi := a.K()
	return Number(k, decimals((hi-lo)/2))
}

// Facts are what the fit rests on.
func (a AxisFit) Facts() []Fact {
	if len(a.Crossed) > 0 {
		return append(a.facts(), Fact{Name: "Look at", Value: a.names(a.Crossed) + ": longer green than another, and not longer sintered. Was one read wrongly, or were two pieces exchanged?"})
	}
	return a.facts()
}

func (a AxisFit) facts() []Fact {
	if lo, hi, err := a.Untried.Interval(shop.FitConfidence); len(a.Pairs) == 0 && a.OtherLots > 0 && err == nil {
		return []Fact{{Name: "By the shop's other lots", Value: a.span(a.Untried.S, lo, hi) + ": what a lot may be of which nothing was measured, by " + plural(a.OtherLots, "lot")}}
	}
	if !a.Known() {
		return nil
	}
	facts := []Fact{{Name: "Lengths", Value: a.countWords()}, {Name: "How", Value: a.method()}}
	if a.ByRun.N > 0 {
		facts = append(facts, Fact{Name: "With the runs as the sample", Value: a.span(a.ByRun.S, a.ByRun.Lo, a.ByRun.Hi) + ", " + plural(a.ByRun.N, "run")})
	}
	if line, _, ok := a.WithRuns(); ok {
		if lo, hi, err := line.Interval(shop.FitConfidence); err == nil {
			facts = append(facts, Fact{Name: "With the runs in the scatter", Value: a.span(line.S(), lo, hi)})
		}
	}
	if a.OtherLots > 0 {
		facts = append(facts, Fact{Name: "Pooled", Value: a.pooledWords()})
	}
	facts = append(facts, Fact{Name: "Scatter of a length", Value: a.scatterWords()})
	if kept, chased := a.Chasing(); !math.IsNaN(kept) {
		facts = append(facts, Fact{Name: "Chasing it", Value: fmt.Sprintf("The spread is %s µm/mm with one factor for all. Had each piece been given the factor that the one before asked for, it would be %s µm/mm.", Number(1000*kept, 2), Number(1000*chased, 2))})
	}
	if n := len(a.Apart); n > 0 {
		facts = append(facts, Fact{Name: "Stand apart", Value: a.apartWords()})
	}
	return facts
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return Whole(n) + " " + noun + "s"
}

func (a AxisFit) countWords() string {
	coupons := 0
	for _, p := range a.Pairs {
		if p.Coupon {
			coupons++
		}
	}
	var of []string
	if n := a.Count() - coupons; n > 0 {
		of = append(of, plural(n, "insert"))
	}
	if coupons > 0 {
		of = append(of, plural(coupons, "coupon"))
	}
	return strings.Join(of, " and ") + ", in " + plural(a.Scatter.Runs, "run")
}

func (a AxisFit) method() string {
	if a.OneLength {
		return "All lengths are alike: shrinkage cannot be told from a constant error. The constant error is taken as none."
	}
	if !a.Bounded() {
		return "Sintered on green length, weights 1/green²."
	}
	half := a.ConstantHalf()
	constant := fmt.Sprintf("the constant part is %s ± %s µm", Micron(a.Line.A), Micron(half))
	if math.Abs(a.Line.A) <= half {
		return "Sintered on green length, weights 1/green²; " + constant + ", not told from none."
	}
	return "Sintered on green length, weights 1/green²; " + constant + ": look at cutter and gauge."
}

// span writes a shrinkage with its interval.
func (a AxisFit) span(s, lo, hi float64) string {
	d := decimals(100 * (hi - lo) / 2)
	return fmt.Sprintf("%s %% [%s, %s]", Number(100*s, d), Number(100*lo, d), Number(100*hi, d))
}

func (a AxisFit) pooledWords() string {
	lo, hi, err := a.Pooled.Interval(shop.FitConfidence)
	if err != nil {
		return notKnown
	}
	return fmt.Sprintf("%s. The lot's own lengths count %s %%, the other %s lots of the shop the rest: their mean is %s %%, and lots differ by %s points (sd).",
		a.span(a.Pooled.S, lo, hi), Number(100*a.Pooled.Weight, 0), Whole(a.OtherLots), Number(100*a.Pooled.Mean, 2), Number(100*math.Sqrt(a.Pooled.Tau2), 2))
}

func (a AxisFit) scatterWords() string {
	s := a.Scatter
	part := func(name string, v float64) string {
		if math.IsNaN(v) {
			return name + " " + notKnown
		}
		return name + " " + Number(1000*v, 2)
	}
	return strings.Join([]string{part("about the line", s.All), part("between runs", s.BetweenRun), part("between inserts of a run", s.Between), part("of that the gauges make", s.Gauge)}, ", ") + " µm/mm (sd)"
}

func (a AxisFit) apartWords() string {
	return a.names(a.Apart) + ": further from the line than chance explains. Counted all the same."
}

func (a AxisFit) names(of []int) string {
	var names []string
	for _, i := range of {
		names = append(names, a.Pairs[i].Piece)
	}
	return strings.Join(names, ", ")
}

// newest are the lengths that are shown, with their errors.
func (a AxisFit) newest() ([]*shop.LengthPair, []float64) {
	errs := a.Errors()
	if errs == nil {
		return nil, nil
	}
	from := max(0, len(a.Pairs)-shownLengths)
	return a.Pairs[from:], errs[from:]
}

// ShownWords say how many of the lengths are shown, where it is not all.
func (a AxisFit) ShownWords() string {
	if a.Count() <= shownLengths {
		return ""
	}
	return fmt.Sprintf("The newest %s of %s lengths are shown; the numbers rest on all.", Whole(shownLengths), Whole(a.Count()))
}

func (a AxisFit) isApart(p *shop.LengthPair) bool {
	for _, i := range a.Apart {
		if a.Pairs[i].Piece == p.Piece && a.Pairs[i].Number == p.Number {
			return true
		}
	}
	return false
}

func (a AxisFit) point(p *shop.LengthPair, x, y float64) chart.Point {
	kind, noun := "insert", "insert"
	if p.Coupon {
		kind, noun = "coupon", "coupon"
	}
	if a.isApart(p) {
		kind = "apart"
	}
	return chart.Point{X: x, Y: y, Kind: kind, Href: PageOf(noun, p.Piece),
		Title: fmt.Sprintf("%s %s: %s µm/mm at %s, %s", noun, p.Piece, Number(1000*p.ErrorFreeOfSlip(a.InForce.K.Value()), 2), p.Nominal, Day(p.At, a.Zone))}
}

// ByLength is the picture of error against length: a scale error grows with
// the length, a constant one does not.
func (a AxisFit) ByLength() chart.Plot {
	pairs, errs := a.newest()
	var xs, ys []float64
	p := chart.Plot{Name: "Length error against length along " + a.Axis + " of lot " + a.Lot}
	for i, pair := range pairs {
		x, y := pair.Nominal.Value(), 1000*errs[i]*pair.Nominal.Value()
		xs, ys = append(xs, x), append(ys, y)
		p.Points = append(p.Points, a.point(pair, x, y))
	}
	p.Across = chart.Across("length, mm", append(xs, 0)...)
	if cause, ok := a.Cause(); ok {
		at := func(x float64) float64 { return 1000 * (cause.Constant.Value + cause.Scale.Value*x) }
		line := chart.Line{Kind: "fit", X: []float64{p.Across.Low, p.Across.High}, Y: []float64{at(p.Across.Low), at(p.Across.High)}}
		ys, p.Lines = append(ys, line.Y...), []chart.Line{line}
	}
	p.Up = chart.Up("error, µm", append(ys, 0)...)
	return p
}

// ByTime is the picture of error against time, with the mean of each run and
// its interval.
func (a AxisFit) ByTime() chart.Plot {
	pairs, errs := a.newest()
	var xs, ys []float64
	p := chart.Plot{Name: "Length error against time along " + a.Axis + " of lot " + a.Lot}
	for i, pair := range pairs {
		x, y := chart.Day(pair.At, a.Zone), 1000*errs[i]
		xs, ys = append(xs, x), append(ys, y)
		p.Points = append(p.Points, a.point(pair, x, y))
	}
	for _, r := range a.RunMeans() {
		v := chart.Point{X: chart.Day(r.At, a.Zone), Y: 1000 * r.Mean, Low: 1000 * (r.Mean - r.Half), High: 1000 * (r.Mean + r.Half), Kind: "run", Href: PageOf("load", r.Load),
			Title: fmt.Sprintf("run %s: mean %s ± %s µm/mm of %s", r.Load, Number(1000*r.Mean, 2), Number(1000*r.Half, 2), plural(r.N, "length"))}
		xs, ys = append(xs, v.X), append(ys, v.Low, v.High)
		p.Points = append(p.Points, v)
	}
	p.Up = chart.Up("error, µm/mm", append(ys, 0)...)
	p.Across = chart.Days("read on", xs...)
	return p
}

// LengthTitle says what is folded away behind the pictures.
func (a AxisFit) LengthTitle() string {
	pairs, _ := a.newest()
	return "The " + plural(len(pairs), "length") + " behind the pictures"
}

// LengthList is the table behind the pictures, the newest first.
func (a AxisFit) LengthList() Listing {
	l := Listing{Name: "Lengths along " + a.Axis, Columns: columnsOf("Piece", "Of", "#Green", "#Sintered", "#s, %", "#Error, µm/mm", "Gauge", "Run, place", "Read")}
	pairs, errs := a.newest()
	for i := len(pairs) - 1; i >= 0; i-- {
		p := pairs[i]
		kind := "insert"
		if p.Coupon {
			kind = "coupon"
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink(kind, p.Piece), code(p.Number), words(p.Green.String()), words(p.Sintered.String()), words(Number(100*p.Shrinkage(), 3)),
			words(Number(1000*errs[i], 2)), code(p.Gauge), code(strings.TrimSpace(p.Load + " " + p.Position)), code(Day(p.At, a.Zone))}})
	}
	return l
}

// CauseWords say whether what is off grows with the length.
func (a AxisFit) CauseWords() string {
	cause, ok := a.Cause()
	if !ok {
		return "With one length a scale error (the factor) cannot be told from a constant one (cutter or gauge)."
	}
	scale := fmt.Sprintf("Scale %s ± %s µm/mm", Number(1000*cause.Scale.Value, 2), Number(1000*halfOf(cause.Scale), 2))
	constant := fmt.Sprintf("constant %s ± %s µm", Micron(cause.Constant.Value), Micron(halfOf(cause.Constant)))
	both := scale + ", " + constant + ". "
	switch {
	case cause.ScaleTold && cause.ConstantTold:
		return both + "Both are told from none: the factor is off, and so is a cutter or a gauge."
	case cause.ScaleTold:
		return both + "The error grows with the length: it is the factor, not cutter or gauge."
	case cause.ConstantTold:
		return both + "The error does not grow with the length: look at cutter and gauge, not at the factor."
	}
	if cause.Off {
		return both + "Something is off, but which of the two cannot be told: a longer and a shorter length are missing."
	}
	return both + "Neither is told from none."
}

func halfOf(r shrink.Ranged) float64 { return (r.Hi - r.Lo) / 2 }
