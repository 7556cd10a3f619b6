package server

import (
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// permits answers GET /permits.
func (s *Server) permits(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Permits(r.Context())
	if err != nil {
		return err
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	return s.register(w, r, views.Register{Title: "Deviation permits", Soft: "Each lets one insert pass one gate at one operation although it stops.", Sheet: "Newest first", Listing: views.Permits(all, zone, s.now())},
		form{"/new/permit", "Permit a deviation", shop.PermitGiven{}})
}

// newPermit is the form that lets an insert pass a gate.
func (s *Server) newPermit() making[shop.PermitGiven] {
	return making[shop.PermitGiven]{
		path: "/new/permit", meaning: views.MeaningOfPermit,
		start: func(r *http.Request, f *views.Form) error {
			number, err := s.store.NextNumber(r.Context(), "permit", "DP-")
			f.Values.Set("permit", number)
			f.Values.Set("insert", r.FormValue("insert"))
			return err
		},
		read: func(_ *http.Request, f *views.Form) (shop.PermitGiven, error) {
			return shop.PermitGiven{Permit: f.Value("permit"), Insert: strings.TrimSpace(f.Value("insert")), Gate: f.Value("gate"), Op: f.Value("operation"),
				Why: strings.TrimSpace(f.Value("why")), ExpiresOn: shop.Date(f.Value("expires_on"))}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewPermitPage(views.New{Frame: s.frame(r, "/holds"), Form: f}), nil
		},
		made: func(e shop.PermitGiven) (to, notice string) {
			return views.PageOf("insert", e.Insert), "Permit " + e.Permit + " was given."
		},
	}
}

// permitted reports whether a permit lets the insert pass a gate now.
func (s *Server) permitted(r *http.Request, insert, gate, operation string) bool {
	permits, err := s.store.PermitsFor(r.Context(), insert)
	if err != nil {
		return false
	}
	zone, err := s.zone(r.Context())
	_, ok := shop.Passes(permits, gate, operation, shop.DayOf(s.now(), zone))
	return err == nil && ok
}
