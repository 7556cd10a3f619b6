package server

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// takes names, by act and kind of thing, the field that a scan fills in.
var takes = map[string]map[string]string{
	views.ActPrintStart:     {"machine": "machine", "carrier": "carrier", "program": "program_sha256", "job": "program_sha256"},
	views.ActPaste:          {"container": "container"},
	views.ActLayers:         {"cutter": "cutter"},
	views.ActDryingStart:    {"oven": "oven"},
	views.ActWeigh:          {"gauge": "gauge"},
	views.ActGreen:          {"gauge": "gauge"},
	views.ActTemperingStart: {"oven": "oven", "recipe": "recipe"},
	views.ActResult:         {"gauge": "gauge"},
	views.ActFit:            {"mould": "mould"},
	views.ActCarrier:        {"carrier": "carrier"},
	views.ActMark:           {"insert": "code"},
}

// fieldOf is the field of a kind of thing in any act that takes it; "" for what
// fills in nothing at a station.
func fieldOf(kind string) string {
	for _, fields := range takes {
		if f := fields[kind]; f != "" && kind != "insert" {
			return f
		}
	}
	return ""
}

// partOf is the field for a place on a scanned thing.
var partOf = map[string]string{"mould": "place", "oven": "shelf"}

// scannedField carries the raw text of each scan along until the act that it
// belongs to is recorded.
const scannedField = "scanned"

// unkept are the fields that go into no address: what each page makes anew,
// and what is secret. The id of the act is kept, so that the way back to an act
// that was recorded leads to the same act and not to a second one.
var unkept = map[string]bool{"scan": true, "raw": true, "seen": true, "pin": true, "password": true, "hold": true, "print": true, "photo": true}

// proposable are the fields that a page proposes something for: one that was
// emptied is carried along as such, so that it stays empty.
var proposable = map[string]bool{"machine": true, "oven": true, "axis": true, "shows": true, "characteristic": true, "purpose": true, "cutter": true}

// addressLimit bounds what goes along in an address, in characters: the whole of
// it must pass what stands between a tablet and the server, which often takes
// 8 kB (common practice, no source).
const addressLimit = 6000

// carried is what was scanned and typed so far, for the next address: so the
// way back, a reload and another person at the tablet lose none of it.
func carried(values url.Values) url.Values {
	q := url.Values{}
	for field, list := range values {
		for _, v := range list {
			if (v != "" || proposable[field] || values.Get("corrects") != "") && !unkept[field] {
				q.Add(field, v)
			}
		}
	}
	return q
}

// turnTo makes another act of what is carried along.
func turnTo(q url.Values, act string) {
	for field := range q {
		if q.Get(field) == "" {
			q.Del(field) // it was emptied in the form of the act before
		}
	}
	q.Set("act", act)
	q.Del("command")
}

// rawScan is a scan as it arrived: the box of a browser keeps no control
// characters, so that a script sends them beside it.
func rawScan(f views.Form) string { return cmp.Or(f.Values.Get("raw"), f.Values.Get("scan")) }

// scan answers POST /station/scan and, with an insert on the bench, POST
// /station/{insert}/scan: whatever was scanned or typed into the box. The form
// on the bench comes with it, and comes back filled in.
func (s *Server) scan(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "")
	if err != nil {
		return err
	}
	raw := rawScan(f)
	text, _ := shop.Unwrapped(raw)
	if text == "" {
		return s.misread(w, r, "Nothing was scanned, and nothing was recorded: hold the scanner to the label, or type the number under it. To record, touch the large button or scan RECORD.")
	}
	sc, err := s.store.Read(r.Context(), text)
	if why, no := isNo(err); no {
		return s.misread(w, r, why+" Nothing was recorded.")
	}
	if err != nil {
		return err
	}
	q := carried(f.Values)
	if sc.Scanned && (sc.Kind == "insert" || fieldOf(sc.Kind) != "") && len(q[scannedField]) < 20 && !slices.Contains(q[scannedField], raw) {
		q.Add(scannedField, raw)
	}
	if n := len(q.Encode()); sc.Card.Name == "" && n > addressLimit {
		return s.misread(w, r, fmt.Sprintf("What you typed is too long to go along with another scan, by about %d characters: record it first, or shorten it. It still stands below, and the scan was not used.", n-addressLimit))
	}
	switch {
	case sc.Card.Name != "":
		return s.play(w, r, f, sc.Card)
	case sc.Kind == "person":
		return s.switchTo(w, r, q, sc.Number, sc.Scanned)
	case sc.Kind == "insert":
		return s.scanInsert(w, r, f, q, sc)
	case sc.Kind == "furnace":
		return s.scanFurnace(w, r, sc)
	case sc.Kind == "station":
		return s.misread(w, r, sc.Number+" is a station. Scan a badge, a traveler or what lies on the bench.")
	case sc.Kind == "job":
		if err := s.jobFields(r, q, text); err != nil {
			if why, no := isNo(err); no {
				return s.misread(w, r, why)
			}
			return err
		}
		return s.fillIn(w, r, f, q, sc)
	case fieldOf(sc.Kind) != "":
		return s.fillIn(w, r, f, q, sc)
	}
	return seeOther(w, r, views.PageOf(sc.Kind, sc.Number), "")
}

