package server

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/google/uuid"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) keptRoutes(r chi.Router) {
	r.Get(views.KeptPath, s.page(s.keptPage))
	r.Post(views.KeptPath, s.page(s.leaveKeptOut))
	r.Get("/station/keep.json", s.page(s.toKeep))
}

// The headers of a tablet's own script: it sends an act and wants an answer
// that it can read, or it fetches a page to keep it.
const (
	scriptHeader = "Sinterbook-Kept"
	keepHeader   = "Sinterbook-Keep"
)

func byScript(r *http.Request) bool { return r.Header.Get(scriptHeader) != "" }

// forKeeping reports whether nobody looks at the page that is asked for: it
// takes no notice that is meant for a person.
func forKeeping(r *http.Request) bool { return r.Header.Get(keepHeader) != "" }

// A receipt is the answer to an act that was recorded.
type receipt struct {
	Entry  int64     `json:"entry"`
	At     time.Time `json:"at"`
	By     string    `json:"by"`
	Repeat bool      `json:"repeat"`
	Said   string    `json:"said"`
	To     string    `json:"to"` // the page that comes next
}

// A problem is a no in the form of RFC 9457, with what a person needs who has
// to decide about an act that was kept.
type problem struct {
	Type   string `json:"type"`
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail"`

	Errors     []fieldProblem `json:"errors,omitempty"`
	Objections []objection    `json:"objections,omitempty"`
	Meanwhile  []string       `json:"meanwhile,omitempty"` // what was recorded since the act was kept
	Stands     []standing     `json:"stands,omitempty"`    // what is so now
}

// A standing is one fact about an insert.
type standing struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

type fieldProblem struct {
	Field  string `json:"field"`
	Detail string `json:"detail"`
}

// An objection is what a gate says. Field is where a reason to go on may be
// given; it is "" where none opens the gate.
type objection struct {
	Gate  string `json:"gate"`
	Why   string `json:"why"`
	Lift  string `json:"lift"`
	Field string `json:"field,omitempty"`
}

// problemWords are what each status is about; the page of what is kept says
// what to do about it.
var problemWords = map[int]struct{ anchor, title string }{
	http.StatusUnauthorized: {"sign-in", "Nobody is signed in"}, http.StatusForbidden: {"badge", "Another badge is needed"},
	http.StatusConflict: {"stopped", "Stopped"}, http.StatusUnprocessableEntity: {"not-understood", "Not understood"},
}

func newProblem(status int, detail string) problem {
	words := problemWords[status]
	return problem{Type: views.KeptPath + "#" + cmp.Or(words.anchor, "later"), Title: cmp.Or(words.title, http.StatusText(status)), Status: status, Detail: detail}
}

func showProblem(w http.ResponseWriter, p problem) error {
	return showJSON(w, p.Status, "application/problem+json", p)
}

func showJSON(w http.ResponseWriter, status int, kind string, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("writing an answer: %w", err)
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, err = w.Write(body)
	return err
}

// answerScript answers a tablet's script about an act: with where it stands,
// or with why it does not and what is so instead.
func (s *Server) answerScript(w http.ResponseWriter, r *http.Request, f views.Form, did deed) error {
	kept := f.Value("kept_at") != ""
	if did.Said == "" {
		p := newProblem(statusOf(f), f.Refused)
		p.explain(f)
		if kept {
			if err := s.besideBook(r, f, &p); err != nil {
				return err
			}
		}
		return showProblem(w, p)
	}
	if !kept {
		leaveNotice(w, did.Said)
	}
	status := http.StatusCreated
	if did.Repeat {
		status = http.StatusOK
	}
	return showJSON(w, status, "application/json", receipt{Entry: did.Seq, At: did.At, By: did.By, Repeat: did.Repeat, Said: did.Said, To: did.To})
}

// explain says which fields and gates said no.
func (p *problem) explain(f views.Form) {
	for _, field := range f.WrongFields() {
		p.Errors = append(p.Errors, fieldProblem{field, f.Wrong[field]})
		if p.Detail == "" {
			p.Detail = "Nothing was stored."
		}
	}
	for _, o := range f.Objections {
		said := objection{Gate: o.Gate, Why: o.Why, Lift: o.Lift}
		if f.Asks {
			said.Field = views.AnswerField(o.Gate)
		}
		p.Objections = append(p.Objections, said)
	}
}

