package views

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// A FactorSheet is what a lot's page says of its factors: those that are in
// force and were, what is proposed, along which axes it was measured, and what
// the factors in force do to open releases.
type FactorSheet struct {
	Lot       string
	Factors   []shop.Factor // oldest first
	Proposals []shop.Proposal
	Measured  []string // axes
	Touched   []TouchedRelease
	Greens    []GreenInsert
	Acts      []Link
	Now       time.Time
	Zone      *time.Location
}

// A TouchedRelease is an open release that some factors do not agree with.
type TouchedRelease struct {
	shop.Release
	Shifts  []shop.Shift
	Inserts []shop.Insert // planned or made to it, not sintered yet
	Coupons bool          // only coupons were printed by it
}

// A GreenInsert is one that was printed of the lot and is not sintered yet.
type GreenInsert struct {
	shop.Insert
	Given  shop.Release // factors that its machine was given
	Shifts []shop.Shift
}

// FactorPage is the page about a proposal of factors.
type FactorPage struct {
	Frame
	Proposal shop.Proposal
	InForce  []shop.Factor // of the lot, by axis
	Others   []shop.Factor // in force for other lots
	Fit      shop.LotFit   // what the lot's lengths say, by now or when it was decided
	Answer   string        // why it was proposed against them, "" where it was not
	Touched  []TouchedRelease
	Greens   []GreenInsert
	Zone     *time.Location
	Now      time.Time
	Approve  *Form // nil for those who may not, or once it is decided
	Drop     *Form // same
	DropAs   string
}

// FactorHref is the page of a proposal.
func FactorHref(proposal string) string { return PageOf("factor", proposal) }

// Unmeasured says along which axes the lot was not measured; "" where it was
// along all.
func (p FactorSheet) Unmeasured() string { return shop.UnmeasuredAxes(p.Lot, p.Measured) }

// List lists the factors, the newest first; those that are no more in force are
// past.
func (p FactorSheet) List() Listing {
	l := Listing{Name: "Factors", Empty: "No factor is in force yet.",
		Columns: columnsOf("Axis", "State", "#Shrinkage s", "#Oversize k", "How it was found", "From", "By", "Rests on")}
	for i := len(p.Factors) - 1; i >= 0; i-- {
		f := p.Factors[i]
		state := stateItem("superseded", "past")
		if in, ok := shop.FactorAt(p.Factors, f.Lot, f.Axis, p.Now); ok && in.Seq == f.Seq {
			state = stateItem("in force", "done")
		}
		by := code(f.By)
		if f.Proposal != "" {
			by = Item{Text: f.ProposedBy + ", " + f.By, Href: FactorHref(f.Proposal), Said: f.ProposedBy + ", " + f.By + ": proposal " + f.Proposal, Code: true}
		}
		l.Rows = append(l.Rows, Row{Past: state.Mark == "past", Cells: []Item{code(f.Axis), state, words(f.S.String()), words(f.K.Text), words(found(f)), code(Day(f.From, p.Zone)), by, words(f.Basis)}})
	}
	return l
}

// interval is that of the shrinkage, with 95 %.
func interval(f shop.Factor) string {
	if !f.Low.Taken() {
		return "none"
	}
	return f.Low.Text + " to " + f.High.String()
}

// goodTo are s and k to the decimals that the interval supports.
func goodTo(f shop.Factor) string {
	if !f.Low.Taken() || f.Method == shop.OwnRuns {
		return "not known"
	}
	s, k := f.Supported()
	return "s " + WithUnit(Number(f.S.Value(), s), "%") + ", k " + Number(f.K.Value(), k)
}

// how says how a factor was found.
func how(f shop.Factor) string {
	switch f.Method {
	case shop.Measured:
		return "measured, n " + Whole(f.N)
	case shop.OwnRuns:
		return "measured in its own runs, n " + Whole(f.N)
	case shop.Pooled:
		return "pooled towards the shop's lots, n " + Whole(f.N)
	case shop.OtherAxis:
		return "not measured: from " + f.TakenFrom
	}
	return "nobody said"
}

