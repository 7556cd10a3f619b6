package server

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// newInsert is the form that opens a traveler for an insert of an order.
func (s *Server) newInsert() making[shop.TravelerOpened] {
	return making[shop.TravelerOpened]{
		path:  "/new/insert",
		start: s.proposeInsert,
		read:  s.insertOf,
		page:  s.newInsertPage,
		made: func(e shop.TravelerOpened) (to, notice string) {
			return views.PageOf("insert", e.Insert), "The traveler of " + e.Insert + " is open."
		},
	}
}

// proposeInsert takes the order from the address and proposes the next free
// serial number.
func (s *Server) proposeInsert(r *http.Request, f *views.Form) error {
	if order := r.FormValue("order"); order != "" {
		if _, err := s.store.Order(r.Context(), order); err != nil {
			return err
		}
		f.Values.Set("order", order)
	}
	serial, err := s.store.NextSerial(r.Context())
	f.Values.Set("insert", serial)
	f.Values.Set("replaces", r.FormValue("replaces"))
	return err
}

// insertOf reads a traveler. The design follows from the order, and its
// revision is the one in force, if that is what the page showed.
func (s *Server) insertOf(r *http.Request, f *views.Form) (shop.TravelerOpened, error) {
	said := shop.Fields{}
	e := shop.TravelerOpened{
		Insert: f.Value("insert"), Order: f.Value("order"), Design: follows, Revision: follows, Version: 1,
		Replaces: f.Value("replaces"), Scratch: f.Value("scratch"), Code: newCode(f),
	}
	said.Need("order", e.Order, "The order")
	said.Need("template", f.Value("template"), "The route")
	if e.Order != "" {
		o, err := s.store.Order(r.Context(), e.Order)
		if err != nil {
			return e, err
		}
		d, err := s.store.Design(r.Context(), o.Design, "")
		if err != nil {
			return e, err
		}
		e.Design, e.Revision = d.Design, d.Revision
		inForce(said, f, d)
	}
	if template, version, ok := routeNamed(f.Value("template")); ok {
		e.Template, e.Version = template, version
	}
	return e, said.Err()
}

// inForce refuses a form that was made when another revision was in force.
func inForce(said shop.Fields, f *views.Form, d shop.Design) {
	if shown := f.Value("revision"); shown != "" && shown != d.Revision {
		said.Say("", "Revision %s of %s is in force now; this page was made for revision %s. Look at it again.", d.Revision, d.Design, shown)
	}
	f.Values.Set("revision", d.Revision)
}

// routeNamed takes a route's name and version apart.
func routeNamed(text string) (template string, version int, ok bool) {
	template, digits, ok := cutLast(text, views.VersionMark)
	version, err := strconv.Atoi(digits)
	return template, version, ok && err == nil
}

func cutLast(text, mark string) (before, after string, ok bool) {
	i := strings.LastIndex(text, mark)
	if i < 0 {
		return text, "", false
	}
	return text[:i], text[i+len(mark):], true
}

func (s *Server) newInsertPage(r *http.Request, f views.Form) (templ.Component, error) {
	ctx := r.Context()
	p := views.NewInsert{New: views.New{Frame: s.frame(r, "/orders"), Form: f}}
	var err error
	if p.Routes, err = s.store.Routes(ctx); err != nil {
		return nil, err
	}
	if p.Order, err = s.store.Order(ctx, f.Value("order")); err == nil {
		if p.Design, err = s.store.Design(ctx, p.Order.Design, ""); err != nil {
			return nil, err
		}
		if p.Inserts, err = s.store.Inserts(ctx, "order", p.Order.Order); err != nil {
			return nil, err
		}
		f.Values.Set("revision", p.Design.Revision)
		return views.NewInsertPage(p), nil
	}
	if !errors.Is(err, shop.ErrNotFound) {
		return nil, err
	}
	open, err := s.store.OpenOrders(ctx)
	if err != nil {
		return nil, err
	}
	parts, err := s.partNames(r)
	p.Orders = orderLines(open, parts)
	return views.NewInsertPage(p), err
}
