package server

import (
	"cmp"
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newQualification is the form that plans how a lot is qualified.
func (s *Server) newQualification() making[shop.QualificationPlanned] {
	return making[shop.QualificationPlanned]{
		path:  "/new/qualification",
		start: s.startPlan,
		read: func(_ *http.Request, f *views.Form) (shop.QualificationPlanned, error) {
			said := shop.Fields{}
			first := plannedCoupons(said, f, "design", "coupons")
			e := shop.QualificationPlanned{Lot: f.Value("lot"), Coupons: first.Coupons, Design: first.Design, Revision: first.Revision,
				Axes: strings.Fields(f.Value("axes")), Note: strings.TrimSpace(f.Value("note"))}
			for n := range closeUp(f, "further", "coupons") {
				e.Further = append(e.Further, plannedCoupons(said, f, views.Cell("further", n+1, ""), views.Cell("further", n+1, "coupons")))
			}
			if strings.TrimSpace(f.Value("first_inserts")) != "" {
				e.Firsts = countOf(said, f, "first_inserts", "The number of first inserts")
			}
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

// startPlan begins with the plan that stands, so that one number can be changed.
func (s *Server) startPlan(r *http.Request, f *views.Form) error {
	f.Values.Set("lot", r.FormValue("lot"))
	q, err := s.store.Qualifying(r.Context(), r.FormValue("lot"))
	if errors.Is(err, shop.ErrNotFound) || err == nil && q.Plan == nil {
		return nil
	}
	if err != nil {
		return err
	}
	for n, k := range q.Plan.Kinds {
		design, coupons := "design", "coupons"
		if n > 0 {
			design, coupons = views.Cell("further", n, ""), views.Cell("further", n, "coupons")
		}
		f.Values.Set(design, k.Design+" "+k.Revision)
		f.Values.Set(coupons, strconv.Itoa(k.Coupons))
	}
	if q.Plan.Firsts > 0 {
		f.Values.Set("first_inserts", strconv.Itoa(q.Plan.Firsts))
	}
	f.Values.Set("axes", strings.Join(q.Plan.Axes, " "))
	f.Values.Set("note", q.Plan.Note)
	return nil
}

// plannedCoupons reads so many coupons of a design, which is chosen with its
// revision.
func plannedCoupons(said shop.Fields, f *views.Form, design, coupons string) shop.PlannedCoupons {
	k := shop.PlannedCoupons{Coupons: countOf(said, f, coupons, "The number of coupons")}
	k.Design, k.Revision, _ = strings.Cut(f.Value(design), " ")
	k.Revision = cmp.Or(k.Revision, follows)
	return k
}

// qualifying fills in how far the qualification of the lot has come.
func (s *Server) qualifying(r *http.Request, p *views.Lot) (err error) {
	if p.Qualifying, err = s.store.Qualifying(r.Context(), p.Lot.Lot); err == nil && p.Qualifying.Plan != nil {
		p.PlanLacks = p.Qualifying.Plan.Lacks(p.Qualifying.Designs, p.Releases, p.Now)
	}
	return err
}
