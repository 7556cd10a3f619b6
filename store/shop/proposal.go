package shop

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// How a proposed factor was found.
const (
	Measured  = "measured"     // from coupons and inserts of the lot
	OwnRuns   = "own runs"     // as measured, but how far runs differ nobody knows: its interval is narrower than 95 %
	Pooled    = "pooled"       // from the lot's measurements, pulled towards the shop's lots
	OtherAxis = "not measured" // taken from another axis
)

// How a proposal stands.
const (
	Waiting   = "waits for approval"
	Approved  = "approved"  // by a second person: its factors came into force
	Withdrawn = "withdrawn" // by who proposed it
	Refused   = "refused"   // by somebody else
)

// Methods lists the ways in which a factor is found.
var Methods = []string{Measured, OwnRuns, Pooled, OtherAxis}

// A ProposedFactor is what is proposed along one axis.
type ProposedFactor struct {
	Axis      string  `json:"axis"`
	S         Reading `json:"s" quantity:"percentage"`
	K         Reading `json:"k" quantity:"factor"`
	Low       Reading `json:"low" quantity:"percentage"`  // of the 95 % interval of s; not taken where nothing was measured
	High      Reading `json:"high" quantity:"percentage"` // same
	N         int     `json:"n"`                          // measurements that it rests on
	Method    string  `json:"method"`
	TakenFrom string  `json:"taken_from"` // axis, where it was not measured
}

// A Proposal is a set of factors of a lot that one person proposed, and what
// became of it.
type Proposal struct {
	Seq        int64
	Proposal   string
	Lot        string
	Lines      []ProposedFactor
	Basis      string
	Evidence   string
	At         time.Time
	By         string
	State      string // Waiting, Approved, Withdrawn or Refused
	DecidedAt  time.Time
	DecidedBy  string
	DecidedWhy string
}

// Factors are the proposal's as if it were approved at a time.
func (p Proposal) Factors(at time.Time) []Factor {
	var all []Factor
	for _, l := range p.Lines {
		all = append(all, Factor{Seq: p.Seq, Lot: p.Lot, Axis: l.Axis, S: l.S, K: l.K, Low: l.Low, High: l.High, N: l.N, Method: l.Method, TakenFrom: l.TakenFrom, Basis: p.Basis, Proposal: p.Proposal, From: at})
	}
	return all
}

// FactorProposed proposes a lot's factors along one axis or several. They come
// into force once a second person approved them.
type FactorProposed struct {
	Proposal string           `json:"proposal"`
	Lot      string           `json:"lot"`
	Lines    []ProposedFactor `json:"lines"`
	Basis    string           `json:"basis"`
	Evidence string           `json:"evidence"` // where it is kept: coupons, loads, papers
}

func (FactorProposed) Kind() string { return "factor-proposed" }
func (e FactorProposed) Subjects() []string {
	return []string{Subject("factor", e.Proposal), Subject("lot", e.Lot)}
}

// Valid refuses a proposal of nothing, one that rests on nothing, and factors
// that contradict themselves.
func (e FactorProposed) Valid() error {
	f := Fields{}
	f.Number("proposal", e.Proposal, "The number of the proposal")
	f.Need("lot", e.Lot, "The lot")
	f.Need("basis", e.Basis, "What the factors rest on")
	if len(e.Lines) == 0 {
		f.Say("lines", "A factor is missing: fill in one axis at the least.")
	}
	var axes []string
	for i, l := range e.Lines {
		at := fmt.Sprintf("lines.%d", i+1)
		l.valid(f, at)
		if slices.Contains(axes, l.Axis) {
			f.Say(at, "Axis %s is listed twice.", l.Axis)
		}
		axes = append(axes, l.Axis)
	}
	return f.Err()
}

func (FactorProposed) Operation() string { return OpPrint }

// Gates of proposing factors.
func (FactorProposed) Gates() []Gate { return []Gate{MeasuredAsBook} }

// MeasuredAsBook asks that what is said to be measured is what the lot's lengths
// say. Lengths that another shop read can be a reason to go on; whoever approves
// the factors sees it.
var MeasuredAsBook = Gate{"measured factor as the book's lengths", "the numbers that the lot's lengths give", askMeasuredAsBook}

