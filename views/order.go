package views

import (
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// Orders is the list of orders.
type Orders struct {
	Frame
	ToMake []OrderLine // not every insert is made yet, due first first
	Made   []OrderLine
	Zone   *time.Location
	At     time.Time
	New    bool // this person may take one
	Open   bool // this person may open travelers
}

// An OrderLine is an order with how far it has come.
type OrderLine struct {
	shop.Order
	Part    string // what its design is called
	OnRoute int    // inserts under way
	Made    int    // delivered or in stock
}

// Order is the page about one order.
type Order struct {
	Frame
	Order   shop.Order
	Design  shop.Design // in force now
	Inserts []shop.Insert
	Zone    *time.Location
	At      time.Time
	Open    bool  // this person may open travelers
	Edit    *Form // nil for those who may not change it
}

// NewOrder is the form that takes an order.
type NewOrder struct {
	New
	Designs []shop.Design
	Moulds  []shop.Mould
}

// Progress is how many inserts are made of those asked for.
func (l OrderLine) Progress() string { return fmt.Sprintf("%d of %d", l.Made, l.Quantity) }

// Done reports whether every insert of the order is made.
func (l OrderLine) Done() bool { return l.Made >= l.Quantity }

// Late says how late an order is on a day; "" while it is not.
func (l OrderLine) Late(at time.Time, zone *time.Location) string {
	if n := DaysLate(l.Due, at, zone); n > 0 && !l.Done() {
		return days(n)
	}
	return ""
}

// Line is the order with its inserts counted.
func (p Order) Line() OrderLine {
	l := OrderLine{Order: p.Order, Part: p.Design.Name}
	for _, i := range p.Inserts {
		switch {
		case !i.Done:
			l.OnRoute++
		case i.Status != shop.StatusScrapped:
			l.Made++
		}
	}
	return l
}

// Words say what was ordered.
func (p Order) Words() string {
	return fmt.Sprintf("%d × %s %s for customer %s", p.Order.Quantity, p.Order.Design, p.Design.Name, p.Order.Customer)
}

// Soft says how far it has come and by when it is due.
func (p Order) Soft() string {
	l := p.Line()
	return fmt.Sprintf("%d made, %d on the route, %s", l.Made, l.OnRoute, dueWords(p.Order.Due, l.Done(), p.At, p.Zone))
}

// Facts are what is known of the order.
func (p Order) Facts() []Fact {
	o := p.Order
	mould := Fact{Name: "For mould", Value: "none: to stock"}
	if o.Mould != "" {
		mould = Fact{Name: "For mould", Value: o.Mould, Href: PageOf("mould", o.Mould), Figure: true}
	}
	facts := []Fact{
		{Name: "Customer", Value: o.Customer, Figure: true}, {Name: "Design", Value: o.Design, Href: DesignHref(o.Design, ""), Figure: true},
		{Name: "Asked for", Value: Whole(o.Quantity), Figure: true}, {Name: "Due", Value: string(o.Due), Figure: true}, mould,
		{Name: "Sizes are typed in", Value: o.Unit, Figure: true},
	}
	if o.Remark != "" {
		facts = append(facts, Fact{Name: "Remark", Value: o.Remark})
	}
	return facts
}

// wrote says what others wrote in a field while this edit was typed, where
// this person's text differs from it.
func (p Order) wrote(field string) string {
	said := ""
	for _, c := range p.Edit.Meanwhile {
		if c.Field == field && p.Edit.Value(field) != c.To {
			to := c.To
			if to == "" {
				to = "empty"
			}
			said = fmt.Sprintf("now: %s (badge %s, %s)", to, c.By, Stamp(c.At, p.Zone))
		}
	}
	return said
}

// DueField is the field for the day it is due.
func (p Order) DueField() Field {
	return p.Edit.Day("due", "Due", true).WithHint(p.wrote("due"))
}

// QuantityField is the field for how many inserts are asked for.
func (p Order) QuantityField() Field {
	return p.Edit.Count("quantity", "Quantity", true).WithHint(p.wrote("quantity"))
}

// RemarkField is the field for the remark.
func (p Order) RemarkField() Area {
	a := p.Edit.Words("remark", "Remark", false)
	a.Hint = p.wrote("remark")
	return a
}

// MouldOptions are the moulds that an order can be for.
func (p NewOrder) MouldOptions() []Option {
	var o []Option
	for _, m := range p.Moulds {
		if m.Shipped.IsZero() {
			o = append(o, Option{Value: m.Mould, Text: m.Mould + ", of customer " + m.Customer})
		}
	}
	return o
}

// MouldField is the choice of the mould.
func (p NewOrder) MouldField() Choice {
	c := p.Form.Pick("mould", "For mould", p.MouldOptions(), false)
	c.Empty, c.Hint = "none: to stock", "Without a mould its inserts go to stock."
	return c
}