// lookedBack is how many of an insert's latest entries are looked through for
// what came meanwhile.
const lookedBack = 30

// besideBook adds what is in the book about the insert, and what was recorded of
// it since the act was kept.
func (s *Server) besideBook(r *http.Request, f views.Form, p *problem) error {
	t, err := s.travelerPage(r)
	if err != nil {
		return err
	}
	if err := s.stopped(r, &t); err != nil {
		return err
	}
	for _, fact := range t.StandsNow() {
		p.Stands = append(p.Stands, standing{fact.Name, fact.Value})
	}
	since, err := s.pressed(f)
	if err != nil {
		return nil // its times were not understood, and that was said
	}
	subject := shop.Subject("insert", t.Insert.Insert)
	n, err := s.store.Count(r.Context(), subject)
	if err != nil {
		return err
	}
	entries, err := s.store.History(r.Context(), subject, max(0, n-lookedBack), lookedBack)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if _, no := e.Event.(shop.GateRefused); !no && e.Entered.After(since) {
			p.Meanwhile = append(p.Meanwhile, fmt.Sprintf("%s, badge %s: %s", views.Stamp(e.Entered, t.Zone), e.By, views.Sentence(e.Event, t.Zone)))
		}
	}
	return nil
}

// pressed is when a kept act happened by the server's clock.
func (s *Server) pressed(f views.Form) (time.Time, error) {
	k, err := keptTimes(f)
	if err == nil {
		err = k.Received(s.now())
	}
	if err != nil {
		return time.Time{}, err
	}
	return k.Pressed()
}

// keptTimes reads what the tablet's clock said.
func keptTimes(f views.Form) (k shop.Kept, err error) {
	for _, t := range []struct {
		field string
		into  *time.Time
	}{{"kept_at", &k.DeviceAt}, {"kept_sent", &k.SentAt}} {
		if *t.into, err = time.Parse(time.RFC3339Nano, f.Value(t.field)); err != nil {
			return k, shop.Wrong("", "The tablet's time %q was not understood.", f.Value(t.field))
		}
	}
	return k, nil
}

// keptOn reads of an act that was kept on this tablet when it was pressed and
// by whom. It is that badge's work whoever is signed in now, and it is taken
// only from that badge, or while it is parked here since before it was pressed:
// what the tablet says is not enough.
func (s *Server) keptOn(r *http.Request, f views.Form, a act, entry *shop.Entry) error {
	if !f.Values.Has("kept_at") {
		return nil
	}
	k, err := keptTimes(f)
	if err != nil {
		return err
	}
	if entry.Kept = &k; a.meaning != "" {
		entry.Meaning = a.meaning
		return entry.FitsKept()
	}
	v, badge := visitorOf(r), strings.TrimSpace(f.Value("kept_by"))
	if entry.Paper == nil {
		entry.By = badge
	}
	if badge == v.Person.Badge {
		return nil
	}
	pressed, err := s.pressed(f)
	if err != nil {
		return err
	}
	here, err := s.store.BadgesSince(r.Context(), v.Device, pressed)
	if err != nil {
		return err
	}
	if changed := f.Value("kept_right") != ""; changed || !slices.Contains(here, badge) {
		return &shop.Refusal{Kind: shop.ErrForbidden, Why: "Badge " + badge + " must scan in here: it is their work, and badge " + v.Person.Badge + " is signed in."}
	}
	return nil
}

// renumbered gives a hold that was kept a number of today: the one that its
// form proposed may have been given away while there was no connection.
func (s *Server) renumbered(r *http.Request, f *views.Form, a act) error {
	id, err := uuid.Parse(f.Command)
	if a.name != views.ActHold || !f.Values.Has("kept_at") || err != nil {
		return nil
	}
	old, err := s.store.Commanded(r.Context(), id)
	if set, ok := old.Event.(shop.HoldSet); ok && err == nil {
		f.Values.Set("hold", set.Hold)
		return nil
	}
	if err != nil && !errors.Is(err, shop.ErrNotFound) {
		return err
	}
	number, err := s.store.NextNumber(r.Context(), "hold", "H-")
	f.Values.Set("hold", number)
	return err
}

