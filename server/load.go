package server

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) loadRoutes(r chi.Router) {
	r.Get("/loads", s.page(s.loads))
	r.Get("/new/load", s.page(s.newLoadForm))
	r.Post("/new/load", s.page(s.newLoad))
	r.Get("/loads/{load}", s.page(s.load))
	r.Post("/loads/{load}/scan", s.page(s.scanLoad))
	r.Post("/loads/{load}/place", s.page(s.place))
	r.Post("/loads/{load}/take-out", s.page(s.takeOut))
	r.Post("/loads/{load}/close", s.page(s.closeDoor))
	r.Post("/loads/{load}/unload", s.page(s.unload))
}

// loadActs are the acts on a furnace load, as a paper form has them. The load
// stands where other acts have the insert.
var loadActs = []act{
	{name: views.ActLoadBegin, operation: shop.OpSinter,
		event: func(f views.Form, load string) (shop.Event, error) {
			return valid(shop.Fields{}, loadOpened(f, load))
		},
		past: func(e shop.Event) string { return "Load " + e.(shop.LoadOpened).Load + " begun" }},
	{name: views.ActLoadPlace, operation: shop.OpSinter,
		event: func(f views.Form, load string) (shop.Event, error) {
			return valid(shop.Fields{}, loadPlaced(f, load, f.Value("insert")))
		},
		past: func(e shop.Event) string {
			laid := e.(shop.LoadPlaced)
			return laid.Insert + " laid at " + laid.Position
		}},
	{name: views.ActLoadClose, operation: shop.OpSinter,
		event: func(f views.Form, load string) (shop.Event, error) {
			wrong := shop.Fields{}
			e, err := loadClosed(f.Value("clock"), load)
			if err := wrong.Take(err); err != nil {
				return e, err
			}
			return valid(wrong, e)
		},
		past: func(e shop.Event) string { return "Door of load " + e.(shop.LoadClosed).Load + " closed" }},
	{name: views.ActLoadUnload, operation: shop.OpSinter,
		event: func(f views.Form, load string) (shop.Event, error) {
			return valid(shop.Fields{}, shop.LoadUnloaded{Load: load, Inserts: f.Values["inserts"], Coupons: f.Values["coupons"]})
		},
		past: func(e shop.Event) string { return "Load " + e.(shop.LoadUnloaded).Load + " unloaded" }},
}

func loadOpened(f views.Form, load string) shop.LoadOpened {
	return shop.LoadOpened{Load: load, Furnace: f.Value("furnace"), Recipe: f.Value("recipe"), Code: newCode(&f)}
}

func loadPlaced(f views.Form, load, insert string) shop.LoadPlaced {
	return shop.LoadPlaced{Load: load, Insert: insert, Position: f.Value("position"), Setter: f.Value("setter"), Lying: f.Value("lying")}
}

func loadClosed(clock, load string) (shop.LoadClosed, error) {
	said := shop.Fields{}
	return shop.LoadClosed{Load: load, Clock: said.Read("clock", clock, "s", shop.Duration)}, said.Err()
}

// loads answers GET /loads.
func (s *Server) loads(w http.ResponseWriter, r *http.Request) error {
	p := views.Loads{Frame: s.frame(r, "/loads"), Now: s.now(), New: s.may(r, shop.LoadOpened{}, "")}
	p.Live = liveList(p.Frame, "loads")
	var err error
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	if p.Loads, err = s.store.Loads(r.Context()); err != nil {
		return err
	}
	if p.Held, err = s.heldOf(r, "load"); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.LoadsPage(p))
}

// newLoadForm answers GET /new/load.
func (s *Server) newLoadForm(w http.ResponseWriter, r *http.Request) error {
	p, err := s.newLoadPage(r)
	if err != nil {
		return err
	}
	p.Form = blank("", "/new/load")
	p.Form.Values.Set("code", string(shop.NewScanCode()))
	return show(w, r, http.StatusOK, views.NewLoadPage(p))
}

// newLoad answers POST /new/load.
func (s *Server) newLoad(w http.ResponseWriter, r *http.Request) error {
	p, err := s.newLoadPage(r)
	if err != nil {
		return err
	}
	if p.Form, err = typed(r, "", "/new/load"); err != nil {
		return err
	}
	e := loadOpened(p.Form, p.Form.Value("load"))
	ok, err := s.record(r, &p.Form, e)
	if err != nil {
		return err
	}
	if !ok {
		return show(w, r, statusOf(p.Form), views.NewLoadPage(p))
	}
	return seeOther(w, r, views.PageOf("load", e.Load), "Load "+e.Load+" was begun.")
}

func (s *Server) newLoadPage(r *http.Request) (views.NewLoad, error) {
	p := views.NewLoad{Frame: s.frame(r, "/loads"), Now: s.now()}
	if !s.may(r, shop.LoadOpened{}, "") {
		return p, visitorOf(r).Person.MayRecord(shop.LoadOpened{})
	}
	var err error
	if p.Furnaces, err = s.store.Furnaces(r.Context()); err != nil {
		return p, err
	}
	p.Recipes, err = s.store.Recipes(r.Context())
	return p, err
}

