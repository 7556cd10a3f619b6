package views

import (
	"cmp"
	"slices"

	"sinterbook/store/shop"
)

// A Due is something that must be done to a piece of equipment by a day.
type Due struct {
	Kind, Number string // of the equipment
	What         string // as "SAT of F1-TC2"
	Day          shop.Date
	Failed       bool // the last one failed: nothing is in date until it is done
}

// DueList lists what is due, the most urgent first.
func DueList(all []Due, today shop.Date) Listing {
	slices.SortStableFunc(all, func(a, b Due) int {
		if a.Failed != b.Failed {
			if a.Failed {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.Day, b.Day)
	})
	l := Listing{Name: "What is due", Empty: "Nothing that falls due was entered yet.", Columns: columnsOf("What", "Of", "State", "Due on", "In")}
	for _, d := range all {
		state, in := dueState(d, today)
		l.Rows = append(l.Rows, Row{Stopped: state.Mark == "stopped", Cells: []Item{words(d.What), {Text: d.Kind + " " + d.Number, Href: PageOf(d.Kind, d.Number)}, state, code(string(d.Day)), words(in)}})
	}
	return l
}

// soonDays is how long before its day something is said to be due soon.
const soonDays = 14

func dueState(d Due, today shop.Date) (state Item, in string) {
	left := today.DaysTo(d.Day)
	switch {
	case d.Failed:
		return stateItem("failed", "stopped"), ""
	case d.Day == "":
		return stateItem("never done", "stopped"), ""
	case left < 0:
		return stateItem("overdue", "stopped"), days(-left) + " ago"
	case left <= soonDays:
		return stateItem("due soon", "open"), days(left)
	}
	return stateItem("in date", "done"), days(left)
}

// EquipmentLinks lead to the lists of equipment.
var EquipmentLinks = []Link{
	{Href: "/machines", Text: "Machines"}, {Href: "/furnaces", Text: "Furnaces"}, {Href: "/gauges", Text: "Gauges"}, {Href: "/ovens", Text: "Ovens"}, {Href: "/recipes", Text: "Recipes"},
	{Href: "/setters", Text: "Setters"}, {Href: "/carriers", Text: "Carriers"}, {Href: "/cutters", Text: "Cutters"},
}