// found is how a factor was found, with its interval and what that supports.
func found(f shop.Factor) string {
	switch {
	case !f.Low.Taken():
		return how(f)
	case f.Method == shop.OwnRuns:
		return how(f) + "; from " + interval(f) + " within them, less sure than 95 % since nobody knows how far runs differ"
	}
	return how(f) + "; 95 % from " + interval(f) + ", good to " + goodTo(f)
}

// ProposalList lists what was proposed for the lot, the newest first.
func (p FactorSheet) ProposalList() Listing {
	l := Listing{Name: "Proposals", Empty: "Nothing was proposed yet.", Columns: columnsOf("Proposal", "State", "Factors", "Proposed", "Decided")}
	for i := len(p.Proposals) - 1; i >= 0; i-- {
		q := p.Proposals[i]
		var factors []string
		for _, line := range q.Lines {
			factors = append(factors, line.Axis+" "+line.K.Text)
		}
		decided := ""
		if q.State != shop.Waiting {
			decided = q.DecidedBy + " " + Stamp(q.DecidedAt, p.Zone)
		}
		l.Rows = append(l.Rows, Row{Past: q.State == shop.Withdrawn || q.State == shop.Refused, Cells: []Item{thingLink("factor", q.Proposal), stateItem(q.State, proposalMark(q.State)), code(strings.Join(factors, ", ")), code(q.By + " " + Stamp(q.At, p.Zone)), code(decided)}})
	}
	return l
}

func proposalMark(state string) string {
	switch state {
	case shop.Approved:
		return "done"
	case shop.Waiting:
		return "open"
	}
	return "past"
}

// touchedList lists open releases with what some factors do to them.
func touchedList(touched []TouchedRelease) Listing {
	l := Listing{Name: "Open releases that differ", Empty: "Every open release of the lot has these factors.", Columns: columnsOf("Release", "State", "What differs", "Inserts not sintered yet")}
	for _, t := range touched {
		state := stateItem("within "+Number(shop.FactorBand, 4), "open")
		switch {
		case t.Coupons:
			state = stateItem("printed coupons only", "past")
		case shop.Beyond(t.Shifts):
			state = stateItem("beyond "+Number(shop.FactorBand, 4), "stopped")
		case shop.Stopped(t.Shifts):
			state = stateItem("not the lot's", "stopped")
		}
		var says, inserts []string
		for _, s := range t.Shifts {
			says = append(says, s.Short())
		}
		for _, i := range t.Inserts {
			inserts = append(inserts, i.Insert+" ("+i.Status+")")
		}
		l.Rows = append(l.Rows, Row{Stopped: state.Mark == "stopped", Past: t.Coupons, Cells: []Item{thingLink("release", t.Release.Release), state, words(strings.Join(says, "; ")), words(cmp.Or(strings.Join(inserts, ", "), "none"))}})
	}
	return l
}

// greenList lists what was printed of the lot and is not sintered yet, by the
// release that it was printed by, whatever became of that since.
func greenList(greens []GreenInsert) Listing {
	l := Listing{Name: "Green inserts of the lot", Empty: "Nothing that was printed of the lot waits for the furnace.", Columns: columnsOf("Insert", "State", "Now", "Printed by", "#With k, X Y Z", "What differs")}
	for _, g := range greens {
		state := stateItem("agrees", "done")
		switch {
		case shop.Beyond(g.Shifts):
			state = stateItem("beyond "+Number(shop.FactorBand, 4), "stopped")
		case len(g.Shifts) > 0:
			state = stateItem("within "+Number(shop.FactorBand, 4), "open")
		}
		var says []string
		for _, s := range g.Shifts {
			says = append(says, s.Short())
		}
		l.Rows = append(l.Rows, Row{Stopped: state.Mark == "stopped", Cells: []Item{thingLink("insert", g.Insert.Insert), state, words(g.Status), thingLink("release", g.Given.Release),
			words(g.Given.KX.Text + " " + g.Given.KY.Text + " " + g.Given.KZ.Text), words(strings.Join(says, "; "))}})
	}
	return l
}

