package views

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Station is the page of a station while nothing lies on its bench.
type Station struct {
	Frame
	Scan      Scan
	Asked     *Traveler // what a typed number seems to mean; nil when nothing is asked
	Operation string    // done at this station; "" away from a tablet
	Known     []Known   // what was scanned so far, without a traveler
	Begun     []FloorLine
	Waiting   []FloorLine
}

// Work is the page of a station about one insert: what it is, the one next
// act, and what that needs.
type Work struct {
	Traveler
	Scan      Scan
	Act       string // the act whose form is shown; "" where none can be done here
	Operation string // to which the act belongs
	Form      *Form  // nil where the act may not be done
	Others    []Link // other acts that may be done now
	Elsewhere string // why nothing is asked for at this station, "" where it is
	Go        *Link  // the next act where it is on another page

	Gates      []string         // asked before the act, in order
	Objections []shop.Objection // of the gates that said no
	Asks       bool             // they ask for a reason; else they stop
	Tried      bool             // what the act is about was scanned already

	Machines    []shop.Machine
	Containers  []ContainerLine // of the lot that the release prints
	Lot         shop.Lot
	Instruction shop.Instruction // in force for the act; zero where there is none
	ToRead      *Form            // to say that it was read; nil where that was said
	Here        string           // address of this page, to come back to
	Gauges      []shop.Gauge
	Ovens       []shop.Oven
	Recipes     []shop.Recipe
	Moulds      []shop.Mould
	Furnaces    []shop.Furnace
	Setter      Load          // into which it is laid
	OnForm      bool          // laid out as on a paper form, printed or to be typed in
	Known       []Known       // what was scanned for it
	Expected    shop.Expected // paste that its print should take
	Besides     []string      // fields of what was scanned and belongs to another act
	Corrected   string        // what a correction takes the place of, in words
}

// Title heads the sheet of the next act.
func (p Work) Title() string {
	switch {
	case p.Auditing():
		return p.NextTitle()
	case p.Corrected != "":
		return "Correct a record"
	}
	title := cmp.Or(actWords[p.Act].title, p.NextTitle())
	if p.Form != nil && p.Form.Reading != nil {
		return title + ": first read how"
	}
	return title
}

// Before heads the checklist of the act.
func (p Work) Before() string { return actWords[p.Act].before }

// Button names the act.
func (p Work) Button() string {
	if p.Corrected != "" {
		return "Record the correction"
	}
	return actWords[p.Act].button
}

// Stops reports whether a gate stands in the way that no reason opens.
func (p Work) Stops() bool { return len(p.Objections) > 0 && !p.Asks }

// StopTitle says what cannot be done.
func (p Work) StopTitle() string {
	for _, o := range p.Objections {
		if o.Gate == shop.NotHeld.Name {
			return "Stopped: held"
		}
	}
	return "Stopped: " + strings.ToLower(p.Title()[:1]) + p.Title()[1:]
}

// No is why the act was not recorded, or what stands in its way, in a line; ""
// where nothing does.
func (p Work) No() string {
	if p.Form == nil {
		if p.Stops() {
			return "Stopped: " + p.Objections[0].Why
		}
		return ""
	}
	return p.Form.No()
}

// hinted is a hint that says what is known of the insert: nothing on a form
// that is printed before there is one.
func (p Work) hinted(text string) string {
	if p.Form.Blank {
		return ""
	}
	return text
}

// Nominals are the nominal sizes in the drawing's unit, and the mould it is for.
func (p Work) Nominals() string {
	d := p.Design
	size := fmt.Sprintf("%s × %s × %s", d.X.Text, d.Y.Text, d.Z.Text)
	return WithUnit(size, shop.UnitWord(d.DrawingUnit)) + ", " + p.goal()
}

func (p Work) goal() string {
	if p.Order.Mould == "" {
		return "for stock"
	}
	return "for mould " + p.Order.Mould
}

// Spare says how many days are left, or by how many it is late.
func (p Work) Spare() string {
	if late := DaysLate(p.Order.Due, p.At, p.Zone); late > 0 {
		return days(late) + " late"
	}
	today, _ := time.Parse(time.DateOnly, string(shop.DayOf(p.At, p.Zone)))
	due, err := time.Parse(time.DateOnly, string(p.Order.Due))
	if err != nil {
		return ""
	}
	if due.Equal(today) {
		return "today"
	}
	return days(int(due.Sub(today)/(24*time.Hour))) + " to spare"
}

// Noes are the latest attempts that were stopped.
func (p Work) Noes() []Refusal { return p.Refusals[:min(3, len(p.Refusals))] }

// ScanHint says what may be scanned next.
func ScanHint(act string) string {
	switch act {
	case ActPrintStart:
		return "plate, program, then START"
	case ActPaste:
		return "container, then RECORD"
	case ActLayers:
		return "cutter, then RECORD"
	case ActDryingStart, ActTemperingStart:
		return "oven, then START"
	case ActWeigh, ActGreen, ActResult:
		return "gauge, then RECORD"
	case ActFit:
		return "mould, then RECORD"
	case ActPrintFinish, ActDryingFinish, ActTemperingFinish, ActInspectionFinish:
		return "FINISH, or another traveler"
	}
	return "badge, traveler, container, gauge, load, mould"
}

// Title heads a station's page: what is done there.
func (p Station) Title() string {
	if p.Operation == "" {
		return "Station"
	}
	return OperationName(p.Operation)
}

// Soft says that this is no station, where it is none.
func (p Station) Soft() string {
	if p.Operation == "" {
		return "This is not a registered tablet: what comes next decides the operation."
	}
	return ""
}

// Candidate lists what tells one insert from another before it is worked on.
func (p Station) Candidate() []Fact {
	i := p.Asked.Insert
	facts := []Fact{{Name: "Where", Value: i.Where()}, {Name: "Stands", Value: p.Asked.NextTitle()}, {Name: "Scan code", Value: i.Code.Grouped(), Figure: true}}
	if i.Scratch != "" {
		facts = append(facts, Fact{Name: "Scratched", Value: i.Scratch, Figure: true})
	}
	return facts
}

// AskedNominals are the sizes of the insert that is asked about.
func (p Station) AskedNominals() string { return Work{Traveler: *p.Asked}.Nominals() }

func (p Station) waitsFor() string {
	if p.Operation == "" {
		return "what comes next"
	}
	return p.Operation
}

// bench is where a line of a list leads: it is no scan, so it asks first.
func (l FloorLine) bench() string { return StationOf(l.Insert) + "/sure" }

// waitingWords say why no form is shown.
func (p Work) waitingWords() string {
	switch {
	case p.Auditing():
		return "An auditor reads and prints, and changes nothing."
	case p.Elsewhere != "":
		return p.Elsewhere
	case p.Picks():
		return "Take a characteristic from the list below: measure it again, or correct what was read."
	}
	return p.NextWords()
}

// aside is the small second line of the main button.
func (p Work) aside() string {
	switch {
	case p.Corrected != "":
		return ""
	case p.Act == ActPrintStart || p.Act == ActDryingStart || p.Act == ActTemperingStart:
		return "or scan START; the machine is started at the machine"
	case strings.HasSuffix(p.Act, "-finish"):
		return "or scan FINISH"
	}
	return "or scan RECORD"
}
