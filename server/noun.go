package server

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// nounRoutes are the lists of the shop's things and the forms that make new
// ones.
func (s *Server) nounRoutes(r chi.Router) {
	r.Get("/book", s.page(s.book))
	r.Get("/orders", s.page(s.orders))
	r.Get("/orders/{order}", s.page(s.order))
	r.Post("/orders/{order}", s.page(s.changeOrder))
	r.Get("/designs", s.page(s.designs))
	r.Get("/designs/{design}", s.page(s.design))
	r.Get("/releases", s.page(s.releases))
	r.Get("/releases/{release}", s.page(s.release))
	r.Post("/releases/{release}/sign", s.page(s.signRelease))
	r.Post("/releases/{release}/withdraw", s.page(s.withdrawRelease))
	r.Get("/moulds", s.page(s.moulds))
	r.Get("/moulds/{mould}", s.page(s.mould))
	r.Post("/moulds/{mould}", s.page(s.shipMould))
	r.Get("/gauges", s.page(s.gauges))
	r.Get("/gauges/{gauge}", s.page(s.gauge))
	r.Get("/routes", s.page(s.routesOfBook))
	r.Get("/policies", s.page(s.policies))
	r.Post("/policies", s.page(s.setPolicy))
	r.Get("/limits", s.page(s.limits))
	r.Post("/limits", s.page(s.setLimit))

	offer(s, r, s.newOrder())
	offer(s, r, s.newInsert())
	offer(s, r, s.newDesign())
	offer(s, r, s.newRelease())
	offer(s, r, s.newLot())
	offer(s, r, s.newContainer())
	offer(s, r, s.newMould())
	offer(s, r, s.newMouldReturn())
	offer(s, r, s.newReturn())
	offer(s, r, s.newGauge())
	offer(s, r, s.newCheck())
	offer(s, r, s.newCalibration())
	offer(s, r, s.newRoute())
}

// A making is the form by which one kind of thing comes into the book.
type making[E shop.Event] struct {
	path    string
	meaning string                                          // of the signature that it asks for; "" where it asks for none
	start   func(r *http.Request, f *views.Form) error      // what a new form proposes; nil for nothing
	more    func(r *http.Request, f *views.Form) error      // what the button more does to the form; nil where there is none
	read    func(r *http.Request, f *views.Form) (E, error) // the event that the form says
	page    func(r *http.Request, f views.Form) (templ.Component, error)
	made    func(e E) (to, notice string)
}

// offer serves a form to those whose work it is.
func offer[E shop.Event](s *Server, r chi.Router, m making[E]) {
	r.Get(m.path, s.page(func(w http.ResponseWriter, r *http.Request) error {
		var e E
		if err := visitorOf(r).Person.MayRecord(e); err != nil {
			return err
		}
		f := blank("", m.path)
		f.Values.Set("code", string(shop.NewScanCode())) // goes with the form, so that a resend makes no second thing
		if m.start != nil {
			if err := m.start(r, &f); err != nil {
				return err
			}
		}
		return m.show(w, r, http.StatusOK, f)
	}))
	r.Post(m.path, s.page(func(w http.ResponseWriter, r *http.Request) error {
		var e E
		if err := visitorOf(r).Person.MayRecord(e); err != nil {
			return err
		}
		f, err := typed(r, "", m.path)
		if err != nil {
			return err
		}
		if m.more != nil && f.Values.Has("more") {
			if err := m.more(r, &f); err != nil {
				return err
			}
			status := http.StatusOK
			if f.Returned() {
				status = statusOf(f)
			}
			return m.show(w, r, status, f)
		}
		e, err = m.read(r, &f)
		ok, err := s.keep(r, &f, e, m.meaning, err)
		if err != nil {
			return err
		}
		if !ok {
			return m.show(w, r, statusOf(f), f)
		}
		to, notice := m.made(e)
		return seeOther(w, r, to, notice)
	}))
}

