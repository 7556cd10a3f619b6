package server

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"

	"github.com/google/uuid"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// An act is something that a person records about an insert at a station.
type act struct {
	name      string // in addresses
	operation string // to which it belongs; "" for one that fits anywhere
	meaning   string // of the signature that it asks for; "" where it asks for none

	// event reads what was typed. Its error names every field that was not
	// understood.
	event func(f views.Form, insert string) (shop.Event, error)
	// past says in words what was done, as "Final drying of I-0012 started".
	past func(shop.Event) string
	// probe is the act as if it had been filled in rightly, for asking the
	// gates beforehand; nil where there is nothing to ask.
	probe func(views.Work) shop.Act

	photos bool // photos may be sent with it
}

// acts lists what can be done at a station, in the order of the route.
var acts = []act{actPrintStart, actPaste, actLayers, actPrintFinish, actDryingStart, actWeigh, actDryingFinish, actGreen,
	actTemperingStart, actTemperingFinish, actResult, actInspectionFinish, actFit, actStock, actCarrier, actMark, actPause, actGoOn, actHold, actPhoto}

// actNamed is the act of a name; without a name where there is none.
func actNamed(name string) act {
	for _, a := range acts {
		if a.name == name {
			return a
		}
	}
	return act{}
}

// perform answers POST /station/{insert}/{act}.
func (s *Server) perform(a act) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		f, err := typed(r, "", "")
		if err != nil {
			return err
		}
		return s.carryOut(w, r, f, a, pathWord(r, "insert"))
	}
}

// carryOut records an act as its form says, and shows the bench again.
func (s *Server) carryOut(w http.ResponseWriter, r *http.Request, f views.Form, a act, insert string) error {
	f.Action = views.StationOf(insert) + "/" + a.name
	did, err := s.enact(r, &f, a, insert)
	if err != nil {
		return err
	}
	if did.Said != "" {
		if did.To, err = s.afterwards(r, f, a, insert); err != nil {
			return err
		}
	}
	if byScript(r) {
		return s.answerScript(w, r, f, did)
	}
	if did.Said != "" {
		return seeOther(w, r, did.To, did.Said)
	}
	s.anotherAct(r, &f)
	if a.name == views.ActFit {
		if err := s.keepPhotos(r, &f, insert); err != nil {
			return err
		}
	}
	p, err := s.workPage(r, a)
	if err != nil {
		return err
	}
	p.Form = &f
	if err := s.furnish(r, &p, a); err != nil {
		return err
	}
	return show(w, r, statusOf(f), views.WorkPage(p))
}

// anotherAct lets a form be recorded as another act, once a person was told that
// what its address names stands with other values.
func (s *Server) anotherAct(r *http.Request, f *views.Form) {
	id, err := uuid.Parse(f.Command)
	if err != nil || f.Refused == "" {
		return
	}
	if _, err := s.store.EntryOf(r.Context(), id); err == nil {
		f.Command = blank("", "").Command
		f.Refused += " If this is another act, record it now."
	}
}

// afterwards is the page behind an act. The insert stays scanned; the gauge
// stays in the hand for the next reading that is taken the same way.
func (s *Server) afterwards(r *http.Request, f views.Form, a act, insert string) (string, error) {
	q := url.Values{}
	for _, raw := range f.Values[scannedField] {
		text, _ := shop.Unwrapped(raw)
		if sc, err := s.store.Read(r.Context(), text); err == nil && sc.Number == insert {
			q.Set(scannedField, raw)
		}
	}
	if a.name == views.ActResult {
		if err := s.sameGauge(r, f, insert, q); err != nil {
			return "", err
		}
	}
	return benchAt(insert, q), nil
}

// sameGauge keeps the gauge of a reading where the next characteristic is
// measured the same way.
func (s *Server) sameGauge(r *http.Request, f views.Form, insert string, q url.Values) error {
	p, err := s.workPage(r, actResult)
	if err != nil {
		return err
	}
	was, next := howMeasured(p.Design, f.Value("characteristic")), howMeasured(p.Design, p.Unread())
	if was == "" || was != next {
		return nil
	}
	q.Set("gauge", f.Value("gauge"))
	q.Set("unit", f.Value("unit"))
	for _, raw := range f.Values[scannedField] {
		text, _ := shop.Unwrapped(raw)
		if sc, err := s.store.Read(r.Context(), text); err == nil && sc.Kind == "gauge" && sc.Number == f.Value("gauge") {
			q.Add(scannedField, raw)
		}
	}
	return nil
}