// greenAdvice says once what becomes of the green inserts that are listed.
func greenAdvice(greens []GreenInsert) string {
	if slices.ContainsFunc(greens, func(g GreenInsert) bool { return shop.Beyond(g.Shifts) }) {
		return "Another release changes nothing about what is made. Beyond " + Number(shop.FactorBand, 4) + " an insert is stopped before the furnace: judge its green sizes, then make it anew or let the quality manager decide."
	}
	return ""
}

// differing are those green inserts that the factors do not agree with.
func differing(greens []GreenInsert) []GreenInsert {
	return slices.DeleteFunc(slices.Clone(greens), func(g GreenInsert) bool { return len(g.Shifts) == 0 })
}

// touchedAdvice says once what to do about the releases that are listed.
func touchedAdvice(touched []TouchedRelease) string {
	some := func(is func([]shop.Shift) bool) bool {
		return slices.ContainsFunc(touched, func(t TouchedRelease) bool { return !t.Coupons && is(t.Shifts) })
	}
	var said []string
	if some(shop.Beyond) {
		said = append(said, "Beyond "+Number(shop.FactorBand, 4)+": draft another release in its place. A print by it is stopped, and the furnace for what was made by it.")
	}
	if some(slipped) {
		said = append(said, "Not the lot's: near enough, but another's or with digits swapped. "+slippedAdvice)
	}
	if some(func(shifts []shop.Shift) bool { return !shop.Stopped(shifts) }) {
		said = append(said, "Within: prints by it go on, and the next release takes the factor in force.")
	}
	return strings.Join(said, " ")
}

// LeftBehind names the signed releases of a lot that is released now by which no
// print may start; "" where there is none.
func LeftBehind(touched []TouchedRelease, at time.Time) string {
	var off []string
	for _, t := range touched {
		if t.Signed(at) && !t.Coupons && shop.Stopped(t.Shifts) {
			off = append(off, t.Release.Release)
		}
	}
	if len(off) == 0 {
		return ""
	}
	if more := len(off) - 3; more > 0 {
		off = append(off[:3], Whole(more)+" more")
	}
	return " Not by " + shop.Listed(off) + ": signed with other factors than the lot's, so that no print starts by it. Draft another in its place."
}

// slipped reports whether factors are near enough, and there by a slip.
func slipped(shifts []shop.Shift) bool { return shop.Stopped(shifts) && !shop.Beyond(shifts) }

const slippedAdvice = "Draft another in its place. A print by it is stopped; what was made by it goes on, since its factor is near enough."

// releaseAdvice says what to do about a release that differs from the lot's
// factors.
func releaseAdvice(shifts []shop.Shift) string {
	switch {
	case shop.Beyond(shifts):
		return "Draft another in its place. A print by it is stopped, and the furnace for what was made by it."
	case shop.Stopped(shifts):
		return slippedAdvice
	}
	return "Prints by it go on. The next release takes the factor in force."
}

// insertAdvice says what to do about an insert whose release, or whose print,
// differs.
func insertAdvice(i shop.Insert, shifts []shop.Shift) string {
	switch made := i.Status != shop.StatusOpened; {
	case made && shop.Beyond(shifts):
		return "It is made by that already and is stopped before the furnace: judge its green sizes, then make it anew or let the quality manager decide."
	case made:
		return "It may go on: the difference is within " + Number(shop.FactorBand, 4) + ", and its sizes are predicted by the factor in force."
	case shop.Stopped(shifts):
		return "A print by it is stopped: assign a release with the factor in force."
	}
	return "It may be printed by it: the difference is within " + Number(shop.FactorBand, 4) + "."
}