func (m making[E]) show(w http.ResponseWriter, r *http.Request, status int, f views.Form) error {
	page, err := m.page(r, f)
	if err != nil {
		return err
	}
	return show(w, r, status, page)
}

// keep records what a form says once all of it was understood. wrong is what
// reading the form found; what the event finds wrong by itself is said with
// it. meaning is that of the signature, "" where none is asked for.
func (s *Server) keep(r *http.Request, f *views.Form, e shop.Event, meaning string, wrong error) (ok bool, err error) {
	if done, err := s.saidRead(r, f); done || err != nil {
		return false, err
	}
	if wrong == nil && meaning != "" {
		return s.recordSigned(r, f, e, meaning)
	}
	if wrong == nil {
		return s.record(r, f, e)
	}
	f.Values.Del("pin")
	said := shop.Fields{}
	if err := said.Take(wrong); err != nil {
		return false, returned(f, err)
	}
	if err := said.Take(shop.Check(e)); err != nil {
		return false, err
	}
	return false, returned(f, said.Err())
}

// countOf reads a whole number of a form.
func countOf(said shop.Fields, f *views.Form, field, what string) int {
	text := strings.TrimSpace(f.Value(field))
	n, err := strconv.Atoi(text)
	switch {
	case text == "":
		said.Say(field, "%s is missing.", what)
	case err != nil:
		said.Say(field, "%s is %q: it must be a whole number.", what, text)
	}
	return n
}

// measured reads a figure whose unit is chosen beside it. A figure without its
// unit is read in the base unit, so that only the unit is named as missing:
// nothing is recorded while it is.
func measured(said shop.Fields, f *views.Form, field, unitField, unit string, q shop.Quantity) shop.Reading {
	in := f.Value(unitField)
	if in == "" {
		said.Say(unitField, "%s is not stated: choose it.", unit)
		in = shop.UnitsOf(q)[0]
	}
	return said.Read(field, f.Value(field), in, q)
}

// taken is measured where nothing need be measured: the unit of nothing is not
// asked for.
func taken(said shop.Fields, f *views.Form, field, unitField, unit string, q shop.Quantity) shop.Reading {
	if strings.TrimSpace(f.Value(field)) == "" {
		return shop.Reading{}
	}
	return measured(said, f, field, unitField, unit, q)
}

// linesAtMost bounds the lines of a table in a form.
const linesAtMost = 200

// moreLines gives the table of a form four lines more.
func moreLines(_ *http.Request, f *views.Form) error {
	n, _ := strconv.Atoi(f.Value("lines")) // typed by nobody: what is no number is none
	f.Values.Set("lines", strconv.Itoa(min(max(n, 0)+4, linesAtMost)))
	return nil
}

// closeUp moves the lines of a form's table together, so that line n of the
// form is the n-th of the event and a sentence about it lands there. It
// returns how many lines have something in them. The fields of line 3 are
// table.3 and, for the other columns, table.3.column.
func closeUp(f *views.Form, table string, columns ...string) int {
	filled := 0
	for n := 1; n <= linesAtMost; n++ {
		var line []string
		for _, c := range append([]string{""}, columns...) {
			line = append(line, f.Value(views.Cell(table, n, c)))
			f.Values.Del(views.Cell(table, n, c))
		}
		if !slices.ContainsFunc(line, func(text string) bool { return strings.TrimSpace(text) != "" }) {
			continue
		}
		filled++
		for i, c := range append([]string{""}, columns...) {
			f.Values.Set(views.Cell(table, filled, c), line[i])
		}
	}
	return filled
}

// newCode is the scan code that a form brought along for a new thing.
func newCode(f *views.Form) shop.ScanCode { return shop.ScanCode(f.Value("code")) }

// follows stands in an event for what follows from a field that is missing, so
// that only the field is named. While one is missing nothing is recorded.
const follows = "follows"
