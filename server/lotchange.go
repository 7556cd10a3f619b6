package server

import (
	"context"
	"errors"
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newLotChange is the form in which a second person signs that another lot
// takes over within a print.
func (s *Server) newLotChange() making[shop.LotChanged] {
	return making[shop.LotChanged]{
		path: "/new/lot-change", meaning: views.MeaningOfLotChange, start: startsWith("insert"), read: s.lotChangeOf, page: s.newLotChangePage,
		made: func(e shop.LotChanged) (to, notice string) {
			return views.PageOf("insert", e.Insert), "From layer " + views.Whole(e.FromLayer) + " on " + e.Insert + " is printed of lot " + e.To + "."
		},
	}
}

// lotChangeOf reads a change of lot. The lot that ends is the one of that layer.
func (s *Server) lotChangeOf(r *http.Request, f *views.Form) (shop.LotChanged, error) {
	said := shop.Fields{}
	e := shop.LotChanged{Insert: strings.TrimSpace(f.Value("insert")), From: follows, To: f.Value("to_lot"), FromLayer: countOf(said, f, "from_layer", "The layer from which it takes over"), Why: strings.TrimSpace(f.Value("why"))}
	if e.Insert == "" {
		return e, said.Err()
	}
	i, err := s.store.Insert(r.Context(), e.Insert)
	if errors.Is(err, shop.ErrNotFound) {
		said.Say("insert", "There is no insert %s in this book.", e.Insert)
		return e, said.Err()
	}
	if err != nil {
		return e, err
	}
	release, err := s.store.ReleaseOf(r.Context(), i)
	lot := release.LotAt(e.FromLayer)
	if lot == e.To && e.FromLayer > 1 { // sent twice, it stands already
		lot = release.LotAt(e.FromLayer - 1)
	}
	if lot != "" {
		e.From = lot
	}
	if err == nil {
		err = said.Err()
	}
	return e, err
}

func (s *Server) newLotChangePage(r *http.Request, f views.Form) (templ.Component, error) {
	p := views.NewLotChange{New: views.New{Frame: s.frame(r, "/floor"), Form: f}, Now: s.now()}
	var err error
	if p.Lots, err = s.store.Lots(r.Context()); err != nil {
		return nil, err
	}
	if p.Factors, err = s.store.AllFactors(r.Context()); err != nil {
		return nil, err
	}
	i, err := s.store.Insert(r.Context(), f.Value("insert"))
	if err == nil {
		p.Release, err = s.store.ReleaseOf(r.Context(), i)
	}
	if err == nil && p.Release.Release != "" {
		p.Given, err = s.given(r.Context(), i.Insert)
	}
	if errors.Is(err, shop.ErrNotFound) {
		err = nil
	}
	return views.NewLotChangePage(p), err
}

// given are the factors that the machine was given for the print of an insert.
func (s *Server) given(ctx context.Context, insert string) (shop.Release, error) {
	print, err := s.store.Print(ctx, insert)
	if err != nil {
		return shop.Release{}, err
	}
	return print.Given()
}
