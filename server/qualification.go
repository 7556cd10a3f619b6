package server

import (
	"cmp"
	"errors"
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newQualification is the form that plans how a lot is qualified.
func (s *Server) newQualification() making[shop.QualificationPlanned] {
	return making[shop.QualificationPlanned]{
		path:  "/new/qualification",
		start: startsWith("lot"),
		read: func(_ *http.Request, f *views.Form) (shop.QualificationPlanned, error) {
			said := shop.Fields{}
			design, revision, _ := strings.Cut(f.Value("design"), " ")
			e := shop.QualificationPlanned{Lot: f.Value("lot"), Coupons: countOf(said, f, "coupons", "The number of coupons"), Design: design, Revision: cmp.Or(revision, follows), // the two are chosen as one
				Axes: strings.Fields(f.Value("axes")), Note: strings.TrimSpace(f.Value("note"))}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			lots, err := s.store.Lots(r.Context())
			if err != nil {
				return nil, err
			}
			designs, err := s.store.Designs(r.Context())
			return views.NewQualificationPage(views.New{Frame: s.frame(r, "/lots"), Form: f}, lots, designs), err
		},
		made: func(e shop.QualificationPlanned) (to, notice string) {
			return views.PageOf("lot", e.Lot), "The plan for " + e.Lot + " is set down."
		},
	}
}

// qualifying fills in how far the qualification of the lot has come.
func (s *Server) qualifying(r *http.Request, p *views.Lot) error {
	plan, err := s.store.Qualification(r.Context(), p.Lot.Lot)
	switch {
	case errors.Is(err, shop.ErrNotFound):
		return nil
	case err != nil:
		return err
	}
	p.Plan = &plan
	design, err := s.store.Design(r.Context(), plan.Design, plan.Revision)
	p.PlanLacks = plan.Lacks(design, p.Releases, p.Now)
	return err
}
