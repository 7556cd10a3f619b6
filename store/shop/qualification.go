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

// LengthsAlong are the nominal lengths that a design has along each axis of the
// build, by an orientation.
func LengthsAlong(d Design, orientation string) map[string][]Reading {
	along := map[string][]Reading{}
	for _, c := range d.Characteristics {
		if axis := BuildAxis(orientation, c.Axis); c.Kind == Length && axis != "" && c.Nominal.Taken() {
			along[axis] = append(along[axis], c.Nominal)
		}
	}
	return along
}

// Lacks says what a plan leaves open: axes along which the coupons have no
// length, and those along which they have one only.
func (q Qualification) Lacks(d Design) []string {
	along := LengthsAlong(d, d.Orientation)
	var said, single []string
	for _, axis := range q.Axes {
		switch len(along[axis]) {
		case 0:
			said = append(said, fmt.Sprintf("%s %s has no length along %s of the build: that axis cannot be measured with it.", d.Design, d.Revision, axis))
		case 1:
			single = append(single, axis)
		}
	}
	if len(single) > 0 {
		said = append(said, fmt.Sprintf("Along %s the coupons have one length only: shrinkage cannot be told from a constant error of cutter or gauge until inserts of other lengths are measured.", strings.Join(single, ", ")))
	}
	for _, axis := range Axes {
		if !slices.Contains(q.Axes, axis) {
			said = append(said, fmt.Sprintf("Nothing is planned along %s: a factor in %s will rest on no measurement.", axis, axis))
		}
	}
	return said
}
