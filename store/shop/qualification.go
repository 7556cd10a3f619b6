package shop

import (
	"fmt"
	"slices"
	"time"
)

// A Qualification is the plan by which a new lot is measured before it is
// printed for customers.
type Qualification struct {
	Lot      string
	Coupons  int
	Design   string // of the coupons
	Revision string
	Axes     []string // of the build, along which its factors are to be measured
	Note     string
	At       time.Time
	By       string
}

// QualificationPlanned says how a lot is to be qualified; a later plan of the
// same lot takes its place.
type QualificationPlanned struct {
	Lot      string   `json:"lot"`
	Coupons  int      `json:"coupons"`
	Design   string   `json:"design"`
	Revision string   `json:"revision"`
	Axes     []string `json:"axes"`
	Note     string   `json:"note"`
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
		if r.Design == q.Design && r.Revision == q.Revision && r.InForce(at) && slices.Contains(r.Lots(), q.Lot) && !slices.Contains(ways, r.Orientation) {
			ways = append(ways, r.Orientation)
		}
	}
	if ways == nil {
		ways = []string{d.Orientation}
	}
	return ways
}

// Lacks says what a plan leaves open: axes along which the coupons have no
// length, and those along which their lengths are alike. Releases are those of
// the lot.
func (q Qualification) Lacks(d Design, releases []Release, at time.Time) []string {
	along := map[string][]float64{}
	var said, single []string
	for _, way := range q.standing(d, releases, at) {
		if _, ok := BuildAxes(way); !ok {
			said = append(said, fmt.Sprintf("The coupons are built %q: that does not say along which axis of the build each axis of the drawing lies, as “+Z up, X along the machine X” does. Their lengths will count along none.", way))
		}
		for axis, lengths := range lengthsAlong(d, way) {
			along[axis] = append(along[axis], lengths...)
		}
	}
	for _, axis := range q.Axes {
		switch {
		case len(along[axis]) == 0:
			said = append(said, fmt.Sprintf("%s %s has no length along %s of the build: that axis cannot be measured with it.", d.Design, d.Revision, axis))
		case alike(along[axis]):
			single = append(single, axis)
		}
	}
	if len(single) > 0 {
		said = append(said, fmt.Sprintf("Along %s the coupons have one length only, or lengths that hardly differ: shrinkage cannot be told from a constant error of cutter or gauge until inserts of other lengths are measured.", Listed(single)))
	}
	for _, axis := range Axes {
		if !slices.Contains(q.Axes, axis) {
			said = append(said, fmt.Sprintf("Nothing is planned along %s: a factor in %s will rest on no measurement.", axis, axis))
		}
	}
	return said
}
