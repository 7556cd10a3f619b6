package views

import (
	"fmt"
	"strconv"

	"sinterbook/store/shop"
)

// NewInsert is the form that opens a traveler. Order is zero while none was
// named: then it is chosen from Orders.
type NewInsert struct {
	New
	Order   shop.Order
	Design  shop.Design   // of the order, in force now
	Inserts []shop.Insert // of the order so far
	Orders  []OrderLine
	Routes  []shop.Route
}

// VersionMark stands between the name of a route and its version, where both
// are chosen at once.
const VersionMark = ", version "

// RouteOptions are the newest versions of the routes.
func (p NewInsert) RouteOptions() []Option {
	var o []Option
	last := ""
	for _, r := range p.Routes { // newest version of each first
		if r.Template != last {
			o = append(o, Options(r.Template+VersionMark+strconv.Itoa(r.Version))...)
		}
		last = r.Template
	}
	return o
}

// RouteField is the choice of the route; where there is one only, it stands.
func (p NewInsert) RouteField() Choice {
	c := p.Form.Pick("template", "Route", p.RouteOptions(), true)
	if len(c.Options) == 1 && !p.Form.Values.Has("template") {
		c.Value = c.Options[0].Value
	}
	c.Hint = "The traveler keeps this version."
	return c
}

// OrderOptions are the orders of which inserts are to be made.
func (p NewInsert) OrderOptions() []Option {
	var o []Option
	for _, l := range p.Orders {
		o = append(o, Option{Value: l.Order.Order, Text: fmt.Sprintf("%s: %s %s for %s, %s made, %d on the route", l.Order.Order, l.Design, l.Part, l.Customer, l.Progress(), l.OnRoute)})
	}
	return o
}

// Facts are what follows from the order.
func (p NewInsert) Facts() []Fact {
	l := Order{Order: p.Order, Inserts: p.Inserts}.Line()
	return []Fact{
		{Name: "Order", Value: p.Order.Order, Href: PageOf("order", p.Order.Order), Figure: true},
		{Name: "Design", Value: p.Design.Design + " " + p.Design.Name, Href: DesignHref(p.Design.Design, "")},
		{Name: "Revision in force", Value: p.Design.Revision, Figure: true}, {Name: "Customer", Value: p.Order.Customer, Figure: true},
		{Name: "Made and on the route", Value: fmt.Sprintf("%d and %d of %d", l.Made, l.OnRoute, p.Order.Quantity), Figure: true},
	}
}

// Enough warns where the order needs no further insert.
func (p NewInsert) Enough() string {
	l := Order{Order: p.Order, Inserts: p.Inserts}.Line()
	if l.Made+l.OnRoute < p.Order.Quantity {
		return ""
	}
	return fmt.Sprintf("Order %s asks for %s; %d are made and %d on the route already.", p.Order.Order, insertsWord(p.Order.Quantity), l.Made, l.OnRoute)
}
