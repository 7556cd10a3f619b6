package shop

import (
	"slices"
	"time"
)

// A Limit is a number that the shop has decided on, from which on a page warns
// or an act asks. What happened is judged by the limit of its day.
type Limit struct {
	Limit string
	Value Reading
	Basis string    // what it rests on
	From  time.Time // zero for one that nobody decided on yet
	By    string
}

// The limits that the shop decides on.
const (
	UnexplainedMass = "unexplained mass of a container"
	DrawOff         = "draw beside its expected mass"
	GreenChance     = "chance that a green insert comes out right"
)

// commonPractice is what a limit rests on until the shop decides on one.
const commonPractice = "common practice, no source"

// FirstLimits are the limits in force before the shop has decided. A balance
// for tubs shows 0.1 g, and what stays on spatulas and gloves over the life of
// a tub is a few grams; a draw has the chips of shaping in it.
var FirstLimits = []Limit{
	{Limit: UnexplainedMass, Value: MustReading("10", "g"), Basis: commonPractice},
	{Limit: DrawOff, Value: MustReading("30", "%"), Basis: commonPractice},
	{Limit: GreenChance, Value: MustReading("80", "%"), Basis: "ours: a fifth of the furnace's places may be a risk"},
}

// LimitAt is the limit of a name in force at a time, of all that were set, the
// oldest first.
func LimitAt(set []Limit, name string, at time.Time) Limit {
	in := FirstLimits[slices.IndexFunc(FirstLimits, func(l Limit) bool { return l.Limit == name })]
	for _, l := range set {
		if l.Limit == name && !l.From.After(at) && !l.From.Before(in.From) {
			in = l
		}
	}
	return in
}

// Words are the limit and what it rests on.
func (l Limit) Words() string { return l.Value.String() + " (" + l.Basis + ")" }

// LimitNames lists the limits that the shop decides on.
func LimitNames() []string {
	var names []string
	for _, l := range FirstLimits {
		names = append(names, l.Limit)
	}
	return names
}

// MeasureOf is what a limit is a measure of; "" for one that there is not.
func MeasureOf(limit string) Quantity {
	for _, l := range FirstLimits {
		if l.Limit == limit {
			return QuantityOf(l.Value.Unit)
		}
	}
	return ""
}

// LimitSet decides on a limit from a moment on.
type LimitSet struct {
	Limit string    `json:"limit"`
	Value Reading   `json:"value" quantity:"its kind"`
	From  time.Time `json:"from"`
	Basis string    `json:"basis"`
}

func (LimitSet) Kind() string         { return "limit-set" }
func (e LimitSet) Subjects() []string { return []string{Subject("limit", e.Limit)} }

// Valid refuses a limit that there is not, one in a unit of something else, and
// one that rests on nothing.
func (e LimitSet) Valid() error {
	f := Fields{}
	of := MeasureOf(e.Limit)
	if of == "" {
		f.Say("limit", "There is no limit %q.", e.Limit)
	}
	f.needPositive("value", e.Value, "The value of the limit")
	if of != "" && e.Value.Taken() && QuantityOf(e.Value.Unit) != of {
		f.Say("value", "%s is not a %s: its unit must be %s.", e.Value, of, oneOf(of))
	}
	if f["value"] == "" && of != "" && e.Value.Taken() {
		f.sameSize(e)
	}
	if e.From.IsZero() {
		f.Say("from", "The time from which it holds is missing.")
	}
	f.Need("basis", e.Basis, "What it rests on")
	return f.Err()
}

// sameSize refuses a limit that looks like a slip of unit: a chance that is no
// percentage, a mass in kilograms typed as grams or the other way round.
func (f Fields) sameSize(e LimitSet) {
	first := LimitAt(nil, e.Limit, time.Time{}).Value
	switch v := e.Value.Value(); {
	case e.Limit == GreenChance && (v < 1 || v > 100):
		f.Say("value", "A chance of %s cannot be asked for: it must be from 1 to 100 %%.", e.Value)
	case v*100 <= first.Value() || v >= first.Value()*100:
		f.Say("value", "%s is a hundred times off what shops begin with, %s, or more. Another unit was probably meant.", e.Value, first)
	}
}
