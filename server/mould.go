package server

import (
	"net/http"
	"slices"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// moulds answers GET /moulds.
func (s *Server) moulds(w http.ResponseWriter, r *http.Request) error {
	p := views.Moulds{Frame: s.frame(r, "/book"), New: s.may(r, shop.MouldReceived{}, "")}
	var err error
	if p.Moulds, err = s.store.Moulds(r.Context()); err != nil {
		return err
	}
	if p.Held, err = s.heldOf(r, "mould"); err != nil {
		return err
	}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.MouldsPage(p))
}

// mould answers GET /moulds/{mould}.
func (s *Server) mould(w http.ResponseWriter, r *http.Request) error {
	p, err := s.mouldPage(r)
	if err != nil {
		return err
	}
	if p.Mould.Shipped.IsZero() && len(p.Inserts) > 0 && s.may(r, shop.MouldShipped{}, "") {
		f := blank("ship", views.PageOf("mould", p.Mould.Mould))
		p.Ship = &f
		if err := s.askRead(r, p.Ship, shop.OpDeliver, r.URL.RequestURI()); err != nil {
			return err
		}
	}
	return show(w, r, http.StatusOK, views.MouldPage(p))
}

func (s *Server) mouldPage(r *http.Request) (views.Mould, error) {
	ctx := r.Context()
	p := views.Mould{Frame: s.frame(r, "/book")}
	var err error
	if p.Mould, err = s.store.Mould(ctx, pathWord(r, "mould")); err != nil {
		return p, err
	}
	if p.Inserts, err = s.store.Inserts(ctx, "mould", p.Mould.Mould); err != nil {
		return p, err
	}
	slices.SortStableFunc(p.Inserts, func(a, b shop.Insert) int { return strings.Compare(a.MouldAt, b.MouldAt) })
	if p.Holds, err = s.store.HoldsOn(ctx, "mould", p.Mould.Mould); err != nil {
		return p, err
	}
	if p.Held, err = s.heldOf(r, "insert"); err != nil {
		return p, err
	}
	orders, err := s.store.Orders(ctx)
	for _, o := range orders {
		if o.Mould == p.Mould.Mould {
			p.Orders = append(p.Orders, o)
		}
	}
	if err != nil {
		return p, err
	}
	if p.Trips, err = s.store.Deliveries(ctx, p.Mould.Mould); err != nil {
		return p, err
	}
	p.Back = !p.Mould.Shipped.IsZero() && s.may(r, shop.MouldReturned{}, "")
	p.Zone, err = s.zone(ctx)
	return p, err
}

// shipMould answers POST /moulds/{mould}.
func (s *Server) shipMould(w http.ResponseWriter, r *http.Request) error {
	p, err := s.mouldPage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "ship", views.PageOf("mould", p.Mould.Mould))
	if err != nil {
		return err
	}
	e := shop.MouldShipped{Mould: p.Mould.Mould, Note: f.Value("note"), Inserts: f.Values["inserts"]}
	ok, err := s.recordSigned(r, &f, e, views.MeaningOfDelivery)
	if err != nil {
		return err
	}
	if !ok {
		p.Ship = &f
		return show(w, r, statusOf(f), views.MouldPage(p))
	}
	s.seal(r.Context())
	return seeOther(w, r, views.PageOf("mould", p.Mould.Mould), "Mould "+e.Mould+" was delivered with delivery note "+e.Note+".")
}

// newMould is the form that takes a mould into the toolroom.
func (s *Server) newMould() making[shop.MouldReceived] {
	return making[shop.MouldReceived]{
		path: "/new/mould",
		read: func(_ *http.Request, f *views.Form) (shop.MouldReceived, error) {
			return shop.MouldReceived{Mould: f.Value("mould"), Customer: f.Value("customer"), Code: newCode(f)}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewMouldPage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.MouldReceived) (to, notice string) {
			return views.PageOf("mould", e.Mould), "Mould " + e.Mould + " is in the toolroom."
		},
	}
}

// newMouldReturn is the form that takes a mould back from a customer.
func (s *Server) newMouldReturn() making[shop.MouldReturned] {
	return making[shop.MouldReturned]{
		path: "/new/mould-return",
		start: func(r *http.Request, f *views.Form) error {
			f.Values.Set("mould", r.FormValue("mould"))
			inserts, err := s.deliveredIn(r, f.Value("mould"))
			f.Values["inserts"] = inserts
			return err
		},
		read: func(_ *http.Request, f *views.Form) (shop.MouldReturned, error) {
			return shop.MouldReturned{Mould: strings.TrimSpace(f.Value("mould")), Note: strings.TrimSpace(f.Value("note")), Why: strings.TrimSpace(f.Value("why")), Inserts: f.Values["inserts"]}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			inserts, err := s.deliveredIn(r, f.Value("mould"))
			return views.NewMouldReturnPage(views.NewMouldReturn{New: views.New{Frame: s.frame(r, "/book"), Form: f}, Inserts: inserts}), err
		},
		made: func(e shop.MouldReturned) (to, notice string) {
			return views.PageOf("mould", e.Mould), "Mould " + e.Mould + " is in the toolroom again."
		},
	}
}

// deliveredIn are the inserts that left with a mould, by place.
func (s *Server) deliveredIn(r *http.Request, mould string) ([]string, error) {
	all, err := s.store.Inserts(r.Context(), "mould", mould)
	slices.SortStableFunc(all, func(a, b shop.Insert) int { return strings.Compare(a.MouldAt, b.MouldAt) })
	var inserts []string
	for _, i := range all {
		if i.Status == shop.StatusDelivered {
			inserts = append(inserts, i.Insert)
		}
	}
	return inserts, err
}

// newReturn is the form that takes a single insert back from a customer.
func (s *Server) newReturn() making[shop.InsertReturned] {
	return making[shop.InsertReturned]{
		path: "/new/return",
		start: func(r *http.Request, f *views.Form) error {
			f.Values.Set("insert", r.FormValue("insert"))
			f.Values.Set("back", shop.OpInspect)
			return nil
		},
		read: func(_ *http.Request, f *views.Form) (shop.InsertReturned, error) {
			return shop.InsertReturned{Insert: strings.TrimSpace(f.Value("insert")), Note: strings.TrimSpace(f.Value("note")), Why: strings.TrimSpace(f.Value("why")), Place: strings.TrimSpace(f.Value("place")), Back: f.Value("back")}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewReturnPage(views.New{Frame: s.frame(r, "/floor"), Form: f}), nil
		},
		made: func(e shop.InsertReturned) (to, notice string) {
			return views.PageOf("insert", e.Insert), e.Insert + " came back; it goes on with " + e.Back + "."
		},
	}
}
