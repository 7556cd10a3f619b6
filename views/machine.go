package views

import (
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Machine is the page about one printer.
type Machine struct {
	Frame
	Machine     shop.Machine
	Printing    string // insert whose print runs on it, "" when it is free
	Zone        *time.Location
	Now         time.Time
	Holds       []shop.Hold
	Controllers []shop.Controller   // newest first
	Checks      []shop.MachineCheck // newest first
	Cutters     []shop.Cutter
	Services    []shop.Service
	Acts        []Link // what this person may record about it
}

// Stops is what the gate of a print would say against the machine today.
func (p Machine) Stops() string {
	return shop.MachineInDate.Ask(shop.Facts{At: p.Now, Zone: p.Zone, Machine: p.Machine})
}

// Facts are what the register says of it.
func (p Machine) Facts() []Fact {
	cutter := ""
	for _, c := range p.Cutters {
		if c.RemovedAt.IsZero() {
			cutter = c.Cutter
		}
	}
	free := []Fact{{Name: "Printing", Value: "nothing"}}
	if p.Printing != "" {
		free = []Fact{{Name: "Printing", Value: p.Printing, Href: PageOf("insert", p.Printing), Figure: true}}
	}
	return together(free, fact("Controller version", p.Machine.Controller), fact("Cutter in it", cutter), fact("Nozzle bore", p.Machine.Nozzle.String()), fact("Scan code", p.Machine.Code.Grouped()))
}

// CheckList lists the checks of its axes.
func (p Machine) CheckList() Listing {
	l := Listing{Name: "Checks of its axes", Empty: "Its axes were never checked on record: it prints nothing before.", Columns: columnsOf("On", "By", "Verdict", "Report", "Next due")}
	for _, c := range p.Checks {
		l.Rows = append(l.Rows, Row{Stopped: c.Verdict != "pass", Cells: []Item{code(Stamp(c.At, p.Zone)), code(c.By), stateItem(c.Verdict, verdictMark(c.Verdict)), words(c.Report), code(string(c.Due))}})
	}
	return l
}

// ControllerList lists the controller versions.
func (p Machine) ControllerList() Listing {
	l := Listing{Name: "Controller versions", Empty: "No controller version was recorded yet.", Columns: columnsOf("From", "Version", "By")}
	for i, c := range p.Controllers {
		l.Rows = append(l.Rows, Row{Past: i > 0, Cells: []Item{code(Stamp(c.At, p.Zone)), code(c.Version), code(c.By)}})
	}
	return l
}

// serviceList lists the work done on a piece of equipment.
func serviceList(all []shop.Service, zone *time.Location) Listing {
	l := Listing{Name: "Work done on it", Empty: "No work on it was recorded yet.", Columns: columnsOf("On", "By", "What")}
	for _, v := range all {
		l.Rows = append(l.Rows, Row{Cells: []Item{code(Stamp(v.At, zone)), code(v.By), words(v.What)}})
	}
	return l
}

// NewMachineCheckPage records a check of a machine's axes.
func NewMachineCheckPage(p New, machines []shop.Machine) templ.Component {
	f := p.Form
	return plain(p, Wording{"Record a check of a machine", "Its axes and their squareness, by the shop's own instruction.", "Record the check", "/machines"},
		group(choice(f.Pick("machine", "Machine", machineOptions(machines), true)), choice(f.Pick("verdict", "Verdict", Options("pass", "fail"), true)), field(f.Day("due", "Next one due", false))),
		group(field(f.CodeField("report", "Number of the report", false))), group(earlier(f)))
}

// NewControllerPage records the version of a machine's controller.
func NewControllerPage(p New, machines []shop.Machine) templ.Component {
	f := p.Form
	return plain(p, Wording{"Record a controller version", "Every print from then on names it: a step in size can be traced to the day of the change.", "Record the version", "/machines"},
		group(choice(f.Pick("machine", "Machine", machineOptions(machines), true)), field(f.CodeField("version", "Version that runs now", true))), group(earlier(f)))
}
