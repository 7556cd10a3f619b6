package views

import (
	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Setters lists the setters with the runs that each has been through.
func Setters(all []shop.Setter, held map[string]string) Listing {
	l := Listing{Name: "Setters", Empty: "No setter was put into use yet.", Columns: columnsOf("Setter", "State", "#Runs behind it", "#Life, runs", "#Left", "Scan code", "Records")}
	for _, s := range all {
		state := stateItem(heldWord(held[s.Setter]), heldMark(held[s.Setter]))
		if held[s.Setter] == "" && s.Cycles >= s.Life {
			state = stateItem("life over", "stopped")
		}
		l.Rows = append(l.Rows, Row{Stopped: state.Mark == "stopped", Cells: []Item{code(s.Setter), state, words(Whole(s.Cycles)), words(Whole(s.Life)), words(Whole(max(0, s.Life-s.Cycles))),
			code(s.Code.Grouped()), historyItem("setter", s.Setter)}})
	}
	return l
}

// NewSetterPage puts a setter into use.
func NewSetterPage(p New) templ.Component {
	f := p.Form
	return plain(p, Wording{"Put a setter into use", "Each furnace run in which a piece lies on it counts.", "Put it into use", "/setters"},
		group(field(f.CodeField("setter", "Setter number", true)), field(f.Count("cycles", "Runs behind it already", true).WithHint("0 for a new one.")), field(f.Count("life", "Runs that it is allowed", true))))
}
