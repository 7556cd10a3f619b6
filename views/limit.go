package views

import (
	"fmt"
	"slices"
	"time"

	"sinterbook/store/shop"
)

// Limits is the page about the numbers from which on the shop is asked or
// warned.
type Limits struct {
	Frame
	All  []shop.Limit // decisions, oldest first
	Zone *time.Location
	At   time.Time
	Set  *Form // nil for those who may not set one
}

func limitSentence(e shop.LimitSet, zone *time.Location) string {
	return fmt.Sprintf("The limit of the %s is %s from %s on. It rests on: %s", e.Limit, e.Value, Stamp(e.From, zone), full(e.Basis))
}

// limitMeans says what a limit does.
var limitMeans = map[string]string{
	shop.UnexplainedMass: "A container of which more is unexplained is flagged until somebody has looked into it.",
	shop.DrawOff:         "A draw that is further from what its layers should take is questioned.",
	shop.GreenChance:     "A green insert whose sizes are less likely to come out right is not laid into a load.",
}

// inForce lists the limits in force now, and what each rests on.
func (p Limits) inForce() Listing {
	l := Listing{Name: "Limits in force", Worded: true, Columns: columnsOf("Limit", "#Value", "Rests on", "Since", "What it does")}
	for _, name := range shop.LimitNames() {
		in := shop.LimitAt(p.All, name, p.At)
		l.Rows = append(l.Rows, Row{Cells: []Item{{Text: name, Href: HistoryOf("limit", name)}, words(in.Value.String()), words(in.Basis), p.since(in), words(limitMeans[name])}})
	}
	return l
}

func (p Limits) since(l shop.Limit) Item {
	if l.From.IsZero() {
		return words("the beginning")
	}
	return code(Stamp(l.From, p.Zone))
}

// decisions lists what the shop decided, newest first.
func (p Limits) decisions() Listing {
	l := Listing{Name: "Decisions about limits", Worded: true, Empty: "Nothing was decided yet: each limit above says what it rests on.", Columns: columnsOf("Limit", "#Value", "From", "By", "Rests on", "State")}
	for _, set := range slices.Backward(p.All) {
		state := ""
		if set.From.After(p.At) {
			state = "not yet in force"
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{words(set.Limit), words(set.Value.String()), code(Stamp(set.From, p.Zone)), code(set.By), words(set.Basis), words(state)}})
	}
	return l
}

// units are those in which some limit is typed.
func (p Limits) units() []Option {
	var o []Option
	for _, l := range shop.FirstLimits {
		for _, u := range UnitOptions(shop.MeasureOf(l.Limit)) {
			if !slices.Contains(o, u) {
				o = append(o, u)
			}
		}
	}
	return o
}

func (p Limits) fromField() Field {
	f := p.Set.Text("from", "From", true)
	f.Type = "datetime-local"
	return f
}
