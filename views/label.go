package views

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Labels is the page that lays out labels for a printer.
type Labels struct {
	Frame
	Asked  url.Values
	Wrong  map[string]string
	Kinds  []string // of things that this person may label
	Things []Label
	Skip   int // labels of the first sheet that are used up
}

// A Label names one thing, for people and for scanners.
type Label struct {
	Kind    string
	Number  string
	Code    shop.ScanCode
	Part    string   // place on the thing, "" for the thing itself
	Address string   // that a QR code opens
	Notes   []string // what else must be seen on it
}

// ContainerNotes are what the label of a container says of its paste. A sealed
// one has room for the day on which it is opened.
func ContainerNotes(c shop.Container, l shop.Lot, zone *time.Location) []string {
	opened := "opened ____-__-__"
	if !c.Opened.IsZero() {
		opened = "opened " + Day(c.Opened, zone)
	}
	notes := []string{l.Material, opened, "last day " + string(c.LastDay(l, zone))}
	if c.Opened.IsZero() {
		notes = append(notes, fmt.Sprintf("open for %s", days(l.OpenLifeDays)))
	}
	return notes
}

// LabelOf is the address of the label of one thing.
func LabelOf(kind, number string) string {
	return "/labels?" + url.Values{"kind": {kind}, "numbers": {number}, "symbol": {"qr"}, "layout": {"single-100"}}.Encode()
}

// LabelsOf is the address of labels of several things.
func LabelsOf(kind string, numbers []string) string {
	return "/labels?" + url.Values{"kind": {kind}, "numbers": {strings.Join(numbers, "\n")}, "symbol": {"qr"}, "layout": {"a4-24"}}.Encode()
}

// Symbol is the code as it is asked for, and its class.
func (l Label) symbol(kind string) (Symbol, string) {
	switch kind {
	case "matrix":
		return MatrixOf(l.text()), "square"
	case "bars":
		return BarsOf(l.text()), "long"
	}
	return QROf(l.Address), "square"
}

func (l Label) drawn(kind string) Symbol { s, _ := l.symbol(kind); return s }
func (l Label) class(kind string) string { _, c := l.symbol(kind); return c }

func (l Label) said() string { return "Code of " + l.Kind + " " + l.Number + ": " + l.text() }

// text is what a scanner reads from the label.
func (l Label) text() string {
	if l.Part == "" {
		return string(l.Code)
	}
	return string(l.Code) + "/" + l.Part
}

// grouped is the code as people read it.
func (l Label) grouped() string {
	if l.Part == "" {
		return l.Code.Grouped()
	}
	return l.Code.Grouped() + " / " + l.Part
}

// A layout is a sheet of labels as it is bought, or a single label.
type layout struct {
	name string
	text string
	per  int // labels a sheet
}

// layouts are common sizes of label stock (common practice, no source).
var layouts = []layout{
	{"a4-24", "A4, 24 labels of 70 × 36 mm", 24},
	{"a4-65", "A4, 65 labels of 38 × 21 mm", 65},
	{"letter-30", "Letter, 30 labels of 2 5/8 × 1 in", 30},
	{"single-100", "one label of 100 × 50 mm", 1},
	{"single-50", "one label of 50 × 30 mm", 1},
}

func layoutOptions() []Option {
	var o []Option
	for _, l := range layouts {
		o = append(o, Option{Value: l.name, Text: l.text})
	}
	return o
}

func symbolOptions() []Option {
	return []Option{{Value: "qr", Text: "QR code, for travelers and boxes"}, {Value: "matrix", Text: "Data Matrix, for parts, plates and trays"}, {Value: "bars", Text: "Code 128, for old scanners"}}
}

func (p Labels) form() Form {
	values := url.Values{"layout": {"a4-24"}, "symbol": {"qr"}}
	for name, v := range p.Asked {
		values[name] = v
	}
	return Form{Name: "labels", Values: values, Wrong: p.Wrong}
}

// kind is the symbol that is asked for.
func (p Labels) kind() string { return p.form().Value("symbol") }

// layout is the one that is asked for, or the first.
func (p Labels) layout() layout {
	if i := slices.IndexFunc(layouts, func(l layout) bool { return l.name == p.form().Value("layout") }); i >= 0 {
		return layouts[i]
	}
	return layouts[0]
}

// sheets are the labels sheet by sheet; those that are used up are empty.
func (p Labels) sheets() [][]Label {
	per := p.layout().per
	all := append(make([]Label, min(p.Skip, per-1)), p.Things...)
	return slices.Collect(slices.Chunk(all, per))
}
