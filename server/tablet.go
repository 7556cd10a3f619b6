package server

import (
	"errors"
	"net/http"
	"net/url"
	"strings"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) tabletRoutes(r chi.Router) {
	r.Get("/stations", s.page(s.stations))
	r.Post("/stations", s.page(s.registerTablet))
	offer(s, r, s.newStation())
}

// stations answers GET /stations.
func (s *Server) stations(w http.ResponseWriter, r *http.Request) error {
	return s.showStations(w, r, http.StatusOK, newTablet(), "")
}

// newTablet is the form that registers a tablet. Its token goes with it, so
// that a resend makes no second one.
func newTablet() views.Form {
	f := blank("", "/stations")
	f.Values.Set("token", store.NewToken())
	return f
}

func (s *Server) showStations(w http.ResponseWriter, r *http.Request, status int, f views.Form, opens string) error {
	all, err := s.store.Stations(r.Context())
	if err != nil {
		return err
	}
	p := views.Stations{Frame: s.frame(r, "/book"), Form: f, Stations: all, Opens: opens, New: s.may(r, shop.StationAdded{}, ""), Registers: s.may(r, shop.DeviceRegistered{}, "")}
	devices, err := s.store.Devices(r.Context())
	if err != nil {
		return err
	}
	p.Tablets = map[string][]string{}
	for _, d := range devices {
		p.Tablets[d.Station] = append(p.Tablets[d.Station], d.Device)
	}
	return show(w, r, status, views.StationsPage(p))
}

// newStation is the form that puts a station on the floor plan.
func (s *Server) newStation() making[shop.StationAdded] {
	return making[shop.StationAdded]{
		path: "/new/station",
		read: func(_ *http.Request, f *views.Form) (shop.StationAdded, error) {
			return shop.StationAdded{Station: strings.TrimSpace(f.Value("station")), Name: strings.TrimSpace(f.Value("name")), Operation: f.Value("operation"),
				Equipment: f.Value("equipment"), Code: newCode(f)}, nil
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			p := views.NewStation{New: views.New{Frame: s.frame(r, "/book"), Form: f}}
			machines, err := s.store.Machines(r.Context())
			if err != nil {
				return nil, err
			}
			furnaces, err := s.store.Furnaces(r.Context())
			if err != nil {
				return nil, err
			}
			for _, m := range machines {
				p.Equipment = append(p.Equipment, m.Machine)
			}
			for _, f := range furnaces {
				p.Equipment = append(p.Equipment, f.Furnace)
			}
			return views.NewStationPage(p), nil
		},
		made: func(e shop.StationAdded) (to, notice string) {
			return "/stations", "Station " + e.Station + " was added. Register its tablet below."
		},
	}
}

// registerTablet answers POST /stations with the address
// that makes a tablet the station's own. It is shown once: only the hash of
// its token is kept.
func (s *Server) registerTablet(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "/stations")
	if err != nil {
		return err
	}
	token := f.Value("token")
	if !store.IsToken(token) {
		return shop.Wrong("", "This form was changed on its way. Open the page again.")
	}
	ok, err := s.record(r, &f, shop.DeviceRegistered{Device: strings.TrimSpace(f.Value("device")), Station: f.Value("station"), Private: store.TokenHash(token)})
	if err != nil {
		return err
	}
	if !ok {
		return s.showStations(w, r, statusOf(f), f, "")
	}
	scheme := "http"
	if s.secure {
		scheme = "https"
	}
	return s.showStations(w, r, http.StatusOK, newTablet(), scheme+"://"+r.Host+TabletPath(token))
}

// TabletPath is the address that turns a browser into a tablet.
func TabletPath(token string) string { return "/tablet?" + url.Values{"token": {token}}.Encode() }

// tabletOf is the tablet that an address registers.
func (s *Server) tabletOf(r *http.Request) (d store.Device, st shop.Station, err error) {
	d, err = s.store.Device(r.Context(), r.FormValue("token"))
	if errors.Is(err, shop.ErrNotFound) {
		return d, st, &shop.Refusal{Kind: shop.ErrNotFound, Why: "This address registers no tablet: it works once. The quality manager makes a new one on the page of the stations."}
	}
	if err != nil {
		return d, st, err
	}
	st, err = s.store.Station(r.Context(), d.Station)
	return d, st, err
}

// tabletForm answers GET /tablet?token=…: it asks before this browser becomes
// a station's tablet.
func (s *Server) tabletForm(w http.ResponseWriter, r *http.Request) error {
	d, st, err := s.tabletOf(r)
	if err != nil {
		return err
	}
	f := views.Form{Action: "/tablet", Values: url.Values{"token": {r.FormValue("token")}}}
	return show(w, r, http.StatusOK, views.TabletPage(views.Tablet{Frame: s.frame(r, ""), Form: f, Device: d.Device, Station: st}))
}

// tablet answers POST /tablet. The tablet gets a token of its own, so that the
// address opens nothing more; a demo's address may be opened again.
func (s *Server) tablet(w http.ResponseWriter, r *http.Request) error {
	if _, _, err := s.tabletOf(r); err != nil {
		return err
	}
	token := r.PostFormValue("token")
	if !s.demo {
		old := token
		token = store.NewToken()
		if err := s.store.RenewDevice(r.Context(), old, token); err != nil {
			return err
		}
	}
	if session := s.token(r, sessionCookie); session != "" {
		if err := s.store.EndSession(r.Context(), session); err != nil {
			return err
		}
	}
	http.SetCookie(w, s.cookie(sessionCookie, "", 0))
	http.SetCookie(w, s.cookie(deviceCookie, token, deviceLasts))
	return seeOther(w, r, "/sign-in", "")
}