// load answers GET /loads/{load}.
func (s *Server) load(w http.ResponseWriter, r *http.Request) error {
	p, err := s.loadPage(r)
	if err != nil {
		return err
	}
	p.Print = r.FormValue("print") == "1"
	return show(w, r, http.StatusOK, views.LoadPage(p))
}

// loadPage reads a load and makes the forms that belong to its state and to
// the visitor.
func (s *Server) loadPage(r *http.Request) (views.Load, error) {
	ctx := r.Context()
	p := views.Load{Frame: s.frame(r, "/loads"), Now: s.now(), Stopped: map[string]string{}}
	var err error
	if p.Load, err = s.store.Load(ctx, pathWord(r, "load")); err != nil {
		return p, err
	}
	if p.Furnace, err = s.store.Furnace(ctx, p.Load.Furnace); err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(ctx); err != nil {
		return p, err
	}
	for _, on := range [][2]string{{"load", p.Load.Load}, {"furnace", p.Load.Furnace}} {
		holds, err := s.store.HoldsOn(ctx, on[0], on[1])
		if err != nil {
			return p, err
		}
		p.Holds = append(p.Holds, holds...)
	}
	if p.Tests, err = s.store.FurnaceTests(ctx, p.Load.Load); err != nil {
		return p, err
	}
	p.Lays = p.Load.Closed.IsZero() && s.may(r, shop.CouponPlaced{}, "")
	p.Tested = p.Load.Opened.IsZero() && s.may(r, shop.FurnaceTestRecorded{}, "")
	held, err := s.heldOf(r, "insert")
	for _, it := range p.Load.Items {
		if hold := held[it.Insert]; hold != "" {
			p.Stopped[it.Insert] = hold
		}
	}
	if err != nil || r.FormValue("print") == "1" {
		return p, err
	}
	s.loadForms(r, &p)
	return p, s.loadRead(r, &p)
}

func (s *Server) loadForms(r *http.Request, p *views.Load) {
	at := views.PageOf("load", p.Load.Load)
	p.Scan.Action = at + "/scan"
	defer func() {
		if p.Place != nil || p.Unload != nil {
			p.Scan.Form = "act"
		}
	}()
	open := p.Load.Closed.IsZero()
	if open && s.may(r, shop.LoadPlaced{}, shop.OpSinter) {
		p.Chosen = cmp.Or(r.FormValue("place"), r.FormValue("position"))
		if p.Chosen == "" || p.Load.At(p.Chosen) != "" || !p.Furnace.Has(p.Chosen) {
			p.Chosen = views.FirstFree(p.Load, p.Furnace)
		}
		f := blank("place", at+"/place")
		for _, field := range []string{"insert", "sure", "setter", "lying", scannedField} {
			if list := r.Form[field]; len(list) > 0 && list[0] != "" {
				f.Values[field] = list
			}
		}
		f.Values.Set("position", p.Chosen)
		f.ID = "act"
		p.Place = &f
	}
	if open && s.may(r, shop.LoadTakenOut{}, "") && len(p.Load.Items) > 0 {
		p.Out = map[string]views.Form{}
		for _, it := range p.Load.Items {
			p.Out[it.Insert] = blank("out-"+it.Insert, at+"/take-out")
		}
	}
	if open && s.may(r, shop.LoadClosed{}, "") && len(p.Load.Items)+len(p.Load.Coupons) > 0 {
		f := blank("close", at+"/close")
		p.Close = &f
	}
	if !open && p.Load.Opened.IsZero() && s.may(r, shop.LoadUnloaded{}, "") {
		f := blank("unload", at+"/unload")
		f.Values["inserts"], f.Values["coupons"], f.Values[scannedField] = r.Form["inserts"], r.Form["coupons"], r.Form[scannedField]
		f.ID = "act"
		p.Unload = &f
	}
}

// loadRead asks for the instruction in the place of the first form that acts by
// it; the other one waits.
func (s *Server) loadRead(r *http.Request, p *views.Load) error {
	first := p.Place
	if first == nil {
		first = p.Close
	}
	if first == nil || r.Method != http.MethodGet {
		return nil
	}
	err := s.askRead(r, first, shop.OpSinter, r.URL.RequestURI())
	if first.Reading != nil && p.Place != nil {
		p.Close = nil
	}
	return err
}

// place answers POST /loads/{load}/place.
func (s *Server) place(w http.ResponseWriter, r *http.Request) error {
	p, err := s.loadPage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "place", views.PageOf("load", p.Load.Load)+"/place")
	if err != nil {
		return err
	}
	p.Place, p.Chosen = &f, f.Value("position")
	insert, err := s.laid(r, &p, &f)
	if err != nil {
		return err
	}
	if insert == "" {
		return show(w, r, statusOf(f), views.LoadPage(p))
	}
	ok, err := s.record(r, &f, loadPlaced(f, p.Load.Load, insert))
	if err != nil {
		return err
	}
	if !ok {
		return show(w, r, statusOf(f), views.LoadPage(p))
	}
	return seeOther(w, r, views.PageOf("load", p.Load.Load), insert+" lies at "+f.Value("position")+".")
}

