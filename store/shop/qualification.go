package shop

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// A Qualification is the plan by which a new lot is measured before it is
// printed for customers.
type Qualification struct {
	Lot    string
	Kinds  []PlannedCoupons // one at the least
	Firsts int              // inserts that are printed and measured while the lot is on test
	Axes   []string         // of the build, along which its factors are to be measured
	Note   string
	At     time.Time
	By     string
}

// PlannedCoupons are so many coupons of one design. Lengths of several designs
// tell shrinkage from a constant error.
type PlannedCoupons struct {
	Coupons  int    `json:"coupons"`
	Design   string `json:"design"`
	Revision string `json:"revision"`
}

// String names the design with its revision, as "CP40 B".
func (k PlannedCoupons) String() string { return k.Design + " " + k.Revision }

// QualificationPlanned says how a lot is to be qualified; a later plan of the
// same lot takes its place.
type QualificationPlanned struct {
	Lot      string           `json:"lot"`
	Coupons  int              `json:"coupons"`
	Design   string           `json:"design"`
	Revision string           `json:"revision"`
	Further  []PlannedCoupons `json:"further,omitempty"`       // of other designs; older plans have one
	Firsts   int              `json:"first_inserts,omitempty"` // same: none
	Axes     []string         `json:"axes"`
	Note     string           `json:"note"`
}

// Kinds are the coupons of all designs.
func (e QualificationPlanned) Kinds() []PlannedCoupons {
	return append([]PlannedCoupons{{e.Coupons, e.Design, e.Revision}}, e.Further...)
}

func (QualificationPlanned) Kind() string         { return "qualification-planned" }
func (e QualificationPlanned) Subjects() []string { return []string{Subject("lot", e.Lot)} }

// fewCoupons are too few to tell the scatter by.
const fewCoupons = 2

// Valid refuses a plan without coupons or axes.
func (e QualificationPlanned) Valid() error {
	f := Fields{}
	f.Need("lot", e.Lot, "The lot")
	f.Need("design", e.Design, "The design of the coupons")
	f.Need("revision", e.Revision, "The revision of their design")
	switch {
	case e.Coupons < fewCoupons:
		f.Say("coupons", "%d coupons say nothing of the scatter: plan at least %d.", e.Coupons, fewCoupons)
	case e.Coupons > 200:
		f.sayCount("coupons", "The number of coupons", e.Coupons, 200)
	}
	for i, k := range e.Further {
		at := FieldOf("further", i)
		f.Need(at, k.Design, "The design of the coupons")
		f.Need(at, k.Revision, "The revision of their design")
		switch {
		case k.Coupons < 1 || k.Coupons > 200:
			f.sayCount(at, "The number of coupons of "+k.Design, k.Coupons, 200)
		case slices.ContainsFunc(e.Kinds()[:i+1], func(o PlannedCoupons) bool { return o.String() == k.String() }):
			f.Say(at, "Coupons of %s are planned twice: say once how many.", k)
		}
	}
	if e.Firsts < 0 || e.Firsts > 200 {
		f.Say("first_inserts", "The number of first inserts is %d: it must be from 0 to 200.", e.Firsts)
	}
	if len(e.Axes) == 0 {
		f.Say("axes", "Say along which axes of the build it is to be measured.")
	}
	for i, a := range e.Axes {
		switch {
		case !slices.Contains(Axes, a):
			f.Say("axes", "The axis is %q: it must be X, Y or Z.", a)
		case slices.Contains(e.Axes[:i], a):
			f.Say("axes", "The axis %s is named twice.", a)
		}
	}
	return f.Err()
}

// lengthsAlong are the nominal lengths that a design has along each axis of the
// build, in mm, by an orientation.
func lengthsAlong(d Design, orientation string) map[string][]float64 {
	along := map[string][]float64{}
	for _, c := range d.Characteristics {
		if axis := BuildAxis(orientation, c.Axis); c.Kind == Length && axis != "" && c.Nominal.Taken() {
			along[axis] = append(along[axis], c.Nominal.Value())
		}
	}
	return along
}

// standing are the ways in which the coupons of a plan stand in the machine: as
// the releases in force say by which they are printed of the lot, or as their
// design says while there is none.
func (q Qualification) standing(d Design, releases []Release, at time.Time) []string {
	var ways []string
	for _, r := range releases {
		if r.Design == d.Design && r.Revision == d.Revision && r.InForce(at) && slices.Contains(r.Lots(), q.Lot) && !slices.Contains(ways, r.Orientation) {
			ways = append(ways, r.Orientation)
		}
	}
	if ways == nil {
		ways = []string{d.Orientation}
	}
	return ways
}

