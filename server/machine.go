package server

import (
	"net/http"
	"net/url"
	"slices"

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
	return s.register(w, r, views.Register{Title: "Machines", Soft: "Each lays down paste in layers and mills it to shape while it is soft.", Sheet: "On the floor", Listing: views.Machines(all, held)},
		form{"/new/machine", "Add a machine", shop.MachineAdded{}})
}

// machine answers GET /machines/{machine}.
func (s *Server) machine(w http.ResponseWriter, r *http.Request) error {
	ctx, number := r.Context(), pathWord(r, "machine")
	p := views.Machine{Frame: s.frame(r, "/book"), Now: s.now()}
	var err error
	if p.Machine, err = s.store.Machine(ctx, number); err != nil {
		return err
	}
	if p.Zone, err = s.zone(ctx); err != nil {
		return err
	}
	if p.Printing, err = s.store.PrintingOn(ctx, number); err != nil {
		return err
	}
	if p.Holds, err = s.store.HoldsOn(ctx, "machine", number); err != nil {
		return err
	}
	if p.Controllers, err = s.store.Controllers(ctx, number); err != nil {
		return err
	}
	if p.Checks, err = s.store.MachineChecks(ctx, number); err != nil {
		return err
	}
	if p.Cutters, err = s.store.Cutters(ctx); err != nil {
		return err
	}
	p.Cutters = slices.DeleteFunc(p.Cutters, func(c shop.Cutter) bool { return c.Machine != number })
	if p.Services, err = s.store.Services(ctx, "machine", number); err != nil {
		return err
	}
	named := url.QueryEscape(number)
	of := "?machine=" + named
	p.Acts = s.allowed(r, form{"/new/machine-check" + of, "Record a check of its axes", shop.MachineChecked{}}, form{"/new/controller" + of, "Record a controller version", shop.ControllerUpdated{}},
		form{"/new/cutter" + of, "Put a cutter in", shop.CutterFitted{}}, form{"/new/cutter-out", "Take a cutter out", shop.CutterRemoved{}},
		form{"/new/service?on_kind=machine&on_code=" + named, "Record work on it", shop.EquipmentServiced{}})
	return show(w, r, http.StatusOK, views.MachinePage(p))
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

// newMachineCheck is the form for a check of a machine's axes.
func (s *Server) newMachineCheck() making[shop.MachineChecked] {
	return making[shop.MachineChecked]{
		path:  "/new/machine-check",
		start: startsWith("machine"),
		read: func(_ *http.Request, f *views.Form) (shop.MachineChecked, error) {
			return shop.MachineChecked{Machine: f.Value("machine"), Report: f.Value("report"), Verdict: f.Value("verdict"), Due: shop.Date(f.Value("due"))}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			machines, err := s.store.Machines(r.Context())
			return views.NewMachineCheckPage(views.New{Frame: s.frame(r, "/book"), Form: f}, machines), err
		},
		made: func(e shop.MachineChecked) (to, notice string) {
			return views.PageOf("machine", e.Machine), "The check of " + e.Machine + " was recorded."
		},
	}
}

// newController is the form for the version of a machine's controller.
func (s *Server) newController() making[shop.ControllerUpdated] {
	return making[shop.ControllerUpdated]{
		path:  "/new/controller",
		start: startsWith("machine"),
		read: func(_ *http.Request, f *views.Form) (shop.ControllerUpdated, error) {
			return shop.ControllerUpdated{Machine: f.Value("machine"), Version: f.Value("version")}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			machines, err := s.store.Machines(r.Context())
			return views.NewControllerPage(views.New{Frame: s.frame(r, "/book"), Form: f}, machines), err
		},
		made: func(e shop.ControllerUpdated) (to, notice string) {
			return views.PageOf("machine", e.Machine), e.Machine + " runs version " + e.Version + "."
		},
	}
}
