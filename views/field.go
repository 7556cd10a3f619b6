package views

import (
	"cmp"
	"slices"
	"strings"
)

// A Field is one thing to type. It keeps what was typed when it was wrong.
type Field struct {
	Name         string
	Form         string // tells fields of one name in several forms apart; "" in the only form
	Label        string
	Unit         string // stands in the label
	UnitIn       string // id of the choice that has the unit; "" where it stands in the label
	Signed       bool   // a number that may lie below zero
	Value        string // as typed
	Type         string // text when empty
	Inputmode    string // decimal and numeric are set as figures
	Hint         string // how to fill it in, or where to find it
	Wrong        string // what was not understood; "" when nothing was
	Autocomplete string // off when empty
	Code         bool   // a code or number of the shop: set as a figure
	Required     bool
	Autofocus    bool
	Blank        bool // to be filled in by hand, on a printed form
	Long         bool // a whole line of a printed form
}

// ID is the field's id in the page; the error summary links to it.
func (f Field) ID() string { return fieldID(f.Form, f.Name) }

// Labelled is the label with its unit.
func (f Field) Labelled() string {
	if f.Unit == "" {
		return f.Label
	}
	return f.Label + ", " + f.Unit
}

// InputType is the kind of input, text unless said.
func (f Field) InputType() string { return cmp.Or(f.Type, "text") }

// boxClass is how wide the field is on a printed form.
func (f Field) boxClass() string {
	switch {
	case f.Long:
		return must("long", f.Required)
	case f.Code:
		return must("word", f.Required)
	}
	return must("figure", f.Required)
}

// must marks what has to be filled in on a printed form.
func must(class string, required bool) string {
	if required {
		return class + " must"
	}
	return class
}

// OnItsOwnLine is the field as it needs a whole line of a printed form.
func (f Field) OnItsOwnLine() Field {
	f.Long = true
	return f
}

// Completes says what the browser may fill in.
func (f Field) Completes() string { return cmp.Or(f.Autocomplete, "off") }

// DescribedBy names the hint and the error to a screen reader.
func (f Field) DescribedBy() string { return describedBy(f.ID(), f.Hint, f.Wrong) }

// Figure says that what is typed is set in figures.
func (f Field) Figure() bool {
	return f.Code || f.Inputmode == "decimal" || f.Inputmode == "numeric"
}

// A Choice is one of a list to pick.
type Choice struct {
	Name     string
	Form     string // as in Field
	Label    string
	Value    string
	Options  []Option
	Empty    string // text of an empty first option
	Hint     string
	Wrong    string
	Required bool
	Blank    bool // as in Field
}

// ToTick reports whether the options stand on a printed form, to be ticked
// there; else what was chosen is written.
func (c Choice) ToTick() bool { return len(c.Options) > 0 && len(c.Options) < 6 }

// An Option is one line of a Choice.
type Option struct {
	Value string
	Text  string
}

// First is the text of the empty first option. Nothing is chosen for a person:
// while the value is none of the options, there is one that says so.
func (c Choice) First() string {
	known := slices.ContainsFunc(c.Options, func(o Option) bool { return o.Value == c.Value })
	if c.Empty == "" && !(known && c.Required) {
		return "Choose"
	}
	return c.Empty
}

// ID is the choice's id in the page.
func (c Choice) ID() string { return fieldID(c.Form, c.Name) }

// DescribedBy names the hint and the error to a screen reader.
func (c Choice) DescribedBy() string { return describedBy(c.ID(), c.Hint, c.Wrong) }

// A Tick is a yes or no, or one of several that may be chosen together.
type Tick struct {
	Name    string
	Form    string // as in Field
	Label   string
	Value   string // what is sent when ticked
	Checked bool
	Hint    string
}

// ID is the tick's id in the page.
func (t Tick) ID() string { return fieldID(t.Form, t.Name+"-"+t.Value) }

// DescribedBy names the hint to a screen reader.
func (t Tick) DescribedBy() string { return describedBy(t.ID(), t.Hint, "") }

// An Area is a longer text to type.
type Area struct {
	Name     string
	Form     string // as in Field
	Label    string
	Value    string
	Hint     string
	Wrong    string
	Required bool
	Blank    bool // as in Field
}

// ID is the area's id in the page.
func (a Area) ID() string { return fieldID(a.Form, a.Name) }

// DescribedBy names the hint and the error to a screen reader.
func (a Area) DescribedBy() string { return describedBy(a.ID(), a.Hint, a.Wrong) }

func fieldID(form, name string) string {
	if form == "" {
		return "f-" + name
	}
	return "f-" + form + "-" + name
}

func describedBy(id, hint, wrong string) string {
	var ids []string
	if hint != "" {
		ids = append(ids, id+"-hint")
	}
	if wrong != "" {
		ids = append(ids, id+"-wrong")
	}
	return strings.Join(ids, " ")
}
