package server

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// filingsOn is the part of a page about the documents that are filed with a
// thing.
func (s *Server) filingsOn(r *http.Request, kind, number string, zone *time.Location) (views.Filings, error) {
	p := views.Filings{OnKind: kind, OnCode: number, Zone: zone, Person: visitorOf(r).Person, Reasons: map[int64]string{}, Files: s.may(r, shop.DocumentFiled{}, ""), Withdraws: s.may(r, shop.FilingWithdrawn{}, "")}
	var err error
	if p.All, err = s.store.FilingsOn(r.Context(), kind, number); err != nil {
		return p, err
	}
	for _, f := range p.All {
		if f.CorrectedBy != 0 {
			by, err := s.store.Entry(r.Context(), f.CorrectedBy)
			if err != nil {
				return p, err
			}
			p.Reasons[f.CorrectedBy] = by.Reason
		}
	}
	return p, nil
}

// newFiling is the form that files a document with a thing, or corrects one.
func (s *Server) newFiling() making[shop.DocumentFiled] {
	return making[shop.DocumentFiled]{
		path:  "/new/filing",
		start: s.startFiling,
		read: func(r *http.Request, f *views.Form) (shop.DocumentFiled, error) {
			old, err := s.filingNamed(r, f.Value("corrects"))
			if err != nil {
				return shop.DocumentFiled{}, err
			}
			return filed(*f, f.Value("on_kind"), f.Value("on_code"), old)
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			f.Upload = true
			old, err := s.filingNamed(r, f.Value("corrects"))
			return views.NewFilingPage(views.NewFiling{New: views.New{Frame: s.frame(r, ""), Form: f}, Old: old}), err
		},
		made: func(e shop.DocumentFiled) (to, notice string) {
			return views.PageOf(e.OnKind, e.OnCode), fmt.Sprintf("The %s is filed with %s %s.", e.Words(), e.OnKind, e.OnCode)
		},
	}
}

// startFiling fills a new form with what it is filed with, or with the document
// that it is to correct. The number and the issuer are proposed where the book
// knows them.
func (s *Server) startFiling(r *http.Request, f *views.Form) error {
	old, err := s.filingNamed(r, r.FormValue("corrects"))
	if err != nil {
		return err
	}
	if old != nil {
		for field, v := range map[string]string{"corrects": r.FormValue("corrects"), "on_kind": old.OnKind, "on_code": old.OnCode, "type": old.Type, "number": old.Number, "issued_on": string(old.IssuedOn), "issued_by": old.IssuedBy, "note": old.Shows} {
			f.Values.Set(field, v)
		}
		return nil
	}
	kind, number := r.FormValue("on_kind"), r.FormValue("on_code")
	if shop.FilingTypesOn(kind) == nil || number == "" {
		return shop.Wrong("on_kind", "It is not said what the document is to be filed with. Open the page of the lot or gauge, and file it there.")
	}
	f.Values.Set("on_kind", kind)
	f.Values.Set("on_code", number)
	if kind == "lot" {
		lot, err := s.store.Lot(r.Context(), number)
		f.Values.Set("number", lot.Certificate)
		f.Values.Set("issued_by", lot.Supplier)
		return err
	}
	return nil
}

// filingNamed is the document that an entry filed; nil where none is named.
func (s *Server) filingNamed(r *http.Request, entry string) (*shop.Filing, error) {
	if entry == "" {
		return nil, nil
	}
	seq, err := strconv.ParseInt(entry, 10, 64)
	if err != nil {
		return nil, shop.Wrong("", "%q is not the number of an entry.", entry)
	}
	f, err := s.store.Filing(r.Context(), seq)
	if err != nil {
		return nil, err
	}
	return &f, nil
}

// filed reads a document that is to be filed with a thing. Where one is
// corrected, its file stays while no other is chosen.
func filed(f views.Form, kind, number string, old *shop.Filing) (shop.DocumentFiled, error) {
	wrong := shop.Fields{}
	file := oneFile(wrong, f, kind, number, old)
	e := shop.DocumentFiled{OnKind: kind, OnCode: number, Type: f.Value("type"), Number: strings.TrimSpace(f.Value("number")), IssuedOn: shop.Date(f.Value("issued_on")), IssuedBy: strings.TrimSpace(f.Value("issued_by")), Note: strings.TrimSpace(f.Value("note")),
		Document: file.Document, MediaType: file.MediaType, Size: file.Size, Name: file.Name, Bytes: file.Bytes}
	if err := wrong.Take(shop.Check(e)); err != nil {
		return e, err
	}
	return e, wrong.Err()
}

// oneFile is the file that was chosen, or the one that stays.
func oneFile(wrong shop.Fields, f views.Form, kind, number string, old *shop.Filing) shop.DocumentAdded {
	switch all := documents(wrong, f, kind, number); {
	case len(f.Files) > 1:
		wrong.Say("photo", "These are %d files: file one at a time, each with what it is.", len(f.Files))
	case len(all) == 1:
		return all[0]
	case len(f.Files) == 0 && old != nil:
		return shop.DocumentAdded{Document: old.Document.Document, MediaType: old.MediaType, Size: old.Size, Name: old.Name}
	default:
		wrong.Say("photo", "The document itself is missing: choose a file.")
	}
	return noDocument(kind, number, "")
}

// newFilingWithdrawal is the form that takes a filed document away.
func (s *Server) newFilingWithdrawal() making[shop.FilingWithdrawn] {
	named := func(r *http.Request, entry string) (shop.Filing, error) {
		f, err := s.filingNamed(r, entry)
		if err != nil {
			return shop.Filing{}, err
		}
		if f == nil {
			return shop.Filing{}, shop.Wrong("filing", "It is not said which document is to be withdrawn. Open the page of the lot or gauge, and choose it there.")
		}
		return *f, nil
	}
	return making[shop.FilingWithdrawn]{
		path: "/new/filing-withdrawal",
		start: func(r *http.Request, f *views.Form) error {
			f.Values.Set("filing", r.FormValue("filing"))
			return nil
		},
		read: func(r *http.Request, f *views.Form) (shop.FilingWithdrawn, error) {
			d, err := named(r, f.Value("filing"))
			return shop.FilingWithdrawn{OnKind: d.OnKind, OnCode: d.OnCode, Filing: d.Seq, Why: strings.TrimSpace(f.Value("why"))}, err
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			d, err := named(r, f.Value("filing"))
			return views.FilingWithdrawalPage(views.FilingWithdrawal{New: views.New{Frame: s.frame(r, ""), Form: f}, Filing: d}), err
		},
		made: func(e shop.FilingWithdrawn) (to, notice string) {
			return views.PageOf(e.OnKind, e.OnCode), fmt.Sprintf("The document was taken off %s %s.", e.OnKind, e.OnCode)
		},
	}
}
