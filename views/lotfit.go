package views

import (
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
		method := shop.Measured
		if !a.Sure() {
			method = shop.OwnRuns
		}
		for column, text := range map[string]string{"": a.Axis, "s": plain3(100 * a.S), "k": strconv.FormatFloat(k, 'f', 4, 64), "low": plain3(100 * a.Lo), "high": plain3(100 * a.Hi),
			"n": strconv.Itoa(a.Count()), "method": method} {
			q.Set(Cell("lines", n, column), text)
		}
		basis = append(basis, fmt.Sprintf("%s: %s. %s %s", a.Axis, a.countWords(), a.method(), a.runsWords()))
	}
	if basis == nil {
		return ""
	}
	q.Set("basis", strings.Join(basis, "\n"))
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
	count := "counts"
	if len(p.Fit.Aside) > 1 {
		count = "count"
	}
	return fmt.Sprintf("%s %s along no axis: the orientation of the release (%q for %s) does not say how the part stood. Write it as: +Z up, X along the machine X.", plural(len(p.Fit.Aside), "length"), count, first.Orientation, first.Piece)
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
	if a.Bounded() {
		return stateItem("cannot be told yet", "todo")
	}
	return stateItem("measure more", "todo")
}

// percents are s and its interval, in percent of the green length.
func (a AxisFit) percents() (s, span string) {
	d, _ := a.Places()
	s = Number(100*a.S, d) + " %"
	switch {
	case !a.Known():
		return notKnown, ""
	case !a.Bounded():
		return s, notKnown
	case !a.Sure():
		return s, "none: " + a.theseRuns() + " only"
	}
	return s, Number(100*a.Lo, d) + " to " + Number(100*a.Hi, d)
}

// theseRuns are those that an interval without the scatter between runs is of.
func (a AxisFit) theseRuns() string {
	if a.Scatter.Runs == 1 {
		return "within this run"
	}
	return "within these runs"
}

func (a AxisFit) factor() string {
	if !a.Known() {
		return ""
	}
	return a.kText(a.Line.K())
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
	if !a.Bounded() {
		return strings.TrimSpace(a.NoNumber + " " + a.NoInterval)
	}
	k, lo, hi := a.K()
	in := a.InForce.K.Text
	say := "the lengths say " + a.factor() + ", " + a.between(lo, hi)
	if !a.Sure() {
		say += " " + a.theseRuns() + " only"
	}
	switch a.Advice() {
	case shop.AdvicePropose:
		return "No factor is in force: " + say + ". " + a.unsureWords()
	case shop.AdviceMeasure:
		return a.openWords(say)
	case shop.AdviceKeep:
		keep := fmt.Sprintf("Keep %s: %s, and all of that is within %s of it.", in, say, Number(shop.FactorBand, 4))
		if a.Chasing().Wins() {
			return keep + " But its runs follow each other: see below under Chasing it."
		}
		return keep + " What differs from it is noise between pieces and runs."
	}
	off := 1000 * (a.InForce.K.Value()/k - 1)
	long := "long"
	if off < 0 {
		long = "short"
	}
	return fmt.Sprintf("Change it to %s: the factor in force, %s, lies outside of what the lengths leave possible, %s. By it parts come out %s µm/mm %s.", a.factor(), in, a.between(lo, hi), Number(math.Abs(off), 1), long)
}

// openWords say why nobody can tell yet whether the factor in force is right, and
// what would.
func (a AxisFit) openWords(say string) string {
	if !a.Sure() {
		return "Cannot be told yet: " + say + ". " + a.unsureWords()
	}
	open := fmt.Sprintf("Cannot be told yet: %s. That covers the factor in force, %s, and also what is more than %s off. ", say, a.InForce.K.Text, Number(shop.FactorBand, 4))
	if a.Chasing().Follows {
		open += "Its runs follow each other: look first for what drifts. "
	}
	m := a.More()
	var ways []string
	if m.Pieces > 0 {
		ways = append(ways, plural(m.Pieces, "length")+" more out of the same runs")
	}
	if m.Runs > 0 {
		ways = append(ways, fmt.Sprintf("%s more with %s each", plural(m.Runs, "run"), plural(m.PerRun, "length")))
	}
	if ways == nil {
		return open + "By the scatter so far not even a dozen runs more would tell: look first for what makes them differ."
	}
	return open + "Measure more: by the scatter so far about " + strings.Join(ways, " would do, or ") + " would do."
}