// keptPage answers GET /station/kept.
func (s *Server) keptPage(w http.ResponseWriter, r *http.Request) error {
	return show(w, r, http.StatusOK, views.KeptPage(views.Kept{Frame: s.frame(r, "/station")}))
}

// leaveKeptOut answers POST /station/kept: an act that a tablet kept is given
// up. One that stands in the book after all is no longer to be left out.
func (s *Server) leaveKeptOut(w http.ResponseWriter, r *http.Request) error {
	f, err := typed(r, "", views.KeptPath)
	if err != nil {
		return err
	}
	e := shop.KeptActLeftOut{Insert: f.Value("insert"), Act: f.Value("act"), Said: f.Value("said"), Whose: f.Value("whose"), Command: f.Value("of"), Why: strings.TrimSpace(f.Value("why"))}
	if id, err := uuid.Parse(e.Command); err == nil {
		stands, err := s.store.Commanded(r.Context(), id)
		if _, no := stands.Event.(shop.GateRefused); err == nil && !no {
			return showJSON(w, http.StatusOK, "application/json", receipt{Entry: stands.Seq, At: stands.At, By: stands.By, Repeat: true, To: views.KeptPath,
				Said: fmt.Sprintf("It is in the book after all, as entry %d: nothing was left out.", stands.Seq)})
		}
	}
	if e.Pressed, err = time.Parse(time.RFC3339Nano, f.Value("pressed")); err != nil {
		return shop.Wrong("pressed", "The tablet's time %q was not understood.", f.Value("pressed"))
	}
	ok, err := s.record(r, &f, e)
	if err != nil {
		return err
	}
	if !ok {
		return s.answerScript(w, r, f, deed{})
	}
	return showJSON(w, http.StatusCreated, "application/json", receipt{Said: e.Act + " for " + e.Insert + " was left out: the history says so.", To: views.KeptPath})
}

// A keepsake is what a tablet keeps for when there is no connection: which
// pages, and what the codes mean that are scanned at its station.
type keepsake struct {
	People map[string]string    `json:"people"` // SHA-256 of a badge's scan code, hexadecimal, to the badge, of who gave their PIN here in this shift
	Codes  map[string]keptThing `json:"codes"`  // by scan code
	Pages  []string             `json:"pages"`  // addresses
}

// A keptThing is what a code stands for: an insert has a page, anything else
// belongs into the field of the open form that is named by its kind.
type keptThing struct {
	Kind   string `json:"kind"`
	Number string `json:"number"`
	Href   string `json:"href,omitempty"`
}

// A tablet keeps the pages of so many inserts, and so many codes of one kind.
const (
	keptInserts = 12
	keptCodes   = 100
)

// scannedAt are the kinds of things, besides paste, that are scanned while an
// operation is done.
var scannedAt = map[string][]string{
	shop.OpPrint: {"cutter", "machine", "gauge"}, shop.OpDry: {"oven", "gauge"}, shop.OpTemper: {"oven"}, shop.OpInspect: {"gauge"}, shop.OpFit: {"mould", "gauge"},
}

// toKeep answers GET /station/keep.json.
func (s *Server) toKeep(w http.ResponseWriter, r *http.Request) error {
	k := keepsake{People: map[string]string{}, Codes: map[string]keptThing{}, Pages: []string{"/station", views.KeptPath}}
	at := visitorOf(r).Station
	for _, add := range []func(*http.Request, shop.Station, *keepsake) error{s.keepPeople, s.keepInserts, s.keepThings} {
		if err := add(r, at, &k); err != nil {
			return err
		}
	}
	for _, c := range shop.Cards {
		k.Codes[string(c.Code)] = keptThing{Kind: "card", Number: c.Name}
	}
	return showJSON(w, http.StatusOK, "application/json", k)
}

