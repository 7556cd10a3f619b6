package server

import (
	"errors"
	"net/http"
	"strings"
	"time"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) paperRoutes(r chi.Router) {
	r.Get("/paper", s.page(s.paper))
	r.Post("/paper", s.page(s.countForms))
	r.Get("/paper/blank", s.page(s.newForms))
	r.Post("/paper/blank", s.page(s.issueForms))
	r.Get("/paper/blank/{form}", s.page(s.blankForms))
	r.Get("/paper/{form}/enter", s.page(s.enterForm))
	r.Post("/paper/{form}/enter", s.page(s.typeIn))
	r.Get("/paper/{form}", s.page(s.paperForm))
	r.Post("/paper/{form}", s.page(s.checkForm))
	offer(s, r, s.newOutage())
}

// typedFrom reads from which paper form an entry is typed in. Then it was done
// by whoever the form names, and typed in by who is signed in.
func typedFrom(f views.Form, signedIn string) (paper *shop.Paper, by string, err error) {
	form, doer := strings.TrimSpace(f.Value("paper_form")), strings.TrimSpace(f.Value("paper_by"))
	switch {
	case form == "" && doer == "":
		return nil, signedIn, nil
	case form == "":
		return nil, "", shop.Wrong("paper_form", "The number of the form is missing: without a form everyone records what they did themselves.")
	case doer == "":
		return nil, "", shop.Wrong("paper_by", "The badge of who did it is missing: copy it from form %s.", form)
	}
	return &shop.Paper{Form: form, TypedBy: signedIn}, doer, nil
}

// paper answers GET /paper: forms that are out, forms that were typed in, and
// when the service was not there.
func (s *Server) paper(w http.ResponseWriter, r *http.Request) error {
	p, err := s.papersPage(r)
	if err != nil {
		return err
	}
	if s.may(r, shop.FormsCounted{}, "") {
		f := blank("", "/paper")
		p.Count = &f
	}
	return show(w, r, http.StatusOK, views.PapersPage(p))
}

func (s *Server) papersPage(r *http.Request) (p views.Papers, err error) {
	p = views.Papers{Frame: s.frame(r, "/book"), Notes: s.may(r, shop.OutageNoted{}, ""), Issues: s.may(r, shop.FormsIssued{}, "")}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return p, err
	}
	if p.Forms, err = s.store.PaperForms(r.Context(), rowsAPage); err != nil {
		return p, err
	}
	if p.Outages, err = s.store.Outages(r.Context(), rowsAPage); err != nil {
		return p, err
	}
	out, err := s.store.BlankForms(r.Context(), false)
	p.Runs = views.FormRuns(out)
	for _, b := range out {
		if len(p.Outages) > 0 && b.Missing(p.Outages[0]) {
			p.Missing = append(p.Missing, b)
		}
	}
	return p, err
}

// paperForm answers GET /paper/{form}.
func (s *Server) paperForm(w http.ResponseWriter, r *http.Request) error {
	p, err := s.paperFormPage(r)
	if err != nil {
		return err
	}
	p.Types = p.Form.CheckedAt.IsZero() && s.may(r, shop.FormsIssued{}, "")
	if len(p.Form.Entries) > 0 && s.may(r, shop.FormChecked{}, "") && p.Form.MayCheck(visitorOf(r).Person.Badge) == nil {
		f := blank("", views.PageOf("form", p.Form.Form))
		p.Check = &f
	}
	return show(w, r, http.StatusOK, views.PaperFormPage(p))
}

func (s *Server) paperFormPage(r *http.Request) (p views.PaperForm, err error) {
	p.Frame = s.frame(r, "/book")
	form := pathWord(r, "form")
	issued, err := s.store.BlankForm(r.Context(), form)
	if err == nil {
		p.Blank = &issued
	} else if !errors.Is(err, shop.ErrNotFound) {
		return p, err
	}
	p.Form, err = s.store.PaperForm(r.Context(), form)
	if errors.Is(err, shop.ErrNotFound) && p.Blank != nil {
		p.Form, err = shop.PaperForm{Form: issued.Form}, nil
	}
	if err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return p, err
	}
	for _, e := range p.Form.Entries {
		of, err := s.store.Entry(r.Context(), e.Seq)
		if err != nil {
			return p, err
		}
		p.Said = append(p.Said, views.Sentence(of.Event, p.Zone))
	}
	return p, nil
}

// checkForm answers POST /paper/{form}.
func (s *Server) checkForm(w http.ResponseWriter, r *http.Request) error {
	p, err := s.paperFormPage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "", views.PageOf("form", p.Form.Form))
	if err != nil {
		return err
	}
	ok, err := s.recordSigned(r, &f, shop.FormChecked{Form: p.Form.Form}, views.MeaningOfFormCheck)
	if err != nil {
		return err
	}
	if !ok {
		p.Check = &f
		return show(w, r, statusOf(f), views.PaperFormPage(p))
	}
	return seeOther(w, r, "/paper", "Form "+p.Form.Form+" was checked.")
}

// newOutage is the form that notes when the service was not there.
func (s *Server) newOutage() making[shop.OutageNoted] {
	return making[shop.OutageNoted]{
		path: "/new/outage",
		read: func(r *http.Request, f *views.Form) (shop.OutageNoted, error) {
			zone, err := s.zone(r.Context())
			if err != nil {
				return shop.OutageNoted{}, err
			}
			said := shop.Fields{}
			return shop.OutageNoted{From: momentOf(said, f, "from", zone), Until: momentOf(said, f, "until", zone), Note: strings.TrimSpace(f.Value("note"))}, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewOutagePage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(shop.OutageNoted) (to, notice string) { return "/paper", "The outage was noted." },
	}
}

// momentOf reads a date and time of the shop; the zero time where nothing was
// typed.
func momentOf(said shop.Fields, f *views.Form, field string, zone *time.Location) time.Time {
	text := f.Value(field)
	if text == "" {
		return time.Time{}
	}
	at, err := time.ParseInLocation("2006-01-02T15:04", text, zone)
	if err != nil {
		said.Say(field, "%q is not a time: write it as 2025-11-21T09:00.", text)
	}
	return at.UTC()
}
