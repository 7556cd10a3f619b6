package server

import (
	"net/http"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// gauges answers GET /gauges.
func (s *Server) gauges(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Gauges(r.Context())
	if err != nil {
		return err
	}
	held, err := s.heldOf(r, "gauge")
	if err != nil {
		return err
	}
	return s.register(w, r, views.Register{Title: "Gauges", Soft: "Every reading names the gauge that it was taken with.", Sheet: "The register", Listing: views.Gauges(all, held)},
		form{"/new/gauge", "Enter a gauge", shop.GaugeAdded{}})
}

// newGauge is the form that enters a gauge in the register.
func (s *Server) newGauge() making[shop.GaugeAdded] {
	return making[shop.GaugeAdded]{
		path: "/new/gauge",
		read: func(_ *http.Request, f *views.Form) (shop.GaugeAdded, error) {
			said := shop.Fields{}
			e := shop.GaugeAdded{
				Gauge: f.Value("gauge"), Type: f.Value("type"), Range: f.Value("range"), Code: newCode(f),
			}
			if f.Value("resolution")+f.Value("error") != "" {
				e.Resolution = measured(said, f, "resolution", "length_unit", "The unit of the resolution and the error", shop.Length)
				e.Error = measured(said, f, "error", "length_unit", "The unit of the resolution and the error", shop.Length)
			}
			if f.Value("uncertainty") != "" {
				e.Uncertain = measured(said, f, "uncertainty", "length_unit", "The unit of the resolution and the error", shop.Length)
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			return views.NewGaugePage(views.New{Frame: s.frame(r, "/book"), Form: f}), nil
		},
		made: func(e shop.GaugeAdded) (to, notice string) {
			return "/gauges", "Gauge " + e.Gauge + " was entered in the register."
		},
	}
}
