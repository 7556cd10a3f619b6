package views

import (
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Coupons lists coupons.
func Coupons(all []shop.Coupon, zone *time.Location) Listing {
	l := Listing{Name: "Coupons", Empty: "No coupon was printed yet.", Columns: columnsOf("Coupon", "For", "Lot", "Printed", "#Drawn", "Load, place", "State")}
	for _, c := range all {
		state, lay := stateItem("green", "todo"), words("")
		switch {
		case c.Out:
			state = stateItem("sintered", "done")
		case c.Load != "":
			state = stateItem("in a load", "open")
		}
		if c.Load != "" {
			lay = Item{Text: c.Load + ", " + c.Position, Href: PageOf("load", c.Load), Code: true}
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink("coupon", c.Coupon), words(c.For), thingLink("lot", c.Lot), code(Day(c.MadeAt, zone) + " " + c.Machine), words(c.Drawn.String()), lay, state}})
	}
	return l
}

// Coupon is the page about one coupon.
type Coupon struct {
	Frame
	Coupon  shop.Coupon
	Results []shop.CouponResult
	Reasons map[int64]string // by the number of a correction
	Zone    *time.Location
	Acts    []Link
	Mends   bool // this person may correct a reading
}

// Facts are what is known of it.
func (p Coupon) Facts() []Fact {
	c := p.Coupon
	facts := together([]Fact{{Name: "For", Value: c.For}, {Name: "Lot", Value: c.Lot, Href: PageOf("lot", c.Lot), Figure: true}, {Name: "Container", Value: c.Container, Href: PageOf("container", c.Container), Figure: true}},
		fact("Design", c.Design+" "+c.Revision), fact("Printed", c.MadeBy+" "+Stamp(c.MadeAt, p.Zone)), fact("Machine", c.Machine), fact("By release", c.Release))
	if c.With != "" {
		facts = append(facts, Fact{Name: "Beside", Value: c.With, Href: PageOf("insert", c.With), Figure: true})
	}
	facts = together(facts, fact("Made at oversize", oversizeWords(c.Oversize())), fact("Drawn", shown(c.Drawn)), fact("Purged", shown(c.Purged)), fact("Drying loss", shown(c.Loss)))
	if c.Load != "" {
		facts = together(facts, []Fact{{Name: "Load", Value: c.Load, Href: PageOf("load", c.Load), Figure: true}}, fact("Place", c.Position), fact("Setter", c.Setter), fact("Lying", c.Lying), fact("Laid in", c.PlacedBy+" "+Stamp(c.PlacedAt, p.Zone)))
	}
	return together(facts, fact("Scan code", c.Code.Grouped()))
}

// ResultList lists its readings, those that were corrected too. Of several that
// stand for one length the newest counts.
func (p Coupon) ResultList() Listing {
	l := Listing{Name: "Readings", Empty: "It was not measured yet.", Columns: columnsOf("Characteristic", "Stage", "#Reading", "Gauge, part at", "By, at", "State")}
	if p.Mends {
		l.Columns = append(l.Columns, Column{Name: "If wrong", Off: true})
	}
	for n, r := range p.Results {
		row := Row{Past: r.CorrectedBy != 0, Cells: []Item{code(r.Characteristic), words(r.Stage), words(r.Value.String()), words(r.Gauge + opt(", ", shown(r.PartTemp))), code(r.By + " " + Stamp(r.At, p.Zone)), p.standing(n)}}
		if p.Mends {
			row.Cells = append(row.Cells, p.mend(r))
		}
		l.Rows = append(l.Rows, row)
	}
	return l
}

// standing says whether a reading counts, and of one that does its verdict.
func (p Coupon) standing(n int) Item {
	r := p.Results[n]
	newer := slices.ContainsFunc(p.Results[n+1:], func(o shop.CouponResult) bool {
		return o.CorrectedBy == 0 && o.Characteristic == r.Characteristic && o.Stage == r.Stage
	})
	switch {
	case r.CorrectedBy != 0:
		return words(replacedWords(r.CorrectedBy, p.Reasons[r.CorrectedBy]))
	case newer:
		return words("a newer one counts")
	case r.Verdict != "":
		return stateItem(r.Verdict, verdictMark(r.Verdict))
	}
	return words("no limits")
}

// mend leads to the form that corrects a reading.
func (p Coupon) mend(r shop.CouponResult) Item {
	if r.CorrectedBy != 0 {
		return words("")
	}
	return Item{Text: "Correct", Href: "/new/coupon-reading?coupon=" + url.QueryEscape(r.Coupon) + "&corrects=" + strconv.FormatInt(r.Seq, 10), Said: "Correct " + CouponReadingWords(r)}
}

// CouponReadingWords is a reading of a coupon in words, as a correction names it.
func CouponReadingWords(r shop.CouponResult) string {
	return r.Characteristic + " " + r.Stage + ", " + r.Value.String() + " on " + r.Gauge
}

// oversizeWords are the factors that are known, as "X 1.2011, Z 1.2171".
func oversizeWords(factors []shop.AxisFactor) string {
	var known []string
	for _, k := range factors {
		if k.K.Taken() {
			known = append(known, k.Axis+" "+k.K.String())
		}
	}
	return strings.Join(known, ", ")
}

