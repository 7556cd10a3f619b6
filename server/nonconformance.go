package server

import (
	"net/http"
	"strconv"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) nonconformanceRoutes(r chi.Router) {
	r.Get("/nonconformances", s.page(s.nonconformances))
	r.Get("/nonconformances/{nonconformance}", s.page(s.nonconformance))
	r.Post("/nonconformances/{nonconformance}", s.page(s.decideNonconformance))
	r.Get("/concessions/{concession}", s.page(s.concession))
	r.Post("/concessions/{concession}", s.page(s.withdrawConcession))
	offer(s, r, s.newNonconformance())
	offer(s, r, s.newConcession())
	r.Get("/permits", s.page(s.permits))
	offer(s, r, s.newPermit())
}

// nonconformances answers GET /nonconformances: those that were decided, the
// newest first. Those that wait stand beside the holds.
func (s *Server) nonconformances(w http.ResponseWriter, r *http.Request) error {
	p := views.Nonconformances{Frame: s.frame(r, "/holds")}
	before, err := after(r)
	if err != nil {
		return err
	}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	if p.Decided, err = s.store.NonconformancesDecided(r.Context(), before, rowsAPage); err != nil {
		return err
	}
	if len(p.Decided) == rowsAPage {
		p.Older = "/nonconformances?after=" + strconv.FormatInt(p.Decided[rowsAPage-1].Seq, 10)
	}
	return show(w, r, http.StatusOK, views.NonconformancesPage(p))
}

// nonconformance answers GET /nonconformances/{nonconformance}.
func (s *Server) nonconformance(w http.ResponseWriter, r *http.Request) error {
	p, err := s.nonconformancePage(r)
	if err != nil {
		return err
	}
	if len(p.Open()) > 0 && s.may(r, shop.NonconformanceDecided{}, "") {
		f := blank("", views.PageOf("nonconformance", p.Number))
		for _, n := range p.Open() {
			f.Values.Add("inserts", n.Insert)
		}
		p.Decide = &f
	}
	return show(w, r, http.StatusOK, views.NonconformancePage(p))
}

func (s *Server) nonconformancePage(r *http.Request) (views.Nonconformance, error) {
	ctx := r.Context()
	p := views.Nonconformance{Frame: s.frame(r, "/holds"), Number: pathWord(r, "nonconformance"), At: s.now()}
	var err error
	if p.Items, err = s.store.Nonconformance(ctx, p.Number); err != nil {
		return p, err
	}
	if p.Concessions, err = s.store.Concessions(ctx, p.Number); err != nil {
		return p, err
	}
	p.Raises = len(p.Open()) > 0 && s.may(r, shop.NonconformanceRaised{}, "")
	p.Concedes = p.Stands() && s.may(r, shop.ConcessionGiven{}, "")
	p.Zone, err = s.zone(ctx)
	return p, err
}

// decideNonconformance answers POST /nonconformances/{nonconformance}.
func (s *Server) decideNonconformance(w http.ResponseWriter, r *http.Request) error {
	p, err := s.nonconformancePage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "", views.PageOf("nonconformance", p.Number))
	if err != nil {
		return err
	}
	e := decision(f, p.Number)
	ok, err := s.recordSigned(r, &f, e, views.MeaningOfDecision)
	if err != nil {
		return err
	}
	if !ok {
		p.Decide = &f
		return show(w, r, statusOf(f), views.NonconformancePage(p))
	}
	return seeOther(w, r, views.PageOf("nonconformance", p.Number), views.DecisionNotice(e))
}

// decision is what a form decides. To cancel stands among the dispositions.
func decision(f views.Form, number string) shop.Event {
	pieces, why := f.Values["inserts"], f.Value("why")
	if f.Value("disposition") == views.CancelIt {
		return shop.NonconformanceCancelled{Nonconformance: number, Inserts: pieces, Why: why}
	}
	return shop.NonconformanceDecided{Nonconformance: number, Inserts: pieces, Disposition: shop.Disposition(f.Value("disposition")), Back: f.Value("back"), Why: why}
}

// newNonconformance is the form by which anyone who works says that a piece
// does not conform.
func (s *Server) newNonconformance() making[shop.NonconformanceRaised] {
	return making[shop.NonconformanceRaised]{
		path: "/new/nonconformance",
		start: func(r *http.Request, f *views.Form) error {
			number, err := s.store.NextNumber(r.Context(), "nonconformance", "NC-")
			if given := r.FormValue("nonconformance"); given != "" {
				number = given
			}
			f.Values.Set("nonconformance", number)
			f.Values.Set("insert", r.FormValue("insert"))
			return err
		},
		read: func(r *http.Request, f *views.Form) (shop.NonconformanceRaised, error) {
			insert := s.numberOf(r, "insert", f.Value("insert"))
			return shop.NonconformanceRaised{Nonconformance: f.Value("nonconformance"), Insert: insert, What: f.Reason("what")}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewNonconformancePage(views.New{Frame: s.frame(r, "/holds"), Form: f}), nil
		},
		made: func(e shop.NonconformanceRaised) (to, notice string) {
			return views.PageOf("nonconformance", e.Nonconformance), e.Nonconformance + " was raised on " + e.Insert + ": it waits for the quality manager. Put the part in quarantine."
		},
	}
}