// misread shows the page again with a sentence about a scan that leads
// nowhere. What was typed stays, and what was scanned is still in the box.
func (s *Server) misread(w http.ResponseWriter, r *http.Request, why string) error {
	scan := views.Scan{Value: r.PostFormValue("scan"), Wrong: why}
	if pathWord(r, "insert") == "" {
		p, err := s.stationPage(r, scan)
		if err != nil {
			return err
		}
		return show(w, r, http.StatusUnprocessableEntity, views.StationPage(p))
	}
	p, err := s.workOn(r, actNamed(r.FormValue("act")))
	if err != nil {
		return err
	}
	p.Scan.Value, p.Scan.Wrong, p.Scan.Away = scan.Value, scan.Wrong, false
	return show(w, r, http.StatusUnprocessableEntity, views.WorkPage(p))
}

// benchAt is the page of what is on the bench, with what was scanned and typed.
func benchAt(insert string, q url.Values) string {
	to := "/station"
	if insert != "" {
		to = views.StationOf(insert)
	}
	if len(q) == 0 {
		return to
	}
	return to + "?" + q.Encode()
}

// scanInsert puts an insert on the bench. Another one is not pushed aside while
// something is typed about it.
func (s *Server) scanInsert(w http.ResponseWriter, r *http.Request, f views.Form, q url.Values, sc store.Scan) error {
	on := pathWord(r, "insert")
	switch {
	case on != "" && f.Value("act") == views.ActMark && sc.Scanned:
		i, err := s.store.Insert(r.Context(), sc.Number)
		if err != nil {
			return err
		}
		q.Set("code", string(i.Code))
		return seeOther(w, r, benchAt(on, q), "")
	case sc.Carrier != "" && takes[f.Value("act")]["carrier"] != "":
		return s.misread(w, r, fmt.Sprintf("%s carries %s: take an empty plate or tray. Nothing was recorded.", sc.Carrier, sc.Number))
	case on == sc.Number:
		return seeOther(w, r, benchAt(on, q), "")
	case on != "" && typedIn(f):
		return s.misread(w, r, fmt.Sprintf("What you typed about %s is not recorded yet, so that %s was not put on the bench. Scan RECORD first, or CLEAR to put it aside.", on, sc.Number))
	case on != "":
		q = url.Values{scannedField: q[scannedField]}
	default:
		if err := s.jobsFit(r.Context(), sc.Number, q); err != nil {
			if why, no := isNo(err); no {
				return s.misread(w, r, why+" "+sc.Number+" was not put on the bench: scan CLEAR to put the job header aside.")
			}
			return err
		}
	}
	if !sc.Scanned {
		return seeOther(w, r, views.StationOf(sc.Number)+"/sure?"+q.Encode(), "")
	}
	return seeOther(w, r, benchAt(sc.Number, q), "")
}

// scanFurnace opens the load that is being laid in a furnace, at a place that
// was scanned.
func (s *Server) scanFurnace(w http.ResponseWriter, r *http.Request, sc store.Scan) error {
	loads, err := s.store.Loads(r.Context())
	if err != nil {
		return err
	}
	for _, l := range loads {
		if l.Furnace == sc.Number && l.Closed.IsZero() {
			return seeOther(w, r, placeIn(l.Load, sc.Part), "")
		}
	}
	return seeOther(w, r, "/loads", "No load is being laid in furnace "+sc.Number+".")
}

// placeIn is the page of a load with a place chosen, "" for none.
func placeIn(load, place string) string {
	if place == "" {
		return views.PageOf("load", load)
	}
	return views.PageOf("load", load) + "?place=" + url.QueryEscape(place)
}

// given are fields that a page fills in by itself, so that they say nothing of
// what a person typed.
var given = map[string]bool{"act": true, scannedField: true, "scan": true, "raw": true, "command": true, "seen": true, "release": true, "machine": true, "oven": true,
	"cutter": true, "characteristic": true, "purpose": true, "hold": true, "unit": true, "axis": true, "shows": true, "operation": true, "corrects": true}

// typedIn reports whether a person typed or chose something that is not
// recorded yet. What was scanned can be scanned again.
func typedIn(f views.Form) bool {
	for field := range f.Values {
		if f.Value(field) != "" && !given[field] && !scannable(field) {
			return true
		}
	}
	return false
}

func scannable(field string) bool {
	for _, fields := range takes {
		for _, f := range fields {
			if f == field {
				return true
			}
		}
	}
	return field == "place" || field == "shelf"
}

