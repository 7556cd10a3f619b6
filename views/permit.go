package views

import (
	"slices"
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Permits lists the deviation permits.
func Permits(all []shop.Permit, zone *time.Location, now time.Time) Listing {
	l := Listing{Name: "Deviation permits", Empty: "None was given.", Columns: columnsOf("Permit", "State", "Insert", "Gate, at", "Why", "Given", "Last day")}
	for _, p := range all {
		state := stateItem("in force", "done")
		if shop.DayOf(now, zone) > p.ExpiresOn {
			state = stateItem("expired", "past")
		}
		l.Rows = append(l.Rows, Row{Past: state.Mark == "past", Cells: []Item{code(p.Permit), state, thingLink("insert", p.Insert), words(p.Gate + ", " + p.Operation), words(p.Why), code(p.GivenBy + " " + Stamp(p.GivenAt, zone)), code(string(p.ExpiresOn))}})
	}
	return l
}

// NewPermitPage lets an insert pass a gate.
func NewPermitPage(p New) templ.Component {
	f := p.Form
	gates := slices.DeleteFunc(shop.GateNames(), func(g string) bool { return slices.Contains(shop.Binding, g) })
	return plain(p, Wording{"Permit a deviation", "One insert may pass one gate at one operation, although it stops. It is noted with the act that uses it. Holds, safety tests, authorisations and the order of the route are passed by no permit.", "Permit it", "/permits"},
		group(field(f.CodeField("permit", "Number of the permit", true)), field(f.CodeField("insert", "Insert", true)), field(f.Day("expires_on", "Last day on which it can be used", true))),
		group(choice(f.Pick("gate", "Gate", Options(gates...), true)), choice(f.Pick("operation", "At operation", Options(shop.Operations...), true))),
		group(area(f.Words("why", "Why it may depart from it", true))), group(field(f.PIN(MeaningOfPermit))))
}
