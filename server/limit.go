package server

import (
	"net/http"
	"strings"
	"time"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// limits answers GET /limits.
func (s *Server) limits(w http.ResponseWriter, r *http.Request) error {
	p, err := s.limitsPage(r)
	if err != nil {
		return err
	}
	if s.may(r, shop.LimitSet{}, "") {
		f := blank("limit", "/limits")
		p.Set = &f
	}
	return show(w, r, http.StatusOK, views.LimitsPage(p))
}

func (s *Server) limitsPage(r *http.Request) (views.Limits, error) {
	p := views.Limits{Frame: s.frame(r, "/book"), At: s.now()}
	var err error
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return p, err
	}
	p.All, err = s.store.Limits(r.Context())
	return p, err
}

// setLimit answers POST /limits.
func (s *Server) setLimit(w http.ResponseWriter, r *http.Request) error {
	if err := visitorOf(r).Person.MayRecord(shop.LimitSet{}); err != nil {
		return err
	}
	p, err := s.limitsPage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "limit", "/limits")
	if err != nil {
		return err
	}
	e, wrong := shopLimitOf(&f, p.Zone)
	ok, err := s.keep(r, &f, e, "", wrong)
	if err != nil {
		return err
	}
	if !ok {
		p.Set = &f
		return show(w, r, statusOf(f), views.LimitsPage(p))
	}
	return seeOther(w, r, "/limits", "The limit of the "+e.Limit+" is "+e.Value.String()+" from "+views.Stamp(e.From, p.Zone)+" on.")
}

// shopLimitOf reads a limit; the time is the shop's own.
func shopLimitOf(f *views.Form, zone *time.Location) (shop.LimitSet, error) {
	said := shop.Fields{}
	e := shop.LimitSet{Limit: f.Value("limit"), Basis: strings.TrimSpace(f.Value("basis"))}
	said.Need("limit", e.Limit, "The limit")
	if of := shop.MeasureOf(e.Limit); of != "" {
		e.Value = measured(said, f, "value", "unit", "The unit of the value", of)
	}
	if text := f.Value("from"); text != "" {
		from, err := time.ParseInLocation("2006-01-02T15:04", text, zone)
		if err != nil {
			said.Say("from", "%q is not a time: write it as 2025-11-21T09:00.", text)
		}
		e.From = from.UTC()
	}
	return e, said.Err()
}
