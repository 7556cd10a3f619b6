package views

import (
	"time"

	"sinterbook/store/shop"
)

// Holds is the list of holds, those that stand first.
type Holds struct {
	Frame
	Standing []shop.Hold
	Open     []shop.Nonconformance // those that wait for a decision, the oldest first
	Raises   bool                  // the visitor may raise one
	Lifted   []shop.Hold
	Older    string // leads to lifted holds further back, "" at the end
	Zone     *time.Location
	At       time.Time
	Set      *Form // nil for those who set none
}

// Hold is the page about one hold.
type Hold struct {
	Frame
	Hold  shop.Hold
	Zone  *time.Location
	At    time.Time
	Lift  *Form       // nil for those who may not lift it, or once it is lifted
	Stops []FloorLine // open inserts that it stops
}

// Age is how long a hold has stood.
func Age(h shop.Hold, at time.Time) string { return Lasted(at.Sub(h.SetAt)) }

// Stood is how long a hold stood before it was lifted.
func Stood(h shop.Hold) string { return Took(h.SetAt, h.LiftedAt) }

// KindOptions are the kinds of things that can be held.
func KindOptions() []Option { return Options(shop.HoldKinds...) }

// Words say who holds what since when, and why.
func (p Hold) Words() string { return holdWords(p.Hold, p.Zone) }

// Stands reports whether the hold was not lifted yet.
func (p Hold) Stands() bool { return p.Hold.LiftedAt.IsZero() }

// Facts say all that is known of the hold.
func (p Hold) Facts() []Fact {
	h := p.Hold
	facts := []Fact{
		{Name: sentenceStart(h.OnKind), Value: h.OnCode, Href: PageOf(h.OnKind, h.OnCode), Figure: true},
		{Name: "Reason", Value: h.Reason},
		{Name: "Set", Value: h.SetBy + " " + Stamp(h.SetAt, p.Zone), Figure: true},
	}
	if p.Stands() {
		return append(facts, Fact{Name: "Stands for", Value: Age(h, p.At)})
	}
	return append(facts, Fact{Name: "Lifted", Value: h.LiftedBy + " " + Stamp(h.LiftedAt, p.Zone), Figure: true},
		Fact{Name: "Reason for lifting", Value: h.LiftReason}, Fact{Name: "Stood for", Value: Stood(h)})
}

// StopsWords say how many open inserts a hold stops.
func (p Hold) StopsWords() string {
	switch p.Hold.OnKind {
	case "container", "machine", "furnace", "gauge":
		return "It stops every operation that would use this " + p.Hold.OnKind + "."
	}
	switch len(p.Stops) {
	case 0:
		return "No open insert is stopped by it."
	case 1:
		return "One open insert is stopped by it."
	}
	return Whole(len(p.Stops)) + " open inserts are stopped by it."
}
