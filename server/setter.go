package server

import (
	"net/http"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// setters answers GET /setters.
func (s *Server) setters(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Setters(r.Context())
	if err != nil {
		return err
	}
	held, err := s.heldOf(r, "setter")
	if err != nil {
		return err
	}
	return s.register(w, r, views.Register{Title: "Setters", Soft: "Ceramic plates on which pieces lie in the furnace.", Sheet: "In use", Listing: views.Setters(all, held)},
		form{"/new/setter", "Put a setter into use", shop.SetterAdded{}})
}

// newSetter is the form that puts a setter into use.
func (s *Server) newSetter() making[shop.SetterAdded] {
	return making[shop.SetterAdded]{
		path: "/new/setter",
		read: func(_ *http.Request, f *views.Form) (shop.SetterAdded, error) {
			said := shop.Fields{}
			e := shop.SetterAdded{Setter: f.Value("setter"), Cycles: countOf(said, f, "cycles", "The number of runs behind it"), Life: countOf(said, f, "life", "The number of runs that it is allowed"), Code: newCode(f)}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewSetterPage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.SetterAdded) (to, notice string) {
			return "/setters", "Setter " + e.Setter + " is in use."
		},
	}
}
