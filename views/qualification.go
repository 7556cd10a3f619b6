package views

import (
	"fmt"
	"slices"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// NewQualificationPage plans how a lot is qualified.
func NewQualificationPage(p New, lots []shop.Lot, designs []shop.Design) templ.Component {
	f := p.Form
	var coupons []Option
	for _, d := range designs {
		if !d.Superseded {
			coupons = append(coupons, Option{Value: d.Design + " " + d.Revision, Text: d.Design + " " + d.Revision + ", " + d.Name})
		}
	}
	axes := []Option{{Value: "X Y Z", Text: "X, Y and Z"}, {Value: "X Y", Text: "X and Y"}, {Value: "X Z", Text: "X and Z"}, {Value: "Y Z", Text: "Y and Z"}, {Value: "X", Text: "X only"}, {Value: "Y", Text: "Y only"}, {Value: "Z", Text: "Z only"}}
	return plain(p, Wording{"Plan the qualification of a lot", "How a lot on test is measured before it is printed for customers: coupons of which design, how many, and along which axes of the build. Two lengths or more along an axis tell shrinkage from a constant error; two runs or more tell how runs differ.", "Set down the plan", "/lots"},
		group(choice(f.Pick("lot", "Lot", lotOptions(lots), true)), choice(f.Pick("design", "Design of the coupons", coupons, true))),
		group(field(f.Count("coupons", "Coupons", true)), choice(f.Pick("axes", "Measured along", axes, true))),
		group(area(f.Words("note", "Note", false))))
}

// ShowsQualification reports whether the lot page says how far it has come:
// while the lot is on test, and wherever it was planned.
func (p Lot) ShowsQualification() bool { return p.Plan != nil || !p.Lot.Released() }

// QualificationList says how far the qualification has come, step by step.
func (p Lot) QualificationList() Listing {
	l := Listing{Name: "Qualification of " + p.Lot.Lot, Columns: columnsOf("Step", "State", "How far")}
	for _, s := range []func() (string, Item, Item){p.certified, p.planned, p.couponsMade, p.couponsMeasured, p.factorsSet, p.letGo} {
		step, state, far := s()
		l.Rows = append(l.Rows, Row{Stopped: state.Mark == "stopped", Cells: []Item{words(step), state, far}})
	}
	return l
}

func (p Lot) certified() (step string, state, far Item) {
	var failed []string
	for _, line := range p.Lines {
		if line.Verdict() == "fail" {
			failed = append(failed, line.Property)
		}
	}
	switch {
	case len(p.Lines) == 0:
		return "Maker's certificate", stateItem("missing", "todo"), p.certificateItself("copy it line by line")
	case failed != nil:
		return "Maker's certificate", stateItem("outside its limits", "stopped"), p.certificateItself(strings.Join(failed, ", "))
	}
	return "Maker's certificate", stateItem("entered", "done"), p.certificateItself(plural(len(p.Lines), "line"))
}

// certificateItself leads to the document that the lines were copied from, or
// says that there is none.
func (p Lot) certificateItself(far string) Item {
	f, ok := p.Filings.Standing()
	if !ok {
		return words(far + "; the document itself is not filed")
	}
	return Item{Text: far + "; " + f.Words(), Href: FileOf(f.Document.Document, f.Seq)}
}

func (p Lot) planned() (step string, state, far Item) {
	if p.Plan == nil {
		return "Plan", stateItem("missing", "todo"), words("coupons of which design, how many, along which axes")
	}
	return "Plan", stateItem("set down", "done"), words(fmt.Sprintf("%s of %s %s, along %s; %s %s", plural(p.Plan.Coupons, "coupon"), p.Plan.Design, p.Plan.Revision, strings.Join(p.Plan.Axes, ", "), p.Plan.By, Day(p.Plan.At, p.Zone)))
}

// progress is a state by how many of how many there are.
func progress(n, of int, done string) Item {
	switch {
	case n == 0:
		return stateItem("not begun", "todo")
	case n < of:
		return stateItem("under way", "open")
	}
	return stateItem(done, "done")
}

// ofPlan writes how many of those that are planned there are.
func (p Lot) ofPlan(n int) (text string, planned int) {
	if p.Plan == nil {
		return Whole(n), n
	}
	return Whole(n) + " of " + Whole(p.Plan.Coupons), p.Plan.Coupons
}

func (p Lot) couponsMade() (step string, state, far Item) {
	n, sintered := 0, 0
	for _, c := range p.Coupons {
		if c.For == shop.ReceiptCoupon {
			n++
			if c.Out {
				sintered++
			}
		}
	}
	text, planned := p.ofPlan(n)
	return "Receipt coupons printed", progress(n, planned, "printed"), words(fmt.Sprintf("%s, %s sintered", text, Whole(sintered)))
}

func (p Lot) couponsMeasured() (step string, state, far Item) {
	var counts []string
	receipt := map[string]bool{}
	for _, c := range p.Coupons {
		receipt[c.Coupon] = c.For == shop.ReceiptCoupon
	}
	least, any := -1, 0
	for _, a := range p.Fit.Fit.Axes {
		if p.Plan != nil && !slices.Contains(p.Plan.Axes, a.Axis) {
			continue
		}
		pieces := map[string]bool{}
		for _, pair := range a.Pairs {
			if receipt[pair.Piece] {
				pieces[pair.Piece] = true
			}
		}
		n := len(pieces)
		text, _ := p.ofPlan(n)
		counts = append(counts, a.Axis+" "+text)
		any += n
		if least < 0 || n < least {
			least = n
		}
	}
	_, planned := p.ofPlan(least)
	state = progress(least, planned, "measured")
	if least == 0 && any > 0 {
		state = stateItem("under way", "open")
	}
	return "Measured green and sintered", state, words(strings.Join(counts, ", "))
}

func (p Lot) factorsSet() (step string, state, far Item) {
	var in []string
	for _, a := range p.Fit.Fit.Axes {
		switch {
		case a.InForce.Seq == 0:
		case a.Known():
			in = append(in, a.Axis+" "+a.InForce.K.Text)
		default:
			in = append(in, a.Axis+" "+a.InForce.K.Text+" (not measured)")
		}
	}
	return "Factors in force", progress(len(in), len(shop.Axes), "in force"), words(strings.Join(in, ", "))
}

func (p Lot) letGo() (step string, state, far Item) {
	if p.Lot.Released() {
		return "Released for printing", stateItem("released", "done"), words(p.Lot.ReleasedBy + " " + Day(p.Lot.ReleasedAt, p.Zone))
	}
	return "Released for printing", stateItem("on test", "todo"), words("nothing but its receipt coupons is printed of it")
}
