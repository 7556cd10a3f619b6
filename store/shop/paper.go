package shop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// A Paper says from which numbered form an entry was typed in later, and by
// whom. Who did it, and when, the entry says itself.
type Paper struct {
	Form    string `json:"form"` // as PF-0007
	TypedBy string `json:"typed_by"`
}

// onPaper are the events, besides the acts of the route, for which the shop has
// paper forms. Whoever types one in speaks for another person: so nothing that
// is signed, and nothing that gives or takes a right, is ever among them.
var onPaper = []string{"container-opened", "gauge-checked", "coupon-placed", "carrier-changed", "insert-marked", "load-opened", "load-taken-out", "load-closed", "load-unloaded", "step-paused", "step-resumed", "hold-set", "nonconformance-raised"}

// FitsPaper says, as an Invalid, why an entry cannot be typed in from a form.
func (e Entry) FitsPaper() error {
	_, act := e.Event.(Act)
	switch {
	case e.Meaning != "":
		return Wrong("paper_form", "This is signed, and nobody signs for another: a form cannot stand for it.")
	case e.Corrects != 0:
		return Wrong("paper_form", "A correction is made by whoever found the mistake: a form cannot stand for it.")
	case !act && !slices.Contains(onPaper, e.Event.Kind()):
		return Wrong("paper_form", "There is no paper form for this: record it yourself.")
	}
	return nil
}

// A PaperForm is a form with everything that was typed in from it.
type PaperForm struct {
	Form      string
	Entries   []PaperEntry
	CheckedAt time.Time // zero until a second person compared it with the book
	CheckedBy string
}

// A PaperEntry is one record that was typed in from a form.
type PaperEntry struct {
	Seq     int64
	Form    string
	Kind    string // of the event
	Subject string // that it happened to
	At      time.Time
	Entered time.Time
	By      string
	TypedBy string
	Missed  []Objection // the stops that nobody heard while the service was down
}

// Missed counts the stops that were missed on a form.
func (p PaperForm) Missed() int {
	n := 0
	for _, e := range p.Entries {
		n += len(e.Missed)
	}
	return n
}

// MayCheck says, as a Refusal, why a person cannot be the second one to look
// at a form.
func (p PaperForm) MayCheck(badge string) error {
	if !p.CheckedAt.IsZero() {
		return Conflict("Form %s was checked by %s already.", p.Form, p.CheckedBy)
	}
	for _, e := range p.Entries {
		if e.TypedBy == badge {
			return &Refusal{Kind: ErrForbidden, Why: fmt.Sprintf("Badge %s typed form %s in: another person checks it.", badge, p.Form)}
		}
	}
	return nil
}

// FormsAtMost bounds how many forms are handed out at once.
const FormsAtMost = 40

// FormNumber is the number of a form as it is printed.
func FormNumber(n int) string { return fmt.Sprintf("PF-%04d", n) }

// FormCount is the count in a form's number; ok is false for a number that is
// not of this book's making.
func FormCount(form string) (n int, ok bool) {
	digits, ok := strings.CutPrefix(form, "PF-")
	if !ok {
		return 0, false
	}
	n, err := strconv.Atoi(digits)
	return n, err == nil && FormNumber(n) == form
}

// FormIn is the number of a form in what was scanned from it: its address, or
// the number by itself.
func FormIn(text string) string {
	if _, path, ok := strings.Cut(text, "/paper/"); ok {
		text, _, _ = strings.Cut(path, "/")
	}
	return strings.TrimSpace(text)
}

// A BlankForm is a numbered form that was handed out to be filled in by hand
// while the service is down.
type BlankForm struct {
	Form      string
	Operation string
	Issued    time.Time
	IssuedBy  string
	Seen      time.Time // when it was last seen still blank; zero for never
	SeenBy    string
	Typed     bool // something was typed in from it
}

