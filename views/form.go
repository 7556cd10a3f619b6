package views

import (
	"cmp"
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strings"

	"sinterbook/store/shop"
)

// A Form is one act that a person fills in: what they typed, and what was
// wrong with it when it comes back.
type Form struct {
	ID      string // in the page, for what stands outside of it; "" where nothing does
	Name    string // short, unlike any other form's on the page; "" for the only one
	Action  string // address it is posted to
	Prefix  string // of the names of its fields, where several forms are sent together
	Blank   bool   // printed, to be filled in by hand
	Command string // id of the act, made with the page: a resend is the same act
	Seen    string // for edits: the count of entries that the page was made of
	Values  url.Values
	Files   []File   // that were sent with it
	Upload  bool     // files may be sent with it
	Sent    []string // names of the fields as they were sent, in the order of the page

	Wrong      map[string]string // field to sentence; "" is about the whole form
	Refused    string            // a whole sentence when the act was refused
	Objections []shop.Objection  // the gates that said no or ask for a reason
	Asks       bool              // reasons may be given and the act tried again
	Meanwhile  []shop.Change     // what others changed while this was typed

	Reading *Reading // instruction to be read before the act; nil where there is none
	Noted   string   // sentence about what was noted before the act is gone on with
}

// Value is what was typed in a field, else what the page proposes.
func (f Form) Value(field string) string { return f.Values.Get(field) }

// named is a field's name as it is sent.
func (f Form) named(field string) string { return f.Prefix + field }

// Has reports whether a value was ticked among those of a field.
func (f Form) Has(field, value string) bool { return slices.Contains(f.Values[field], value) }

// Or is the typed value of a field, or another where nothing was typed yet.
func (f Form) Or(field, other string) string {
	if f.Values.Has(field) {
		return f.Values.Get(field)
	}
	return other
}

// Text makes a field of words.
func (f Form) Text(name, label string, required bool) Field {
	return Field{Form: f.Name, Name: f.named(name), Label: label, Value: f.Value(name), Wrong: f.Wrong[name], Required: required, Blank: f.Blank}
}

// CodeField makes a field for a number or code of the shop.
func (f Form) CodeField(name, label string, required bool) Field {
	field := f.Text(name, label, required)
	field.Code = true
	return field
}

// Figure makes a field for a measured number in a fixed unit.
func (f Form) Figure(name, label, unit string, required bool) Field {
	field := f.Text(name, label, required)
	field.Unit, field.Inputmode = unit, "decimal"
	return field
}

// Day makes a field for a day of the calendar.
func (f Form) Day(name, label string, required bool) Field {
	field := f.Text(name, label, required)
	field.Type = "date"
	return field
}

// Piece makes the tick of one insert among several.
func (f Form) Piece(insert string) Tick {
	return Tick{Form: f.Name, Name: f.named("inserts"), Label: insert, Value: insert, Checked: f.Has("inserts", insert)}
}

// Pick makes a choice among options.
func (f Form) Pick(name, label string, options []Option, required bool) Choice {
	return Choice{Form: f.Name, Name: f.named(name), Label: label, Value: f.Value(name), Options: options, Empty: "choose", Wrong: f.Wrong[name], Required: required, Blank: f.Blank}
}

// Words makes a field for a remark or a reason.
func (f Form) Words(name, label string, required bool) Area {
	return Area{Form: f.Name, Name: f.named(name), Label: label, Value: f.Value(name), Wrong: f.Wrong[name], Required: required, Blank: f.Blank}
}

// Options makes options out of words that are their own values.
func Options(words ...string) []Option {
	var o []Option
	for _, w := range words {
		o = append(o, Option{Value: w, Text: w})
	}
	return o
}

// UnitOptions are the units in which a quantity may be typed.
func UnitOptions(q shop.Quantity) []Option {
	var o []Option
	for _, u := range shop.UnitsOf(q) {
		o = append(o, Option{Value: u, Text: shop.UnitWord(u)})
	}
	return o
}

// answer asks why to go on although a gate objects.
func (f Form) answer(o shop.Objection) Area {
	name := AnswerField(o.Gate)
	return Area{Form: f.Name, Name: f.named(name), Label: strings.TrimSuffix(o.Why, ".") + ": why go on?", Value: f.Value(name), Wrong: f.Wrong[name], Required: true}
}

// AnswerField is the field in which a gate's question is answered.
func AnswerField(gate string) string { return "answer." + gate }

func (f Form) stopTitle() string {
	switch {
	case len(f.Meanwhile) > 0:
		return "Changed meanwhile"
	case f.Asks:
		return "This asks for a reason"
	}
	return "Stopped"
}

// changed is one change by somebody else, in words.
func (f Form) changed(c shop.Change) string {
	from, to := c.From, c.To
	if from == "" {
		from = "empty"
	}
	if to == "" {
		to = "empty"
	}
	return "Badge " + c.By + " at " + c.At.Format("2006-01-02 15:04") + " UTC: " + c.Field + " from " + from + " to " + to + "."
}

// WrongFields lists the fields that something is said about: the whole form
// first, then as they stand on the page.
func (f Form) WrongFields() []string {
	place := func(field string) int {
		if at := slices.Index(f.Sent, field); at >= 0 || field == "" {
			return at
		}
		return len(f.Sent)
	}
	return slices.SortedFunc(maps.Keys(f.Wrong), func(a, b string) int { return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(a, b)) })
}

// Returned reports whether the form came back with a no.
func (f Form) Returned() bool { return len(f.Wrong) > 0 || f.Refused != "" }

// saidID is the part of a station's page that says no in full.
const saidID = "said"

// saidID is the id of what a form says about its fields, where it is the form
// on the bench: there the top of the page leads to it.
func (f Form) saidID() string {
	if f.ID == "" {
		return fieldID(f.Name, "wrongs")
	}
	return saidID
}

// refusedID is the same for what stands in the way; what is said about fields
// comes before it.
func (f Form) refusedID() string {
	if f.ID == "" || len(f.Wrong) > 0 {
		return ""
	}
	return saidID
}

// notStored heads what is said about the fields of a form.
func (f Form) notStored() string {
	if f.Noted != "" {
		return "Nothing else was stored"
	}
	return "Nothing was stored"
}

// No is why the form came back, or what it asks, in a line.
func (f Form) No() string {
	wrong := f.WrongFields()
	switch {
	case len(wrong) == 1:
		return f.notStored() + ": " + f.Wrong[wrong[0]]
	case len(wrong) > 1:
		return fmt.Sprintf("%d things to put right. %s", len(wrong), f.Wrong[wrong[0]])
	case f.Refused == "":
		return ""
	case len(f.Objections) > 0:
		return f.stopTitle() + ": " + f.Objections[0].Why
	}
	return f.stopTitle() + ": " + f.Refused
}
