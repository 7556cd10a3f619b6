package views

import (
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"sinterbook/store/shop"
)

// A New is the page with a form for a new thing.
type New struct {
	Frame
	Form Form
}

// lengthUnits are those in which a size is typed.
func lengthUnits() []Option { return Options("mm", "in") }

// Cell names a field in a line of a form's table, counted from 1. The column
// "" is the line's first: what is wrong with the line as a whole stands there.
func Cell(table string, line int, column string) string {
	name := table + "." + strconv.Itoa(line)
	if column != "" {
		name += "." + column
	}
	return name
}

// A Line is one cell of a table in a form.
type Line struct {
	Form    Form
	Table   string
	N       int // the line, from 1
	Column  string
	Label   string   // spoken; the line's number is added
	Figure  bool     // what is typed is a number or a code
	Options []Option // what may be chosen, none where it is typed; one alone is a tick
	Wide    bool     // takes words
}

// Name is the field's name.
func (l Line) Name() string { return Cell(l.Table, l.N, l.Column) }

// ID is the field's id in the page.
func (l Line) ID() string { return fieldID(l.Form.Name, l.Name()) }

// Value is what was typed or chosen.
func (l Line) Value() string { return l.Form.Value(l.Name()) }

// Said is the label with the line's number.
func (l Line) Said() string { return l.Label + ", line " + strconv.Itoa(l.N) }

// Wrong reports whether the cell was not understood.
func (l Line) Wrong() bool { return l.Form.Wrong[l.Name()] != "" }

// cell makes a cell of a line for words of a few letters.
func (f Form) cell(table string, n int, column, label string) Line {
	return Line{Form: f, Table: table, N: n, Column: column, Label: label}
}

// figure makes it a cell for a number or a code.
func (l Line) figure() Line {
	l.Figure = true
	return l
}

// wide makes it a cell for a name.
func (l Line) wide() Line {
	l.Wide = true
	return l
}

// of makes it a choice; one option alone is a tick.
func (l Line) of(options []Option) Line {
	l.Options = options
	return l
}

// lineCount is how many lines a form's table shows: those at the least or those
// with something in them, and the further ones that were asked for.
func (f Form) lineCount(table string, least int) int {
	asked, _ := strconv.Atoi(f.Value("lines")) // none while nobody asked
	count := least
	for name := range f.Values {
		if rest, ok := strings.CutPrefix(name, table+"."); ok && f.Value(name) != "" {
			digits, _, _ := strings.Cut(rest, ".")
			if n, err := strconv.Atoi(digits); err == nil {
				count = max(count, n)
			}
		}
	}
	return min(count+max(asked, 0), 200) // as many as the server reads
}

// wrongOfLine lists what was not understood in a line, the line as a whole
// first.
func (f Form) wrongOfLine(table string, n int) []string {
	var said []string
	line := Cell(table, n, "")
	for _, name := range slices.Sorted(maps.Keys(f.Wrong)) {
		if name == line || strings.HasPrefix(name, line+".") {
			said = append(said, f.Wrong[name])
		}
	}
	return said
}

// lineWrongID names the sentences about a line to a screen reader.
func (f Form) lineWrongID(table string, n int) string {
	return fieldID(f.Name, Cell(table, n, "")) + "-wrong"
}

// designsInForce are the designs that can be ordered or released.
func designsInForce(all []shop.Design) []Option {
	var o []Option
	for _, d := range all {
		if !d.Superseded {
			o = append(o, Option{Value: d.Design, Text: fmt.Sprintf("%s %s, revision %s", d.Design, d.Name, d.Revision)})
		}
	}
	return o
}

// heldWord says in a word whether a thing may be used.
func heldWord(hold string) string {
	if hold != "" {
		return "held " + hold
	}
	return "in use"
}

func heldMark(hold string) string {
	if hold != "" {
		return "stopped"
	}
	return "done"
}

// queryOf writes a number into the question part of an address.
func queryOf(number string) string { return url.QueryEscape(number) }
