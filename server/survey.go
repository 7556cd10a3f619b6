package server

import (
	"cmp"
	"net/http"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newSurvey is the form for a temperature uniformity survey.
func (s *Server) newSurvey() making[shop.FurnaceSurveyed] {
	return making[shop.FurnaceSurveyed]{
		path: "/new/tus",
		start: func(r *http.Request, f *views.Form) error {
			number := r.FormValue("furnace")
			if number == "" {
				return nil
			}
			n, err := s.store.Furnace(r.Context(), number)
			f.Values.Set("furnace", number)
			for i, zone := range n.ControlledZones() {
				f.Values.Set(views.Cell("zones", i+1, ""), zone)
			}
			return err
		},
		more: moreLines,
		read: func(_ *http.Request, f *views.Form) (shop.FurnaceSurveyed, error) {
			said := shop.Fields{}
			e := shop.FurnaceSurveyed{Furnace: f.Value("furnace"), SetPoint: measured(said, f, "set_point", "unit", "The scale of the degrees", shop.Temperature),
				Limit: difference(said, f, "limit"), Due: shop.Date(f.Value("due"))}
			for n := range closeUp(f, "zones", "off") {
				e.Zones = append(e.Zones, zoneOf(said, f, n+1))
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			furnaces, err := s.store.Furnaces(r.Context())
			return views.NewSurveyPage(views.New{Frame: s.frame(r, "/book"), Form: f}, furnaces), err
		},
		made: func(e shop.FurnaceSurveyed) (to, notice string) {
			return views.PageOf("furnace", e.Furnace), "The TUS of " + e.Furnace + " was recorded: " + e.Judged() + "."
		},
	}
}

// zoneOf reads a line of the table of zones. What is missing in it is said
// there, and not once more about the table.
func zoneOf(said shop.Fields, f *views.Form, n int) shop.ZoneOff {
	at := func(column string) string { return views.Cell("zones", n, column) }
	said.Need(at(""), f.Value(at("")), "The zone")
	said.Need(at("off"), f.Value(at("off")), "How far it was off the set point")
	z := shop.ZoneOff{Zone: cmp.Or(f.Value(at("")), at("")), Off: difference(said, f, at("off"))}
	if !z.Off.Taken() {
		z.Off = shop.MustReading("0", "K") // said already
	}
	return z
}
