package server

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) traceRoutes(r chi.Router) {
	r.Get("/trace", s.page(s.trace))
	r.Post("/trace", s.page(s.contain))
	r.Get("/trace.csv", s.page(s.traceCSV))
	r.Get("/trace.json", s.page(s.traceJSON))
	s.containmentRoutes(r)
	r.Get("/inserts/{insert}/certificate", s.page(s.conformity))
	r.Get("/compare", s.page(s.compare))
	r.Get("/drills", s.page(s.drills))
	r.Post("/drills", s.page(s.drill))
}

// trace answers GET /trace: what was asked for, and what it touched.
func (s *Server) trace(w http.ResponseWriter, r *http.Request) error {
	p, err := s.tracePage(r)
	if err != nil {
		return err
	}
	if p.Wrong != nil {
		return show(w, r, http.StatusUnprocessableEntity, views.TracePage(p))
	}
	if err := s.offerContainment(r, &p); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.TracePage(p))
}

// tracePage reads the question from the address, and its answer from the book.
// What cannot be answered comes back in Wrong, with what was typed.
func (s *Server) tracePage(r *http.Request) (views.Trace, error) {
	asked := r.URL.Query()
	p := views.Trace{Frame: s.frame(r, "/trace"), Asked: asked}
	var err error
	if p.Zone, err = s.zone(r.Context()); err != nil || strings.TrimSpace(asked.Get("q")) == "" {
		return p, err
	}
	thing, window, err := s.question(r, p.Zone, &p)
	if err == nil {
		p.Found, err = s.store.Trace(r.Context(), thing, window)
	}
	if err == nil && asked.Get("shared") != "" {
		p.Shared, err = s.store.Sharing(r.Context(), thing, window)
	}
	if err == nil && thing.Kind == "lot" {
		p.Paste, err = s.pasteOf(r, thing.Number)
	}
	if wrong, ok := errors.AsType[*shop.Invalid](err); ok {
		p.Wrong = wrong.Fields
		for said, field := range map[string]string{"layers": "first_layer", "since": "window", "kind": "q"} { // the store's words for what the form asks
			if why, ok := p.Wrong[said]; ok {
				p.Wrong[field] = why
			}
		}
		return p, nil
	}
	if no, ok := errors.AsType[*shop.Refusal](err); ok && errors.Is(no.Kind, shop.ErrNotFound) {
		p.Wrong = map[string]string{"q": no.Why}
		return p, nil
	}
	if err != nil {
		return p, err
	}
	about, err := s.store.Count(r.Context(), shop.Subject(thing.Kind, thing.Number))
	if err != nil {
		return p, err
	}
	p.Answered, p.Known = true, about > 0
	p.Sort()
	from, err := after(r)
	p.After = int(from)
	return p, err
}

// pasteOf says what became of the paste of a lot: what came in is all of the
// other lines together.
func (s *Server) pasteOf(r *http.Request, lot string) ([]views.Fact, error) {
	all, err := s.store.Balances(r.Context(), lot)
	sum := store.AccountOf(all)
	var facts []views.Fact
	for _, f := range []struct {
		name  string
		grams float64
	}{{"Received", sum.In}, {"Drawn for inserts and coupons", sum.Used}, {"Purged", sum.Purged}, {"Wasted", sum.Wasted}, {"Sent back", sum.Returned}, {"Left", sum.Left}, {"Unexplained", sum.Unexplained()}} {
		facts = append(facts, views.Fact{Name: f.name, Value: views.Grams(f.grams), Unit: "g", Figure: true})
	}
	return facts, err
}