func askMeasuredAsBook(f Facts) string {
	e, ok := f.Event.(FactorProposed)
	if !ok || len(f.Fits) == 0 {
		return ""
	}
	return strings.Join(AgainstLengths(e.Lines, f.Fits[0]), " ")
}

// AgainstLengths says where proposed factors claim measurements and the lengths
// of their lot say something else: both numbers, a sentence an axis.
func AgainstLengths(lines []ProposedFactor, fit LotFit) []string {
	var said []string
	for _, l := range lines {
		for _, a := range fit.Axes {
			if a.Axis == l.Axis && l.Method != OtherAxis && !l.asLengths(a) {
				said = append(said, fmt.Sprintf("%s is proposed as %s, %s, n %d, from %s to %s. %s", l.Axis, l.S, l.Method, l.N, l.Low, l.High, a.LengthsSay(fit.Lot, l.S.Decimals())))
			}
		}
	}
	return said
}

// asLengths reports whether a line says what the lengths do: as many of them,
// the same interval, and a value inside of it. What the shop's other lots make of
// it changes with them: where they have a part in it the ends are not compared.
func (l ProposedFactor) asLengths(a AxisFit) bool {
	low, high := a.Lo, a.Hi
	if l.Method == Pooled {
		var err error
		if low, high, err = a.Pooled.Interval(FitConfidence); err != nil {
			return false
		}
	}
	inside := l.S.Value() >= 100*low-half(l.S) && l.S.Value() <= 100*high+half(l.S)
	return a.Bounded() && (l.Method != Measured || a.Sure()) && l.N == a.Count() && inside && (l.Method == Pooled || a.Runs == RunsOthers || typedAs(l.Low, 100*low) && typedAs(l.High, 100*high))
}

// typedAs reports whether a reading is a number as far as its decimals go.
func typedAs(r Reading, v float64) bool { return math.Abs(r.Value()-v) <= half(r)+1e-9 }

// LengthsSay is a sentence about what a lot's lengths along an axis say, to
// two decimals of a percent at the least.
func (f AxisFit) LengthsSay(lot string, places int) string {
	places = min(max(places, 2), 4)
	percent := func(share float64) string { return strconv.FormatFloat(100*share, 'f', places, 64) + " %" }
	switch {
	case f.Count() == 0:
		return fmt.Sprintf("The book has no length of lot %s along %s, green and sintered.", lot, f.Axis)
	case !f.Known():
		return fmt.Sprintf("The book's lengths of lot %s along %s give no number: n %d.", lot, f.Axis, f.Count())
	case !f.Bounded():
		return fmt.Sprintf("The book's lengths of lot %s along %s say %s, n %d, and give no interval.", lot, f.Axis, percent(f.S), f.Count())
	}
	said := fmt.Sprintf("The book's lengths of lot %s along %s say %s, n %d, from %s to %s", lot, f.Axis, percent(f.S), f.Count(), percent(f.Lo), percent(f.Hi))
	if !f.Sure() {
		return said + " within its own runs: how far runs differ is not known."
	}
	return said + "."
}

// valid judges a line by itself: s and k of each other, the interval of s.
func (l ProposedFactor) valid(f Fields, at string) {
	if !slices.Contains(Axes, l.Axis) {
		f.Say(at, "The axis is %q: it must be X, Y or Z.", l.Axis)
	}
	f.needPositive(at+".s", l.S, "The shrinkage in "+l.Axis)
	f.needOversize(at+".k", l.K, l.Axis)
	if f[at+".s"] == "" && f[at+".k"] == "" {
		f.sameShrinkage(at+".k", l.S, l.K)
	}
	switch l.Method {
	case Measured, OwnRuns, Pooled:
		l.validInterval(f, at)
	case OtherAxis:
		if !slices.Contains(Axes, l.TakenFrom) || l.TakenFrom == l.Axis {
			f.Say(at+".taken_from", "The factor in %s was not measured: say from which other axis it is taken.", l.Axis)
		}
		if l.Low.Taken() || l.High.Taken() || l.N != 0 {
			f.Say(at+".low", "The factor in %s was not measured: it has no interval and no measurements.", l.Axis)
		}
	default:
		f.Say(at+".method", "How the factor in %s was found is missing.", l.Axis)
	}
}

