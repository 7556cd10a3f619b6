package server

import (
	"net/http"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newSensor is the form that fits a control sensor.
func (s *Server) newSensor() making[shop.SensorFitted] {
	return making[shop.SensorFitted]{
		path:  "/new/sensor",
		start: startsWith("furnace"),
		read: func(_ *http.Request, f *views.Form) (shop.SensorFitted, error) {
			return shop.SensorFitted{Sensor: f.Value("sensor"), Furnace: f.Value("furnace"), Zone: f.Value("zone"), Type: f.Value("type"), Certificate: f.Value("certificate"), Code: newCode(f)}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			furnaces, err := s.store.Furnaces(r.Context())
			return views.NewSensorPage(views.New{Frame: s.frame(r, "/book"), Form: f}, furnaces), err
		},
		made: func(e shop.SensorFitted) (to, notice string) {
			return views.PageOf("furnace", e.Furnace), "Sensor " + e.Sensor + " is in " + e.Furnace + "."
		},
	}
}

// newSensorTest is the form for a system accuracy test.
func (s *Server) newSensorTest() making[shop.SensorTested] {
	return making[shop.SensorTested]{
		path:  "/new/sat",
		start: startsWith("sensor"),
		read: func(_ *http.Request, f *views.Form) (shop.SensorTested, error) {
			said := shop.Fields{}
			degrees := func(field string) shop.Reading {
				return measured(said, f, field, "unit", "The scale of the degrees", shop.Temperature)
			}
			e := shop.SensorTested{Sensor: f.Value("sensor"), SetPoint: degrees("set_point"), Read: degrees("read"), Reference: degrees("reference"), Limit: difference(said, f, "limit"), Due: shop.Date(f.Value("due"))}
			return e, said.Err()
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			furnaces, err := s.store.Furnaces(r.Context())
			var sensors []shop.Sensor
			for _, n := range furnaces {
				if err != nil {
					break
				}
				var of []shop.Sensor
				of, err = s.store.Sensors(r.Context(), n.Furnace)
				sensors = append(sensors, of...)
			}
			return views.NewSensorTestPage(views.New{Frame: s.frame(r, "/book"), Form: f}, sensors), err
		},
		made: func(e shop.SensorTested) (to, notice string) {
			return "/equipment", "The SAT of " + e.Sensor + " was recorded: " + e.Judged() + "."
		},
	}
}