// question reads what is traced, and in which window.
func (s *Server) question(r *http.Request, zone *time.Location, p *views.Trace) (store.Thing, shop.Window, error) {
	asked := r.URL.Query()
	var w shop.Window
	thing := store.Thing{Kind: asked.Get("kind"), Number: strings.TrimSpace(asked.Get("q"))}
	if thing.Kind == "" {
		var err error
		if thing, err = s.store.Traced(r.Context(), thing.Number); err != nil {
			if errors.Is(err, shop.ErrInvalid) {
				err = shop.Wrong("q", "%s", err.Error())
			}
			return thing, w, err
		}
	}
	said := shop.Fields{}
	between := asked.Get("from") != "" || asked.Get("until") != ""
	switch window := asked.Get("window"); {
	case window == "good" && between:
		said.Say("window", "Days are given as well: choose either them, or since it last passed a test.")
	case window == "good":
		in, what, err := s.store.InDoubt(r.Context(), thing)
		no, refused := errors.AsType[*shop.Refusal](err)
		switch {
		case refused:
			said.Say("window", "%s", no.Why)
		case err != nil:
			return thing, w, err
		}
		w, p.Since = in, what
	case between: // whatever the choice says: days are not typed for nothing
		w.From = dayOf(said, "from", asked.Get("from"), zone, 0)
		w.Until = dayOf(said, "until", asked.Get("until"), zone, 1)
		if !w.Until.IsZero() && !w.Until.After(w.From) {
			said.Say("until", "It lies before the first day.")
		}
	case window == "between":
		said.Say("from", "Say from which day on, or until which.")
	}
	if first, last := asked.Get("first_layer"), asked.Get("last_layer"); first != "" || last != "" {
		w.FromLayer, w.ToLayer = layerOf(said, "first_layer", first), layerOf(said, "last_layer", last)
		if w.ToLayer < w.FromLayer {
			said.Say("last_layer", "It lies before the first layer.")
		}
	}
	return thing, w, said.Err()
}

// dayOf is the beginning of a day in the shop's zone, some days later.
func dayOf(said shop.Fields, field, text string, zone *time.Location, later int) time.Time {
	if text == "" {
		return time.Time{}
	}
	t, err := time.ParseInLocation(time.DateOnly, text, zone)
	if err != nil {
		said.Say(field, "%q is not a day: write it like 2025-10-20.", text)
		return time.Time{}
	}
	return t.AddDate(0, 0, later)
}

func layerOf(said shop.Fields, field, text string) int {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 1 {
		said.Say(field, "%q is not a layer: count from 1, and give the first and the last.", text)
	}
	return n
}

// offerContainment offers to hold what was found, to those whose work it is.
func (s *Server) offerContainment(r *http.Request, p *views.Trace) error {
	if len(p.Found.Inserts) == 0 || !s.may(r, shop.ContainmentBegun{}, "") {
		return nil
	}
	f := blank("contain", "/trace?"+p.Asked.Encode())
	number, err := s.store.NextNumber(r.Context(), "containment", "CA-")
	if err != nil {
		return err
	}
	f.Values.Set("containment", number)
	for _, i := range p.Shown() {
		f.Values.Add("inserts", i.Code)
	}
	p.Contain = &f
	return nil
}

// contain answers POST /trace: it holds what the trace found, in one act.
func (s *Server) contain(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "contain", "/trace?"+r.URL.Query().Encode())
	if err != nil {
		return err
	}
	p, err := s.tracePage(r)
	if err != nil {
		return err
	}
	e := shop.ContainmentBegun{Containment: f.Value("containment"), OfKind: p.Found.Kind, OfCode: p.Found.Number, Narrowed: p.Narrowed(), Why: strings.TrimSpace(f.Value("why")), Inserts: slices.Clone(f.Values["inserts"])}
	switch {
	case f.Value("which") != "all":
	case len(e.Inserts) < len(p.Shown()):
		err = shop.Wrong("which", "Some on this page are not ticked: choose those that are ticked, or tick them all.")
	default:
		e.Inserts = nil
		for _, i := range p.Found.Inserts {
			e.Inserts = append(e.Inserts, i.Code)
		}
	}
	slices.Sort(e.Inserts) // a resend is the same act, however the list is sorted by then
	if stray := slices.IndexFunc(e.Inserts, func(n string) bool {
		return !slices.ContainsFunc(p.Found.Inserts, func(a shop.Affected) bool { return a.Code == n })
	}); stray >= 0 {
		err = shop.Wrong("inserts", "%s is not among what the trace found: trace again.", e.Inserts[stray])
	}
	ok, err := s.keep(r, &f, e, "", err)
	if err != nil {
		return err
	}
	if !ok {
		p.Contain = &f
		return show(w, r, statusOf(f), views.TracePage(p))
	}
	return seeOther(w, r, views.PageOf("containment", e.Containment), "Containment "+e.Containment+" was begun.")
}

// traceCSV answers GET /trace.csv: the inserts that were found, for a
// spreadsheet.
func (s *Server) traceCSV(w http.ResponseWriter, r *http.Request) error {
	p, err := s.tracePage(r)
	if err != nil {
		return err
	}
	if !p.Answered {
		return notTraced(p)
	}
	table := traceTable(p)
	var b bytes.Buffer
	if err := table.write(&b); err != nil {
		return err
	}
	return download(w, "text/csv; charset=utf-8", "trace-"+p.Found.Number+".csv", b.Bytes())
}