// shiftWords say what differs, in one text.
func shiftWords(shifts []shop.Shift) string {
	var said []string
	for _, s := range shifts {
		said = append(said, s.Words())
	}
	return strings.Join(said, " ")
}

// Lines lists what is proposed, beside what is in force.
func (p FactorPage) Lines() Listing {
	l := Listing{Name: "Proposed factors", Columns: columnsOf("Axis", "#Shrinkage s", "#Oversize k", "#In force k", "#95 % of s", "Good to", "How", "The lot's lengths say")}
	for _, f := range p.Proposal.Factors(p.Now) {
		was := "none"
		if in, ok := shop.FactorAt(p.InForce, f.Lot, f.Axis, p.Now); ok {
			was = in.K.Text
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{code(f.Axis), words(f.S.String()), words(f.K.Text), words(was), words(interval(f)), words(goodTo(f)), words(how(f)), words(lengthsSaid(p.Fit, f.Axis))}})
	}
	return l
}

// lengthsSaid is what a lot's lengths say along an axis, in short.
func lengthsSaid(fit shop.LotFit, axis string) string {
	for _, a := range fit.Axes {
		if a.Axis != axis {
			continue
		}
		s, span := AxisFit{AxisFit: a}.percents()
		if a.Count() == 0 {
			return "nothing: not measured"
		}
		return s + opt(", 95 % from ", span) + ", n " + Whole(a.Count())
	}
	return notKnown
}

// Against says where the proposal contradicts the lot's lengths.
func (p FactorPage) Against() []string { return shop.AgainstLengths(p.Proposal.Lines, p.Fit) }

// Remarks name what a proposed factor may have been taken for: another axis's,
// another lot's, or digits of the one in force that changed places.
func (p FactorPage) Remarks() []string {
	var said []string
	for _, f := range p.Proposal.Factors(p.Now) {
		in, ok := shop.FactorAt(p.InForce, f.Lot, f.Axis, p.Now)
		if !ok || p.Proposal.State != shop.Waiting {
			continue
		}
		if slip := shop.SlipOf(f.K, shop.Wanted{Lot: f.Lot, Axis: f.Axis, K: in.K, S: in.S, Others: append(slices.Clone(p.InForce), p.Others...)}); slip != "" {
			said = append(said, slip)
		}
	}
	return said
}

// whyAgainst is the reason that was given for proposing it nevertheless.
func (p FactorPage) whyAgainst() string {
	if p.Answer == "" {
		return ""
	}
	return " " + p.Proposal.By + " gave the reason: " + full(p.Answer)
}

// Facts are what is known of the proposal.
func (p FactorPage) Facts() []Fact {
	q := p.Proposal
	facts := []Fact{{Name: "Lot", Value: q.Lot, Href: PageOf("lot", q.Lot), Figure: true}, {Name: "Proposed", Value: q.By + " " + Stamp(q.At, p.Zone), Figure: true}}
	if q.State != shop.Waiting {
		facts = append(facts, Fact{Name: sentenceStart(q.State), Value: q.DecidedBy + " " + Stamp(q.DecidedAt, p.Zone), Figure: true})
	}
	return facts
}

// Waits says whose turn it is.
func (p FactorPage) Waits() string {
	if p.Person == p.Proposal.By {
		return "You proposed it: a second person approves it. Until then nothing changes."
	}
	return "Until a second person approves it nothing changes."
}

// NewFactor is the form that proposes factors of a lot.
type NewFactor struct {
	New
	Lots    []shop.Lot
	InForce []shop.Factor // of the lot, where one is chosen
	Fit     shop.LotFit   // what its lengths say
}

