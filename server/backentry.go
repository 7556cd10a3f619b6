package server

import (
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/google/uuid"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// formActs lists the acts that a paper form of an operation has, in the order
// of the form: none where all of them are signed, since nobody signs for
// another.
func formActs(operation string) []act {
	var on []act
	for _, a := range slices.Concat([]act{actOpen, actCheck}, acts, loadActs) {
		if a.operation == operation && a.meaning == "" {
			on = append(on, a)
		}
	}
	if len(on) == 0 {
		return nil
	}
	switch operation {
	case shop.OpPrint, shop.OpDry:
		end := slices.IndexFunc(on, func(a act) bool { return fits(shop.Card{Name: shop.CardFinish}, a.name) })
		on = slices.Insert(on, end, actPause, actGoOn) // what is finished cannot rest
		on = append(on, actCarrier, actHold)
	case shop.OpInspect:
		on = append(on, actMark, actHold)
	case shop.OpTemper, shop.OpFit:
		on = append(on, actHold)
	}
	return on
}

// formOperations are the operations that have paper forms.
func formOperations() []string {
	return slices.DeleteFunc(slices.Clone(shop.Operations), func(o string) bool { return formActs(o) == nil })
}

// linesOfForms is the space in which the lines of paper forms have their ids.
var linesOfForms = uuid.NewSHA1(uuid.NameSpaceURL, []byte("urn:sinterbook:lines-of-paper-forms"))

// tries is how often a line is looked for: each no of a gate makes it another
// try, which is judged anew.
const tries = 20

// lineID is the id of what a line of a form says: the same whoever sends it and
// however often, so that no line is recorded twice.
func lineID(form, act string, n, try int) uuid.UUID {
	return uuid.NewSHA1(linesOfForms, fmt.Appendf(nil, "%s/%s/%d/%d", form, act, n, try))
}

// A backEntry is a paper form while it is typed in.
type backEntry struct {
	page   views.BackEntry
	bench  views.Work // the insert or the load that the form is about
	on     string     // its number
	stored map[uuid.UUID]said
	shown  map[uuid.UUID]bool // those that stand on their line
}

// An openLine is a line that was sent and not recorded.
type openLine struct {
	views.Form
	waits bool // for what comes before it
}

// said is what was typed in from the form already.
type said struct {
	entry shop.PaperEntry
	words string
}

// enterForm answers GET /paper/{form}/enter.
func (s *Server) enterForm(w http.ResponseWriter, r *http.Request) error {
	b, err := s.backEntryOf(r)
	if err != nil {
		return err
	}
	if err := s.lay(r, &b, nil); err != nil {
		return err
	}
	status := http.StatusOK
	if len(b.page.Head.Wrong) > 0 {
		status = http.StatusUnprocessableEntity
	}
	return show(w, r, status, views.BackEntryPage(b.page))
}

// typeIn answers POST /paper/{form}/enter: what stands on the lines of a form
// is recorded, one act after the other.
func (s *Server) typeIn(w http.ResponseWriter, r *http.Request) error {
	b, err := s.backEntryOf(r)
	if err != nil {
		return err
	}
	lines := map[string]openLine{}
	done := 0
	if b.page.Ready {
		if done, err = s.typeLines(r, &b, lines); err != nil {
			return err
		}
	}
	if len(lines) == 0 && len(b.page.Head.Wrong) == 0 && b.page.Ready {
		return seeOther(w, r, views.EnterOf(b.page.Form)+"?"+b.query(), fmt.Sprintf("%s from form %s.", views.LinesWere(done), b.page.Form))
	}
	if err := s.lay(r, &b, lines); err != nil {
		return err
	}
	return show(w, r, http.StatusUnprocessableEntity, views.BackEntryPage(b.page))
}

func (b backEntry) query() string {
	return url.Values{"on": {b.on}, "operation": {b.page.Operation}, "by": {b.page.Head.Value("by")}, "at": {b.page.Head.Value("at")}}.Encode()
}

// backEntryOf reads which form is typed in, and what it is about.
func (s *Server) backEntryOf(r *http.Request) (b backEntry, err error) {
	if err := visitorOf(r).Person.MayRecord(shop.LayersMade{}); err != nil {
		return b, err
	}
	if err := r.ParseForm(); err != nil {
		return b, shop.Wrong("", "The form could not be read: %v.", err)
	}
	form := strings.TrimSpace(pathWord(r, "form"))
	b.page = views.BackEntry{Frame: s.sheetFrame(r, "/book"), Form: form, Operation: r.FormValue("operation"), Operations: formOperations()}
	b.page.Head = views.Form{Name: "head", Action: views.EnterOf(form), Values: url.Values{"by": {strings.TrimSpace(r.FormValue("by"))}, "at": {r.FormValue("at")}}, Wrong: map[string]string{}}
	issued, err := s.store.BlankForm(r.Context(), form)
	switch {
	case err == nil:
		b.page.Issued, b.page.Operation = true, issued.Operation
	case !errors.Is(err, shop.ErrNotFound):
		return b, err
	}
	if b.page.Operation != "" && formActs(b.page.Operation) == nil {
		b.page.Head.Wrong["operation"] = fmt.Sprintf("%q has no paper form: choose the operation that stands on it.", b.page.Operation)
		b.page.Operation = ""
	}
	if err := s.typedAlready(r, &b); err != nil {
		return b, err
	}
	return b, s.about(r, &b)
}

// typedAlready reads what was recorded from the form before.
func (s *Server) typedAlready(r *http.Request, b *backEntry) error {
	b.stored, b.shown = map[uuid.UUID]said{}, map[uuid.UUID]bool{}
	f, err := s.store.PaperForm(r.Context(), b.page.Form)
	if errors.Is(err, shop.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	if !f.CheckedAt.IsZero() {
		return shop.Conflict("Form %s was checked by %s: nothing more can be typed in from it.", f.Form, f.CheckedBy)
	}
	b.page.Begun = true
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	for _, e := range f.Entries {
		of, err := s.store.Entry(r.Context(), e.Seq)
		if err != nil {
			return err
		}
		b.stored[of.ID] = said{e, views.DoneWords(views.Sentence(of.Event, zone), e, zone)}
		if kind, number := shop.SubjectParts(e.Subject); b.on == "" && (kind == "insert" || kind == "load") {
			b.on = number
		}
	}
	return nil
}

// about finds what the form is about: the insert that was typed, or the load,
// which may be one that the form itself begins.
func (s *Server) about(r *http.Request, b *backEntry) error {
	p := &b.page
	text := strings.TrimSpace(r.FormValue("on"))
	if text == "" && r.Form.Has("on") {
		p.Head.Wrong["on"] = p.SubjectLabel() + " is missing: copy it from the form."
		return nil
	}
	if text == "" && r.FormValue("another") == "" {
		text = b.on
	}
	p.Head.Values.Set("on", text)
	b.on = text
	if text == "" || p.Operation == "" {
		return nil
	}
	t, err := s.store.Find(r.Context(), text)
	why, no := isNo(err)
	if err != nil && !no {
		return err
	}
	switch {
	case p.OfLoad() && errors.Is(err, shop.ErrNotFound):
		p.Ready = true
		return s.benchOf(r, b)
	case no:
		p.Head.Wrong["on"] = why
		return nil
	case t.Kind != p.Subject():
		p.Head.Wrong["on"] = fmt.Sprintf("%s is %s %s: this form is about %s %s.", t.Number, shop.Article(t.Kind), t.Kind, shop.Article(p.Subject()), p.Subject())
		return nil
	}
	b.on = t.Number
	p.Head.Values.Set("on", t.Number)
	p.Ready = true
	return s.benchOf(r, b)
}

// benchOf reads the insert or the load of a form.
func (s *Server) benchOf(r *http.Request, b *backEntry) (err error) {
	ctx := r.Context()
	if !b.page.OfLoad() {
		b.bench.Traveler, err = s.travelerOf(r, b.on)
		if err != nil {
			return err
		}
		b.page.About = b.bench.Part() + ", " + b.bench.Where()
		return s.printed(r, &b.bench.Traveler)
	}
	b.bench.Setter.Frame = b.page.Frame
	b.bench.Setter.Load, err = s.store.Load(ctx, b.on)
	b.page.New = errors.Is(err, shop.ErrNotFound)
	if err != nil && !b.page.New {
		return err
	}
	if b.page.New {
		b.bench.Setter.Load = shop.Load{}
		return nil
	}
	if b.bench.Setter.Zone, err = s.zone(ctx); err != nil {
		return err
	}
	b.bench.Setter.Furnace, err = s.store.Furnace(ctx, b.bench.Setter.Load.Furnace)
	b.page.About = "Furnace " + b.bench.Setter.Load.Furnace + ", " + b.bench.Setter.Load.State()
	return err
}

// typeLines records the lines that were filled in, in the order of the form.
// Lines that were not recorded come back in lines. The acts behind one that
// was not recorded wait: what comes first must be right first.
func (s *Server) typeLines(r *http.Request, b *backEntry, lines map[string]openLine) (done int, err error) {
	if b.page.Head.Wrong, err = s.headWrong(r, *b); err != nil {
		return 0, err
	}
	filled := 0
	for _, a := range formActs(b.page.Operation) {
		waits := len(lines) > 0 || len(b.page.Head.Wrong) > 0
		for n := 1; n <= views.LinesAtMost; n++ {
			f, ok := b.sent(r, a, n)
			if !ok {
				continue
			}
			filled++
			ok, err := s.typeLine(r, b, a, &f, waits)
			if err != nil {
				return done, err
			}
			if ok {
				done++
			} else {
				lines[f.Name] = openLine{f, waits && len(f.Wrong) == 0}
			}
		}
	}
	if filled == 0 && len(b.page.Head.Wrong) == 0 {
		b.page.Head.Wrong[""] = "No line was filled in: copy at least one from the form."
	}
	return done, s.typedAlready(r, b)
}

// headWrong says what is missing at the head of the form.
func (s *Server) headWrong(r *http.Request, b backEntry) (map[string]string, error) {
	wrong := shop.Fields{}
	wrong.Need("by", b.page.Head.Value("by"), "The badge of who did it")
	wrong.Need("at", b.page.Head.Value("at"), "The date and time of the form")
	return wrong, s.badged(r, wrong, b.page.Head.Value("by"))
}

// badged says so where nobody has the badge of who did it.
func (s *Server) badged(r *http.Request, wrong shop.Fields, badge string) error {
	if badge == "" {
		return nil
	}
	_, err := s.store.Person(r.Context(), badge)
	if why, no := isNo(err); no {
		wrong.Say("by", "%s", why)
		return nil
	}
	return err
}

// sent is a line of the form as it was sent; ok is false for one that nobody
// wrote on.
func (b backEntry) sent(r *http.Request, a act, n int) (f views.Form, ok bool) {
	f = views.LineForm(b.page.Operation, a.name, n)
	for name, values := range r.PostForm {
		if field, mine := strings.CutPrefix(name, f.Prefix); mine {
			f.Values[field] = values
			ok = ok || !slices.Contains(views.CarriedFields, field) && strings.TrimSpace(strings.Join(values, "")) != ""
		}
	}
	try, _ := strconv.Atoi(f.Value("try"))
	f.Command = lineID(b.page.Form, a.name, n, min(max(try, 0), tries-1)).String()
	f.Sent = slices.Sorted(maps.Keys(f.Values))
	return f, ok
}

// typeLine records one line; ok is false when it was not recorded, and then it
// says why.
func (s *Server) typeLine(r *http.Request, b *backEntry, a act, f *views.Form, waits bool) (ok bool, err error) {
	g := *f
	g.Values = maps.Clone(f.Values)
	g.Values.Set("paper_form", b.page.Form)
	for _, field := range []string{"at", "by"} {
		if strings.TrimSpace(g.Value(field)) == "" {
			g.Values.Set(field, b.page.Head.Value(field))
		}
	}
	g.Values.Set("paper_by", g.Value("by"))
	if err := s.badged(r, g.Wrong, strings.TrimSpace(f.Value("by"))); err != nil {
		return false, err
	}
	if err := s.namedOnLine(r, &g); err != nil {
		return false, err
	}
	if waits && len(g.Wrong) == 0 {
		_, err := a.event(g, b.on)
		wrong := shop.Fields{}
		if err := wrong.Take(err); err != nil {
			return false, err
		}
		f.Wrong = wrong
		return false, nil
	}
	var did deed
	if len(g.Wrong) == 0 {
		did, err = s.enact(r, &g, a, b.on)
	}
	if no, refused := errors.AsType[*shop.Refusal](err); refused && errors.Is(no.Kind, shop.ErrForbidden) {
		g.Refused, err = no.Why, nil
	}
	f.Wrong, f.Refused, f.Objections, f.Asks = onLine(g.Wrong), g.Refused, g.Objections, g.Asks
	if g.Command != f.Command { // a gate said no: the next try is another one
		try, _ := strconv.Atoi(f.Value("try"))
		f.Values.Set("try", strconv.Itoa(try+1))
	}
	return did.Said != "", err
}

// onLine moves what is wrong about the form's own fields to those of the line.
func onLine(wrong map[string]string) map[string]string {
	for from, to := range map[string]string{"paper_by": "by", "paper_form": ""} {
		if why, ok := wrong[from]; ok {
			wrong[to] = why
			delete(wrong, from)
		}
	}
	return wrong
}

// namedOnLine finds the inserts that a line about a load names, by their
// numbers or their scan codes.
func (s *Server) namedOnLine(r *http.Request, f *views.Form) error {
	if text := strings.TrimSpace(f.Value("insert")); text != "" {
		t, err := s.store.Find(r.Context(), text)
		why, no := isNo(err)
		switch {
		case no:
			f.Wrong["insert"] = why
		case err != nil:
			return err
		case t.Kind != "insert":
			f.Wrong["insert"] = fmt.Sprintf("%s is %s %s, not an insert.", t.Number, shop.Article(t.Kind), t.Kind)
		}
		f.Values.Set("insert", t.Number)
	}
	if f.Value("scans") == "" {
		return nil
	}
	inserts, err := s.scannedOut(r, f)
	f.Values["inserts"] = inserts
	return err
}

// lay lays the page out as the form is: what was recorded stands in its place,
// what was not keeps what was typed.
func (s *Server) lay(r *http.Request, b *backEntry, lines map[string]openLine) error {
	if !b.page.Ready {
		return nil
	}
	if len(lines) > 0 { // what was recorded just now changed it
		if err := s.benchOf(r, b); err != nil {
			return err
		}
	}
	for _, a := range formActs(b.page.Operation) {
		section := views.EntrySection{Title: views.ActTitle(a.name)}
		bench, offered := b.bench, false
		free := 0
		for n := 1; n <= views.LinesOf(a.name) || views.LinesOf(a.name) > 1 && free == 0 && n <= views.LinesAtMost; n++ {
			if words, ok := b.done(a.name, n); ok {
				section.Lines = append(section.Lines, views.EntryLine{N: n, Done: words})
				continue
			}
			line := views.EntryLine{N: n, Work: bench}
			f := views.LineForm(b.page.Operation, a.name, n)
			if open, typed := lines[f.Name]; typed {
				f, line.Waits = open.Form, open.waits
			} else {
				free++
			}
			line.Form, line.Act, line.OnForm = &f, a.name, true
			if a.name == views.ActLoadBegin && f.Value("code") == "" {
				f.Values.Set("code", string(shop.NewScanCode()))
			}
			if a.name != views.ActLayers && !offered {
				if err := s.offered(r, &line.Work); err != nil {
					return err
				}
				bench, offered = line.Work, true
			}
			section.Lines = append(section.Lines, line)
		}
		b.page.Sections = append(b.page.Sections, section)
	}
	b.others()
	return nil
}

// done is what a line of the form says in the book.
func (b backEntry) done(act string, n int) (words string, ok bool) {
	for try := range tries {
		id := lineID(b.page.Form, act, n, try)
		if s, ok := b.stored[id]; ok {
			b.shown[id] = true
			return s.words, true
		}
	}
	return "", false
}

// others are what was typed in from the form elsewhere than here.
func (b *backEntry) others() {
	var left []said
	for id, s := range b.stored {
		if !b.shown[id] {
			left = append(left, s)
		}
	}
	slices.SortFunc(left, func(x, y said) int { return int(x.entry.Seq - y.entry.Seq) })
	for _, s := range left {
		b.page.Others = append(b.page.Others, s.words)
	}
}
