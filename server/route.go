package server

import (
	"net/http"
	"slices"
	"strconv"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// routesOfBook answers GET /routes.
func (s *Server) routesOfBook(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Routes(r.Context())
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.RoutesPage(views.Routes{Frame: s.frame(r, "/book"), Routes: all, New: s.may(r, shop.RouteReleased{}, "")}))
}

// newRoute is the form that puts a version of a route in force.
func (s *Server) newRoute() making[shop.RouteReleased] {
	return making[shop.RouteReleased]{
		path:  "/new/route",
		start: s.proposeRoute,
		more:  moreLines,
		read:  func(_ *http.Request, f *views.Form) (shop.RouteReleased, error) { return routeOf(f) },
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewRoutePage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.RouteReleased) (to, notice string) {
			return "/routes", "Version " + strconv.Itoa(e.Version) + " of route " + e.Template + " is in force."
		},
	}
}

// proposeRoute fills the form with the newest version of the route that the
// address names, else with every operation in its order.
func (s *Server) proposeRoute(r *http.Request, f *views.Form) error {
	f.Values.Set("version", "1")
	var steps []shop.RouteStep
	for _, op := range shop.Operations {
		steps = append(steps, shop.RouteStep{Operation: op})
	}
	if template := r.FormValue("template"); template != "" {
		old, err := s.store.Route(r.Context(), template, 0)
		if err != nil {
			return err
		}
		f.Values.Set("template", template)
		f.Values.Set("version", strconv.Itoa(old.Version+1))
		steps = old.Steps
	}
	for i, st := range steps {
		f.Values.Set(views.Cell("steps", i+1, ""), st.Operation)
		f.Values.Set(views.Cell("steps", i+1, "yields"), st.Yields)
		if st.Optional {
			f.Values.Set(views.Cell("steps", i+1, "optional"), "yes")
		}
	}
	return nil
}

// routeOf reads a route. In the print, the acts that interleave by layer are
// one step.
func routeOf(f *views.Form) (shop.RouteReleased, error) {
	said := shop.Fields{}
	e := shop.RouteReleased{Template: f.Value("template"), Version: countOf(said, f, "version", "The version")}
	for n := range closeUp(f, "steps", "optional", "yields") {
		cell := func(column string) string { return views.Cell("steps", n+1, column) }
		st := shop.RouteStep{Step: n + 1, Operation: f.Value(cell("")), Optional: f.Value(cell("optional")) != "", Yields: f.Value(cell("yields"))}
		said.Need(cell(""), st.Operation, "The operation of this step")
		if st.Operation == shop.OpPrint {
			st.Group = slices.Clone(shop.BuildParts)
		}
		e.Steps = append(e.Steps, st)
	}
	return e, said.Err()
}