// traceTable is the answer as a table: what shares with the inserts where that
// was asked for, what is behind an insert and what it went into, else the
// inserts that were touched.
func traceTable(p views.Trace) csvTable {
	var table csvTable
	switch {
	case p.Asked.Get("shared") != "":
		table = csvTable{{text("insert"), text("part"), text("status"), text("where"), text("held_by"), text("customer"), text("shares")}}
		for _, i := range p.Shared {
			var through []string
			for _, t := range i.Through {
				through = append(through, t.Kind+" "+t.Number)
			}
			table = append(table, []csvCell{text(i.Code), text(i.Part), text(i.Status), text(i.Place), text(strings.Join(i.HeldBy, " ")), text(i.Customer), text(strings.Join(through, "; "))})
		}
	case p.Found.Kind == "insert":
		table = csvTable{{text("side"), text("kind"), text("number"), text("first"), text("where")}}
		for side, things := range map[string][]shop.Touched{"upstream": p.Found.Upstream, "downstream": p.Found.Into} {
			for _, t := range things {
				table = append(table, []csvCell{text(side), text(t.Kind), text(t.Number), text(instant(t.At, p.Zone)), text(t.Where)})
			}
		}
		slices.SortStableFunc(table[1:], func(a, b []csvCell) int { return strings.Compare(b[0].value, a[0].value) })
	default:
		table = csvTable{{text("insert"), text("part"), text("status"), text("operation"), text("where"), text("since"), text("held_by"), text("mould"), text("customer"), text("first_touched"), text("last_touched"), text("share")}}
		for _, i := range p.Found.Inserts {
			table = append(table, []csvCell{text(i.Code), text(i.Part), text(i.Status), text(i.Operation), text(i.Place), text(i.Since), text(strings.Join(i.HeldBy, " ")), text(i.Mould), text(i.Customer),
				text(instant(i.First, p.Zone)), text(instant(i.Last, p.Zone)), number(strconv.FormatFloat(i.Share, 'f', -1, 64))})
		}
	}
	return table
}

func instant(t time.Time, zone *time.Location) string {
	if t.IsZero() {
		return ""
	}
	return t.In(zone).Format(time.RFC3339)
}

// traceJSON answers GET /trace.json.
func (s *Server) traceJSON(w http.ResponseWriter, r *http.Request) error {
	p, err := s.tracePage(r)
	if err != nil {
		return err
	}
	if !p.Answered {
		return notTraced(p)
	}
	b, err := json.Marshal(p.Found.Answer())
	if err != nil {
		return err
	}
	return download(w, "application/json", "trace-"+p.Found.Number+".json", append(b, '\n'))
}

// notTraced is the no to a file of nothing.
func notTraced(p views.Trace) error {
	for _, why := range p.Wrong {
		return shop.Wrong("q", "%s", why)
	}
	return shop.Wrong("q", "Say what is to be traced.")
}

// compare answers GET /compare: what is behind two inserts.
func (s *Server) compare(w http.ResponseWriter, r *http.Request) error {
	p := views.Compare{Frame: s.frame(r, "/trace"), A: strings.TrimSpace(r.FormValue("a")), B: strings.TrimSpace(r.FormValue("b")), Wrong: map[string]string{}}
	if p.A == "" && p.B == "" {
		return show(w, r, http.StatusOK, views.ComparePage(p))
	}
	for _, side := range []struct {
		field  string
		number *string
	}{{"a", &p.A}, {"b", &p.B}} {
		if *side.number == "" && side.field == "a" { // the last good one before b
			good, err := s.store.GoodBefore(r.Context(), s.numberOf(r, "insert", p.B))
			if no, ok := errors.AsType[*shop.Refusal](err); ok {
				p.Wrong["a"] = no.Why
				continue
			}
			if err != nil {
				return err
			}
			p.A, p.Good = good, true
		}
		t, err := s.store.Find(r.Context(), *side.number)
		switch {
		case errors.Is(err, shop.ErrNotFound) || errors.Is(err, shop.ErrInvalid):
			p.Wrong[side.field] = err.Error()
		case err != nil:
			return err
		case t.Kind != "insert":
			p.Wrong[side.field] = fmt.Sprintf("%s is %s %s, not an insert.", *side.number, shop.Article(t.Kind), t.Kind)
		default:
			*side.number = t.Number
		}
	}
	if len(p.Wrong) > 0 {
		return show(w, r, http.StatusUnprocessableEntity, views.ComparePage(p))
	}
	var err error
	if p.Differences, err = s.store.Compare(r.Context(), p.A, p.B); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.ComparePage(p))
}
