package server

import (
	"net/http"
	"slices"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// concession answers GET /concessions/{concession}.
func (s *Server) concession(w http.ResponseWriter, r *http.Request) error {
	p, err := s.concessionPage(r)
	if err != nil {
		return err
	}
	if p.Concession.WithdrawnAt.IsZero() && s.may(r, shop.ConcessionWithdrawn{}, "") {
		f := blank("", views.PageOf("concession", p.Concession.Concession))
		p.Withdraw = &f
	}
	return show(w, r, http.StatusOK, views.ConcessionPage(p))
}

func (s *Server) concessionPage(r *http.Request) (p views.Concession, err error) {
	p.Frame, p.Today = s.frame(r, "/holds"), s.now()
	if p.Concession, err = s.store.Concession(r.Context(), pathWord(r, "concession")); err != nil {
		return p, err
	}
	p.Zone, err = s.zone(r.Context())
	return p, err
}

// withdrawConcession answers POST /concessions/{concession}.
func (s *Server) withdrawConcession(w http.ResponseWriter, r *http.Request) error {
	p, err := s.concessionPage(r)
	if err != nil {
		return err
	}
	c := p.Concession
	f, err := typed(r, "", views.PageOf("concession", c.Concession))
	if err != nil {
		return err
	}
	e := shop.ConcessionWithdrawn{Concession: c.Concession, Nonconformance: c.Nonconformance, Inserts: c.Inserts, Why: f.Value("why")}
	ok, err := s.recordSigned(r, &f, e, views.MeaningOfConcessionEnd)
	if err != nil {
		return err
	}
	if !ok {
		p.Withdraw = &f
		return show(w, r, statusOf(f), views.ConcessionPage(p))
	}
	return seeOther(w, r, views.PageOf("nonconformance", c.Nonconformance), "Concession "+c.Concession+" was withdrawn.")
}

// newConcession is the form by which pieces of a nonconformance may be used.
func (s *Server) newConcession() making[shop.ConcessionGiven] {
	return making[shop.ConcessionGiven]{
		path:    "/new/concession",
		meaning: views.MeaningOfConcession,
		start: func(r *http.Request, f *views.Form) error {
			number, err := s.store.NextNumber(r.Context(), "concession", "CN-")
			if err != nil {
				return err
			}
			f.Values.Set("concession", number)
			f.Values.Set("nonconformance", r.FormValue("nonconformance"))
			items, err := s.conceivable(r, f.Value("nonconformance"))
			for _, n := range items {
				f.Values.Add("inserts", n.Insert)
			}
			return err
		},
		more: moreLines,
		read: func(_ *http.Request, f *views.Form) (shop.ConcessionGiven, error) {
			said := shop.Fields{}
			e := shop.ConcessionGiven{Concession: f.Value("concession"), Nonconformance: f.Value("nonconformance"), Inserts: f.Values["inserts"], What: strings.TrimSpace(f.Value("what")),
				Mould: f.Value("mould"), Customer: strings.TrimSpace(f.Value("customer")), CustomerReference: strings.TrimSpace(f.Value("customer_reference")),
				Quantity: countOf(said, f, "quantity", "The number of pieces allowed"), ExpiresOn: shop.Date(f.Value("expires_on"))}
			for n := range closeUp(f, "limits", "lower", "upper", "unit") {
				e.Limits = append(e.Limits, limitOf(said, f, n+1))
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			items, err := s.conceivable(r, f.Value("nonconformance"))
			if err != nil {
				return nil, err
			}
			moulds, err := s.store.Moulds(r.Context())
			return views.NewConcessionPage(views.NewConcession{New: views.New{Frame: s.frame(r, "/holds"), Form: f}, Items: items, Moulds: moulds}), err
		},
		made: func(e shop.ConcessionGiven) (to, notice string) {
			return views.PageOf("nonconformance", e.Nonconformance), "Concession " + e.Concession + " was given."
		},
	}
}

// conceivable are the pieces of a nonconformance that a concession can be
// about.
func (s *Server) conceivable(r *http.Request, number string) ([]shop.Nonconformance, error) {
	items, err := s.store.Nonconformance(r.Context(), number)
	return slices.DeleteFunc(items, func(n shop.Nonconformance) bool { return !n.Stands() }), err
}

// limitOf reads a line of the table of limits.
func limitOf(said shop.Fields, f *views.Form, n int) shop.ConcessionLimit {
	at := func(column string) string { return views.Cell("limits", n, column) }
	l := shop.ConcessionLimit{Of: strings.TrimSpace(f.Value(at("")))}
	unit := f.Value(at("unit"))
	if unit == "" {
		said.Say(at("unit"), "The unit of the limit of %s is not stated: choose it.", l.Of)
		unit = "mm"
	}
	read := func(column string) shop.Reading {
		if strings.TrimSpace(f.Value(at(column))) == "" {
			return shop.Reading{}
		}
		return said.Read(at(column), f.Value(at(column)), unit, shop.QuantityOf(unit))
	}
	l.Lower, l.Upper = read("lower"), read("upper")
	return l
}