// Lengths lists what the lengths of the lot say along each axis.
func (p NewFactor) Lengths() Listing {
	l := Listing{Name: "What the lengths of " + p.Fit.Lot + " say", Columns: columnsOf("Axis", "#Shrinkage s", "#95 % interval", "#Oversize k", "#Measurements", "#k in force")}
	for _, a := range (LotFit{Lot: p.Fit.Lot, Fit: p.Fit}).Axes() {
		s, span := a.percents()
		l.Rows = append(l.Rows, Row{Cells: []Item{code(a.Axis), words(s), words(span), words(a.factor()), words(Whole(a.Count())), words(a.inForce())}})
	}
	return l
}

// MethodOptions are the ways in which a factor is found.
func methodOptions() []Option {
	return []Option{{shop.Measured, "measured: coupons and inserts of the lot"}, {shop.OwnRuns, "measured, but how far runs differ is not known"}, {shop.Pooled, "pooled towards the shop's lots"}, {shop.OtherAxis, "not measured: taken from another axis"}}
}

// factorCells are the cells of a line of a proposal.
func factorCells(f Form, n int) []Line {
	return []Line{f.cell("lines", n, "", "Axis").of(Options(shop.Axes...)), f.cell("lines", n, "s", "Shrinkage s, %").figure(), f.cell("lines", n, "k", "Oversize k").figure(),
		f.cell("lines", n, "method", "How it was found").of(methodOptions()), f.cell("lines", n, "low", "95 % from, %").figure(), f.cell("lines", n, "high", "95 % to, %").figure(),
		f.cell("lines", n, "n", "Measurements").figure(), f.cell("lines", n, "taken_from", "Taken from axis").of(Options(append([]string{}, shop.Axes...)...))}
}

// Compare are the factors in force, to compare digits with.
func (p NewFactor) Compare() string {
	var said []string
	for _, f := range p.InForce {
		said = append(said, f.Axis+" "+f.S.String()+", "+f.K.Text)
	}
	return strings.Join(said, "; ")
}

// CertificateList lists what the maker certifies of a lot.
func CertificateList(lines []shop.CertificateLine) Listing {
	l := Listing{Name: "Certificate", Worded: true, Empty: "The maker's certificate was not entered yet.", Columns: columnsOf("Property", "#Value", "Unit", "#At least", "#At most", "By its limits")}
	for _, c := range lines {
		verdict := words("no limits")
		if v := c.Verdict(); v != "" {
			verdict = stateItem(v, verdictMark(v))
		}
		l.Rows = append(l.Rows, Row{Stopped: c.Verdict() == "fail", Cells: []Item{words(c.Property), words(c.Value), words(c.Unit), words(c.Lower), words(c.Upper), verdict}})
	}
	return l
}

// certificateCells are the cells of a line of a certificate.
func certificateCells(f Form, n int) []Line {
	return []Line{f.cell("lines", n, "", "Property").wide(), f.cell("lines", n, "value", "Value").figure(), f.cell("lines", n, "unit", "Unit").figure(),
		f.cell("lines", n, "lower", "At least").figure(), f.cell("lines", n, "upper", "At most").figure()}
}

// Compared is a factor as the machine, the release and the lot have it.
type Compared = shop.Compared

// byMachine reports whether a machine was asked.
func byMachine(rows []Compared) bool {
	return slices.ContainsFunc(rows, func(c Compared) bool { return c.Machine != "" })
}

// comparedOf are the factors that some gates put side by side, each once.
func comparedOf(objections []shop.Objection) []Compared {
	var rows []Compared
	for _, o := range objections {
		for _, c := range o.Compared {
			if !slices.Contains(rows, c) {
				rows = append(rows, c)
			}
		}
	}
	return rows
}

func shiftTitle(shifts []shop.Shift) string {
	if shop.Stopped(shifts) {
		return "Not the lot's factors any more"
	}
	return "The factor changed since"
}

func (p FactorPage) dropTitle() string {
	if p.DropAs == shop.Withdrawn {
		return "Withdraw it"
	}
	return "Refuse it"
}
