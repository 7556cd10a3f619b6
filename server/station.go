package server

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) stationRoutes(r chi.Router) {
	r.Get("/station", s.page(s.station))
	r.Post("/here", s.page(s.stillHere))
	r.Get("/cards", s.page(s.cards))
	r.Post("/station/scan", s.page(s.scan))
	r.Get("/station/{insert}", s.page(s.bench))
	r.Get("/station/{insert}/sure", s.page(s.sure))
	r.Post("/station/{insert}/scan", s.page(s.scan))
	r.Get("/station/{insert}/job", s.page(s.jobForm))
	r.Post("/station/{insert}/job", s.page(s.takeJob))
	s.actRoutes(r, false)
	r.Get("/inserts/{insert}/scrap", s.page(s.scrapForm))
	r.Post("/inserts/{insert}/scrap", s.page(s.scrap))
}

// actRoutes are where acts are posted to: those with photos, or those without.
func (s *Server) actRoutes(r chi.Router, photos bool) {
	for _, a := range acts {
		if a.photos == photos {
			r.Post("/station/{insert}/"+a.name, s.page(s.perform(a)))
		}
	}
}

// station answers GET /station.
func (s *Server) station(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return shop.Wrong("", "The address could not be read: %v.", err)
	}
	p, err := s.stationPage(r, views.Scan{})
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.StationPage(p))
}

// sure answers GET /station/{insert}/sure: a number that was typed, or touched
// in a list, is no scan of the part; it asks whether that is the one.
func (s *Server) sure(w http.ResponseWriter, r *http.Request) error {
	t, err := s.travelerPage(r)
	if err != nil {
		return err
	}
	p, err := s.stationPage(r, views.Scan{})
	if err != nil {
		return err
	}
	p.Asked = &t
	return show(w, r, http.StatusOK, views.StationPage(p))
}

// listed is how many inserts a station lists.
const listed = 50

// stationPage is what is under way and what waits at this station.
func (s *Server) stationPage(r *http.Request, scan views.Scan) (views.Station, error) {
	at := visitorOf(r).Station
	p := views.Station{Frame: s.frame(r, "/station"), Scan: scan, Operation: at.Operation}
	p.Scan.Action, p.Scan.Hint, p.Scan.Keep = "/station/scan", views.ScanHint(""), carried(r.Form)
	p.Live = liveList(p.Frame, "station")
	if p.Again == "" { // a scan was not understood
		p.Again = "/station"
	}
	var err error
	if p.Known, err = s.knownOf(r, r.Form); err != nil {
		return p, err
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return p, err
	}
	rows, err := s.store.Board(r.Context(), store.Board{Next: at.Operation, Limit: listed})
	if err != nil {
		return p, err
	}
	for i, line := range floorLines(rows, s.now(), zone) {
		here, err := s.isHere(r, rows[i], at)
		if err != nil {
			return p, err
		}
		if here {
			p.Begun = append(p.Begun, line)
		} else if !line.Begun {
			p.Waiting = append(p.Waiting, line)
		}
	}
	return p, nil
}

// isHere reports whether an insert's operation is under way at this station: a
// print on its machine, any other operation where that is done.
func (s *Server) isHere(r *http.Request, row store.BoardRow, at shop.Station) (bool, error) {
	if !row.Begun || at.Operation == "" {
		return false, nil
	}
	if row.Next != shop.OpPrint || at.Equipment == "" {
		return true, nil
	}
	print, err := s.store.Print(r.Context(), row.Insert)
	return print.Machine == at.Equipment, err
}