// Lacks says what a plan leaves open: axes along which its coupons have no
// length, and those along which their lengths are alike. Releases are those of
// the lot.
func (q Qualification) Lacks(designs []Design, releases []Release, at time.Time) []string {
	along := map[string][]float64{}
	var names, said []string
	for _, d := range designs {
		names = append(names, d.Design+" "+d.Revision)
		for _, way := range q.standing(d, releases, at) {
			if _, ok := BuildAxes(way); !ok {
				said = append(said, fmt.Sprintf("The coupons are built %q: that does not say along which axis of the build each axis of the drawing lies, as “+Z up, X along the machine X” does. Their lengths will count along none.", way))
			}
			for axis, lengths := range lengthsAlong(d, way) {
				along[axis] = append(along[axis], lengths...)
			}
		}
	}
	var single []string
	for _, axis := range q.Axes {
		switch {
		case len(along[axis]) == 0:
			said = append(said, fmt.Sprintf("No length of %s lies along %s of the build: that axis cannot be measured with it.", Listed(names), axis))
		case alike(along[axis]):
			single = append(single, axis)
		}
	}
	if len(single) > 0 {
		said = append(said, fmt.Sprintf("Along %s the coupons have one length only, or lengths that hardly differ: shrinkage cannot be told from a constant error of cutter or gauge until %s.", Listed(single), q.otherLengths()))
	}
	for _, axis := range Axes {
		if !slices.Contains(q.Axes, axis) {
			said = append(said, fmt.Sprintf("Nothing is planned along %s: a factor in %s will rest on no measurement.", axis, axis))
		}
	}
	return said
}

// otherLengths says what will tell the two apart.
func (q Qualification) otherLengths() string {
	if q.Firsts == 0 {
		return "inserts of other lengths are measured"
	}
	return "the first inserts are measured, where theirs differ from it"
}

// Qualifying is how far a lot has come.
type Qualifying struct {
	Lot         Lot
	Certificate []CertificateLine
	Plan        *Qualification // nil where nobody planned it
	Designs     []Design       // of the coupons that are planned
	Coupons     []Coupon       // of the lot
	Firsts      []Insert       // that releases of it name as its first inserts
	Fit         LotFit         // what its lengths say, beside its factors in force
}

// Outside are the lines of the certificate that are not within their limits.
func (q Qualifying) Outside() []CertificateLine {
	return slices.DeleteFunc(slices.Clone(q.Certificate), func(l CertificateLine) bool { return l.Verdict() != "fail" })
}

// receipt are the receipt coupons of a design.
func (q Qualifying) receipt(k PlannedCoupons) map[string]bool {
	of := map[string]bool{}
	for _, c := range q.Coupons {
		if c.For == ReceiptCoupon && c.Design == k.Design && c.Revision == k.Revision {
			of[c.Coupon] = c.Out
		}
	}
	return of
}

// Printed counts the receipt coupons of a design, and those of them that were
// sintered.
func (q Qualifying) Printed(k PlannedCoupons) (printed, sintered int) {
	for _, out := range q.receipt(k) {
		if printed++; out {
			sintered++
		}
	}
	return printed, sintered
}

// Measured counts the receipt coupons of a design that were measured along an
// axis, green and sintered.
func (q Qualifying) Measured(k PlannedCoupons, axis string) int {
	of, seen := q.receipt(k), map[string]bool{}
	for _, p := range q.along(axis) {
		if _, mine := of[p.Piece]; mine {
			seen[p.Piece] = true
		}
	}
	return len(seen)
}

func (q Qualifying) along(axis string) []*LengthPair {
	for _, a := range q.Fit.Axes {
		if a.Axis == axis {
			return a.Pairs
		}
	}
	return nil
}

// Has reports whether coupons of a design have a length along an axis: by their
// design, or by what was measured.
func (q Qualifying) Has(k PlannedCoupons, axis string) bool {
	return q.Measured(k, axis) > 0 || slices.ContainsFunc(q.Designs, func(d Design) bool {
		return d.Design == k.Design && d.Revision == k.Revision && len(lengthsAlong(d, d.Orientation)[axis]) > 0
	})
}

// FirstsMeasured counts the first inserts of which a length along an axis of the
// plan was measured, green and sintered.
func (q Qualifying) FirstsMeasured() int {
	seen := map[string]bool{}
	for _, axis := range q.Plan.Axes {
		for _, p := range q.along(axis) {
			if slices.ContainsFunc(q.Firsts, func(i Insert) bool { return i.Insert == p.Piece }) {
				seen[p.Piece] = true
			}
		}
	}
	return len(seen)
}

// Open says what of the plan is not done yet, a sentence each.
func (q Qualifying) Open() []string {
	if q.Plan == nil {
		return []string{fmt.Sprintf("Nobody planned how lot %s is to be qualified.", q.Lot.Lot)}
	}
	var said []string
	for _, k := range q.Plan.Kinds {
		if printed, sintered := q.Printed(k); sintered < k.Coupons {
			said = append(said, fmt.Sprintf("Of %d coupons of %s that are planned for lot %s, %d are printed and %d sintered.", k.Coupons, k, q.Lot.Lot, printed, sintered))
			continue
		}
		for _, axis := range q.Plan.Axes {
			if n := q.Measured(k, axis); n < k.Coupons && q.Has(k, axis) {
				said = append(said, fmt.Sprintf("Along %s, %d of %d coupons of %s are measured green and sintered.", axis, n, k.Coupons, k))
			}
		}
	}
	if n := q.FirstsMeasured(); n < q.Plan.Firsts {
		said = append(said, fmt.Sprintf("Of %d first inserts that are planned for lot %s, %d are measured green and sintered.", q.Plan.Firsts, q.Lot.Lot, n))
	}
	return said
}

