package views

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Traveler is the page about one insert: its route, what happened at each
// operation, and what is next.
type Traveler struct {
	Frame
	Insert  shop.Insert
	Design  shop.Design
	Order   shop.Order
	Release shop.Release // by which it is or will be printed; zero before it is assigned
	Zone    *time.Location
	At      time.Time // the book's now

	Sizes           []Size
	Prints          []PrintRecord // none before it began
	Draws           []DrawRecord
	Layers          []LayerRecord
	LotChanges      []shop.LotChange // signed while it was printed
	Drying          []DryingRecord
	Weighings       []shop.Weighing  // while it dried
	Greens          []shop.GreenSize // those that were corrected too
	Forecasts       []shop.Forecast  // what they will become; none once it is sintered
	LeastChance     shop.Limit       // that the shop asks for
	Factors         []shop.Factor    // of its lots
	Others          []shop.Factor    // of every lot, for naming a slip
	Tempering       []TemperingRecord
	Load            []shop.Load
	Fits            []shop.FitNote
	Documents       []shop.Document  // photos and papers on it
	Reasons         map[int64]string // why the entry with a number was recorded in place of another
	Holds           []shop.Hold      // on it and on what it goes with, lifted ones too
	Nonconformances []shop.Nonconformance
	Refusals        []Refusal
	Acts            []Link // what this person may do here
	Address         string // that its QR code opens
}

// A PrintRecord is one print as it was recorded.
type PrintRecord struct {
	Release, Machine, Carrier, ProgramHash string
	KX, KY, KZ                             string
	Given                                  shop.Release // what the machine had been given, to compare with a lot's factors
	Layers, LayersDone                     int
	Plate, Printed                         shop.Reading
	Began, Ended                           time.Time
	BeganBy, EndedBy                       string
}

// A DrawRecord is paste taken from a container for the insert.
type DrawRecord struct {
	Seq                int64
	Container          string
	FromLayer, ToLayer int
	Drawn, Purged      shop.Reading
	At                 time.Time
	By                 string
	CorrectedBy        int64
}

// A LayerRecord is what was recorded of some layers.
type LayerRecord struct {
	shop.LayersMade
	At time.Time
	By string
}

// A DryingRecord is one final drying.
type DryingRecord struct {
	Oven, Shelf         string
	Air, Wet, Dry, Loss shop.Reading
	Began, Ended        time.Time
	BeganBy, EndedBy    string
}

// A TemperingRecord is one tempering.
type TemperingRecord struct {
	Recipe, Oven     string
	Began, Ended     time.Time
	BeganBy, EndedBy string
}

// A Refusal is an attempt that a gate stopped.
type Refusal struct {
	Seq         int64
	Tried       string
	Gate, Why   string
	At          time.Time
	By, Station string
}

// handLines are the lines for notes by hand on the sheet that hangs on the part.
const handLines = 4

// Standing are the holds that stop it now.
func (p Traveler) Standing() []shop.Hold {
	var on []shop.Hold
	for _, h := range p.Holds {
		if h.LiftedAt.IsZero() {
			on = append(on, h)
		}
	}
	return on
}

// Lifted are the holds that are over.
func (p Traveler) Lifted() []shop.Hold {
	var over []shop.Hold
	for _, h := range p.Holds {
		if !h.LiftedAt.IsZero() {
			over = append(over, h)
		}
	}
	return over
}

// Open are the nonconformances on it that wait for a decision.
func (p Traveler) Open() []shop.Nonconformance {
	return slices.DeleteFunc(slices.Clone(p.Nonconformances), func(n shop.Nonconformance) bool { return n.State != shop.NCOpen })
}

// Decided are those that wait for nobody any more.
func (p Traveler) Decided() []shop.Nonconformance {
	return slices.DeleteFunc(slices.Clone(p.Nonconformances), func(n shop.Nonconformance) bool { return n.State == shop.NCOpen })
}

// Band is the route with the place marked at which a hold or an open
// nonconformance stops it.
func (p Traveler) Band() []Segment {
	route := RouteSegments(p.Insert, p.Zone)
	if on := p.Standing(); len(on) > 0 {
		return StopAt(route, "held "+on[0].Hold)
	}
	if next, _ := p.Insert.Next(); len(p.Open()) > 0 && next.Operation != shop.OpInspect {
		return StopAt(route, p.Open()[0].Number+" open")
	}
	return route
}

// Part is what it is, in words.
func (p Traveler) Part() string { return partWords(p.Insert, p.Design) }

// Where says how it stands, where, and since when.
func (p Traveler) Where() string {
	where := p.Insert.Where()
	if strings.HasSuffix(p.Insert.Status, where) { // in stock, on the shelf of that name
		return fmt.Sprintf("%s since %s", p.Insert.Status, Stamp(p.Insert.Since, p.Zone))
	}
	return fmt.Sprintf("%s, %s, since %s", p.Insert.Status, where, Stamp(p.Insert.Since, p.Zone))
}

