package server

import (
	"net/http"
	"time"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// policies answers GET /policies.
func (s *Server) policies(w http.ResponseWriter, r *http.Request) error {
	p, err := s.policiesPage(r)
	if err != nil {
		return err
	}
	if s.may(r, shop.PolicySet{}, "") {
		f := blank("policy", "/policies")
		f.Values.Set("gate", r.FormValue("gate"))
		f.Values.Set("operation", r.FormValue("operation"))
		p.Set = &f
	}
	return show(w, r, http.StatusOK, views.PoliciesPage(p))
}

func (s *Server) policiesPage(r *http.Request) (views.Policies, error) {
	p := views.Policies{Frame: s.frame(r, "/book"), At: s.now()}
	var err error
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return p, err
	}
	p.Policies, err = s.store.Policies(r.Context())
	return p, err
}

// setPolicy answers POST /policies.
func (s *Server) setPolicy(w http.ResponseWriter, r *http.Request) error {
	if err := visitorOf(r).Person.MayRecord(shop.PolicySet{}); err != nil {
		return err
	}
	p, err := s.policiesPage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "policy", "/policies")
	if err != nil {
		return err
	}
	e, wrong := policyOf(f, p.Zone)
	ok, err := s.keep(r, &f, e, "", wrong)
	if err != nil {
		return err
	}
	if !ok {
		p.Set = &f
		return show(w, r, statusOf(f), views.PoliciesPage(p))
	}
	return seeOther(w, r, "/policies", "The gate “"+e.Gate+"” is set to "+string(e.Mode)+" at "+e.Op+" from "+views.Stamp(e.From, p.Zone)+".")
}

// policyOf reads a policy; the time is the shop's own.
func policyOf(f views.Form, zone *time.Location) (shop.PolicySet, error) {
	said := shop.Fields{}
	e := shop.PolicySet{Gate: f.Value("gate"), Op: f.Value("operation"), Mode: shop.Mode(f.Value("mode")), Note: f.Value("note")}
	said.Need("gate", e.Gate, "The gate")
	said.Need("operation", e.Op, "The operation")
	said.Need("mode", string(e.Mode), "The mode")
	if text := f.Value("from"); text != "" {
		from, err := time.ParseInLocation("2006-01-02T15:04", text, zone)
		if err != nil {
			said.Say("from", "%q is not a time: write it as 2025-11-21T09:00.", text)
		}
		e.From = from.UTC()
	}
	return e, said.Err()
}
