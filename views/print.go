package views

import (
	"fmt"

	"sinterbook/store/shop"
)

// ContainerOptions are the lot's containers with what is left in them. One
// that was scanned stays to be chosen whatever it is: a gate says why not.
func (p Work) ContainerOptions() []Option {
	var o []Option
	scanned := p.Form.Value("container")
	for _, c := range p.Containers {
		state, _ := c.State(p.At, p.Zone)
		if state == "empty" && c.Container.Container != scanned {
			continue
		}
		o = append(o, Option{Value: c.Container.Container, Text: c.Container.Container + ", " + OpenWords(c, p.At, p.Zone)})
		if c.Container.Container == scanned {
			scanned = ""
		}
	}
	if scanned != "" {
		o = append(o, Option{Value: scanned, Text: scanned + ", of another lot"})
	}
	return o
}

// Released says what the machine must show, for comparing.
func (p Work) Released() []Fact {
	r := p.Release
	return []Fact{
		{Name: "Release", Value: r.Release, Figure: true}, {Name: "Machine", Value: r.Machine, Figure: true}, {Name: "Program", Value: r.Program, Figure: true},
		{Name: "Oversize X Y Z", Value: p.oversize(), Figure: true}, {Name: "Paste lot", Value: r.LotWords(), Figure: true}, {Name: "Built", Value: r.Orientation},
	}
}

func (p Work) oversize() string {
	return p.Release.KX.Text + " " + p.Release.KY.Text + " " + p.Release.KZ.Text
}

// drawnSoFar says where the last draw that stands ended.
func (p Work) drawnSoFar() string {
	planned := p.Planned()
	for n := len(p.Draws) - 1; n >= 0; n-- {
		if d := p.Draws[n]; d.CorrectedBy == 0 {
			return fmt.Sprintf("The last draw ended at layer %d of %d.", d.ToLayer, planned)
		}
	}
	return fmt.Sprintf("Nothing was drawn yet; %s are planned.", layersWord(planned))
}

func (p Work) madeSoFar() string {
	if len(p.Layers) == 0 {
		return fmt.Sprintf("No layers were recorded yet; %s are planned.", layersWord(p.Planned()))
	}
	last := p.Layers[len(p.Layers)-1]
	return fmt.Sprintf("The last record ended at layer %d of %d.", last.ToLayer, p.Planned())
}

// Planned is how many layers the print has.
func (p Work) Planned() int {
	if len(p.Prints) == 0 {
		return 0
	}
	return p.Prints[len(p.Prints)-1].Layers
}

// Covered reports whether the draws that stand reach the last layer.
func (p Work) Covered() bool {
	for _, d := range p.Draws {
		if d.CorrectedBy == 0 && d.ToLayer >= p.Planned() {
			return true
		}
	}
	return false
}

// Reached is the last layer that a record says was made.
func (p Work) Reached() int {
	last := 0
	for _, l := range p.Layers {
		last = max(last, l.ToLayer)
	}
	return last
}

// Drawn reports whether a draw stands.
func (p Work) Drawn() bool {
	for _, d := range p.Draws {
		if d.CorrectedBy == 0 {
			return true
		}
	}
	return false
}

// DrawWords is a draw in words, as a correction names it.
func DrawWords(d DrawRecord) string {
	return fmt.Sprintf("entry %d, %s from %s for layers %s", d.Seq, d.Drawn, d.Container, span(d.FromLayer, d.ToLayer))
}

// WithHint is the field with a line that says how to fill it in.
func (f Field) WithHint(hint string) Field {
	f.Hint = hint
	return f
}

// Count makes a field for a whole number.
func (f Form) Count(name, label string, required bool) Field {
	field := f.Text(name, label, required)
	field.Inputmode = "numeric"
	return field
}

// Unit makes the choice of the unit of what is typed beside it. Nothing is
// chosen beforehand.
func (f Form) Unit(name, label string, q shop.Quantity, required bool) Choice {
	return f.Pick(name, label, UnitOptions(q), required)
}
