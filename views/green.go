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
	l := Listing{Name: "Green sizes", Columns: columnsOf("Axis", "#Green", "#Becomes, 95 %, mm", "Limits", "State", "By, on")}
	newest := map[string]int64{}
	for _, g := range p.Greens {
		if g.CorrectedBy == 0 {
			newest[g.Axis] = max(newest[g.Axis], g.Seq)
		}
	}
	for _, g := range p.Greens {
		row := Row{Past: g.Seq != newest[g.Axis], Cells: []Item{code(g.Axis), words(g.Size.String()), words(""), code(p.greenLimits(g.Axis)), words(""), words(g.By + " " + g.Gauge)}}
		switch {
		case g.CorrectedBy != 0:
			row.Cells[4] = stateItem("replaced", "past")
		case row.Past:
			row.Cells[4] = stateItem("measured again", "past")
		}
		for _, f := range p.Forecasts {
			if f.Green.Seq == g.Seq && f.Green.Seq != 0 {
				p.forecast(&row, f)
			}
		}
		l.Rows = append(l.Rows, row)
	}
	return l
}

// greenLimits are those of the whole sintered length along an axis of the
// drawing.
func (p Traveler) greenLimits(axis string) string {
	for _, c := range p.Design.WholeLengths() {
		if c.Axis == axis && (c.Lower.Taken() || c.Upper.Taken()) {
			return c.Limits()
		}
	}
	return "no limits"
}

// forecast fills in what a green size will become.
func (p Traveler) forecast(row *Row, f shop.Forecast) {
	if f.Why == "" {
		row.Cells[2] = words(Number(f.Size, 3))
	}
	if !math.IsNaN(f.Lo) {
		row.Cells[2].Text += noBreak + "±" + noBreak + Number((f.Hi-f.Lo)/2, 3)
	}
	word, mark := p.foretold(f)
	row.Cells[4], row.Stopped = stateItem(word, mark), mark == "stopped"
}

// foretold is the state of a green size: how likely it is that it comes out
// right, and nothing that nobody knows.
func (p Traveler) foretold(f shop.Forecast) (word, mark string) {
	chance := " (" + shop.Chance(f.Chance) + ")"
	switch good := f.Good(p.LeastChance.Value.Value()); {
	case f.Why != "":
		return "not known", "todo"
	case f.Unsure != "" && good:
		return "inside, chance not known", "todo"
	case f.Unsure != "":
		return "outside, chance not known", "stopped"
	case good:
		return "likely right" + chance, "done"
	case f.Inside():
		return "not sure enough" + chance, "stopped"
	default:
		return "likely wrong" + chance, "stopped"
	}
}

// ForecastWords say what can be done where the gate before the furnace says no,
// and why no chance is known where it lets pass all the same.
func (p Traveler) ForecastWords() (stops, notes []string) {
	for _, f := range p.Forecasts {
		switch said := f.Sentence(p.Insert.Insert, p.LeastChance); {
		case !f.Good(p.LeastChance.Value.Value()):
			stops = append(stops, said)
		case f.Unsure != "":
			notes = append(notes, said)
		}
	}
	return stops, notes
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
	if shifts := shop.Shifts(p.asPrinted(), p.Factors, p.Others, p.At); len(shifts) > 0 && p.Insert.Unsintered() {
		said = append(said, shiftWords(shifts)+" "+insertAdvice(p.Insert, shifts))
	}
	return said
}

// asPrinted is the release of the insert, once it is printed with the factors
// that the machine was given.
func (p Traveler) asPrinted() shop.Release {
	r := p.Release
	if p.Insert.Status != shop.StatusOpened {
		for _, print := range p.Prints {
			r.KX, r.KY, r.KZ = print.Given.KX, print.Given.KY, print.Given.KZ
		}
	}
	return r
}
