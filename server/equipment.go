package server

import (
	"net/http"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) equipmentRoutes(r chi.Router) {
	r.Get("/equipment", s.page(s.equipment))
	r.Get("/machines", s.page(s.machines))
	r.Get("/machines/{machine}", s.page(s.machine))
	r.Get("/furnaces", s.page(s.furnaces))
	r.Get("/furnaces/{furnace}", s.page(s.furnace))
	r.Post("/furnaces/{furnace}/tests", s.page(s.setFurnaceTests))
	r.Get("/recipes", s.page(s.recipes))
	r.Get("/setters", s.page(s.setters))
	r.Get("/ovens", s.page(s.ovens))
	r.Get("/carriers", s.page(s.carriers))
	r.Get("/cutters", s.page(s.cutters))
	offer(s, r, s.newMachine())
	offer(s, r, s.newMachineCheck())
	offer(s, r, s.newController())
	offer(s, r, s.newFurnace())
	offer(s, r, s.newSensor())
	offer(s, r, s.newSensorTest())
	offer(s, r, s.newSurvey())
	offer(s, r, s.newFurnaceTest())
	offer(s, r, s.newRecipe())
	offer(s, r, s.newSetter())
	offer(s, r, s.newOven())
	offer(s, r, s.newCarrier())
	offer(s, r, s.newCutter())
	offer(s, r, s.takeCutterOut())
	offer(s, r, s.newService())
}

// register shows a list of one kind of things, with the forms that this person
// may fill in.
func (s *Server) register(w http.ResponseWriter, r *http.Request, p views.Register, forms ...form) error {
	p.Frame = s.frame(r, "/book")
	p.Add = s.allowed(r, forms...)
	return show(w, r, http.StatusOK, views.RegisterPage(p))
}

// A form is one that can be filled in, and the event that it makes.
type form struct {
	href, text string
	e          shop.Event
}

// allowed are the forms whose event is this person's work.
func (s *Server) allowed(r *http.Request, forms ...form) []views.Link {
	var links []views.Link
	for _, f := range forms {
		if s.may(r, f.e, "") {
			links = append(links, views.Link{Href: f.href, Text: f.text})
		}
	}
	return links
}

// equipment answers GET /equipment: what falls due, the most urgent first.
func (s *Server) equipment(w http.ResponseWriter, r *http.Request) error {
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	due, err := s.due(r)
	if err != nil {
		return err
	}
	p := views.Register{Title: "Equipment", Soft: "What must be done, and by when, so that it may go on working.", Sheet: "What is due", Listing: views.DueList(due, shop.DayOf(s.now(), zone))}
	p.Frame = s.frame(r, "/book")
	p.Add, p.Lists = s.allowed(r, form{"/new/service", "Record work on equipment", shop.EquipmentServiced{}}), views.EquipmentLinks
	return show(w, r, http.StatusOK, views.RegisterPage(p))
}

// due gathers what falls due of gauges, machines and furnaces.
func (s *Server) due(r *http.Request) ([]views.Due, error) {
	ctx := r.Context()
	var all []views.Due
	gauges, err := s.store.Gauges(ctx)
	if err != nil {
		return nil, err
	}
	for _, g := range gauges {
		d := views.Due{Kind: "gauge", Number: g.Gauge, What: "Calibration"}
		done, err := s.store.Calibrations(ctx, g.Gauge)
		if err != nil {
			return nil, err
		}
		if len(done) > 0 {
			d.Day, d.Failed = done[0].Due, done[0].Verdict == "fail"
		}
		all = append(all, d)
	}
	machines, err := s.store.Machines(ctx)
	if err != nil {
		return nil, err
	}
	for _, m := range machines {
		all = append(all, views.Due{Kind: "machine", Number: m.Machine, What: "Check of its axes", Day: m.Check.Due, Failed: m.Check.Verdict == "fail"})
	}
	furnaces, err := s.store.Furnaces(ctx)
	if err != nil {
		return nil, err
	}
	for _, f := range furnaces {
		if f, err = s.store.FurnaceNow(ctx, f.Furnace); err != nil {
			return nil, err
		}
		for _, n := range f.Sensors {
			all = append(all, views.Due{Kind: "furnace", Number: f.Furnace, What: "SAT of " + n.Sensor, Day: n.Test.Due, Failed: n.Test.Verdict == "fail"})
		}
		all = append(all, views.Due{Kind: "furnace", Number: f.Furnace, What: "TUS", Day: f.Survey.Due, Failed: f.Survey.Verdict == "fail"})
	}
	return all, nil
}

// newService is the form that records work on equipment.
func (s *Server) newService() making[shop.EquipmentServiced] {
	return making[shop.EquipmentServiced]{
		path: "/new/service",
		start: func(r *http.Request, f *views.Form) error {
			f.Values.Set("on_kind", r.FormValue("on_kind"))
			f.Values.Set("on_code", r.FormValue("on_code"))
			return nil
		},
		read: func(_ *http.Request, f *views.Form) (shop.EquipmentServiced, error) {
			return shop.EquipmentServiced{OnKind: f.Value("on_kind"), OnCode: f.Value("on_code"), What: f.Value("what")}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewServicePage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.EquipmentServiced) (to, notice string) {
			return views.PageOf(e.OnKind, e.OnCode), "The work on " + e.OnKind + " " + e.OnCode + " was recorded."
		},
	}
}
