package views

import (
	"fmt"
	"net/url"
	"time"

	"sinterbook/store/shop"
)

// LinesAtMost bounds the lines of one act on a form.
const LinesAtMost = 40

// linesOf says how many lines an act has on a printed form, where it is done
// more than once.
var linesOf = map[string]int{ActOpen: 2, ActPaste: 4, ActLayers: 3, ActWeigh: 6, ActGreen: 3, ActLoadPlace: 7, ActResult: 8}

// LinesOf is how many lines an act has on a printed form.
func LinesOf(act string) int { return max(1, linesOf[act]) }

// CarriedFields are the fields of a line that nobody types.
var CarriedFields = []string{"try", "release", "hold", "code"}

// LineForm is one empty line of a form of an operation.
func LineForm(operation, act string, n int) Form {
	name := fmt.Sprintf("%s-%d", act, n)
	return Form{Name: name, Prefix: name + ".", Values: url.Values{"operation": {operation}}, Wrong: map[string]string{}}
}

// BackEntry is the page on which a paper form is typed in, laid out as the form
// is.
type BackEntry struct {
	Frame
	Form       string
	Operation  string   // whose form it is; "" while that is to be chosen
	Operations []string // that have forms
	Issued     bool     // the book handed the form out
	Begun      bool     // something was typed in from it already
	Head       Form     // what stands at the head of the form
	Ready      bool     // what it is about is known: its lines can be typed
	New        bool     // the form itself begins the load that it is about
	About      string
	Sections   []EntrySection
	Others     []string // what was typed in from it elsewhere, in words
}

// An EntrySection is one act of a form with its lines.
type EntrySection struct {
	Title string
	Lines []EntryLine
}

// An EntryLine is one line of a form: recorded already, or still to be typed.
type EntryLine struct {
	Work
	N     int
	Done  string // what was recorded, in words; "" while nothing was
	Waits bool   // it was not tried, since what comes before it was not recorded
}

// EnterOf is the address at which a form is typed in.
func EnterOf(form string) string { return PageOf("form", form) + "/enter" }

// OfLoad reports whether forms of an operation are about a furnace load; others
// are about an insert.
func OfLoad(operation string) bool { return operation == shop.OpSinter }

// OfLoad reports whether the form is about a furnace load.
func (p BackEntry) OfLoad() bool { return OfLoad(p.Operation) }

// Subject is the kind of thing that the form is about.
func (p BackEntry) Subject() string {
	if p.OfLoad() {
		return "load"
	}
	return "insert"
}

// SubjectLabel names the number of what the form is about.
func (p BackEntry) SubjectLabel() string { return subjectLabel(p.Operation) }

func subjectLabel(operation string) string {
	if OfLoad(operation) {
		return loadNumber
	}
	return "Insert number"
}

// on is the field for what the form is about.
func (p BackEntry) on() Field {
	f := p.Head.CodeField("on", p.SubjectLabel(), true)
	f.Autofocus = f.Value == ""
	return f
}

func (p BackEntry) by() Field { return p.Head.CodeField("by", labelBadge, true) }

func (p BackEntry) at() Field { return p.Head.Moment("at", labelWhen) }

// Labels of what every form has, at its head and on its lines.
const (
	labelBadge = "Badge"
	labelWhen  = "Date and time"
)

// soft says what the page is for.
func (p BackEntry) soft() string {
	switch {
	case p.Operation == "":
		return "The book did not hand this form out: choose the operation that stands on it."
	case !p.Issued:
		return "A form for " + p.Operation + " that the book did not hand out."
	}
	return "A form for " + p.Operation + ". Copy it line by line, as it stands."
}

// by is the badge of a line, where it is another than at the head.
func (l EntryLine) by() Field { return l.Form.CodeField("by", labelBadge, false) }

// at is the time of a line, where it is another than at the head.
func (l EntryLine) at() Field {
	f := l.Form.Moment("at", labelWhen)
	f.Required = false
	return f
}

// legend names the line.
func (l EntryLine) legend(s EntrySection) string {
	if len(s.Lines) == 1 {
		return s.Title
	}
	return fmt.Sprintf("%s, line %d", s.Title, l.N)
}

// DoneWords say what was recorded from a line, by whom and when.
func DoneWords(sentence string, e shop.PaperEntry, zone *time.Location) string {
	return fmt.Sprintf("%s Done by %s at %s.", sentence, e.By, Stamp(e.At, zone))
}

// LinesWere says how many lines were recorded.
func LinesWere(n int) string {
	if n == 1 {
		return "1 line was recorded"
	}
	return Whole(n) + " lines were recorded"
}
