package server

import (
	"net/http"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// ovens answers GET /ovens.
func (s *Server) ovens(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Ovens(r.Context())
	if err != nil {
		return err
	}
	held, err := s.heldOf(r, "oven")
	if err != nil {
		return err
	}
	return s.register(w, r, views.Register{Title: "Ovens", Soft: "For final drying and for tempering.", Sheet: "On the floor", Listing: views.Ovens(all, held),
		Care: "Solvent vapour from drying parts can burn or explode in an oven that is not made for it. What may go in is said by the oven's maker, the paste's safety data sheet and the local code."},
		form{"/new/oven", "Add an oven", shop.OvenAdded{}})
}

// newOven is the form that puts an oven on the floor.
func (s *Server) newOven() making[shop.OvenAdded] {
	return making[shop.OvenAdded]{
		path: "/new/oven",
		read: func(_ *http.Request, f *views.Form) (shop.OvenAdded, error) {
			said := shop.Fields{}
			e := shop.OvenAdded{Oven: f.Value("oven"), Shelves: countOf(said, f, "shelves", "The number of shelves"), Limit: measured(said, f, "limit", "unit", "The scale of the degrees", shop.Temperature), Code: newCode(f)}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewOvenPage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.OvenAdded) (to, notice string) { return "/ovens", "Oven " + e.Oven + " was added." },
	}
}