// Due says when it is due, and by how much it is late.
func (p Traveler) Due() string { return dueWords(p.Order.Due, p.Insert.Done, p.At, p.Zone) }

// Done counts the operations that are behind it.
func (p Traveler) Done() string {
	done, all := 0, 0
	for _, s := range p.Insert.Steps {
		if s.State != shop.LeftOut {
			all++
		}
		if s.State == shop.Finished {
			done++
		}
	}
	return fmt.Sprintf("%d of %d operations done", done, all)
}

// StopTitle heads the box of a standing hold.
func (p Traveler) StopTitle(h shop.Hold) string {
	if h.OnKind == "insert" {
		return "Stopped: held"
	}
	return "Stopped: held with its " + h.OnKind
}

// StopWords say who holds it, since when and why.
func (p Traveler) StopWords(h shop.Hold) string { return holdWords(h, p.Zone) }

func holdWords(h shop.Hold, zone *time.Location) string {
	return fmt.Sprintf("%s %s is held by %s since %s (%s): %s Only the quality manager can lift it.", sentenceStart(h.OnKind), h.OnCode, h.SetBy, Stamp(h.SetAt, zone), h.Hold, full(h.Reason))
}

func sentenceStart(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// NextTitle names what comes next.
func (p Traveler) NextTitle() string {
	next, ok := p.Insert.Next()
	switch {
	case p.Insert.Status == shop.StatusScrapped:
		return "Scrapped: nothing comes next"
	case p.Insert.Done || !ok:
		return "At the end of its route"
	case next.State == shop.Started:
		return OperationName(next.Operation) + " is under way"
	}
	return "Next: " + OperationName(next.Operation)
}

// NextWords say where it is done and since when it goes on.
func (p Traveler) NextWords() string {
	next, ok := p.Insert.Next()
	switch {
	case !ok || p.Insert.Done:
		return sentenceStart(p.Where()) + "."
	case len(p.Standing()) > 0:
		return "It goes on once the hold is lifted."
	case next.State == shop.Started:
		return fmt.Sprintf("Started by %s at %s, %s ago.", next.StartedBy, Stamp(next.StartedAt, p.Zone), Lasted(p.At.Sub(next.StartedAt)))
	case next.Operation == shop.OpSinter && p.Insert.Status == shop.StatusLoaded:
		return fmt.Sprintf("It lies in load %s at %s; the door is open.", p.Insert.Load, p.Insert.Position)
	case next.Operation == shop.OpSinter:
		return "It waits for a load with the recipe " + p.Release.Recipe + "."
	case next.Optional:
		return "This operation may be left out. It has waited since " + Stamp(p.Insert.Since, p.Zone) + "."
	}
	return "It has waited since " + Stamp(p.Insert.Since, p.Zone) + "."
}

// Goes says that there is a next act for a station to do.
func (p Traveler) Goes() bool {
	_, ok := p.Insert.Next()
	return ok && !p.Insert.Done
}

// Took says how long an act took; not known where the clock stepped back.
func Took(began, ended time.Time) string {
	took, known := shop.Step{StartedAt: began, FinishedAt: ended}.Took()
	switch {
	case ended.IsZero():
		return "under way"
	case !known:
		return notKnown
	}
	return Lasted(took)
}

// Lasted is a length of time as people say it, in its two largest units; not
// known where it would be less than nothing.
func Lasted(d time.Duration) string {
	switch {
	case d < 0:
		return notKnown
	case d < time.Minute:
		return "less than a minute"
	case d < time.Hour:
		return fmt.Sprintf("%d"+noBreak+"min", d/time.Minute)
	case d < 24*time.Hour:
		return fmt.Sprintf("%d"+noBreak+"h"+noBreak+"%d"+noBreak+"min", d/time.Hour, d%time.Hour/time.Minute)
	}
	return fmt.Sprintf("%d"+noBreak+"d"+noBreak+"%d"+noBreak+"h", d/(24*time.Hour), d%(24*time.Hour)/time.Hour)
}

// dueWords say when something is due and how late it is by now.
func dueWords(due shop.Date, done bool, at time.Time, zone *time.Location) string {
	if late := DaysLate(due, at, zone); late > 0 && !done {
		return fmt.Sprintf("due %s, %s late", due, days(late))
	}
	return "due " + string(due)
}

// DaysLate is how many days a day lies behind, 0 when it does not.
func DaysLate(due shop.Date, at time.Time, zone *time.Location) int {
	day, err := time.Parse(time.DateOnly, string(due))
	if err != nil {
		return 0
	}
	today, _ := time.Parse(time.DateOnly, string(shop.DayOf(at, zone)))
	return max(0, int(today.Sub(day)/(24*time.Hour)))
}

// clock is a moment in the shop's zone, "" while it has not come.
func (p Traveler) clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return Stamp(t, p.Zone)
}

