package views

import (
	"fmt"
	"strconv"
	"time"

	"sinterbook/store/shop"
)

// Concession is the page about one concession.
type Concession struct {
	Frame
	Concession shop.Concession
	Zone       *time.Location
	Today      time.Time
	Withdraw   *Form // nil for those who may not, and once it is withdrawn
}

// NewConcession is the form that gives one.
type NewConcession struct {
	New
	Items  []shop.Nonconformance // pieces that it can be about
	Moulds []shop.Mould
}

// concessionWord is how a concession stands on a day.
func concessionWord(c shop.Concession, today shop.Date) string {
	switch {
	case !c.WithdrawnAt.IsZero():
		return "withdrawn"
	case today > c.ExpiresOn:
		return "expired"
	case len(c.Used) >= c.Quantity:
		return "used up"
	}
	return "stands"
}

func concessionMark(word string) string {
	if word == "stands" || word == "used up" {
		return "done"
	}
	return "stopped"
}

// Word is how it stands today.
func (p Concession) Word() string {
	return concessionWord(p.Concession, shop.DayOf(p.Today, p.Zone))
}

// Facts say its scope.
func (p Concession) Facts() []Fact {
	c := p.Concession
	facts := []Fact{
		{Name: "Nonconformance", Value: c.Nonconformance, Href: PageOf("nonconformance", c.Nonconformance), Figure: true},
		{Name: "Pieces", Value: shop.Listed(c.Inserts), Figure: true},
		{Name: "Allowed", Value: c.What},
	}
	for _, l := range c.Limits {
		facts = append(facts, Fact{Name: "Checked limit", Value: l.String(), Figure: true})
	}
	facts = append(facts, Fact{Name: "Pieces allowed", Value: strconv.Itoa(c.Quantity), Figure: true}, Fact{Name: "Used so far", Value: usedWords(c), Figure: true},
		Fact{Name: "Last day", Value: string(c.ExpiresOn), Figure: true})
	if c.Mould != "" {
		facts = append(facts, Fact{Name: "Only in mould", Value: c.Mould, Href: PageOf("mould", c.Mould), Figure: true})
	}
	facts = together(facts, fact("Customer", c.Customer), fact("Customer's reference", c.CustomerReference),
		[]Fact{{Name: "Given", Value: c.GivenBy + " " + Stamp(c.GivenAt, p.Zone), Figure: true}})
	if !c.WithdrawnAt.IsZero() {
		facts = append(facts, Fact{Name: "Withdrawn", Value: c.WithdrawnBy + " " + Stamp(c.WithdrawnAt, p.Zone), Figure: true}, Fact{Name: "Reason", Value: c.WithdrawnWhy})
	}
	return facts
}

func usedWords(c shop.Concession) string {
	if len(c.Used) == 0 {
		return "none"
	}
	return shop.Listed(c.Used)
}

func (p NewConcession) mouldOptions() []Option {
	var o []Option
	for _, m := range p.Moulds {
		if m.Shipped.IsZero() {
			o = append(o, Option{Value: m.Mould, Text: m.Mould + " of " + m.Customer})
		}
	}
	return o
}

// limitCells are the cells of a line in the table of limits.
func limitCells(f Form, n int) []Line {
	unit := f.cell("limits", n, "unit", "Unit")
	unit.Options = allUnits()
	return []Line{
		f.cell("limits", n, "", "Characteristic").wide(),
		f.cell("limits", n, "lower", "Least").figure(),
		f.cell("limits", n, "upper", "Most").figure(),
		unit,
	}
}

func concessionSentence(e shop.ConcessionGiven) string {
	said := fmt.Sprintf("Concession %s was given for %s under %s: %s", e.Concession, shop.Listed(e.Inserts), e.Nonconformance, full(e.What))
	for _, l := range e.Limits {
		said += " Checked limit: " + l.String() + "."
	}
	return said + fmt.Sprintf(" Valid for %d of them until %s%s%s%s.", e.Quantity, e.ExpiresOn, opt(", in mould ", e.Mould), opt(", for ", e.Customer), opt(", reference: ", e.CustomerReference))
}