// unsureWords say what is missing where nobody knows how runs differ; "" where
// somebody does.
func (a AxisFit) unsureWords() string {
	if a.Sure() {
		return ""
	}
	m := a.More()
	return fmt.Sprintf("By how much furnace runs differ is not known in this shop, and these may be odd ones: measure %s each in %s more.", plural(m.PerRun, "length"), plural(m.Runs, "run"))
}

// between says from where to where a factor may lie.
func (a AxisFit) between(lo, hi float64) string {
	if math.IsNaN(hi) {
		return "from " + a.kText(lo) + " up, with no upper end since the lengths scatter too much"
	}
	return "from " + a.kText(lo) + " to " + a.kText(hi)
}

// kText writes a factor to the decimals that the interval supports.
func (a AxisFit) kText(k float64) string {
	if math.IsNaN(k) {
		return notKnown
	}
	_, d := a.Places()
	return Number(k, d)
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
	if a.Bounded() {
		facts = append(facts, Fact{Name: "Furnace runs", Value: a.runsWords()})
	}
	if lo, hi, err := a.Plain.Interval(shop.FitConfidence); err == nil && a.Bounded() {
		facts = append(facts, Fact{Name: "The pieces alone", Value: a.span(a.Plain.S(), lo, hi) + ", as if runs did not differ"})
	}
	if a.ByRun.N > 2 && !a.OneLength {
		facts = append(facts, Fact{Name: "The runs as the sample", Value: a.span(a.ByRun.S, a.ByRun.Lo, a.ByRun.Hi) + ", " + plural(a.ByRun.N, "run") + ", the constant part taken as none"})
	}
	if a.OtherLots > 0 {
		facts = append(facts, Fact{Name: "Pooled", Value: a.pooledWords()})
	}
	facts = append(facts, Fact{Name: "Scatter of a length", Value: a.scatterWords()})
	for _, by := range []struct {
		name  string
		means []shop.GroupMean
	}{{"Mean error by run, µm/mm (lengths)", a.RunMeans()}, {"Mean error by furnace place, µm/mm (lengths)", a.PlaceMeans()}} {
		if len(by.means) > 1 {
			facts = append(facts, Fact{Name: by.name, Value: meansWords(by.means)})
		}
	}
	if c := a.Chasing(); !math.IsNaN(c.Kept) {
		facts = append(facts, Fact{Name: "Chasing it", Value: chaseWords(c)})
	}
	if n := len(a.Apart); n > 0 {
		facts = append(facts, Fact{Name: "Stand apart", Value: a.apartWords()})
	}
	return facts
}

// chaseWords say what setting the factor anew after each run would do.
func chaseWords(c shop.Chase) string {
	spread := fmt.Sprintf("The mean errors of %s spread by %s µm/mm (sd) with one factor for all. Had each run been given the factor that the one before asked for, it would be %s µm/mm.", plural(c.Runs, "run"), Number(1000*c.Kept, 2), Number(1000*c.Chased, 2))
	const look = " Look for it in runs, places and machine."
	switch {
	case c.Wins() && c.Follows:
		return spread + " The errors follow each other more closely than chance explains: something drifts." + look
	case c.Wins():
		return spread + " The errors follow each other: something may drift, though so few runs may do so by chance." + look
	}
	return spread
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
	how := fmt.Sprintf("Sintered on green length, weights 1/green²; the constant part is %s ± %s µm", Micron(a.Line.A), Micron(half))
	if math.Abs(a.Line.A) <= half {
		return how + ", not told from none."
	}
	return how + ": consistent with a cutter's offset or a gauge's zero."
}

// runsWords say how the scatter between furnace runs got into the interval.
func (a AxisFit) runsWords() string {
	n := plural(a.Scatter.Runs, "run")
	switch a.Runs {
	case shop.RunsOwn:
		if a.OneLength {
			return "The interval has the runs as the sample: the means of " + n + "."
		}
		return "The interval has in it by how much its own " + n + " differ, estimated with the line."
	case shop.RunsOthers:
		return fmt.Sprintf("%s cannot tell how runs differ: the interval has in it what the shop's other lots say, %s µm/mm (sd), with Satterthwaite's degrees of freedom.", n, Number(1000*math.Sqrt(a.OtherRuns.Var), 2))
	}
	return fmt.Sprintf("%s cannot tell how runs differ, and no other lot of the shop has enough of them: the interval holds %s only.", n, a.theseRuns())
}