// day and hour are the two halves of clock, for a narrow column.
func (p Traveler) day(t time.Time) string  { return t.In(p.Zone).Format(time.DateOnly) }
func (p Traveler) hour(t time.Time) string { return t.In(p.Zone).Format("15:04") }

// shown is a reading as typed; nothing where none was taken.
func shown(r shop.Reading) string {
	if !r.Taken() {
		return ""
	}
	return r.String()
}

// Made lists what the insert is made of.
func (p Traveler) Made() []Fact {
	var facts []Fact
	grams := p.paste()
	for _, lot := range p.Release.Lots() {
		facts = append(facts, Fact{Name: "Paste lot", Value: lot + p.layersOf(lot), Href: PageOf("lot", lot), Figure: true})
	}
	for _, g := range grams {
		facts = append(facts, Fact{Name: "Container", Value: g.container + "  " + Grams(g.grams), Unit: "g", Href: PageOf("container", g.container), Figure: true})
	}
	for _, pr := range p.Prints {
		facts = append(facts, Fact{Name: "Oversize X Y Z", Value: pr.KX + " " + pr.KY + " " + pr.KZ, Figure: true},
			Fact{Name: "Machine", Value: pr.Machine, Href: PageOf("machine", pr.Machine), Figure: true})
	}
	if p.Insert.Release != "" {
		facts = append(facts, Fact{Name: "Release", Value: p.Insert.Release, Href: PageOf("release", p.Insert.Release), Figure: true})
	}
	if p.Insert.Load != "" {
		facts = append(facts, Fact{Name: "Load, place", Value: p.Insert.Load + "  " + p.Insert.Position, Href: PageOf("load", p.Insert.Load), Figure: true})
	}
	if p.Insert.Carrier != "" {
		facts = append(facts, Fact{Name: "On plate", Value: p.Insert.Carrier, Figure: true})
	}
	if p.Insert.Marked != "" {
		facts = append(facts, Fact{Name: "Marked", Value: p.Insert.Marked + " by " + p.by(p.Insert.MarkedBy, p.Insert.MarkedAt)})
	}
	facts = append(facts, Fact{Name: "Order", Value: p.Insert.Order, Href: PageOf("order", p.Insert.Order), Figure: true})
	if p.Order.Mould != "" {
		facts = append(facts, Fact{Name: "Mould", Value: p.Order.Mould + opt(" ", p.Insert.MouldAt), Href: PageOf("mould", p.Order.Mould), Figure: true})
	}
	facts = append(facts, Fact{Name: "Route", Value: fmt.Sprintf("%s version %d", p.Insert.Template, p.Insert.Version), Href: PageOf("route", p.Insert.Template), Figure: true})
	if p.Insert.Replaces != "" {
		facts = append(facts, Fact{Name: "In place of", Value: p.Insert.Replaces, Href: PageOf("insert", p.Insert.Replaces), Figure: true})
	}
	if p.Insert.Scratch != "" {
		facts = append(facts, Fact{Name: "Scratched", Value: p.Insert.Scratch, Figure: true})
	}
	return facts
}

// layersOf says which layers of a print of several lots are of one.
func (p Traveler) layersOf(lot string) string {
	if len(p.Prints) == 0 || len(p.Release.Further) == 0 {
		return ""
	}
	print := p.Prints[len(p.Prints)-1]
	return ", " + cmp.Or(shop.LayerWords(p.Release.LayersOf(lot, cmp.Or(print.LayersDone, print.Layers))), "no layer")
}

type drawnFrom struct {
	container string
	grams     float64
}

// paste is the grams from each container by the draws that stand.
func (p Traveler) paste() (from []drawnFrom) {
	for _, d := range p.Draws {
		if d.CorrectedBy != 0 {
			continue
		}
		if n := len(from); n > 0 && from[n-1].container == d.Container {
			from[n-1].grams += d.Drawn.Value()
			continue
		}
		from = append(from, drawnFrom{d.Container, d.Drawn.Value()})
	}
	return from
}

// HasRecords reports whether anything was recorded of its operations yet.
func (p Traveler) HasRecords() bool {
	return len(p.Prints)+len(p.Drying)+len(p.Load)+len(p.Tempering)+len(p.Fits) > 0
}

// Cares are the cautions of the operation that comes next; on paper those of
// all that are still to come, the next one first.
func (p Traveler) Cares() []Fact {
	if p.Insert.Done {
		return nil
	}
	var care []Fact
	for _, step := range p.Insert.Steps {
		still := step.State == shop.Todo || step.State == shop.Started
		if still && Caution(step.Operation) != "" && (p.Frame.Print || len(care) == 0) {
			care = append(care, Fact{Name: OperationName(step.Operation), Value: Caution(step.Operation)})
		}
	}
	return care
}
