package server

import (
	"net/http"
	"strconv"
	"strings"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// holds answers GET /holds.
func (s *Server) holds(w http.ResponseWriter, r *http.Request) error {
	p, err := s.holdsPage(r)
	if err != nil {
		return err
	}
	if s.may(r, shop.HoldSet{}, "") {
		f := blank("hold", "/holds")
		number, err := s.store.NextNumber(r.Context(), "hold", "H-")
		if err != nil {
			return err
		}
		f.Values.Set("hold", number)
		f.Values.Set("on_kind", r.FormValue("on_kind"))
		f.Values.Set("on_code", r.FormValue("on_code"))
		p.Set = &f
	}
	return show(w, r, http.StatusOK, views.HoldsPage(p))
}

func (s *Server) holdsPage(r *http.Request) (views.Holds, error) {
	p := views.Holds{Frame: s.frame(r, "/holds"), At: s.now()}
	p.Live = liveList(p.Frame, "holds")
	var err error
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return p, err
	}
	if p.Standing, err = s.store.HoldsStanding(r.Context()); err != nil {
		return p, err
	}
	if p.Open, err = s.store.NonconformancesOpen(r.Context()); err != nil {
		return p, err
	}
	p.Raises = s.may(r, shop.NonconformanceRaised{}, "")
	from, err := after(r)
	if err != nil {
		return p, err
	}
	if p.Lifted, err = s.store.HoldsLifted(r.Context(), from, rowsAPage); err == nil && len(p.Lifted) == rowsAPage {
		p.Older = "/holds?after=" + strconv.FormatInt(p.Lifted[rowsAPage-1].ID, 10)
	}
	return p, err
}

// setHold answers POST /holds.
func (s *Server) setHold(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "hold", "/holds")
	if err != nil {
		return err
	}
	e := shop.HoldSet{Hold: f.Value("hold"), OnKind: f.Value("on_kind"), OnCode: strings.TrimSpace(f.Value("on_code")), Why: f.Reason("why")}
	e.OnCode = s.numberOf(r, e.OnKind, e.OnCode)
	ok, err := s.record(r, &f, e)
	if err != nil {
		return err
	}
	if ok {
		return seeOther(w, r, views.PageOf("hold", e.Hold), "Hold "+e.Hold+" was set on "+e.OnKind+" "+e.OnCode+".")
	}
	p, err := s.holdsPage(r)
	if err != nil {
		return err
	}
	p.Set = &f
	return show(w, r, statusOf(f), views.HoldsPage(p))
}

// numberOf is the shop number of what was scanned or typed, where it names a
// thing of that kind; else the text as it is, for the book to refuse.
func (s *Server) numberOf(r *http.Request, kind, text string) string {
	if t, err := s.store.Find(r.Context(), text); err == nil && t.Kind == kind {
		return t.Number
	}
	return text
}

// hold answers GET /holds/{hold}.
func (s *Server) hold(w http.ResponseWriter, r *http.Request) error {
	p, err := s.holdPage(r)
	if err != nil {
		return err
	}
	if p.Stands() && s.may(r, shop.HoldLifted{}, "") {
		f := blank("", views.PageOf("hold", p.Hold.Hold))
		p.Lift = &f
	}
	return show(w, r, http.StatusOK, views.HoldPage(p))
}

func (s *Server) holdPage(r *http.Request) (views.Hold, error) {
	p := views.Hold{Frame: s.frame(r, "/holds"), At: s.now()}
	var err error
	if p.Hold, err = s.store.Hold(r.Context(), pathWord(r, "hold")); err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(r.Context()); err != nil || !p.Stands() {
		return p, err
	}
	rows, err := s.store.Board(r.Context(), store.Board{HeldBy: p.Hold.Hold, Limit: rowsAPage})
	p.Stops = floorLines(rows, s.now(), p.Zone)
	return p, err
}

// liftHold answers POST /holds/{hold}.
func (s *Server) liftHold(w http.ResponseWriter, r *http.Request) error {
	p, err := s.holdPage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "", views.PageOf("hold", p.Hold.Hold))
	if err != nil {
		return err
	}
	e := shop.HoldLifted{Hold: p.Hold.Hold, OnKind: p.Hold.OnKind, OnCode: p.Hold.OnCode, Why: f.Value("why")}
	ok, err := s.recordSigned(r, &f, e, views.MeaningOfHoldLift)
	if err != nil {
		return err
	}
	if !ok {
		p.Lift = &f
		return show(w, r, statusOf(f), views.HoldPage(p))
	}
	return seeOther(w, r, views.PageOf(p.Hold.OnKind, p.Hold.OnCode), "Hold "+p.Hold.Hold+" was lifted.")
}
