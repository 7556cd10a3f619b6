package views

import (
	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Ovens lists the ovens.
func Ovens(all []shop.Oven, held map[string]string) Listing {
	l := Listing{Name: "Ovens", Empty: "No oven was added yet. Final drying names the one that it is done in.", Columns: columnsOf("Oven", "State", "#Shelves", "#Air at most", "Scan code", "Records")}
	for _, o := range all {
		l.Rows = append(l.Rows, Row{Stopped: held[o.Oven] != "", Cells: []Item{code(o.Oven), stateItem(heldWord(held[o.Oven]), heldMark(held[o.Oven])), words(Whole(o.Shelves)), words(o.Limit.String()),
			code(o.Code.Grouped()), historyItem("oven", o.Oven)}})
	}
	return l
}

// NewOvenPage puts an oven on the floor.
func NewOvenPage(p New) templ.Component {
	f := p.Form
	return plain(p, Wording{"Add an oven", "For final drying or for tempering. Solvent in an oven burns: what it may take in is said by its maker and by the local code, not by this form.", "Add the oven", "/ovens"},
		group(field(f.CodeField("oven", "Oven number", true)), field(f.Count("shelves", "Shelves", true))),
		group(field(f.Figure("limit", "Highest air temperature allowed", "", true)), choice(f.Pick("unit", "Degrees in", celsius(), true))))
}

// OvenOptions are the ovens to choose from.
func OvenOptions(all []shop.Oven) []Option {
	var o []Option
	for _, v := range all {
		o = append(o, Option{Value: v.Oven, Text: v.Oven + ", up to " + v.Limit.String()})
	}
	return o
}