func (l ProposedFactor) validInterval(f Fields, at string) {
	f.needPositive(at+".low", l.Low, "The lower end of the interval in "+l.Axis)
	f.needPositive(at+".high", l.High, "The upper end of the interval in "+l.Axis)
	if l.N < 1 || l.N > 1_000_000 {
		f.sayCount(at+".n", "The number of measurements in "+l.Axis, l.N, 1_000_000)
	}
	if l.TakenFrom != "" {
		f.Say(at+".taken_from", "The factor in %s was measured: it is not taken from another axis.", l.Axis)
	}
	for _, end := range []struct {
		field, what string
		r           Reading
	}{{".low", "lower", l.Low}, {".high", "upper", l.High}} {
		// Few measurements make a wide interval: an end may be what no shrinkage
		// is, but hardly a hundredth of one.
		switch {
		case !end.r.Taken():
		case isFraction(end.r):
			f.Say(at+end.field, "%s", slipOfShrinkage(end.r))
		case end.r.Value() >= 100:
			f.Say(at+end.field, "The %s end of the interval in %s is %s: it must be less than 100 %%.", end.what, l.Axis, end.r)
		}
	}
	if f[at+".low"] == "" && f[at+".high"] == "" && l.S.Taken() {
		switch {
		case l.Low.Value() >= l.High.Value():
			f.Say(at+".low", "The interval in %s runs from %s to %s: the lower end comes first.", l.Axis, l.Low, l.High)
		case l.S.Value() < l.Low.Value() || l.S.Value() > l.High.Value():
			f.Say(at+".s", "The shrinkage in %s is %s, outside its own interval from %s to %s.", l.Axis, l.S, l.Low, l.High)
		}
	}
}

// Slip names what was probably done where k does not follow from s; others are
// the factors in force.
func (l ProposedFactor) Slip(lot string, others []Factor) string {
	if !l.S.Taken() || !l.K.Taken() || slipOfShrinkage(l.S) != "" {
		return ""
	}
	return SlipOf(l.K, Wanted{Lot: lot, Axis: l.Axis, K: factorOf(l.S), S: l.S, Others: others})
}

// FactorApproved puts a proposal's factors into force, signed by a second
// person. What it rests on stands in the proposal.
type FactorApproved struct {
	Proposal string   `json:"proposal"`
	Lot      string   `json:"lot"`
	Differ   []string `json:"differ"` // open releases by which no print may start from then on; filled by the store
}

func (FactorApproved) Kind() string { return "factor-approved" }
func (e FactorApproved) Subjects() []string {
	subjects := []string{Subject("factor", e.Proposal), Subject("lot", e.Lot)}
	for _, r := range e.Differ {
		subjects = append(subjects, Subject("release", r))
	}
	return subjects
}

// Valid refuses an approval of nothing.
func (e FactorApproved) Valid() error {
	f := Fields{}
	f.Need("proposal", e.Proposal, "The proposal")
	f.Need("lot", e.Lot, "The lot")
	return f.Err()
}

// FactorProposalDropped ends a proposal that does not come into force: who
// proposed it withdraws it, or somebody else refuses it.
type FactorProposalDropped struct {
	Proposal string `json:"proposal"`
	Lot      string `json:"lot"`
	How      string `json:"how"`
	Why      string `json:"why"`
}

func (FactorProposalDropped) Kind() string { return "factor-proposal-dropped" }
func (e FactorProposalDropped) Subjects() []string {
	return []string{Subject("factor", e.Proposal), Subject("lot", e.Lot)}
}

// Valid refuses to drop a proposal for no reason.
func (e FactorProposalDropped) Valid() error {
	f := Fields{}
	f.Need("proposal", e.Proposal, "The proposal")
	f.Need("lot", e.Lot, "The lot")
	if e.How != Withdrawn && e.How != Refused {
		f.Say("how", "A proposal is withdrawn or refused, not %q.", e.How)
	}
	f.Need("why", e.Why, "The reason")
	return f.Err()
}

