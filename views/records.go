package views

import (
	"strconv"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// span is a run of layers: "1–304".
func span(from, to int) string {
	if from == to {
		return strconv.Itoa(from)
	}
	return strconv.Itoa(from) + "–" + strconv.Itoa(to)
}

func (p Traveler) by(badge string, at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return badge + " " + p.clock(at)
}

// fact is a line about something recorded; it is left out where nothing was.
func fact(name, value string) []Fact {
	if value == "" {
		return nil
	}
	return []Fact{{Name: name, Value: value, Figure: true}}
}

func together(parts ...[]Fact) []Fact {
	var all []Fact
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}

// times are when an act began and ended, by whom, and how long it took.
func (p Traveler) times(began, ended time.Time, beganBy, endedBy string) []Fact {
	took := fact("Took", Took(began, ended))
	took[0].Figure = false
	return together(fact("Started", p.by(beganBy, began)), fact("Finished", p.by(endedBy, ended)), took)
}

// ReleaseFacts are what the insert's release says.
func (p Traveler) ReleaseFacts() []Fact {
	r := p.Release
	facts := together([]Fact{{Name: "Release", Value: r.Release, Href: PageOf("release", r.Release), Figure: true}},
		fact("Program", r.Program), fact("Program SHA-256", shortHash(r.ProgramHash)), fact("Oversize X Y Z", strings.Join([]string{r.KX.Text, r.KY.Text, r.KZ.Text}, " ")),
		fact("Furnace recipe", r.Recipe), []Fact{{Name: "Built", Value: r.Orientation}, {Name: "Rests on", Value: r.Evidence}})
	for _, s := range r.Signatures {
		facts = append(facts, Fact{Name: "Signed: " + s.Meaning, Value: p.by(s.By, s.At), Figure: true})
	}
	return facts
}

func shortHash(hash string) string {
	if len(hash) <= 16 {
		return hash
	}
	return hash[:16] + "…"
}

// PrintFacts are what was recorded of a print.
func (p Traveler) PrintFacts(r PrintRecord) []Fact {
	done := "planned " + Whole(r.Layers)
	if r.LayersDone > 0 {
		done = Whole(r.LayersDone) + " of " + Whole(r.Layers)
	}
	return together([]Fact{{Name: "Machine", Value: r.Machine, Href: PageOf("machine", r.Machine), Figure: true}}, fact("Plate", r.Carrier),
		fact("Layers", done), fact("Plate temperature", shown(r.Plate)), fact("Mass as printed", shown(r.Printed)), fact("Program SHA-256", shortHash(r.ProgramHash)),
		p.times(r.Began, r.Ended, r.BeganBy, r.EndedBy))
}

// DryingFacts are what was recorded of a final drying.
func (p Traveler) DryingFacts(r DryingRecord) []Fact {
	return together(fact("Oven, shelf", r.Oven+opt(", ", r.Shelf)), fact("Air", shown(r.Air)), fact("Mass before", shown(r.Wet)), fact("Mass after", shown(r.Dry)),
		fact("Loss", shown(r.Loss)), p.times(r.Began, r.Ended, r.BeganBy, r.EndedBy))
}

// LoadFacts are what was recorded of the insert's furnace load.
func (p Traveler) LoadFacts(l shop.Load) []Fact {
	facts := together([]Fact{{Name: "Load", Value: l.Load, Href: PageOf("load", l.Load), Figure: true}, {Name: "Furnace", Value: l.Furnace, Href: PageOf("furnace", l.Furnace), Figure: true}},
		fact("Recipe", l.Recipe))
	for _, it := range l.Items {
		if it.Insert == p.Insert.Insert {
			facts = append(facts, Fact{Name: "Place", Value: it.Position, Figure: true}, Fact{Name: "Laid in", Value: p.by(it.By, it.At), Figure: true})
		}
	}
	if l.Closed.IsZero() {
		return append(facts, Fact{Name: "Door", Value: "open"})
	}
	facts = together(facts, fact("Door closed", p.by(l.ClosedBy, l.Closed)), fact("Unloaded", p.by(l.OpenedBy, l.Opened)))
	return append(facts, Fact{Name: "In the furnace", Value: Took(l.Closed, l.Opened)})
}

// TemperingFacts are what was recorded of a tempering.
func (p Traveler) TemperingFacts(r TemperingRecord) []Fact {
	return together(fact("Oven", r.Oven), fact("Recipe", r.Recipe), p.times(r.Began, r.Ended, r.BeganBy, r.EndedBy))
}

// FitFacts are what the toolmaker found and did.
func (p Traveler) FitFacts(n shop.FitNote) []Fact {
	facts := together([]Fact{{Name: "Mould, place", Value: n.Mould + " " + n.Place, Href: PageOf("mould", n.Mould), Figure: true}},
		fact("Pocket X", shown(n.PocketX)), fact("Pocket Y", shown(n.PocketY)),
		fact("Gap X found", shown(n.GapX)), fact("Gap Y found", shown(n.GapY)), fact("Spotting contact", shown(n.Spotting)), fact("Time taken", shown(n.Hours)))
	if n.Note != "" {
		facts = append(facts, Fact{Name: "Note", Value: n.Note})
	}
	return together(facts, fact("Fitted", p.by(n.By, n.At)))
}
