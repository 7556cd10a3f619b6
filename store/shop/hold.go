package shop

import (
	"slices"
	"time"
)

// A Hold stops every further operation on what it lies on.
type Hold struct {
	ID         int64
	Hold       string // as H-001
	OnKind     string // insert, lot, container, load, machine, furnace, gauge or mould
	OnCode     string
	Reason     string
	SetAt      time.Time
	SetBy      string
	LiftedAt   time.Time // zero while it stands
	LiftedBy   string
	LiftReason string

	Containment string // that it was set with, "" for one by itself
}

// Standing reports whether the hold was not lifted yet.
func (h Hold) Standing() bool { return h.LiftedAt.IsZero() }

// Stands reports whether the hold was set and not yet lifted at a time.
func (h Hold) Stands(at time.Time) bool {
	return !h.SetAt.After(at) && (h.LiftedAt.IsZero() || h.LiftedAt.After(at))
}

// HoldKinds are the kinds of things that can be held.
var HoldKinds = []string{"insert", "lot", "container", "load", "machine", "furnace", "gauge", "mould"}

// HoldSet stops a thing.
type HoldSet struct {
	Hold   string `json:"hold"`
	OnKind string `json:"on_kind"`
	OnCode string `json:"on_code"`
	Why    string `json:"why"`

	Containment string `json:"containment,omitempty"` // that sets it with others; "" for one by itself
}

func (HoldSet) Kind() string { return "hold-set" }
func (e HoldSet) Subjects() []string {
	return []string{Subject(e.OnKind, e.OnCode), Subject("hold", e.Hold)}
}

// Valid refuses a hold on nothing or without a reason.
func (e HoldSet) Valid() error {
	f := Fields{}
	f.Number("hold", e.Hold, "The hold's number")
	if !slices.Contains(HoldKinds, e.OnKind) {
		f.Say("on_kind", "%q cannot be held: name an insert, lot, container, load, machine, furnace, gauge or mould.", e.OnKind)
	}
	f.Need("on_code", e.OnCode, "What is to be held")
	f.Need("why", e.Why, "The reason for the hold")
	return f.Err()
}

// HoldLifted lets a thing go on. Why stands beside it.
type HoldLifted struct {
	Hold   string `json:"hold"`
	OnKind string `json:"on_kind"`
	OnCode string `json:"on_code"`
	Why    string `json:"why"`
}

func (HoldLifted) Kind() string { return "hold-lifted" }
func (e HoldLifted) Subjects() []string {
	return []string{Subject(e.OnKind, e.OnCode), Subject("hold", e.Hold)}
}

// Valid refuses to lift a hold without a reason.
func (e HoldLifted) Valid() error {
	f := Fields{}
	f.Need("hold", e.Hold, "The hold's number")
	f.Need("on_kind", e.OnKind, "What is held")
	f.Need("on_code", e.OnCode, "What is held")
	f.Need("why", e.Why, "The reason for lifting it")
	return f.Err()
}
