package views

import (
	"fmt"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Papers lists the forms that were typed in, and the outages.
type Papers struct {
	Frame
	Forms   []shop.PaperForm
	Outages []shop.Outage
	Zone    *time.Location
	Notes   bool // the visitor may note an outage
	Runs    []FormRun
	Missing []shop.BlankForm // after the latest outage
	Issues  bool             // the visitor may hand out blank forms
	Count   *Form            // nil for those who may not count them
}

// PaperForm is the page about one form.
type PaperForm struct {
	Frame
	Form  shop.PaperForm
	Said  []string // what each entry says, in words
	Zone  *time.Location
	Check *Form           // nil for those who may not check it
	Blank *shop.BlankForm // as it was handed out; nil for one that the book did not hand out
	Types bool            // the visitor may type it in
}

// missingWords say which forms nobody knows about.
func (p Papers) missingWords() string {
	o := p.Outages[0]
	return fmt.Sprintf("Of the forms that were out before %s these were neither typed in nor seen blank since: %s. Look for them before anybody works on what they may be about.", Stamp(o.Until, p.Zone), formSpans(p.Missing))
}

// formWord says whether a second person has looked at a form.
func formWord(f shop.PaperForm) string {
	switch {
	case len(f.Entries) == 0:
		return "handed out, not typed in yet"
	case f.CheckedAt.IsZero():
		return "waits for its check"
	}
	return "checked by " + f.CheckedBy
}

func formMark(f shop.PaperForm) string {
	if f.CheckedAt.IsZero() {
		return "stopped"
	}
	return "done"
}

// missedWords say how many stops were missed.
func missedWords(n int) string {
	switch n {
	case 0:
		return "none"
	case 1:
		return "1 stop"
	}
	return Whole(n) + " stops"
}

// kindWords are the name of a kind of event, as "load closed".
func kindWords(kind string) string { return strings.ReplaceAll(kind, "-", " ") }

// FromPaper says of an entry from which form it was typed in.
func (r HistoryRow) FromPaper() string {
	if r.Paper == nil {
		return ""
	}
	return "From paper form " + r.Paper.Form + ", typed in by " + r.Paper.TypedBy + "."
}

// MissedStops say what gates would have said.
func (r HistoryRow) MissedStops() []string {
	var said []string
	for _, o := range r.Missed {
		said = append(said, "Missed stop “"+o.Gate+"”: "+o.Why)
	}
	return said
}

// PaperForm makes the field for the number of a form.
func (f Form) PaperForm() Field {
	field := f.CodeField("paper_form", "Number of the paper form", false)
	field.Hint = "Only for what was kept on a numbered form while the service was down."
	return field
}

// PaperBy makes the field for who did what a form says.
func (f Form) PaperBy() Field {
	field := f.CodeField("paper_by", "Badge on the form", false)
	field.Hint = "Of who did it. You are noted as the one who typed it in."
	return field
}

// issuedSentence says which blank forms were handed out.
func issuedSentence(e shop.FormsIssued) string {
	if e.Count == 1 {
		return "Blank form " + shop.FormNumber(e.First) + " was handed out for " + e.Op + "."
	}
	return fmt.Sprintf("%d blank forms were handed out for %s: %s to %s.", e.Count, e.Op, shop.FormNumber(e.First), shop.FormNumber(e.First+e.Count-1))
}