// span writes a shrinkage with its interval.
func (a AxisFit) span(s, lo, hi float64) string {
	d := shop.Places(100 * (hi - lo) / 2)
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
	return strings.Join([]string{part("about the line", s.All), part("between runs", s.BetweenRun), part("between inserts of a run", s.Between), part("gauges alone", s.Gauge)}, ", ") + " µm/mm (sd)"
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
		Title: fmt.Sprintf("%s %s: %s µm/mm at %s, %s", noun, p.Piece, Number(1000*a.ErrorOf(p), 2), p.Nominal, Day(p.At, a.Zone))}
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
		if r.N < 2 {
			continue // its one length stands there already
		}
		v := chart.Point{X: chart.Day(r.At, a.Zone), Y: 1000 * r.Mean, Low: 1000 * (r.Mean - r.Half), High: 1000 * (r.Mean + r.Half), Kind: "run", Href: PageOf("load", r.Of),
			Title: fmt.Sprintf("run %s: mean %s ± %s µm/mm of %s", r.Of, Number(1000*r.Mean, 2), Number(1000*r.Half, 2), plural(r.N, "length"))}
		xs, ys = append(xs, v.X), append(ys, v.Low, v.High)
		p.Points = append(p.Points, v)
	}
	p.Up = chart.Up("error, µm/mm", append(ys, 0)...)
	p.Across = chart.Days("read on", xs...)
	return p
}

// ErrorWords say what errors are reckoned by.
func (a AxisFit) ErrorWords() string {
	switch {
	case a.InForce.Seq != 0:
		return "Errors are by the factor in force, " + a.InForce.K.Text + ", and free of one that was mistyped."
	case a.Known():
		return "No factor is in force: errors are by " + a.factor() + ", which the lengths say, and free of a factor that was mistyped."
	}
	return "Errors are those against the drawing: there is no factor to reckon by."
}

// shownMeans is how many runs or places are listed with their mean error.
const shownMeans = 12

// meansWords are mean errors by run or by place in the furnace: what the lengths
// alone do not tell from the factor.
func meansWords(means []shop.GroupMean) string {
	rest := ""
	if n := len(means) - shownMeans; n > 0 {
		means, rest = means[n:], fmt.Sprintf("; %s before", Whole(n))
	}
	var of []string
	for _, m := range means {
		one := m.Of + ": " + Number(1000*m.Mean, 2)
		if m.N > 1 {
			one += " ± " + Number(1000*m.Half, 2)
		}
		of = append(of, fmt.Sprintf("%s (%s)", one, Whole(m.N)))
	}
	return strings.Join(of, ", ") + rest
}

// LengthTitle says what is folded away.
func (a AxisFit) LengthTitle() string {
	pairs, _ := a.newest()
	return plural(len(pairs), "length") + ", one by one"
}

// LengthList is the table behind the pictures, the newest first.
func (a AxisFit) LengthList() Listing {
	l := Listing{Name: "Lengths along " + a.Axis, Columns: columnsOf("Piece", "Of", "Axis drawn, built", "#Green", "#Sintered", "#s, %", "#Error, µm/mm", "Gauge", "Run, place, lying", "Read")}
	pairs, errs := a.newest()
	for i := len(pairs) - 1; i >= 0; i-- {
		p := pairs[i]
		kind := "insert"
		if p.Coupon {
			kind = "coupon"
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink(kind, p.Piece), code(p.Number), code(p.Drawn + ", " + p.Axis), words(p.Green.String()), words(p.Sintered.String()), words(Number(100*p.Shrinkage(), 3)),
			words(Number(1000*errs[i], 2)), code(p.Gauge), code(laidAs(p)), code(Day(p.At, a.Zone))}})
	}
	return l
}

// laidAs is where a piece was sintered, and how it lay there.
func laidAs(p *shop.LengthPair) string {
	at := strings.TrimSpace(p.Load + " " + p.Position)
	if p.Lying != "" {
		at += ", " + p.Lying
	}
	return at
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
	const grows = "consistent with the factor, the furnace or the machine's scale"
	switch {
	case cause.ScaleTold && cause.ConstantTold:
		return both + "Part of the error grows with the length, and part does not: " + grows + ", and besides with a cutter's offset or a gauge's zero."
	case cause.ScaleTold:
		return both + "The error grows with the length: " + grows + "; not with a cutter's offset or a gauge's zero. Runs and furnace places stand above."
	case cause.ConstantTold:
		return both + "The error does not grow with the length: consistent with a cutter's offset or a gauge's zero; not with the factor, the furnace or the machine's scale."
	}
	if cause.Off {
		return both + "Something is off, but which of the two cannot be told: a longer and a shorter length are missing."
	}
	return both + "Neither is told from none."
}

func halfOf(r shrink.Ranged) float64 { return (r.Hi - r.Lo) / 2 }
