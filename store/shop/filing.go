package shop

import (
	"slices"
	"strings"
)

// A Filing is a document that somebody outside the shop issued about a thing,
// as it was filed with it: a supplier's certificate, a safety data sheet, the
// certificate of a calibration.
type Filing struct {
	Document // its words are the note that was made
	Type     string
	Number   string // that it carries itself, "" for none
	IssuedOn Date   // "" where it says none
	IssuedBy string

	CorrectedBy  int64  // entry that took its place, 0 while it stands
	WithdrawnBy  int64  // entry that took it away, 0 while it stands
	WithdrawnWhy string // as that entry says
}

// Stands reports whether it is neither replaced nor withdrawn.
func (f Filing) Stands() bool { return f.CorrectedBy == 0 && f.WithdrawnBy == 0 }

// Words are what it is and its number.
func (f Filing) Words() string { return filingWords(f.Type, f.Number) }

// Certifies reports whether its type says something of the very lot or gauge.
func (f Filing) Certifies() bool {
	return slices.ContainsFunc(filingTypes, func(t filingType) bool { return t.word == f.Type && t.certifies })
}

func filingWords(word, number string) string { return strings.TrimSpace(word + " " + number) }

// A filingType is what a document may be, and about which kind of thing; on any
// of those that have types of their own where it says none.
type filingType struct {
	word      string
	on        string
	certifies bool // says something of the very thing, not of all that are like it
}

// filingTypes are the types of documents in the order in which they are
// offered. Those with a number are the inspection documents of EN 10204 and ISO
// 10474 (from memory): 2.1 and 2.2 rest on any of the maker's tests, 3.1 and 3.2
// on tests of the batch that was delivered.
var filingTypes = []filingType{
	{"certificate of analysis", "lot", true},
	{"certificate of conformity", "lot", true},
	{"declaration of compliance with the order 2.1", "lot", true},
	{"test report 2.2", "lot", true},
	{"inspection certificate 3.1", "lot", true},
	{"inspection certificate 3.2", "lot", true},
	{"safety data sheet", "lot", false},
	{"calibration certificate", "gauge", true},
	{"other document", "", false},
}

// FilingTypesOn lists what a document on a kind of thing may be; nil where none
// is filed.
func FilingTypesOn(kind string) []string {
	var all []string
	own := false
	for _, t := range filingTypes {
		if t.on == kind || t.on == "" {
			all = append(all, t.word)
			own = own || t.on != ""
		}
	}
	if !own {
		return nil
	}
	return all
}

// DocumentFiled files a document that came from outside with a thing. As with
// any document the log has its hash, and the bytes stand beside the log.
//
// A correction takes its place as a whole; it keeps the file where it names the
// same and brings no bytes.
type DocumentFiled struct {
	OnKind    string `json:"on_kind"`
	OnCode    string `json:"on_code"`
	Type      string `json:"type"`
	Number    string `json:"number"`
	IssuedOn  Date   `json:"issued_on"`
	IssuedBy  string `json:"issued_by"`
	Note      string `json:"note"`
	Document  string `json:"document"` // SHA-256 of the bytes, hexadecimal
	MediaType string `json:"media_type"`
	Size      int64  `json:"size"` // bytes
	Name      string `json:"name"`

	Bytes []byte `json:"-"` // nil when the entry is read from the log
}

func (DocumentFiled) Kind() string         { return "document-filed" }
func (e DocumentFiled) Subjects() []string { return []string{Subject(e.OnKind, e.OnCode)} }

// Words are what it is and its number.
func (e DocumentFiled) Words() string { return filingWords(e.Type, e.Number) }

// Valid refuses a document that nobody issued, of a type that its thing does
// not have, and a file that is none.
func (e DocumentFiled) Valid() error {
	f := Fields{}
	types := FilingTypesOn(e.OnKind)
	if types == nil {
		f.Say("on_kind", "No document is filed with %q.", e.OnKind)
	}
	f.Need("on_code", e.OnCode, "What it is filed with")
	f.Need("type", e.Type, "The type of the document")
	if e.Type != "" && types != nil && !slices.Contains(types, e.Type) {
		f.Say("type", "A %s has no %q: expected is one of %s.", e.OnKind, e.Type, Listed(types))
	}
	if e.IssuedOn != "" {
		f.needDate("issued_on", e.IssuedOn, "The date of the document")
	}
	f.Need("issued_by", e.IssuedBy, "Who issued it")
	f.file(e.Document, e.MediaType, e.Size, e.Name, e.Bytes)
	return f.Err()
}

// FilingWithdrawn takes away a document that was filed with the wrong thing.
// It stays to be read in the history.
type FilingWithdrawn struct {
	OnKind string `json:"on_kind"`
	OnCode string `json:"on_code"`
	Filing int64  `json:"filing"` // the entry that filed it
	Why    string `json:"why"`
}

func (FilingWithdrawn) Kind() string         { return "filing-withdrawn" }
func (e FilingWithdrawn) Subjects() []string { return []string{Subject(e.OnKind, e.OnCode)} }

// Valid refuses a withdrawal of nothing, or without a reason.
func (e FilingWithdrawn) Valid() error {
	f := Fields{}
	f.Need("on_kind", e.OnKind, "What it is filed with")
	f.Need("on_code", e.OnCode, "The number of what it is filed with")
	if e.Filing < 1 {
		f.Say("filing", "The document that is to be withdrawn is missing.")
	}
	f.Need("why", e.Why, "Why it is withdrawn")
	return f.Err()
}

// MayReplace says, as a Refusal, that a document was filed by somebody else: to
// put another in its place is to withdraw it.
func (p Person) MayReplace(f Filing) error {
	if p.Badge == f.By || p.MayRecord(FilingWithdrawn{}) == nil {
		return nil
	}
	var words []string
	for _, r := range Recorders(FilingWithdrawn{}.Kind()) {
		words = append(words, "the "+string(r))
	}
	return &Refusal{Kind: ErrForbidden, Why: "Badge " + p.Badge + " may not put another in the place of what badge " + f.By + " filed: that is for " + Listed(words) + "."}
}

// FileOf is the file that an event puts on a thing, if it does.
func FileOf(e Event) (file DocumentAdded, ok bool) {
	switch e := e.(type) {
	case DocumentAdded:
		return e, true
	case DocumentFiled:
		return DocumentAdded{Document: e.Document, MediaType: e.MediaType, Size: e.Size, Name: e.Name, OnKind: e.OnKind, OnCode: e.OnCode, Shows: e.Words(), Bytes: e.Bytes}, true
	}
	return DocumentAdded{}, false
}
