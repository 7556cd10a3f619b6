package views

import (
	"net/url"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// A BlankForm is one numbered form as it is printed, to be filled in by hand
// while the service is down.
type BlankForm struct {
	Form      string
	Operation string
	Address   string // that opens its typing-in page
	Acts      []string
	Signed    []string // acts of the operation that no form can stand for
	Ask       []Fact   // whom to ask, by their badges
}

// BlankForms is the page that is printed.
type BlankForms struct {
	Frame
	Forms []BlankForm
}

// NewForms is the page that hands out numbers for blank forms.
type NewForms struct {
	Frame
	Form       Form
	Operations []string
	Next       string // the number of the first
}

// lines are as many lines of an act as the form has, their fields drawn as
// boxes.
func (p BlankForm) lines(act string) []Work {
	var lines []Work
	for n := range LinesOf(act) {
		f := LineForm(p.Operation, act, n+1)
		f.Blank = true
		lines = append(lines, Work{Act: act, OnForm: true, Form: &f})
	}
	return lines
}

// sharesRow are acts of one short line that share a row of the form.
var sharesRow = map[string]string{ActPause: ActGoOn, ActCarrier: ActHold}

// rows are the acts as they stand on the form, most on a row by itself.
func (p BlankForm) rows() [][]string {
	var rows [][]string
	for _, a := range p.Acts {
		if n := len(rows); n > 0 && len(rows[n-1]) == 1 && sharesRow[rows[n-1][0]] == a {
			rows[n-1] = append(rows[n-1], a)
			continue
		}
		rows = append(rows, []string{a})
	}
	return rows
}

// HasRoom reports whether words fit on the sheet: on the form of the print they
// stand beside its layers.
func (p BlankForm) HasRoom() bool { return p.Operation != shop.OpPrint }

// roomy reports whether there is little on the form, so that its boxes are high.
func (p BlankForm) roomy() bool {
	n := 0
	for _, a := range p.Acts {
		n += LinesOf(a)
	}
	return n < 12
}

// SubjectLabel names the number of what the form is about.
func (p BlankForm) SubjectLabel() string { return subjectLabel(p.Operation) }

// signedWords say what has to wait for the service.
func (p BlankForm) signedWords() string {
	if len(p.Signed) == 0 {
		return ""
	}
	return "Not on paper, since it is signed: " + shop.Listed(p.Signed) + "."
}

// said is what the code of the form says to those who do not scan it.
func (p BlankForm) said() string { return "Opens the page that types " + p.Form + " in: " + p.Address }

// AskWhom lists whom to ask at an operation: who is authorised for it and who
// decides, by their badges.
func AskWhom(people []shop.Person, operation string, day shop.Date) []Fact {
	var facts []Fact
	with := func(name string, may func(shop.Person) bool) {
		var badges []string
		for _, p := range people {
			if (p.Until == "" || day <= p.Until) && may(p) {
				badges = append(badges, p.Badge)
			}
		}
		if len(badges) > 0 {
			facts = append(facts, Fact{Name: name, Value: strings.Join(badges, ", "), Figure: true})
		}
	}
	with("Authorised for "+operation, func(p shop.Person) bool { return p.MayDo(operation, day) })
	for _, role := range []shop.Role{shop.ProcessEngineer, shop.QualityManager} {
		with(sentenceStart(string(role)), func(p shop.Person) bool { return p.Has(role) })
	}
	return facts
}

// A FormRun is a row of forms that were handed out together.
type FormRun struct {
	Operation string
	Issued    time.Time
	IssuedBy  string
	Forms     []shop.BlankForm
}

// FormRuns are the forms that were handed out, the newest first.
func FormRuns(forms []shop.BlankForm) []FormRun {
	var runs []FormRun
	for _, f := range forms {
		if n := len(runs); n > 0 && runs[n-1].Operation == f.Operation && runs[n-1].Issued.Equal(f.Issued) {
			runs[n-1].Forms = append(runs[n-1].Forms, f)
			continue
		}
		runs = append(runs, FormRun{Operation: f.Operation, Issued: f.Issued, IssuedBy: f.IssuedBy, Forms: []shop.BlankForm{f}})
	}
	slices.Reverse(runs)
	return runs
}

// words name the forms of a run.
func (r FormRun) words() string { return formSpans(r.Forms) }

// again is the address that prints those of the run once more.
func (r FormRun) again() string {
	first, last := r.Forms[0].Form, r.Forms[len(r.Forms)-1].Form
	return "/paper/blank/" + pathOf(first) + "?" + url.Values{"last": {last}}.Encode()
}

// formSpans name forms shortly: those that follow on each other as a span.
func formSpans(forms []shop.BlankForm) string {
	var spans []string
	for i := 0; i < len(forms); {
		last := i
		for last+1 < len(forms) && follows(forms[last].Form, forms[last+1].Form) {
			last++
		}
		words := forms[i].Form
		if last > i {
			words += " to " + forms[last].Form
		}
		spans = append(spans, words)
		i = last + 1
	}
	return shop.Listed(spans)
}

func follows(before, after string) bool {
	n, ok := shop.FormCount(before)
	return ok && shop.FormNumber(n+1) == after
}