func (s *Server) keepPeople(r *http.Request, _ shop.Station, k *keepsake) error {
	badges, err := s.store.BadgesAt(r.Context(), visitorOf(r).Device)
	if err != nil || len(badges) == 0 {
		return err
	}
	codes, err := s.store.CodesOf(r.Context(), "person", badges, keptCodes)
	for _, c := range codes {
		sum := sha256.Sum256([]byte(c.Code))
		k.People[hex.EncodeToString(sum[:])] = c.Number
	}
	return err
}

// keepInserts adds what is under way here and what waits, with the forms of
// what can be recorded of it, and the paste of its lots.
func (s *Server) keepInserts(r *http.Request, at shop.Station, k *keepsake) error {
	rows, err := s.store.Board(r.Context(), store.Board{Next: at.Operation, Limit: listed})
	if err != nil {
		return err
	}
	begun, waiting := []string{}, []string{}
	var lots []string
	for _, row := range rows {
		here, err := s.isHere(r, row, at)
		switch {
		case err != nil:
			return err
		case here:
			begun = append(begun, row.Insert)
		case !row.Begun && row.Next != "":
			waiting = append(waiting, row.Insert)
		default:
			continue
		}
		lots = append(lots, row.Lots...)
	}
	inserts := append(slices.Clone(begun), waiting...)
	inserts = inserts[:min(len(inserts), keptInserts)]
	for _, insert := range inserts {
		k.Pages = append(k.Pages, views.StationOf(insert), views.StationOf(insert)+"/sure")
		for _, a := range acts {
			if a.meaning == "" && slices.Contains(begun, insert) && (a.operation == at.Operation && !strings.HasSuffix(a.name, "-start") || a.name == views.ActHold) {
				k.Pages = append(k.Pages, views.ActOf(insert, a.name))
			}
		}
	}
	if err := s.keepCodes(r, k, "insert", inserts); err != nil {
		return err
	}
	if err := s.keepCarriers(r, k, inserts); err != nil || at.Operation != shop.OpPrint {
		return err
	}
	return s.keepPaste(r, k, lots)
}

// keepCarriers lets a plate stand for the green part that lies on it.
func (s *Server) keepCarriers(r *http.Request, k *keepsake, inserts []string) error {
	on := map[string]string{}
	for _, insert := range inserts {
		i, err := s.store.Insert(r.Context(), insert)
		if err != nil {
			return err
		}
		if i.Carrier != "" {
			on[i.Carrier] = insert
		}
	}
	carriers, err := s.coded(r, "carrier", slices.Sorted(maps.Keys(on)))
	for _, c := range carriers {
		k.Codes[string(c.Code)] = keptThing{Kind: "insert", Number: on[c.Number], Href: views.StationOf(on[c.Number])}
	}
	return err
}

func (s *Server) keepPaste(r *http.Request, k *keepsake, lots []string) error {
	slices.Sort(lots)
	for _, lot := range slices.Compact(lots) {
		boxes, err := s.store.Containers(r.Context(), lot)
		if err != nil {
			return err
		}
		for _, b := range boxes {
			if b.Code != "" && b.Scrapped.IsZero() {
				k.Codes[string(b.Code)] = keptThing{Kind: "container", Number: b.Container}
			}
		}
	}
	return nil
}

func (s *Server) keepThings(r *http.Request, at shop.Station, k *keepsake) error {
	for _, kind := range scannedAt[at.Operation] {
		all, err := s.store.CodesOf(r.Context(), kind, nil, keptCodes)
		if err != nil {
			return err
		}
		for _, c := range all {
			k.Codes[string(c.Code)] = keptThing{Kind: kind, Number: c.Number}
		}
	}
	return nil
}

func (s *Server) keepCodes(r *http.Request, k *keepsake, kind string, numbers []string) error {
	all, err := s.coded(r, kind, numbers)
	for _, c := range all {
		k.Codes[string(c.Code)] = keptThing{Kind: kind, Number: c.Number, Href: views.StationOf(c.Number)}
	}
	return err
}

// coded lists the codes of some things: of none where none is named.
func (s *Server) coded(r *http.Request, kind string, numbers []string) ([]store.Coded, error) {
	if len(numbers) == 0 {
		return nil, nil
	}
	return s.store.CodesOf(r.Context(), kind, numbers, keptCodes)
}