// What a lot is asked before it is released for printing. While the shop has not
// decided about them, each asks for a reason: there may be one, and it stands
// beside the release from then on.
var (
	CertificateInLimits   = Gate{"certificate within its limits", "entering the maker's certificate, or sending the lot back", askCertificate}
	QualifiedAsPlanned    = Gate{"qualified as planned", "the coupons and first inserts that are planned", func(f Facts) string { return releasing(f, Qualifying.Open) }}
	FactorsApproved       = Gate{"lot's factors approved by two", "a proposal that a second person approves", func(f Facts) string { return releasing(f, Qualifying.unapproved) }}
	ShrinkageKnown        = Gate{"shrinkage known in every axis", "lengths of coupons and first inserts, measured green and sintered", func(f Facts) string { return releasing(f, Qualifying.unbounded) }}
	FirstInsertsAsPlanned = Gate{"first inserts as planned", "a plan of the lot's qualification with as many first inserts", askFirsts}
)

// releasing asks about a lot that is to be released for printing.
func releasing(f Facts, open func(Qualifying) []string) string {
	if _, ok := f.Event.(LotReleased); !ok {
		return ""
	}
	return strings.Join(open(f.Qualifying), " ")
}

func askCertificate(f Facts) string { return releasing(f, Qualifying.uncertified) }

func (q Qualifying) uncertified() []string {
	if len(q.Certificate) == 0 {
		return []string{fmt.Sprintf("The maker's certificate of lot %s was not entered.", q.Lot.Lot)}
	}
	var failed []string
	for _, l := range q.Outside() {
		failed = append(failed, l.Words())
	}
	if failed == nil {
		return nil
	}
	return []string{fmt.Sprintf("The maker's certificate of lot %s is outside its limits: %s.", q.Lot.Lot, strings.Join(failed, "; "))}
}

// unapproved says along which axes no factor is in force that two people stand
// for.
func (q Qualifying) unapproved() []string {
	var none, said []string
	for _, a := range q.Fit.Axes {
		switch in := a.InForce; {
		case in.Seq == 0:
			none = append(none, a.Axis)
		case in.Proposal == "":
			said = append(said, fmt.Sprintf("The factor of lot %s in %s was put into force by one person, %s.", q.Lot.Lot, a.Axis, in.By))
		}
	}
	if len(none) > 0 {
		said = append(said, fmt.Sprintf("No factor of lot %s in %s is in force.", q.Lot.Lot, Listed(none)))
	}
	return said
}

// unbounded says along which axes the lengths give no interval of the shrinkage.
func (q Qualifying) unbounded() []string {
	var none, said []string
	for _, a := range q.Fit.Axes {
		switch {
		case a.Count() == 0:
			none = append(none, a.Axis)
		case !a.Bounded():
			said = append(said, a.LengthsSay(q.Lot.Lot, 0))
		}
	}
	if len(none) > 0 {
		said = append(said, fmt.Sprintf("The book has no length of lot %s along %s, green and sintered.", q.Lot.Lot, Listed(none)))
	}
	return said
}

// Lacks is all that stands against releasing the lot, a sentence a gate.
func (q Qualifying) Lacks() []string {
	var said []string
	for _, o := range Object(LotReleased{}.Gates(), Facts{Event: LotReleased{Lot: q.Lot.Lot}, Qualifying: q}) {
		said = append(said, o.Why)
	}
	return said
}

// askFirsts asks, when a release of a lot on test that names first inserts is
// drafted or signed, that they are planned.
func askFirsts(f Facts) string {
	r, q := f.Release, f.Qualifying
	if len(r.Firsts) == 0 || f.Lot.Released() {
		return ""
	}
	named := slices.Clone(r.Firsts)
	for _, i := range q.Firsts {
		if !slices.Contains(named, i.Insert) {
			named = append(named, i.Insert)
		}
	}
	switch {
	case q.Plan == nil || q.Plan.Firsts == 0:
		return fmt.Sprintf("Lot %s is on test, and no first inserts of it are planned: release %s names %s.", f.Lot.Lot, r.Release, Listed(r.Firsts))
	case len(named) > q.Plan.Firsts:
		return fmt.Sprintf("Lot %s is on test, and %d first inserts of it are planned: with release %s there are %d, %s.", f.Lot.Lot, q.Plan.Firsts, r.Release, len(named), Listed(named))
	}
	return ""
}
