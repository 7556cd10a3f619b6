package server

import (
	"net/http"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// cutters answers GET /cutters.
func (s *Server) cutters(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Cutters(r.Context())
	if err != nil {
		return err
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	return s.register(w, r, views.Register{Title: "Cutters", Soft: "They mill the part while it is soft; one is in a machine at a time.", Sheet: "Those in machines first", Listing: views.Cutters(all, zone)},
		form{"/new/cutter", "Put a cutter in", shop.CutterFitted{}}, form{"/new/cutter-out", "Take a cutter out", shop.CutterRemoved{}})
}

// newCutter is the form that puts a cutter into a machine.
func (s *Server) newCutter() making[shop.CutterFitted] {
	return making[shop.CutterFitted]{
		path:  "/new/cutter",
		start: startsWith("machine"),
		read: func(_ *http.Request, f *views.Form) (shop.CutterFitted, error) {
			said := shop.Fields{}
			e := shop.CutterFitted{Cutter: f.Value("cutter"), Machine: f.Value("machine"), Diameter: measured(said, f, "diameter", "unit", "The unit of both", shop.Length),
				Life: said.Read("life", f.Value("life"), "min", shop.Duration), Code: newCode(f)}
			if f.Value("offset") != "" {
				e.Offset = measured(said, f, "offset", "unit", "The unit of both", shop.Length)
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			machines, err := s.store.Machines(r.Context())
			return views.NewCutterPage(views.New{Frame: s.frame(r, "/book"), Form: f}, machines), err
		},
		made: func(e shop.CutterFitted) (to, notice string) {
			return "/cutters", "Cutter " + e.Cutter + " is in " + e.Machine + "."
		},
	}
}

// takeCutterOut is the form that takes a cutter out of its machine.
func (s *Server) takeCutterOut() making[shop.CutterRemoved] {
	return making[shop.CutterRemoved]{
		path:  "/new/cutter-out",
		start: startsWith("cutter"),
		read: func(r *http.Request, f *views.Form) (shop.CutterRemoved, error) {
			e := shop.CutterRemoved{Cutter: f.Value("cutter"), Machine: follows}
			if e.Cutter == "" {
				return e, nil
			}
			c, err := s.store.Cutter(r.Context(), e.Cutter)
			e.Machine = c.Machine
			return e, err
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			cutters, err := s.store.Cutters(r.Context())
			return views.TakeCutterOutPage(views.New{Frame: s.frame(r, "/book"), Form: f}, cutters), err
		},
		made: func(e shop.CutterRemoved) (to, notice string) {
			return "/cutters", "Cutter " + e.Cutter + " was taken out of " + e.Machine + "."
		},
	}
}

// startsWith fills fields of a new form with what the link to it said.
func startsWith(fields ...string) func(*http.Request, *views.Form) error {
	return func(r *http.Request, f *views.Form) error {
		for _, field := range fields {
			f.Values.Set(field, r.FormValue(field))
		}
		return nil
	}
}