// fillIn puts a scanned thing into the field that takes it: of the form on the
// bench, else of an act that the insert is ready for. Without an insert it is
// kept for the one that is scanned next.
func (s *Server) fillIn(w http.ResponseWriter, r *http.Request, f views.Form, q url.Values, sc store.Scan) error {
	insert, err := s.onBench(r, sc.Kind)
	if err != nil {
		return err
	}
	q.Set(fieldOf(sc.Kind), sc.Number)
	if part := partOf[sc.Kind]; part != "" && sc.Part != "" {
		q.Set(part, sc.Part)
	}
	if sc.Kind == "gauge" {
		if err := s.unitOf(r, q, sc.Number); err != nil {
			return err
		}
	}
	if insert == "" || takes[q.Get("act")][sc.Kind] != "" {
		return seeOther(w, r, benchAt(insert, q), "")
	}
	p, err := s.workPage(withInsert(r, insert), act{})
	if err != nil {
		return err
	}
	for _, name := range ready(p) {
		if takes[name][sc.Kind] == "" {
			continue
		}
		if typedIn(f) {
			return s.misread(w, r, fmt.Sprintf("%s belongs to “%s”. What you typed here is not recorded yet: scan RECORD first, or CLEAR to put it aside.", sc.Number, views.ActTitle(name)))
		}
		turnTo(q, name)
		break
	}
	return seeOther(w, r, benchAt(insert, q), "")
}

// onBench is the insert that a scan is about: the one on the bench, or, for a
// container, that of the one print that is under way here.
func (s *Server) onBench(r *http.Request, kind string) (string, error) {
	if insert := pathWord(r, "insert"); insert != "" || kind != "container" {
		return insert, nil
	}
	p, err := s.stationPage(r, views.Scan{})
	if err == nil && len(p.Begun) == 1 && p.Operation == shop.OpPrint {
		return p.Begun[0].Insert, nil
	}
	return "", err
}

// unitOf takes the unit that a gauge reads in, where none was chosen.
func (s *Server) unitOf(r *http.Request, q url.Values, gauge string) error {
	g, err := s.store.Gauge(r.Context(), gauge)
	typed := q.Get("value") != "" || q.Get("size") != "" // in the unit that stands there
	if err == nil && g.Resolution.Taken() && !typed {
		q.Set("unit", g.Resolution.Unit)
	}
	return err
}

// ready lists the acts that the insert is ready for, with those that may be
// done besides.
func ready(p views.Work) []string {
	acts := suited(p)
	if p.Insert.Status == shop.StatusDried {
		acts = append(acts, views.ActGreen)
	}
	if step, _ := p.Insert.StepOf(shop.OpInspect); step.State == shop.Finished {
		acts = append(acts, views.ActResult)
	}
	if p.Insert.Green() && p.Insert.Carrier != "" {
		acts = append(acts, views.ActCarrier)
	}
	return acts
}

// scansOf are the scans that an act rests on: of the insert, and of each thing
// that its form names.
func (s *Server) scansOf(ctx context.Context, f views.Form, insert string) ([]shop.Scanned, error) {
	var scans []shop.Scanned
	for _, raw := range f.Values[scannedField] {
		text, _ := shop.Unwrapped(raw)
		sc, err := s.store.Read(ctx, text)
		if _, no := isNo(err); no {
			continue
		}
		if err != nil {
			return nil, err
		}
		if sc.Number == insert || names(f, sc.Number) {
			scans = append(scans, shop.Scanned{Raw: raw, Is: shop.Subject(sc.Kind, sc.Number)})
		}
	}
	return scans, nil
}

// names reports whether a form names a thing in one of its fields.
func names(f views.Form, number string) bool {
	for field, list := range f.Values {
		if field != scannedField && slices.Contains(list, number) {
			return true
		}
	}
	return false
}

// knownFields are the fields of what can be scanned before a traveler, in the
// order in which they are shown.
var knownFields = []struct{ field, words string }{
	{"container", "Container"}, {"machine", "Machine"}, {"carrier", "Plate or tray"}, {"program_sha256", "Program"}, {"cutter", "Cutter"}, {"oven", "Oven"}, {"shelf", "Shelf"},
	{"recipe", "Recipe"}, {"gauge", "Gauge"}, {"mould", "Mould"}, {"place", "Place"},
}

// knownOf lists what was scanned so far.
func (s *Server) knownOf(r *http.Request, q url.Values) (known []views.Known, err error) {
	for _, k := range knownFields {
		if v := strings.TrimSpace(q.Get(k.field)); v != "" {
			of := views.Known{Field: k.field, Name: k.words, Value: v}
			if k.field == "container" {
				if of.More, err = s.leftIn(r, v); err != nil {
					return nil, err
				}
			}
			known = append(known, of)
		}
	}
	return known, nil
}
