package server

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"

	"github.com/google/uuid"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// loadAt is the page of a load with what was scanned for it.
func loadAt(load string, q url.Values) string {
	if len(q) == 0 {
		return views.PageOf("load", load)
	}
	return views.PageOf("load", load) + "?" + q.Encode()
}

// scanLoad answers POST /loads/{load}/scan: an insert and its place to lay it
// in, each insert that comes out, and the cards that record it.
func (s *Server) scanLoad(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", "")
	if err != nil {
		return err
	}
	load := pathWord(r, "load")
	raw := cmp.Or(rawScan(f), f.Value("insert"))
	text, _ := shop.Unwrapped(raw)
	if text == "" {
		return s.loadMisread(w, r, "Nothing was scanned, and nothing was recorded: scan a place, an insert or a card.")
	}
	sc, err := s.store.Read(r.Context(), text)
	if why, no := isNo(err); no {
		return s.loadMisread(w, r, why+" Nothing was recorded.")
	}
	if err != nil {
		return err
	}
	q := carried(f.Values)
	if sc.Scanned && sc.Kind == "insert" && !slices.Contains(q[scannedField], raw) {
		q.Add(scannedField, raw)
	}
	switch {
	case sc.Card.Name != "":
		return s.playLoad(w, r, f, sc.Card)
	case sc.Kind == "person":
		return s.switchAt(w, r, loadAt(load, q), sc.Number, sc.Scanned)
	case sc.Kind == "insert":
		return s.loadInsert(w, r, q, sc)
	case sc.Kind == "setter":
		q.Set("setter", sc.Number)
		return seeOther(w, r, loadAt(load, q), "")
	case sc.Kind == "furnace":
		return s.loadPlaceScanned(w, r, q, sc)
	}
	return seeOther(w, r, views.PageOf(sc.Kind, sc.Number), "")
}

// loadMisread shows the load again with a sentence about a scan.
func (s *Server) loadMisread(w http.ResponseWriter, r *http.Request, why string) error {
	p, err := s.loadPage(r)
	if err != nil {
		return err
	}
	p.Scan.Value, p.Scan.Wrong = r.PostFormValue("scan"), why
	return show(w, r, http.StatusUnprocessableEntity, views.LoadPage(p))
}

// loadInsert takes an insert in hand: to be laid in, or scanned out.
func (s *Server) loadInsert(w http.ResponseWriter, r *http.Request, q url.Values, sc store.Scan) error {
	l, err := s.store.Load(r.Context(), pathWord(r, "load"))
	if err != nil {
		return err
	}
	if l.Closed.IsZero() {
		q.Set("insert", sc.Number)
		q.Del("sure")
		if sc.Scanned {
			q.Set("sure", sc.Number)
		}
		return seeOther(w, r, loadAt(l.Load, q), "")
	}
	if !slices.ContainsFunc(l.Items, func(it shop.LoadItem) bool { return it.Insert == sc.Number }) {
		return s.loadMisread(w, r, sc.Number+" does not lie in load "+l.Load+". Nothing was recorded.")
	}
	if !slices.Contains(q["inserts"], sc.Number) {
		q.Add("inserts", sc.Number)
	}
	return seeOther(w, r, loadAt(l.Load, q), "")
}

// loadPlaceScanned chooses the place that was scanned.
func (s *Server) loadPlaceScanned(w http.ResponseWriter, r *http.Request, q url.Values, sc store.Scan) error {
	p, err := s.loadPage(r)
	if err != nil {
		return err
	}
	switch lies := p.Load.At(sc.Part); {
	case sc.Number != p.Load.Furnace:
		return s.loadMisread(w, r, "This load is of furnace "+p.Load.Furnace+", and the label is of "+sc.Number+". Nothing was recorded.")
	case sc.Part == "":
		return seeOther(w, r, loadAt(p.Load.Load, q), "")
	case !p.Furnace.Has(sc.Part):
		return s.loadMisread(w, r, "Furnace "+sc.Number+" has no place "+sc.Part+" for an insert. Nothing was recorded.")
	case lies != "":
		return s.loadMisread(w, r, lies+" lies at "+sc.Part+" already. Nothing was recorded.")
	}
	q.Set("place", sc.Part)
	q.Del("position")
	return seeOther(w, r, loadAt(p.Load.Load, q), "")
}

// playLoad does what an action card says with a load.
func (s *Server) playLoad(w http.ResponseWriter, r *http.Request, f views.Form, card shop.Card) error {
	p, err := s.loadPage(r)
	if err != nil {
		return err
	}
	if f.Command == "" {
		r.PostForm.Set("command", uuid.Must(uuid.NewV7()).String())
	}
	switch load := p.Load; {
	case card.Name == shop.CardClear:
		return seeOther(w, r, loadAt(load.Load, nil), "What was scanned is put aside; nothing was recorded.")
	case card.Name == shop.CardHold, card.Name == shop.CardFault:
		return seeOther(w, r, "/holds?"+url.Values{"on_kind": {"load"}, "on_code": {load.Load}}.Encode()+"#hold", "")
	case card.Name == shop.CardRecord && p.Place != nil:
		return s.place(w, r)
	case card.Name == shop.CardRecord && p.Unload != nil, card.Name == shop.CardFinish && p.Unload != nil:
		return s.unload(w, r)
	case card.Name == shop.CardStart && p.Close != nil && f.Value("insert") != "":
		return s.loadMisread(w, r, f.Value("insert")+" is not laid in yet: scan RECORD, or CLEAR to put it aside. Nothing was recorded.")
	case card.Name == shop.CardStart && p.Close != nil:
		return s.closeDoor(w, r)
	case !load.Opened.IsZero():
		return s.loadMisread(w, r, "Load "+load.Load+" was unloaded "+views.Stamp(load.Opened, p.Zone)+" already. Nothing was recorded.")
	case card.Name == shop.CardStart && !load.Closed.IsZero():
		return s.loadMisread(w, r, "The door of load "+load.Load+" was closed "+views.Stamp(load.Closed, p.Zone)+" already. Nothing was recorded.")
	case card.Name == shop.CardFinish:
		return s.loadMisread(w, r, "The door of load "+load.Load+" was not closed yet, so that it cannot be unloaded. Nothing was recorded.")
	}
	return s.loadMisread(w, r, "There is nothing here that "+card.Word+" could record. Nothing was recorded.")
}
