package views

import (
	"fmt"
	"slices"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// furtherKinds are the places for more designs of coupons on the form of a plan.
var furtherKinds = []string{"second", "third"}

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
	groups := [][]templ.Component{
		group(choice(f.Pick("lot", "Lot", lotOptions(lots), true)), choice(f.Pick("axes", "Measured along", axes, true))),
		group(choice(f.Pick("design", "Design of the coupons", coupons, true)), field(f.Count("coupons", "Coupons", true))),
	}
	for n, nth := range furtherKinds {
		groups = append(groups, group(choice(f.Pick(Cell("further", n+1, ""), sentenceStart(nth)+" design of coupons", coupons, false)), field(f.Count(Cell("further", n+1, "coupons"), "Coupons of the "+nth+" design", false))))
	}
	groups = append(groups, group(field(f.Count("first_inserts", "First inserts", false).WithHint("Inserts that are printed and measured before the lot is released. A release of the lot names them."))), group(area(f.Words("note", "Note", false))))
	return plain(p, Wording{"Plan the qualification of a lot", "How a lot on test is measured before it is printed for customers: coupons of which designs, how many, first inserts, and along which axes of the build. Lengths of two sizes or more along an axis tell shrinkage from a constant error; two runs or more tell how runs differ.", "Set down the plan", "/lots"}, groups...)
}

// ShowsQualification reports whether the lot page says how far it has come:
// while the lot is on test, and wherever it was planned.
func (p Lot) ShowsQualification() bool { return p.Qualifying.Plan != nil || !p.Lot.Released() }

// QualificationList says how far the qualification has come, step by step.
func (p Lot) QualificationList() Listing {
	l := Listing{Name: "Qualification of " + p.Lot.Lot, Columns: columnsOf("Step", "State", "How far")}
	steps := []func() (string, Item, Item){p.certified, p.planned, p.couponsMade, p.couponsMeasured, p.firstInserts, p.factorsSet, p.letGo}
	for _, s := range steps {
		if step, state, far := s(); step != "" {
			l.Rows = append(l.Rows, Row{Stopped: state.Mark == "stopped", Cells: []Item{words(step), state, far}})
		}
	}
	return l
}

func (p Lot) certified() (step string, state, far Item) {
	step = "Maker's certificate"
	var failed []string
	for _, line := range p.Qualifying.Outside() {
		failed = append(failed, line.Property)
	}
	switch n := len(p.Qualifying.Certificate); {
	case n == 0:
		return step, stateItem("missing", "todo"), p.certificateItself("copy it line by line")
	case failed != nil:
		return step, stateItem("outside its limits", "stopped"), p.certificateItself(strings.Join(failed, ", "))
	default:
		return step, stateItem("entered", "done"), p.certificateItself(plural(n, "line"))
	}
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
	plan := p.Qualifying.Plan
	if plan == nil {
		return "Plan", stateItem("missing", "todo"), words("coupons of which designs, how many, first inserts, along which axes")
	}
	var what []string
	for _, k := range plan.Kinds {
		what = append(what, plural(k.Coupons, "coupon")+" of "+k.String())
	}
	if plan.Firsts > 0 {
		what = append(what, plural(plan.Firsts, "first insert"))
	}
	return "Plan", stateItem("set down", "done"), words(fmt.Sprintf("%s, along %s; %s %s", shop.Listed(what), strings.Join(plan.Axes, ", "), plan.By, Day(plan.At, p.Zone)))
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

// kinds are the coupons that are planned; without a plan those that were made.
func (p Lot) kinds() []shop.PlannedCoupons {
	if p.Qualifying.Plan != nil {
		return p.Qualifying.Plan.Kinds
	}
	var made []shop.PlannedCoupons
	for _, c := range p.Qualifying.Coupons {
		k := shop.PlannedCoupons{Design: c.Design, Revision: c.Revision}
		if c.For == shop.ReceiptCoupon && !slices.ContainsFunc(made, func(o shop.PlannedCoupons) bool { return o.String() == k.String() }) {
			k.Coupons, _ = p.Qualifying.Printed(k)
			made = append(made, k)
		}
	}
	return made
}

// ofPlan writes how many coupons of a kind there are, of those that are planned.
func (p Lot) ofPlan(k shop.PlannedCoupons, n int) string {
	text := Whole(n)
	if p.Qualifying.Plan != nil {
		text += " of " + Whole(k.Coupons)
	}
	if len(p.kinds()) > 1 {
		text += " " + k.String()
	}
	return text
}

func (p Lot) couponsMade() (step string, state, far Item) {
	var said []string
	made, planned := 0, 0
	for _, k := range p.kinds() {
		n, sintered := p.Qualifying.Printed(k)
		made, planned = made+min(n, k.Coupons), planned+k.Coupons
		said = append(said, p.ofPlan(k, n)+", "+Whole(sintered)+" sintered")
	}
	return "Receipt coupons printed", progress(made, planned, "printed"), words(strings.Join(said, "; "))
}

func (p Lot) couponsMeasured() (step string, state, far Item) {
	axes := shop.Axes
	if plan := p.Qualifying.Plan; plan != nil {
		axes = plan.Axes
	}
	var said []string
	measured, planned := 0, 0
	for _, axis := range axes {
		for _, k := range p.kinds() {
			if !p.Qualifying.Has(k, axis) {
				continue
			}
			n := p.Qualifying.Measured(k, axis)
			measured, planned = measured+min(n, k.Coupons), planned+k.Coupons
			said = append(said, axis+" "+p.ofPlan(k, n))
		}
	}
	return "Measured green and sintered", progress(measured, planned, "measured"), words(strings.Join(said, ", "))
}

// firstInserts says how far the first inserts have come; nothing where none are
// planned or named.
func (p Lot) firstInserts() (step string, state, far Item) {
	q := p.Qualifying
	if q.Plan == nil || q.Plan.Firsts == 0 {
		return "", Item{}, Item{}
	}
	n := q.FirstsMeasured()
	state = progress(n, q.Plan.Firsts, "measured")
	if n == 0 && len(q.Firsts) > 0 {
		state = stateItem("under way", "open")
	}
	said := fmt.Sprintf("%d of %d measured green and sintered", n, q.Plan.Firsts)
	for _, i := range q.Firsts {
		said += "; " + i.Insert + " " + i.Status
	}
	if len(q.Firsts) == 0 {
		said += "; no release names them yet"
	}
	return "First inserts", state, words(said)
}

func (p Lot) factorsSet() (step string, state, far Item) {
	var in []string
	for _, a := range p.Qualifying.Fit.Axes {
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
	step = "Released for printing"
	switch {
	case p.Lot.Released() && len(p.Qualifying.Lacks()) > 0:
		return step, stateItem("released, not all done", "open"), Item{Text: p.Lot.ReleasedBy + " " + Day(p.Lot.ReleasedAt, p.Zone) + "; the reasons stand in its history", Href: HistoryOf("lot", p.Lot.Lot)}
	case p.Lot.Released():
		return step, stateItem("released", "done"), words(p.Lot.ReleasedBy + " " + Day(p.Lot.ReleasedAt, p.Zone))
	}
	return step, stateItem("on test", "todo"), words(p.untilReleased())
}

// untilReleased says what is printed of a lot on test.
func (p Lot) untilReleased() string {
	if p.Qualifying.Plan != nil && p.Qualifying.Plan.Firsts > 0 {
		return "nothing but its receipt coupons and first inserts is printed of it"
	}
	return "nothing but its receipt coupons is printed of it"
}