// Decidable says whether a person may end a proposal in a way: approval and
// refusal are a second person's, withdrawal is the first one's own.
func (p Proposal) Decidable(by, how string) error {
	switch {
	case p.State != Waiting:
		return Conflict("Proposal %s was %s by badge %s already.", p.Proposal, p.State, p.DecidedBy)
	case how == Approved && by == p.By:
		return Conflict("Badge %s proposed %s: a second person approves it.", by, p.Proposal)
	case how == Refused && by == p.By:
		return Conflict("Badge %s proposed %s: it is withdrawn, not refused.", by, p.Proposal)
	case how == Withdrawn && by != p.By:
		return Conflict("Proposal %s is badge %s's: another person refuses it.", p.Proposal, p.By)
	}
	return nil
}

// Supported are the decimals of s, in percent, and of k that the interval
// supports. Never more than were typed.
func (f Factor) Supported() (s, k int) {
	s, k = f.S.Decimals(), f.K.Decimals()
	if !f.Low.Taken() || !f.High.Taken() {
		return s, k
	}
	u := (f.High.Value() - f.Low.Value()) / 2
	return min(s, Places(u)), min(k, Places(f.K.Value()*f.K.Value()*u/100))
}

// A Shift is a factor of a release that is not the lot's in force.
type Shift struct {
	Lot, Axis string
	Has       Reading // in the release
	Now       Factor  // in force for the lot
	Changed   bool    // it was the lot's own once; else it never was
	Beyond    bool    // further off than the band
	Slip      string  // what was probably done where it never was, "" where nothing fits
}

// Shifts are the factors of a release that are not the lot's any more, and those
// that never were and that no print may start with.
func Shifts(r Release, factors, others []Factor, at time.Time) []Shift {
	f := Facts{At: at, Later: true, Factors: factors, Others: others} // Later: as of that time
	var all []Shift
	for _, lot := range r.Lots() {
		for _, k := range r.Oversize() {
			in, ok := FactorAt(factors, lot, k.Axis, at)
			if !ok || k.K.Value() == in.K.Value() {
				continue
			}
			s := Shift{Lot: lot, Axis: k.Axis, Has: k.K, Now: in, Beyond: beyond(k.K, in.K), Changed: f.own(Release{Lot: lot}, k)}
			if !s.Changed {
				s.Slip = f.slip(k.K, in)
			}
			if s.Changed || !f.agrees(r, k, in) {
				all = append(all, s)
			}
		}
	}
	return all
}

// Words say what differs: the factor changed since, or was never the lot's.
func (s Shift) Words() string {
	if s.Changed {
		return fmt.Sprintf("The factor of lot %s changed since: from %s to %s in %s.", s.Lot, s.Has, s.Now.K, s.Axis)
	}
	return spaced(fmt.Sprintf("It has %s in %s, and the factor of lot %s is %s.", s.Has, s.Axis, s.Lot, s.Now.K), s.Slip)
}

// Short says the same within a table.
func (s Shift) Short() string {
	if s.Changed {
		return fmt.Sprintf("%s from %s to %s", s.Axis, s.Has, s.Now.K)
	}
	who := "the lot has"
	if s.Now.By == "" { // nobody approved it yet
		who = "proposed is"
	}
	said := fmt.Sprintf("%s %s, %s %s", s.Axis, s.Has, who, s.Now.K)
	if s.Slip != "" {
		said += ". " + s.Slip
	}
	return said
}

// Beyond reports whether any of some shifts lies beyond the band.
func Beyond(shifts []Shift) bool {
	return slices.ContainsFunc(shifts, func(s Shift) bool { return s.Beyond })
}

// Stopped reports whether some shifts of a release stop a print by it: one is
// beyond the band, or got there by a slip.
func Stopped(shifts []Shift) bool {
	return slices.ContainsFunc(shifts, func(s Shift) bool { return s.Beyond || !s.Changed })
}