// Missing reports whether nobody knows what became of the form in an outage: it
// was handed out before the end of that, nothing was typed in from it, and it
// was not seen blank since.
func (b BlankForm) Missing(o Outage) bool {
	return !b.Typed && b.Issued.Before(o.Until) && b.Seen.Before(o.Until)
}

// FormsIssued reserves the numbers of blank forms, so that none is given out
// twice: Count of them, counting up from First.
type FormsIssued struct {
	Op    string `json:"operation"`
	First int    `json:"first"`
	Count int    `json:"count"`
}

func (FormsIssued) Kind() string { return "forms-issued" }

// Subjects are the forms.
func (e FormsIssued) Subjects() []string { return formSubjects(e.Forms()) }

// Forms are the numbers that it reserves.
func (e FormsIssued) Forms() []string {
	var forms []string
	for i := range min(e.Count, FormsAtMost) {
		forms = append(forms, FormNumber(e.First+i))
	}
	return forms
}

func formSubjects(forms []string) []string {
	var subjects []string
	for _, form := range forms {
		subjects = append(subjects, Subject("form", form))
	}
	return subjects
}

// Valid refuses forms of no operation, none of them, and more than anyone
// hands out at once.
func (e FormsIssued) Valid() error {
	f := Fields{}
	f.Need("operation", e.Op, "The operation that the forms are for")
	if !slices.Contains(Operations, e.Op) {
		f.Say("operation", "%q is not an operation: choose the one that the forms are for.", e.Op)
	}
	if e.First < 1 {
		f.Say("first", "The number of the first form is %d: it must be 1 or more.", e.First)
	}
	if e.Count < 1 || e.Count > FormsAtMost {
		f.Say("count", "The number of forms is %d: it must be from 1 to %d.", e.Count, FormsAtMost)
	}
	return f.Err()
}

// FormsCounted says which forms were seen still blank when they were counted.
type FormsCounted struct {
	Forms []string `json:"forms"`
}

func (FormsCounted) Kind() string { return "forms-counted" }

// Subjects are the forms.
func (e FormsCounted) Subjects() []string { return formSubjects(e.Forms) }

// Valid refuses a count of no form, and a form counted twice.
func (e FormsCounted) Valid() error {
	f := Fields{}
	if len(e.Forms) == 0 {
		f.Say("forms", "No form is named: tick those that you have seen blank.")
	}
	for _, form := range e.Forms {
		f.Number("forms", form, "The number of the form")
	}
	f.noTwice("forms", e.Forms)
	return f.Err()
}

// FormChecked says that a second person compared a form with what was typed in
// from it.
type FormChecked struct {
	Form string `json:"form"`
}

func (FormChecked) Kind() string         { return "form-checked" }
func (e FormChecked) Subjects() []string { return []string{Subject("form", e.Form)} }

// Valid refuses a check of no form.
func (e FormChecked) Valid() error {
	f := Fields{}
	f.Number("form", e.Form, "The number of the form")
	return f.Err()
}

// An Outage is a time in which the service was not there and paper forms were
// used.
type Outage struct {
	From, Until time.Time
	Note        string
	NotedBy     string
}

// OutageNoted records when the service was not there.
type OutageNoted struct {
	From  time.Time `json:"from"`
	Until time.Time `json:"until"`
	Note  string    `json:"note"` // which forms were handed out, and what was done
}

func (OutageNoted) Kind() string       { return "outage-noted" }
func (OutageNoted) Subjects() []string { return []string{Subject("book", "1")} }

// Valid refuses an outage without beginning, end or words.
func (e OutageNoted) Valid() error {
	f := Fields{}
	if e.From.IsZero() {
		f.Say("from", "The time from which the service was down is missing.")
	}
	switch {
	case e.Until.IsZero():
		f.Say("until", "The time until which the service was down is missing.")
	case !e.From.IsZero() && !e.Until.After(e.From):
		f.Say("until", "The end of the outage does not lie after its beginning.")
	}
	f.Need("note", e.Note, "What was done meanwhile")
	return f.Err()
}
