package views

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Filings are the documents that were filed with a thing.
type Filings struct {
	OnKind, OnCode string
	All            []shop.Filing
	Reasons        map[int64]string // why an entry took the place of another
	Zone           *time.Location
	Person         shop.Person
	Files          bool // this person may file them
	Withdraws      bool
}

// NewFiling is the form that files a document, or corrects one that is filed.
type NewFiling struct {
	New
	Old *shop.Filing // that is corrected, nil for a new one
}

// FilingWithdrawal is the form that takes one away.
type FilingWithdrawal struct {
	New
	Filing shop.Filing
}

// Standing is the newest that stands and certifies something of the thing; ok
// is false where there is none.
func (p Filings) Standing() (newest shop.Filing, ok bool) {
	for _, f := range p.All {
		if f.Stands() && f.Certifies() {
			newest, ok = f, true
		}
	}
	return newest, ok
}

// Gone says why a document does not stand any more.
func (p Filings) Gone(f shop.Filing) string {
	if f.CorrectedBy != 0 {
		return replacedWords(f.CorrectedBy, p.Reasons[f.CorrectedBy])
	}
	return fmt.Sprintf("withdrawn by entry %d: %s", f.WithdrawnBy, full(f.WithdrawnWhy))
}

// Acts are open to some and lead somewhere only where a document stands.
func (p Filings) Acts() bool {
	return p.Withdraws && slices.ContainsFunc(p.All, shop.Filing.Stands) || slices.ContainsFunc(p.All, p.Corrects)
}

// Corrects reports whether this person may put another in the place of one.
func (p Filings) Corrects(f shop.Filing) bool {
	return p.Files && f.Stands() && p.Person.MayReplace(f) == nil
}

// issued is who issued a document, and when.
func issued(f shop.Filing) string { return f.IssuedBy + opt(", ", string(f.IssuedOn)) }

// fetch says what the browser does with the file.
func fetch(d shop.Document) string {
	if d.Picture() {
		return "Open " + d.Name
	}
	return "Save " + d.Name
}

// NewFilingOn is the form that files a document with a thing.
func NewFilingOn(kind, number string) string {
	return "/new/filing?on_kind=" + queryOf(kind) + "&on_code=" + queryOf(number)
}

func correctFiling(seq int64) string {
	return "/new/filing?corrects=" + strconv.FormatInt(seq, 10)
}

func withdrawFiling(seq int64) string {
	return "/new/filing-withdrawal?filing=" + strconv.FormatInt(seq, 10)
}

// file is the field for the document itself. A correction keeps the file that
// is there while no other is chosen.
func (p NewFiling) file() FilesField {
	field := p.Form.Photos("The document", false, p.Old == nil)
	if p.Old != nil {
		field.Label = "Another file"
		field.Hint = "Leave it empty to keep " + p.Old.Name + ". " + field.Hint
	}
	return field
}

func (p NewFiling) title() string {
	if p.Old != nil {
		return "Correct a filed document"
	}
	return "File a document"
}

func (p NewFiling) intro() string {
	on := onWords(p.Form)
	if p.Old != nil {
		return fmt.Sprintf("It takes the place of entry %d (%s) with %s. What stood before stays in the history.", p.Old.Seq, p.Old.Words(), on)
	}
	return "It will be filed with " + on + ", and stands in its history with the SHA-256 of the file."
}

func (p NewFiling) does() string {
	if p.Old != nil {
		return "Record the correction"
	}
	return "File it"
}

// filingTypes are what a document on a kind of thing may be, to choose from.
func filingTypes(kind string) []Option {
	var all []Option
	for _, t := range shop.FilingTypesOn(kind) {
		text := t
		if strings.ContainsRune("0123456789", rune(t[len(t)-1])) {
			text += " (EN 10204, ISO 10474)"
		}
		all = append(all, Option{Value: t, Text: text})
	}
	return all
}

// filedSentence says what was filed with a thing.
func filedSentence(e shop.DocumentFiled) string {
	return fmt.Sprintf("The %s%s, issued by %s, was filed with %s %s as “%s” (%s, %s bytes, SHA-256 %s)%s.",
		e.Words(), opt(" of ", string(e.IssuedOn)), e.IssuedBy, e.OnKind, e.OnCode, e.Name, e.MediaType, Whole(int(e.Size)), e.Document, opt(". Note: ", strings.TrimSuffix(e.Note, ".")))
}
