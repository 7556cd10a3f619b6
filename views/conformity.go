package views

import (
	"cmp"
	"strings"

	"sinterbook/store/shop"
)

// Conformity is the one-page certificate of an insert for its customer. It
// says what was delivered and what was measured, and nothing of how it was made
// or by whom: that stays in the shop.
type Conformity struct {
	Traveler
	Lots        []string // of paste
	Concessions []shop.Concession
	Note        string     // of the delivery, "" before it
	Stops       []string   // what stands in the way of it
	Sealed      Checkpoint // zero where the newest one does not cover the whole record
}

// Facts say what the certificate is about.
func (p Conformity) Facts() []Fact {
	d := p.Design
	facts := []Fact{{Name: "Insert", Value: p.Insert.Insert, Figure: true}, {Name: "Part", Value: d.Design + ", " + d.Name}, {Name: "Drawing revision", Value: d.Revision, Figure: true},
		{Name: "Customer", Value: p.Order.Customer, Figure: true}, {Name: "Order", Value: p.Order.Order, Figure: true}, {Name: "Mould", Value: cmp.Or(p.Insert.Mould, "none"), Figure: true},
		{Name: "Material", Value: d.Material}, {Name: "Paste lot", Value: cmp.Or(strings.Join(p.Lots, ", "), "none yet"), Figure: true}}
	if p.Note != "" {
		facts = append(facts, Fact{Name: "Delivered", Value: Stamp(p.Insert.Since, p.Zone)[:10] + ", delivery note " + p.Note, Figure: true})
	}
	return facts
}

// Values lists the last reading of each characteristic.
func (p Conformity) Values() Listing {
	l := Listing{Name: "What was measured", Empty: "This part has no characteristics.", Columns: columnsOf("Characteristic", "What", "#Limits", "#Read", "Unit", "Verdict")}
	for _, c := range p.Design.Characteristics {
		last := Size{Characteristic: c, Drawing: p.Design.DrawingUnit}
		for _, s := range p.Sizes {
			if s.Number == c.Number && s.Read() && !s.Struck() && s.Result.Purpose != "pair" {
				last = s
			}
		}
		verdict := stateItem("not measured", "open")
		switch {
		case !last.Read():
		case last.Result.Verdict == "pass":
			verdict = stateItem("pass", "done")
		default:
			verdict = stateItem(last.Result.Verdict, "stopped")
		}
		name := c.Name
		if c.Key {
			name += ", key"
		}
		l.Rows = append(l.Rows, Row{Stopped: verdict.Mark == "stopped", Cells: []Item{code(c.Number), words(name), code(last.Limit()), code(last.Value()), words(last.ShownUnit()), verdict}})
	}
	return l
}

// Conforms reports whether every characteristic was measured, nothing stands in
// the way, and the inspection is over.
func (p Conformity) Conforms() bool {
	for _, r := range p.Values().Rows {
		if r.Cells[5].Mark == "open" {
			return false
		}
	}
	step, _ := p.Insert.StepOf(shop.OpInspect)
	return len(p.Stops) == 0 && step.State == shop.Finished && p.Insert.Status != shop.StatusScrapped
}

// fails reports whether a characteristic lies outside its limits.
func (p Conformity) fails() bool {
	for _, r := range p.Values().Rows {
		if r.Stopped {
			return true
		}
	}
	return false
}

// Statement is what the shop states.
func (p Conformity) Statement() string {
	switch {
	case !p.Conforms():
		return strings.Join(append([]string{"This is no certificate yet: not every characteristic was measured and found within its limits or conceded, or something stands in the way."}, p.Stops...), " ")
	case p.fails():
		return "Every characteristic was measured. What lies outside its limits was conceded as named below."
	}
	return "Every characteristic was measured and lies within its limits. A reading on a limit passes; measurement uncertainty is not added to or taken from the limits."
}

func (p Conformity) conceded() Listing {
	l := Listing{Name: "Concessions", Columns: columnsOf("Concession", "What is allowed", "Customer's reference")}
	for _, c := range p.Concessions {
		l.Rows = append(l.Rows, Row{Cells: []Item{code(c.Concession), words(c.What), words(c.CustomerReference)}})
	}
	return l
}
