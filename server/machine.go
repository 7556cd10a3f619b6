package server

import (
	"net/http"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// machines answers GET /machines.
func (s *Server) machines(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Machines(r.Context())
	if err != nil {
		return err
	}
	held, err := s.heldOf(r, "machine")
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.MachinesPage(views.Machines{Frame: s.frame(r, "/book"), Machines: all, Held: held, New: s.may(r, shop.MachineAdded{}, "")}))
}

// newMachine is the form that puts a printer on the floor.
func (s *Server) newMachine() making[shop.MachineAdded] {
	return making[shop.MachineAdded]{
		path: "/new/machine",
		read: func(_ *http.Request, f *views.Form) (shop.MachineAdded, error) {
			said := shop.Fields{}
			e := shop.MachineAdded{Machine: f.Value("machine"), Nozzle: measured(said, f, "nozzle", "nozzle_unit", "The unit of the bore", shop.Length), Code: newCode(f)}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewMachinePage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.MachineAdded) (to, notice string) {
			return "/machines", "Machine " + e.Machine + " was added."
		},
	}
}
