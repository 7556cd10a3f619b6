package server

import (
	"cmp"
	"net/http"
	"net/url"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// furnaces answers GET /furnaces.
func (s *Server) furnaces(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Furnaces(r.Context())
	if err != nil {
		return err
	}
	held, err := s.heldOf(r, "furnace")
	if err != nil {
		return err
	}
	return s.register(w, r, views.Register{Title: "Furnaces", Soft: "Positions are the places on the setters, named as they are marked there.", Sheet: "On the floor", Listing: views.Furnaces(all, held)},
		form{"/new/furnace", "Add a furnace", shop.FurnaceAdded{}})
}

// furnace answers GET /furnaces/{furnace}.
func (s *Server) furnace(w http.ResponseWriter, r *http.Request) error {
	p, err := s.furnacePage(r)
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.FurnacePage(p))
}

func (s *Server) furnacePage(r *http.Request) (views.Furnace, error) {
	ctx, number := r.Context(), pathWord(r, "furnace")
	p := views.Furnace{Frame: s.frame(r, "/book"), Now: s.now()}
	var err error
	if p.Furnace, err = s.store.FurnaceNow(ctx, number); err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(ctx); err != nil {
		return p, err
	}
	if p.Holds, err = s.store.HoldsOn(ctx, "furnace", number); err != nil {
		return p, err
	}
	if p.Tests, err = s.store.SensorTests(ctx, number); err != nil {
		return p, err
	}
	if p.Surveys, err = s.store.Surveys(ctx, number); err != nil {
		return p, err
	}
	if p.Loads, err = s.store.LoadsIn(ctx, number); err != nil {
		return p, err
	}
	if p.Services, err = s.store.Services(ctx, "furnace", number); err != nil {
		return p, err
	}
	named := url.QueryEscape(number)
	of := "?furnace=" + named
	p.Acts = s.allowed(r, form{"/new/sat", "Record a SAT", shop.SensorTested{}}, form{"/new/tus" + of, "Record a TUS", shop.FurnaceSurveyed{}},
		form{"/new/sensor" + of, "Fit a sensor", shop.SensorFitted{}}, form{"/new/service?on_kind=furnace&on_code=" + named, "Record work on it", shop.EquipmentServiced{}})
	p.Acts = append(p.Acts, views.Link{Href: views.LabelsOf("furnace", p.Furnace.Places()), Text: "Print labels of its places"})
	if s.may(r, shop.FurnaceTestsSet{}, "") {
		f := blank("needs", views.PageOf("furnace", number)+"/tests")
		f.Values["tests"] = p.Furnace.Tests
		p.Needs = &f
	}
	return p, nil
}

// setFurnaceTests answers POST /furnaces/{furnace}/tests.
func (s *Server) setFurnaceTests(w http.ResponseWriter, r *http.Request) error {
	p, err := s.furnacePage(r)
	if err != nil {
		return err
	}
	at := views.PageOf("furnace", p.Furnace.Furnace)
	f, err := typed(r, "needs", at+"/tests")
	if err != nil {
		return err
	}
	ok, err := s.record(r, &f, shop.FurnaceTestsSet{Furnace: p.Furnace.Furnace, Tests: f.Values["tests"]})
	if err != nil {
		return err
	}
	if !ok {
		p.Needs = &f
		return show(w, r, statusOf(f), views.FurnacePage(p))
	}
	return seeOther(w, r, at, "What "+p.Furnace.Furnace+" needs before a run was recorded.")
}

// newFurnaceTest is the form for a safety test before a run.
func (s *Server) newFurnaceTest() making[shop.FurnaceTestRecorded] {
	return making[shop.FurnaceTestRecorded]{
		path:  "/new/furnace-test",
		start: startsWith("load"),
		read: func(r *http.Request, f *views.Form) (shop.FurnaceTestRecorded, error) {
			e := shop.FurnaceTestRecorded{Furnace: follows, Load: f.Value("load"), Test: f.Value("test"), Verdict: f.Value("verdict"), Note: f.Value("note")}
			if e.Load == "" {
				return e, nil
			}
			l, err := s.store.Load(r.Context(), e.Load)
			e.Furnace = l.Furnace
			return e, err
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			loads, err := s.store.Loads(r.Context())
			return views.NewFurnaceTestPage(views.New{Frame: s.frame(r, "/loads"), Form: f}, loads), err
		},
		made: func(e shop.FurnaceTestRecorded) (to, notice string) {
			return views.PageOf("load", e.Load), "The " + e.Test + " test before " + e.Load + " was recorded: " + e.Verdict + "."
		},
	}
}

// newFurnace is the form that puts a furnace on the floor.
func (s *Server) newFurnace() making[shop.FurnaceAdded] {
	return making[shop.FurnaceAdded]{
		path: "/new/furnace",
		more: moreLines,
		read: func(_ *http.Request, f *views.Form) (shop.FurnaceAdded, error) {
			e := shop.FurnaceAdded{Furnace: f.Value("furnace"), Code: newCode(f)}
			said := shop.Fields{}
			if f.Value("sat") != "" {
				e.Limits.SAT = difference(said, f, "sat")
			}
			if f.Value("tus") != "" {
				e.Limits.TUS = difference(said, f, "tus")
			}
			for field, into := range map[string]*int{"sat_days": &e.Limits.SATDays, "tus_days": &e.Limits.TUSDays} {
				if f.Value(field) != "" {
					*into = countOf(said, f, field, "The number of days")
				}
			}
			for n := range closeUp(f, "positions", "zone", "use") {
				e.Positions = append(e.Positions, positionOf(said, f, n+1))
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewFurnacePage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.FurnaceAdded) (to, notice string) {
			return "/furnaces", "Furnace " + e.Furnace + " was added."
		},
	}
}

// positionOf reads a line of the table of positions. What is missing in it is
// said there, and not once more about the table.
func positionOf(said shop.Fields, f *views.Form, n int) shop.Position {
	at := func(column string) string { return views.Cell("positions", n, column) }
	p := shop.Position{Position: f.Value(at("")), Zone: f.Value(at("zone")), Use: f.Value(at("use"))}
	said.Need(at(""), p.Position, "The name of the position")
	said.Need(at("zone"), p.Zone, "The zone of the position")
	said.Need(at("use"), p.Use, "What the position is for")
	p.Position, p.Use = cmp.Or(p.Position, at("")), cmp.Or(p.Use, "insert")
	return p
}
