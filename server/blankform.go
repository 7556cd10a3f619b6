package server

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"github.com/google/uuid"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newForms answers GET /paper/blank.
func (s *Server) newForms(w http.ResponseWriter, r *http.Request) error {
	if !s.may(r, shop.FormsIssued{}, "") {
		return visitorOf(r).Person.MayRecord(shop.FormsIssued{})
	}
	return s.showNewForms(w, r, http.StatusOK, blank("", "/paper/blank"))
}

func (s *Server) showNewForms(w http.ResponseWriter, r *http.Request, status int, f views.Form) error {
	next, err := s.store.NextForm(r.Context())
	if err != nil {
		return err
	}
	p := views.NewForms{Frame: s.frame(r, "/book"), Form: f, Operations: formOperations(), Next: shop.FormNumber(next)}
	return show(w, r, status, views.NewFormsPage(p))
}

// issueTries is how often numbers are asked for again, when somebody else took
// them meanwhile.
const issueTries = 5

// issueForms answers POST /paper/blank: it reserves numbers, and leads to the
// page that is printed.
func (s *Server) issueForms(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "/paper/blank")
	if err != nil {
		return err
	}
	wrong := shop.Fields{}
	e := shop.FormsIssued{Op: f.Value("operation"), Count: countOf(wrong, &f, "count", "The number of forms")}
	if e.Op != "" && !slices.Contains(formOperations(), e.Op) {
		wrong.Say("operation", "%q has no paper form: choose one of the operations.", e.Op)
	}
	if forms, err := s.handedOut(r, f, e); err != nil || forms != "" {
		if err != nil {
			return err
		}
		return seeOther(w, r, forms, "These forms were handed out already.")
	}
	for range issueTries {
		if e.First, err = s.store.NextForm(r.Context()); err != nil {
			return err
		}
		ok, err := s.keep(r, &f, e, "", wrong.Err())
		if err != nil {
			return err
		}
		if ok {
			to, err := s.handedOut(r, f, e)
			if err != nil {
				return err
			}
			return seeOther(w, r, to, views.Sentence(e, nil))
		}
		if len(f.Wrong) > 0 {
			break
		}
	}
	return s.showNewForms(w, r, statusOf(f), f)
}

// handedOut is where the forms of a command are printed, "" before it was
// recorded.
func (s *Server) handedOut(r *http.Request, f views.Form, e shop.FormsIssued) (to string, err error) {
	command, err := uuid.Parse(f.Command)
	if err != nil {
		return "", nil // recording says so
	}
	stands, err := s.store.EntryOf(r.Context(), command)
	if errors.Is(err, shop.ErrNotFound) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	was, ok := stands.Event.(shop.FormsIssued)
	if !ok || was.Op != e.Op || was.Count != e.Count {
		return "", shop.Conflict("This page was used for other forms already. Open it again.")
	}
	forms := was.Forms()
	return "/paper/blank/" + url.PathEscape(forms[0]) + "?" + url.Values{"last": {forms[len(forms)-1]}}.Encode(), nil
}

// blankForms answers GET /paper/blank/{form}: forms as they are printed, from
// one to the last one that is asked for.
func (s *Server) blankForms(w http.ResponseWriter, r *http.Request) error {
	first, err := s.store.BlankForm(r.Context(), pathWord(r, "form"))
	if err != nil {
		return err
	}
	p := views.BlankForms{Frame: s.sheetFrame(r, "/book")}
	p.Print = true
	from, _ := shop.FormCount(first.Form)
	last, ok := shop.FormCount(r.FormValue("last"))
	if !ok {
		last = from
	}
	for n := from; n <= last && n < from+shop.FormsAtMost; n++ {
		b, err := s.store.BlankForm(r.Context(), shop.FormNumber(n))
		if errors.Is(err, shop.ErrNotFound) {
			continue
		}
		if err != nil {
			return err
		}
		f, err := s.blankForm(r, b)
		if err != nil {
			return err
		}
		p.Forms = append(p.Forms, f)
	}
	return show(w, r, http.StatusOK, views.BlankFormsPage(p))
}

// blankForm is one form as it is printed.
func (s *Server) blankForm(r *http.Request, b shop.BlankForm) (views.BlankForm, error) {
	f := views.BlankForm{Form: b.Form, Operation: b.Operation, Address: s.siteOf(r) + views.EnterOf(b.Form)}
	for _, a := range formActs(b.Operation) {
		f.Acts = append(f.Acts, a.name)
	}
	for _, a := range acts {
		if a.operation == b.Operation && a.meaning != "" {
			f.Signed = append(f.Signed, views.ActTitle(a.name))
		}
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return f, err
	}
	people, err := s.store.People(r.Context())
	f.Ask = views.AskWhom(people, b.Operation, shop.DayOf(s.now(), zone))
	return f, err
}

// countForms answers POST /paper: which forms were seen still blank.
func (s *Server) countForms(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "/paper")
	if err != nil {
		return err
	}
	forms := f.Values["forms"]
	ok, err := s.record(r, &f, shop.FormsCounted{Forms: forms})
	if err != nil {
		return err
	}
	if ok {
		return seeOther(w, r, "/paper", strconv.Itoa(len(forms))+" of the forms were seen blank.")
	}
	p, err := s.papersPage(r)
	if err != nil {
		return err
	}
	p.Count = &f
	return show(w, r, statusOf(f), views.PapersPage(p))
}
