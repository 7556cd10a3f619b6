package views

import (
	"fmt"
	"math"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// weighing asks for a weighing during drying.
func weighing(p Work) templ.Component {
	return pair(field(p.Form.Figure("mass", "Mass without the plate", "g", true)), choice(p.Form.Pick("gauge", "Balance", gaugeOptions(p.Gauges), true)))
}

// greenSize asks for the size of a dried part along an axis.
func greenSize(p Work) templ.Component {
	return pair(choice(p.Form.Pick("axis", "Axis", Options(shop.Axes...), true)), field(p.Form.Figure("size", "Green size", "", true)), choice(p.Form.Unit("unit", "Unit", shop.Length, true)), choice(p.Form.Pick("gauge", "Gauge", gaugeOptions(p.Gauges), true)))
}

// pair sets fields beside each other.
func pair(fields ...templ.Component) templ.Component { return beside(fields) }

// WeighingList lists the weighings of the insert while it dried.
func (p Traveler) WeighingList() Listing {
	l := Listing{Name: "Weighings", Columns: columnsOf("At", "#Mass", "#Since the one before, %", "By, on")}
	before := 0.0
	if n := len(p.Drying); n > 0 {
		before = p.Drying[n-1].Wet.Value()
	}
	for _, w := range p.Weighings {
		change := ""
		if before > 0 {
			change = Number(100*(w.Mass.Value()-before)/before, 3)
		}
		before = w.Mass.Value()
		l.Rows = append(l.Rows, Row{Cells: []Item{code(p.clock(w.At)), words(w.Mass.String()), words(change), code(w.By + " " + w.Gauge)}})
	}
	return l
}

// GreenWords are a green size in words.
func GreenWords(g shop.GreenSize) string {
	return fmt.Sprintf("entry %d, %s green in %s by gauge %s", g.Seq, g.Size, g.Axis, g.Gauge)
}

// GreenList lists the green sizes with what they are predicted to become. Of a
// piece that is still green each is judged by the chance that it comes out
// right; of one that was sintered only the size stands.
func (p Traveler) GreenList() Listing {
	l := Listing{Name: "Green sizes", Columns: columnsOf("Axis", "#Green", "#Predicted, mm", "#95 % interval", "Limits", "#Chance", "State", "By, on")}
	for _, g := range p.Greens {
		row := Row{Past: g.CorrectedBy != 0, Cells: []Item{code(g.Axis), words(g.Size.String()), words(""), words(""), words("no limits"), words(""), words(""), code(g.By + " " + g.Gauge)}}
		if g.CorrectedBy != 0 {
			row.Cells[6] = stateItem("replaced", "past")
		}
		for _, f := range p.Forecasts {
			if f.Green.Seq == g.Seq {
				p.forecast(&row, f)
			}
		}
		l.Rows = append(l.Rows, row)
	}
	return l
}

// forecast fills in what a green size will become.
func (p Traveler) forecast(row *Row, f shop.Forecast) {
	row.Cells[4] = words(f.Of.Limits())
	if f.Why != "" {
		row.Cells[6] = stateItem("not known", "todo")
		return
	}
	row.Cells[2] = words(Number(f.Size, 3))
	if !math.IsNaN(f.Chance) {
		row.Cells[3], row.Cells[5] = words(Number(f.Lo, 3)+" to "+Number(f.Hi, 3)), words(shop.Chance(f.Chance))
	}
	switch {
	case f.Good(p.LeastChance.Value.Value()):
		row.Cells[6] = stateItem("will be right", "done")
	case f.Inside():
		row.Cells[6], row.Stopped = stateItem("not sure enough", "stopped"), true
	default:
		row.Cells[6], row.Stopped = stateItem("will not be right", "stopped"), true
	}
}

// ForecastWords say what the chance rests on, and what can be done where it is
// too small.
func (p Traveler) ForecastWords() []string {
	var said []string
	for _, f := range p.Forecasts {
		if f.Why != "" || !f.Good(p.LeastChance.Value.Value()) {
			said = append(said, f.Sentence(p.Insert.Insert, p.LeastChance))
		}
	}
	return said
}

// Changed says what a superseded design, release or factor does to an open
// traveler; none where everything still stands.
func (p Traveler) Changed() []string {
	if p.Insert.Done || p.Release.Release == "" {
		return nil
	}
	var said []string
	if p.Design.Superseded {
		said = append(said, fmt.Sprintf("Revision %s of %s is superseded. A print by it is not started any more; a piece that is printed already goes on by the decision of the process engineer.", p.Insert.Revision, p.Insert.Design))
	}
	if !p.Release.InForce(p.At) {
		word, _ := ReleaseState(p.Release, p.At)
		said = append(said, fmt.Sprintf("Release %s is %s. A print by it is not started any more.", p.Release.Release, word))
	}
	if shifts := shop.Shifts(p.Release, p.Factors, p.Others, p.At); len(shifts) > 0 && p.Insert.Unsintered() {
		said = append(said, shiftWords(shifts)+" "+insertAdvice(p.Insert, shifts))
	}
	return said
}