// howMeasured is the kind of gauge that measures a characteristic.
func howMeasured(d shop.Design, number string) string {
	for _, c := range d.Characteristics {
		if c.Number == number {
			return c.How
		}
	}
	return ""
}

// A deed is an act as it was recorded, with a sentence that says so.
type deed struct {
	store.Receipt
	Said string
	To   string // the page that comes next
}

// enact records an act and says so in a sentence. The sentence is "" when the
// answer was no: then the form says why.
func (s *Server) enact(r *http.Request, f *views.Form, a act, insert string) (deed, error) {
	if done, err := s.saidRead(r, f); done || err != nil {
		return deed{}, err
	}
	wrong := shop.Fields{}
	if err := s.renumbered(r, f, a); err != nil {
		return deed{}, err
	}
	e, err := a.event(*f, insert)
	if err := wrong.Take(err); err != nil {
		return deed{}, err
	}
	if a.name == views.ActPrintStart {
		if err := wrong.Take(s.jobsFit(r.Context(), insert, f.Values)); err != nil {
			return deed{}, err
		}
	}
	entry, err := s.entry(r, *f, e)
	if err := wrong.Take(err); err != nil {
		return deed{}, err
	}
	if err := wrong.Take(s.keptOn(r, *f, a, &entry)); err != nil {
		return deed{}, err
	}
	if len(wrong) > 0 {
		f.Wrong = wrong
		return deed{}, nil
	}
	if a.meaning != "" {
		ok, err := s.recordSigned(r, f, e, a.meaning)
		if !ok || err != nil {
			return deed{}, err
		}
		return deed{Said: a.past(e) + "."}, nil
	}
	receipt, err := s.store.Record(r.Context(), entry)
	if err != nil {
		return deed{}, s.sentBack(r, f, e, err)
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return deed{}, err
	}
	when := receipt.At.In(zone).Format("15:04")
	if receipt.Repeat {
		return deed{Receipt: receipt, Said: fmt.Sprintf("%s by %s at %s already: nothing was recorded twice.", a.past(e), receipt.By, when)}, nil
	}
	return deed{Receipt: receipt, Said: fmt.Sprintf("%s at %s.", a.past(e), when)}, nil
}

// judged asks the gates of an act before anything is typed.
func (s *Server) judged(r *http.Request, p *views.Work, a act) {
	if a.probe == nil {
		return
	}
	probe, v := a.probe(*p), visitorOf(r)
	if probe == nil {
		return
	}
	err := s.store.Judge(r.Context(), shop.Entry{ID: uuid.New(), Zone: p.Zone.String(), By: v.Person.Badge, Station: v.Station.Station, Event: probe})
	stops, asks := errors.Is(err, shop.ErrRefused), errors.Is(err, shop.ErrAsks)
	if err != nil && !stops && !asks {
		return // the probe itself is refused, as an auditor's is: that tells nothing about gates
	}
	for _, g := range probe.Gates() {
		p.Gates = append(p.Gates, g.Name)
	}
	_, p.Tried = probe.(shop.PasteDrawn)
	if no, ok := errors.AsType[*shop.Refusal](err); ok {
		p.Objections = no.Objections
		p.Objections = slices.DeleteFunc(slices.Clone(no.Objections), func(o shop.Objection) bool {
			return !p.Tried && views.Typed(o.Gate) || o.Gate == shop.DrawAsExpected.Name // what is to be typed cannot be wrong yet
		})
		p.Asks = asks && len(p.Objections) > 0
	}
}

// layersRead reads a run of layers. Where one end was not understood, the
// other one stands for both, so that nothing is said about their order.
func layersRead(wrong shop.Fields, f views.Form) (from, to int) {
	from, to = countOf(wrong, &f, "from_layer", "The first layer"), countOf(wrong, &f, "to_layer", "The last layer")
	if wrong["from_layer"] != "" {
		from = max(to, 1)
	}
	if wrong["to_layer"] != "" {
		to = from
	}
	return from, to
}

// valid adds what is malformed about the event itself to what could not be
// read of it.
func valid(wrong shop.Fields, e shop.Event) (shop.Event, error) {
	if err := wrong.Take(shop.Check(e)); err != nil {
		return e, err
	}
	return e, wrong.Err()
}
