package server

import (
	"cmp"
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// gauge answers GET /gauges/{gauge}.
func (s *Server) gauge(w http.ResponseWriter, r *http.Request) error {
	p := views.Gauge{Frame: s.frame(r, "/book"), Now: s.now(), Checks: s.may(r, shop.GaugeChecked{}, ""), Calibrates: s.may(r, shop.GaugeCalibrated{}, "")}
	ctx, number := r.Context(), pathWord(r, "gauge")
	var err error
	if p.Gauge, err = s.store.Gauge(ctx, number); err != nil {
		return err
	}
	if p.Zone, err = s.zone(ctx); err != nil {
		return err
	}
	if p.Holds, err = s.store.HoldsOn(ctx, "gauge", number); err != nil {
		return err
	}
	if p.Filings, err = s.filingsOn(r, "gauge", number, p.Zone); err != nil {
		return err
	}
	if p.Calibrations, err = s.store.Calibrations(ctx, number); err != nil {
		return err
	}
	if p.Checked, err = s.store.GaugeChecks(ctx, number, views.ChecksShown); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.GaugePage(p))
}

// newCheck is the form for the check of a gauge on a block.
func (s *Server) newCheck() making[shop.GaugeChecked] {
	return making[shop.GaugeChecked]{
		path: "/new/check",
		start: func(r *http.Request, f *views.Form) error {
			number := r.FormValue("gauge")
			if number == "" {
				return nil
			}
			g, err := s.store.Gauge(r.Context(), number)
			f.Values.Set("gauge", number)
			if g.Error.Taken() { // the limit that the gauge itself asks for
				f.Values.Set("limit", g.Error.Text)
				f.Values.Set("unit", g.Error.Unit)
			}
			return err
		},
		read: func(_ *http.Request, f *views.Form) (shop.GaugeChecked, error) { return gaugeChecked(*f) },
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			gauges, err := s.store.Gauges(r.Context())
			return views.NewCheckPage(views.NewGaugeCare{New: views.New{Frame: s.frame(r, "/book"), Form: f}, Gauges: gauges}), err
		},
		made: func(e shop.GaugeChecked) (to, notice string) {
			return views.PageOf("gauge", e.Gauge), "The check of " + e.Gauge + " was recorded: " + e.Judged() + "."
		},
	}
}

// newCalibration is the form for what a certificate says of a gauge.
func (s *Server) newCalibration() making[shop.GaugeCalibrated] {
	return making[shop.GaugeCalibrated]{
		path: "/new/calibration",
		start: func(r *http.Request, f *views.Form) error {
			f.Values.Set("gauge", r.FormValue("gauge"))
			return nil
		},
		more: moreLines,
		read: func(_ *http.Request, f *views.Form) (shop.GaugeCalibrated, error) {
			said := shop.Fields{}
			e := shop.GaugeCalibrated{Gauge: f.Value("gauge"), Certificate: strings.TrimSpace(f.Value("certificate")), Verdict: f.Value("verdict"), Due: shop.Date(f.Value("due"))}
			for n := range closeUp(f, "points", "found", "left") {
				e.Points = append(e.Points, pointOf(said, f, n+1))
			}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			gauges, err := s.store.Gauges(r.Context())
			return views.NewCalibrationPage(views.NewGaugeCare{New: views.New{Frame: s.frame(r, "/book"), Form: f}, Gauges: gauges}), err
		},
		made: func(e shop.GaugeCalibrated) (to, notice string) {
			return views.PageOf("gauge", e.Gauge), "The calibration of " + e.Gauge + " was recorded."
		},
	}
}

// pointOf reads a line of the table of points. What is missing in it is said
// there, and not once more about the table.
func pointOf(said shop.Fields, f *views.Form, n int) shop.CalibrationPoint {
	at := func(column string) string { return views.Cell("points", n, column) }
	said.Need(at(""), f.Value(at("")), "The size at which it was compared")
	said.Need(at("found"), f.Value(at("found")), "What the gauge read too much")
	q := cmp.Or(shop.QuantityOf(f.Value("unit")), shop.Length)
	read := func(column string) shop.Reading {
		if said[at(column)] != "" {
			return shop.MustReading("0", shop.UnitsOf(q)[0]) // said already
		}
		return measured(said, f, at(column), "unit", "The unit of the points", q)
	}
	p := shop.CalibrationPoint{Point: read(""), AsFound: read("found")}
	if f.Value(at("left")) != "" {
		p.AsLeft = read("left")
	}
	return p
}

func gaugeChecked(f views.Form) (shop.GaugeChecked, error) {
	said := shop.Fields{}
	read := func(field string) shop.Reading {
		return measured(said, &f, field, "unit", "The unit of all three", shop.Length)
	}
	return shop.GaugeChecked{Gauge: f.Value("gauge"), Block: read("block"), Read: read("read"), Limit: read("limit")}, said.Err()
}

// actCheck is the check of a gauge as a paper form has it.
var actCheck = act{
	name: views.ActCheck, operation: shop.OpInspect,
	event: func(f views.Form, _ string) (shop.Event, error) {
		wrong := shop.Fields{}
		e, err := gaugeChecked(f)
		if err := wrong.Take(err); err != nil {
			return e, err
		}
		return valid(wrong, e)
	},
	past: func(e shop.Event) string {
		c := e.(shop.GaugeChecked)
		return "Check of " + c.Gauge + " recorded: " + c.Judged()
	},
}