// CouponChoices are what the forms about coupons offer.
type CouponChoices struct {
	Designs    []shop.Design
	Containers []Option
	Machines   []shop.Machine
	Coupons    []shop.Coupon
	Loads      []shop.Load
	Gauges     []shop.Gauge
	Corrected  shop.CouponResult // that a correction takes the place of; zero for a new reading
}

// NewCouponPage records a coupon that was printed.
func NewCouponPage(p New, c CouponChoices) templ.Component {
	f := p.Form
	return plain(p, Wording{"Record a coupon", "A small bar of the lot's paste. A receipt coupon qualifies a lot that is on test; a run coupon rides in a load. Give the oversize where the machine had another for it than its release or the insert beside it.", "Record the coupon", "/coupons"},
		group(field(f.CodeField("coupon", "Coupon number", true)), choice(f.Pick("for", "For", Options(shop.ReceiptCoupon, shop.RunCoupon), true)), choice(f.Pick("design", "Design", designsInForce(c.Designs), true))),
		group(choice(f.Pick("container", "Container", c.Containers, true)), choice(f.Pick("machine", "Machine", machineOptions(c.Machines), true)), field(f.Count("layers", "Layers", true))),
		group(field(f.Figure("drawn", "Mass drawn", "g", true)), field(f.Figure("purged", "Purged", "g", false))),
		group(field(f.CodeField("release", "Release that it was printed by", false)), field(f.CodeField("with", "Insert beside which it was printed", false))),
		group(field(f.Figure("kx", "Oversize in X", "", false)), field(f.Figure("ky", "Oversize in Y", "", false)), field(f.Figure("kz", "Oversize in Z", "", false))), group(earlier(f)))
}

// PlaceCouponPage lays a coupon into a load.
func PlaceCouponPage(p New, c CouponChoices) templ.Component {
	f := p.Form
	var coupons, loads []Option
	for _, n := range c.Coupons {
		if !n.Out {
			coupons = append(coupons, Option{Value: n.Coupon, Text: n.Coupon + ", lot " + n.Lot})
		}
	}
	for _, l := range c.Loads {
		if l.Closed.IsZero() {
			loads = append(loads, Option{Value: l.Load, Text: l.Load + " for furnace " + l.Furnace})
		}
	}
	return plain(p, Wording{"Lay a coupon in", "Coupons lie side by side at the place for them.", "Lay it in", "/loads"},
		group(choice(f.Pick("load", "Load", loads, true)), choice(f.Pick("coupon", "Coupon", coupons, true)), field(f.CodeField("position", "Place", true))),
		group(field(f.CodeField("setter", "Setter", false)), field(f.Text("lying", "Which way it lies", false)), field(f.Figure("loss", "Drying loss", "%", false))), group(earlier(f)))
}

// MeasureCouponPage records a reading of a coupon.
func MeasureCouponPage(p New, c CouponChoices) templ.Component {
	f := p.Form
	var coupons, of []Option
	for _, n := range slices.Backward(c.Coupons) { // the newest first
		if c.Corrected.Seq == 0 || n.Coupon == c.Corrected.Coupon { // a correction is of the same coupon
			coupons = append(coupons, Option{Value: n.Coupon, Text: n.Coupon + ", lot " + n.Lot})
		}
	}
	for _, d := range c.Designs {
		for _, h := range d.Characteristics {
			of = append(of, Option{Value: h.Number, Text: h.Number + " " + h.Name})
		}
	}
	w, why := Wording{"Measure a coupon", "Green before the furnace, sintered after it. Let it come to 20 °C. Of several readings of a length the newest counts.", "Record this reading", "/coupons"}, group(earlier(f))
	if c.Corrected.Seq != 0 {
		w = Wording{"Correct a reading of a coupon", "In place of: " + CouponReadingWords(c.Corrected) + ". Both stay on record; the correction counts.", "Record the correction", PageOf("coupon", c.Corrected.Coupon)}
		why = group(area(f.Words("reason", "Reason for the correction", true)), carried(f, "corrects", f.Value("corrects")))
	}
	return plain(p, w,
		group(choice(f.Pick("coupon", "Coupon", coupons, true)), choice(f.Pick("stage", "Stage", Options(shop.CouponStages...), true)), choice(f.Pick("characteristic", "Characteristic", of, true))),
		group(field(f.Figure("value", "Reading", "", true)), choice(f.Pick("unit", "Unit", allUnits(), true)), choice(f.Pick("gauge", "Gauge", gaugeOptions(c.Gauges), true)), field(f.Figure("part_temp", "Part temperature", "°C", false))), why)
}

// couponDraws lists the paste that was drawn for coupons.
func couponDraws(all []shop.Coupon, zone *time.Location) Listing {
	l := Listing{Name: "Paste drawn for coupons", Columns: columnsOf("Coupon", "For", "#Drawn", "#Purged", "By, at")}
	for _, c := range all {
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink("coupon", c.Coupon), words(c.For), words(c.Drawn.String()), words(shown(c.Purged)), code(c.MadeBy + " " + Stamp(c.MadeAt, zone))}})
	}
	return l
}
