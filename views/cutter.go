package views

import (
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Cutters lists the cutters, those in machines first.
func Cutters(all []shop.Cutter, zone *time.Location) Listing {
	l := Listing{Name: "Cutters", Empty: "No cutter was put into a machine yet.", Columns: columnsOf("Cutter", "State", "Machine", "#Diameter", "#Radius offset", "#Cut, min", "#Life, min", "Put in", "Taken out", "Records")}
	for _, c := range all {
		state := stateItem("in "+c.Machine, "done")
		switch {
		case !c.RemovedAt.IsZero():
			state = stateItem("taken out", "past")
		case c.Used >= c.Life.Value():
			state = stateItem("life over", "stopped")
		}
		l.Rows = append(l.Rows, Row{Stopped: state.Mark == "stopped", Past: state.Mark == "past", Cells: []Item{code(c.Cutter), state, thingLink("machine", c.Machine), words(c.Diameter.String()), words(shown(c.Offset)),
			words(Number(c.Used/60, 0)), words(Number(c.Life.Value()/60, 0)), code(Day(c.FittedAt, zone)), code(dayIf(c.RemovedAt, zone)), historyItem("cutter", c.Cutter)}})
	}
	return l
}

// NewCutterPage puts a cutter into a machine.
func NewCutterPage(p New, machines []shop.Machine) templ.Component {
	f := p.Form
	return plain(p, Wording{"Put a cutter in", "The cutter that was in the machine must have been taken out. Sharp edges: hold it by the shank.", "Record that it was put in", "/cutters"},
		group(field(f.CodeField("cutter", "Cutter number", true)), choice(f.Pick("machine", "Machine", machineOptions(machines), true))),
		group(field(f.Figure("diameter", "Diameter", "", true)), field(f.Figure("offset", "Radius offset as typed, with its sign", "", false)), choice(f.Pick("unit", "Unit of both", lengthUnits(), true))),
		group(field(f.Figure("life", "Cutting time that it is allowed", "min", true))), group(earlier(f)))
}

// TakeCutterOutPage takes a cutter out of its machine.
func TakeCutterOutPage(p New, in []shop.Cutter) templ.Component {
	var o []Option
	for _, c := range in {
		if c.RemovedAt.IsZero() {
			o = append(o, Option{Value: c.Cutter, Text: c.Cutter + " in " + c.Machine})
		}
	}
	return plain(p, Wording{"Take a cutter out", "Sharp edges: hold it by the shank.", "Record that it was taken out", "/cutters"},
		group(choice(p.Form.Pick("cutter", "Cutter", o, true))), group(earlier(p.Form)))
}

func machineOptions(machines []shop.Machine) []Option {
	var o []Option
	for _, m := range machines {
		o = append(o, Option{Value: m.Machine, Text: m.Machine})
	}
	return o
}
