package views

import (
	"slices"

	"sinterbook/store/shop"
)

// SignIn is the page at the door. At a tablet the frame has the station.
type SignIn struct {
	Frame
	Form  Form
	Why   string // a whole sentence when somebody was not let in
	Empty bool   // the book has no first page yet
}

// Secret is the field for a PIN at a tablet, and for a password elsewhere.
func (p SignIn) Secret() Field {
	if p.Station != "" {
		return Field{Name: "pin", Label: "PIN", Type: "password", Inputmode: "numeric", Autocomplete: "off", Required: true, Autofocus: p.Form.Value("badge") != ""}
	}
	return Field{Name: "password", Label: "Password", Type: "password", Autocomplete: "current-password", Required: true, Autofocus: p.Form.Value("badge") != ""}
}

// Badge is the field that takes a badge, scanned or typed.
func (p SignIn) Badge() Field {
	f := p.Form.CodeField("badge", "Badge", true)
	f.Autocomplete, f.Autofocus = "username", f.Value == ""
	if p.Station != "" {
		f.Hint, f.Autocomplete = "Scan it, or type its number.", "off"
	}
	return f
}

// SetUp is the first page of a new book.
type SetUp struct {
	Frame
	Form     Form
	Verifier string // the key that checks the book's signatures
}

// Tablet asks whether this browser becomes a station's tablet.
type Tablet struct {
	Frame
	Form    Form
	Device  string
	Station shop.Station
}

// Stations is the page of the stations and their tablets.
type Stations struct {
	Frame
	Stations  []shop.Station
	Tablets   map[string][]string // by station: their names
	Form      Form                // registers a tablet
	Opens     string              // the address that was just made, to be opened on the tablet
	New       bool
	Registers bool
}

// options are the stations to choose from.
func (p Stations) options() []Option {
	var o []Option
	for _, st := range p.Stations {
		o = append(o, Option{Value: st.Station, Text: st.Station + ", " + st.Name})
	}
	return o
}

// NewStation is the form for a station.
type NewStation struct {
	New
	Equipment []string // machines and furnaces
}

// OperationOptions are the operations of the route, as a choice.
func OperationOptions() []Option {
	var o []Option
	for _, op := range shop.Operations {
		o = append(o, Option{Value: op, Text: OperationName(op)})
	}
	return o
}

// skillOptions are what a person can be authorised for.
func skillOptions() []Option {
	o := OperationOptions()
	for _, part := range shop.BuildParts {
		if !slices.ContainsFunc(o, func(have Option) bool { return have.Value == part }) {
			o = append(o, Option{Value: part, Text: OperationName(part)})
		}
	}
	return o
}

func (p NewStation) equipment() Choice {
	c := p.Form.Pick("equipment", "Machine or furnace that stands there", Options(p.Equipment...), false)
	c.Empty = "none"
	return c
}

// intro says with what people sign in here.
func (p SignIn) intro() string {
	if p.Station != "" {
		return "With your badge and PIN, for this shift."
	}
	return "With your badge and password."
}

// zone is the field for the shop's time zone.
func (p SetUp) zone() Field {
	f := p.Form.Text("zone", "Time zone", true)
	f.Hint = "As Europe/Vienna or America/Chicago."
	return f
}

// newSecret is a field for a password that is being set. What was typed in it
// is never shown again.
func newSecret(form Form, name, label, hint string) Field {
	return Field{Form: form.Name, Name: name, Label: label, Type: "password", Autocomplete: "new-password", Hint: hint, Wrong: form.Wrong[name], Required: true}
}

// newPIN is newSecret for a PIN, which may be left out.
func newPIN(form Form, name, label, hint string) Field {
	f := newSecret(form, name, label, hint)
	f.Inputmode, f.Required = "numeric", false
	return f
}
