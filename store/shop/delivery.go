package shop

import (
	"slices"
	"strings"
	"time"
)

// MouldShipped delivers a mould with every insert fitted in it.
type MouldShipped struct {
	Mould   string   `json:"mould"`
	Note    string   `json:"note"`    // number of the delivery note
	Inserts []string `json:"inserts"` // all that are fitted in it
}

func (MouldShipped) Kind() string { return "mould-shipped" }
func (e MouldShipped) Subjects() []string {
	subjects := []string{Subject("mould", e.Mould)}
	for _, insert := range e.Inserts {
		subjects = append(subjects, Subject("insert", insert))
	}
	return subjects
}

func (MouldShipped) Operation() string { return OpDeliver }
func (e MouldShipped) On() []string    { return e.Inserts }

// Gates of a delivery.
func (MouldShipped) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, FailHasNonconformance, NonconformanceClosed}
}

// Valid refuses a delivery without mould, note or inserts.
func (e MouldShipped) Valid() error {
	f := Fields{}
	f.Need("mould", e.Mould, "The mould")
	f.Number("note", e.Note, "The number of the delivery note")
	f.noTwice("inserts", e.Inserts)
	if len(e.Inserts) == 0 {
		f.Say("inserts", "No insert is fitted in the mould: there is nothing to deliver.")
	}
	return f.Err()
}

// PutToStock ends an insert's route on a shelf, for an order without a mould.
type PutToStock struct {
	Insert string `json:"insert"`
	Place  string `json:"place"`
}

func (PutToStock) Kind() string         { return "put-to-stock" }
func (e PutToStock) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses a shelf without a name.
func (e PutToStock) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("place", e.Place, "The shelf")
	return f.Err()
}

func (PutToStock) Operation() string  { return OpDeliver }
func (e PutToStock) InsertNo() string { return e.Insert }
func (PutToStock) Phase() Phase       { return Whole }

// Gates of putting an insert to stock.
func (PutToStock) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, FailHasNonconformance, NonconformanceClosed}
}

// A Delivery is a mould that left, or came back, with inserts in it.
type Delivery struct {
	Seq     int64
	Mould   string // "" for an insert that came back by itself
	Note    string
	Why     string // it came back; "" for a delivery
	At      time.Time
	By      string
	Inserts []string
}

// MouldReturned takes a delivered mould back into the toolroom with the
// inserts that are still in it. They can be delivered with it again.
type MouldReturned struct {
	Mould   string   `json:"mould"`
	Note    string   `json:"note"` // the customer's number for it
	Why     string   `json:"why"`
	Inserts []string `json:"inserts"`

	Recalled []Recalled `json:"recalled"` // of a containment that they were out of the reach of; filled by the store
}

// A Recalled insert comes back after a containment named it: it is held at once.
type Recalled struct {
	Insert      string `json:"insert"`
	Hold        string `json:"hold"`
	Containment string `json:"containment"`
	Why         string `json:"why"` // of the containment
}

// holds are the holds that are set on what was recalled.
func holds(all []Recalled) []Event {
	var set []Event
	for _, r := range all {
		set = append(set, HoldSet{Hold: r.Hold, OnKind: "insert", OnCode: r.Insert, Why: r.Why, Containment: r.Containment})
	}
	return set
}

// Follow are the holds on what was recalled.
func (e MouldReturned) Follow() []Event { return holds(e.Recalled) }

func (MouldReturned) Kind() string { return "mould-returned" }
func (e MouldReturned) Subjects() []string {
	return MouldShipped{Mould: e.Mould, Inserts: e.Inserts}.Subjects()
}

// Valid refuses a return without mould or reason.
func (e MouldReturned) Valid() error {
	f := Fields{}
	f.Need("mould", e.Mould, "The mould")
	f.Need("why", e.Why, "Why it came back")
	f.noTwice("inserts", e.Inserts)
	return f.Err()
}

// ReturnTo are the operations at which an insert that came back by itself can
// begin again.
var ReturnTo = []string{OpInspect, OpFit}

// InsertReturned takes a delivered insert back by itself, out of its mould. It
// is kept apart, and goes through its route again from an operation on.
type InsertReturned struct {
	Insert string `json:"insert"`
	Note   string `json:"note"`
	Why    string `json:"why"`
	Place  string `json:"place"` // where it is kept apart
	Back   string `json:"back"`

	Recalled []Recalled `json:"recalled"` // of a containment that it was out of the reach of; filled by the store
}

// Follow are the holds on it, if it was recalled.
func (e InsertReturned) Follow() []Event { return holds(e.Recalled) }

func (InsertReturned) Kind() string         { return "insert-returned" }
func (e InsertReturned) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses a return without reason, place or what comes next.
func (e InsertReturned) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("why", e.Why, "Why it came back")
	f.Need("place", e.Place, "The place where it is kept apart")
	if !slices.Contains(ReturnTo, e.Back) {
		f.Say("back", "Say from which operation on it goes through the route again: %s.", strings.Join(ReturnTo, ", "))
	}
	return f.Err()
}