// laid finds the insert that was scanned for a place. A number typed at a
// station asks first whether it is this one; "" means that the form is to be
// shown again.
func (s *Server) laid(r *http.Request, p *views.Load, f *views.Form) (string, error) {
	text := strings.TrimSpace(f.Value("insert"))
	if text == "" {
		f.Wrong = map[string]string{"insert": "The insert is missing: scan its plate or its mark."}
		return "", nil
	}
	t, err := s.store.Find(r.Context(), text)
	if why, no := isNo(err); no {
		f.Wrong = map[string]string{"insert": why}
		return "", nil
	}
	if err != nil {
		return "", err
	}
	if t.Kind != "insert" {
		f.Wrong = map[string]string{"insert": fmt.Sprintf("%s is a %s, not an insert.", t.Number, t.Kind)}
		return "", nil
	}
	f.ID = "act"
	if t.Scanned || visitorOf(r).Station.Station == "" || f.Value("sure") == t.Number {
		return t.Number, nil
	}
	i, err := s.store.Insert(r.Context(), t.Number)
	if err != nil {
		return "", err
	}
	p.Sure = &views.Asked{Insert: i.Insert, Words: fmt.Sprintf("%s revision %s, %s.", i.Design, i.Revision, i.Where())}
	return "", nil
}

// isNo is the sentence of an error that a person can put right.
func isNo(err error) (why string, ok bool) {
	if errors.Is(err, shop.ErrNotFound) || errors.Is(err, shop.ErrInvalid) {
		_, why = answer(err)
		return why, true
	}
	return "", false
}

// takeOut answers POST /loads/{load}/take-out.
func (s *Server) takeOut(w http.ResponseWriter, r *http.Request) error {
	insert := r.PostFormValue("insert")
	return s.actOnLoad(w, r, "out-"+insert, "take-out", shop.LoadTakenOut{Load: pathWord(r, "load"), Insert: insert}, nil, insert+" was taken out.")
}

// closeDoor answers POST /loads/{load}/close. It records, and starts nothing.
func (s *Server) closeDoor(w http.ResponseWriter, r *http.Request) error {
	e, err := loadClosed(r.PostFormValue("clock"), pathWord(r, "load"))
	return s.actOnLoad(w, r, "close", "close", e, err, "The closing of the door was recorded. Nothing was started by it.")
}

// actOnLoad records an act on a load and shows the load again.
func (s *Server) actOnLoad(w http.ResponseWriter, r *http.Request, form, act string, e shop.Event, wrong error, notice string) error {
	p, err := s.loadPage(r)
	if err != nil {
		return err
	}
	at := views.PageOf("load", p.Load.Load)
	f, err := typed(r, form, at+"/"+act)
	if err != nil {
		return err
	}
	ok, err := s.keep(r, &f, e, "", wrong)
	if err != nil {
		return err
	}
	if ok {
		return seeOther(w, r, at, notice)
	}
	if act == "close" {
		p.Close = &f
	} else {
		p.Refused = &f
	}
	return show(w, r, statusOf(f), views.LoadPage(p))
}

// unload answers POST /loads/{load}/unload.
func (s *Server) unload(w http.ResponseWriter, r *http.Request) error {
	p, err := s.loadPage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "unload", views.PageOf("load", p.Load.Load)+"/unload")
	if err != nil {
		return err
	}
	p.Unload = &f
	inserts, err := s.scannedOut(r, &f)
	if err != nil {
		return err
	}
	if len(f.Wrong) > 0 {
		return show(w, r, statusOf(f), views.LoadPage(p))
	}
	ok, err := s.record(r, &f, shop.LoadUnloaded{Load: p.Load.Load, Inserts: inserts, Coupons: f.Values["coupons"]})
	if err != nil {
		return err
	}
	if !ok {
		return show(w, r, statusOf(f), views.LoadPage(p))
	}
	return seeOther(w, r, views.PageOf("load", p.Load.Load), fmt.Sprintf("Load %s is unloaded; every serial is accounted for.", p.Load.Load))
}

// scannedOut lists the serials that were ticked or scanned, each once, in the
// order of their numbers.
func (s *Server) scannedOut(r *http.Request, f *views.Form) ([]string, error) {
	inserts := slices.Clone(f.Values["inserts"])
	for line := range strings.Lines(f.Value("scans")) {
		text := strings.TrimSpace(line)
		if text == "" {
			continue
		}
		t, err := s.store.Find(r.Context(), text)
		if why, no := isNo(err); no {
			f.Wrong = map[string]string{"scans": why}
			return nil, nil
		}
		if err != nil {
			return nil, err
		}
		if t.Kind != "insert" {
			f.Wrong = map[string]string{"scans": fmt.Sprintf("%s is a %s, not an insert.", t.Number, t.Kind)}
			return nil, nil
		}
		inserts = append(inserts, t.Number)
	}
	slices.Sort(inserts)
	return slices.Compact(inserts), nil
}
