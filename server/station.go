package server

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/go-chi/chi/v5"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) stationRoutes(r chi.Router) {
	r.Get("/station", s.page(s.station))
	r.Post("/station/scan", s.page(s.scan))
	r.Get("/station/{insert}", s.page(s.bench))
	r.Get("/station/{insert}/sure", s.page(s.sure))
	r.Post("/station/{insert}/scan", s.page(s.scan))
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
	p.Scan.Action, p.Scan.Hint = "/station/scan", views.ScanHint("")
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

// scan answers POST /station/scan and, with an insert on the bench, POST
// /station/{insert}/scan: whatever was scanned or typed.
func (s *Server) scan(w http.ResponseWriter, r *http.Request) error {
	text := strings.TrimSpace(r.PostFormValue("scan"))
	if text == "" {
		return s.misread(w, r, text, "Nothing was scanned: hold the scanner to the label, or type the number under it.")
	}
	t, err := s.store.Find(r.Context(), text)
	if why, no := isNo(err); no {
		return s.misread(w, r, text, why+" Nothing was recorded.")
	}
	if err != nil {
		return err
	}
	switch t.Kind {
	case "person":
		return s.switchTo(w, r, t.Number)
	case "insert":
		if t.Scanned {
			return seeOther(w, r, views.StationOf(t.Number), "")
		}
		return seeOther(w, r, views.StationOf(t.Number)+"/sure", "")
	case "container", "gauge", "mould", "machine":
		return s.fillIn(w, r, t)
	case "furnace":
		return seeOther(w, r, "/loads", "")
	case "station":
		return s.misread(w, r, text, t.Number+" is a station. Scan a badge, a traveler or what lies on the bench.")
	}
	return seeOther(w, r, views.PageOf(t.Kind, t.Number), "")
}

// misread shows the page again with a sentence about a scan that was not
// understood, and what was scanned still in the box.
func (s *Server) misread(w http.ResponseWriter, r *http.Request, text, why string) error {
	if pathWord(r, "insert") != "" {
		p, err := s.workOn(r, act{})
		if err != nil {
			return err
		}
		p.Scan.Value, p.Scan.Wrong = text, why
		return show(w, r, http.StatusUnprocessableEntity, views.WorkPage(p))
	}
	p, err := s.stationPage(r, views.Scan{Value: text, Wrong: why})
	if err != nil {
		return err
	}
	return show(w, r, http.StatusUnprocessableEntity, views.StationPage(p))
}

// wants is the act that a scan of a kind of thing fills in.
var wants = map[string]string{"container": views.ActPaste, "gauge": views.ActResult, "mould": views.ActFit, "machine": views.ActPrintStart}

// fillIn opens the form that a scanned thing belongs in: of the insert on the
// bench, else of the one print that is under way here; else the thing's page.
func (s *Server) fillIn(w http.ResponseWriter, r *http.Request, t store.Thing) error {
	insert := pathWord(r, "insert")
	if insert == "" && t.Kind == "container" {
		p, err := s.stationPage(r, views.Scan{})
		if err != nil {
			return err
		}
		if len(p.Begun) == 1 && p.Operation == shop.OpPrint {
			insert = p.Begun[0].Insert
		}
	}
	if insert == "" {
		return seeOther(w, r, views.PageOf(t.Kind, t.Number), "")
	}
	q := url.Values{"act": {wants[t.Kind]}, t.Kind: {t.Number}}
	if c := r.FormValue("characteristic"); c != "" && t.Kind == "gauge" {
		q.Set("characteristic", c)
	}
	return seeOther(w, r, views.StationOf(insert)+"?"+q.Encode(), "")
}
