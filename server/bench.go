package server

import (
	"cmp"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/google/uuid"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// bench answers GET /station/{insert}.
func (s *Server) bench(w http.ResponseWriter, r *http.Request) error {
	a := actNamed(r.FormValue("act"))
	if a.name == "" {
		var err error
		if a, err = s.meant(r); err != nil {
			return err
		}
	}
	p, err := s.workOn(r, a)
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.WorkPage(p))
}

// meant is the act that what was scanned before the traveler is for; none where
// that leaves it open.
func (s *Server) meant(r *http.Request) (act, error) {
	p, err := s.workPage(r, act{})
	if err != nil || elsewhere(r, &p) {
		return act{}, err
	}
	for _, name := range suited(p) {
		for kind, field := range takes[name] {
			if kind != "machine" && r.FormValue(field) != "" {
				return actNamed(name), nil
			}
		}
	}
	return act{}, nil
}

// workOn is the page about an insert with the form of an act, or of the one
// that comes next.
func (s *Server) workOn(r *http.Request, a act) (views.Work, error) {
	p, err := s.workPage(r, a)
	if err != nil {
		return p, err
	}
	next := suited(p)
	if a.name == "" && len(next) > 0 && !elsewhere(r, &p) {
		a = actNamed(next[0])
	}
	return p, s.furnish(r, &p, a)
}

// workPage reads what the station shows of an insert: only what belongs to the
// act and to the operation that comes next.
func (s *Server) workPage(r *http.Request, a act) (views.Work, error) {
	t, err := s.travelerPage(r)
	p := views.Work{Traveler: t}
	if err != nil {
		return p, err
	}
	p.Frame = s.frame(r, "/station")
	p.Live = t.Live // from the size that was there before anything was read
	next, _ := p.Insert.Next()
	p.Operation = next.Operation
	instructions, err := s.store.Instructions(r.Context())
	if err != nil {
		return p, err
	}
	if in, ok := shop.InstructionAt(instructions, cmp.Or(a.operation, next.Operation), s.now()); ok {
		p.Instruction = in
	}
	reads := []func(*http.Request, *views.Traveler) error{s.stopped, s.pictured}
	for operation, read := range map[string]func(*http.Request, *views.Traveler) error{
		shop.OpPrint: s.printed, shop.OpDry: s.heated, shop.OpTemper: s.heated, shop.OpInspect: s.inspected, shop.OpFit: s.fitted} {
		if operation == next.Operation || operation == a.operation || operation == shop.OpFit && p.Insert.Mould != "" {
			reads = append(reads, read)
		}
	}
	for _, read := range reads {
		if err := read(r, &p.Traveler); err != nil {
			return p, err
		}
	}
	return p, nil
}

// suited lists the acts that the insert is ready for, the next one first. What
// is paused goes on before it is finished.
func suited(p views.Work) []string {
	next, ok := p.Insert.Next()
	if !ok || p.Insert.Done {
		return nil
	}
	acts := suitedTo(p, next)
	if p.Insert.Paused() {
		acts = slices.DeleteFunc(acts, ends)
		return append([]string{views.ActGoOn}, acts...)
	}
	return acts
}

// ends reports whether an act ends an operation.
func ends(act string) bool { return strings.HasSuffix(act, "-"+shop.CardFinish) }

func suitedTo(p views.Work, next shop.Step) []string {
	begun := next.State == shop.Started
	switch next.Operation {
	case shop.OpPrint:
		return printing(p, begun)
	case shop.OpDry:
		if begun {
			return []string{views.ActDryingFinish, views.ActWeigh}
		}
		return []string{views.ActDryingStart}
	case shop.OpTemper:
		return startOrFinish(begun, views.ActTemperingStart, views.ActTemperingFinish)
	case shop.OpInspect:
		if p.Unread() == "" {
			return []string{views.ActInspectionFinish, views.ActResult}
		}
		return []string{views.ActResult}
	case shop.OpFit:
		if p.Order.Mould != "" {
			return []string{views.ActFit}
		}
	case shop.OpDeliver:
		if p.Insert.Mould == "" {
			return []string{views.ActStock}
		}
	}
	return nil
}

func startOrFinish(begun bool, start, finish string) []string {
	if begun {
		return []string{finish}
	}
	return []string{start}
}

// elsewhere says so where the operation that comes next is done at another
// station.
func elsewhere(r *http.Request, p *views.Work) bool {
	at := visitorOf(r).Station
	if at.Operation == "" || at.Operation == p.Operation {
		return false
	}
	p.Elsewhere = "Next is " + p.Operation + ". This station is for " + at.Operation + ": take it on."
	return true
}

// furnish adds the form of an act, what the form offers to choose from, and
// the ways to other acts. A form that was sent stays as it is.
func (s *Server) furnish(r *http.Request, p *views.Work, a act) error {
	sent := p.Form != nil
	if a.name != "" {
		p.Act = a.name
		if p.Again == "" { // a form that came back
			p.Again = views.ActOf(p.Insert.Insert, a.name)
		}
		if a.operation != "" {
			p.Operation = a.operation
		}
		if !sent {
			f := blankAct(r, *p, a)
			if err := s.another(r, &f); err != nil {
				return err
			}
			p.Form = &f
		}
		p.Form.Upload = a.photos
		if err := s.offered(r, p); err != nil {
			return err
		}
		if err := correcting(p, sent); err != nil {
			return err
		}
		if p.Corrected == "" {
			s.judged(r, p, a)
		}
		if err := s.instructed(r, p, a, sent); err != nil {
			return err
		}
	}
	switch {
	case !sent && (p.Stops() || p.Auditing() || p.Picks()):
		p.Form = nil
	case p.Asks && p.Form.Refused == "":
		p.Form.Objections, p.Form.Asks, p.Form.Refused = p.Objections, true, "It can be done all the same. The reason is kept in the history."
	}
	s.ways(r, p)
	p.Scan.Away = p.Act == views.ActHold && p.Form != nil && !p.Form.Returned()
	var err error
	p.Scan.Action, p.Scan.Hint = views.StationOf(p.Insert.Insert)+"/scan", views.ScanHint(p.Act)
	if p.Form != nil && p.Form.Reading == nil {
		p.Form.ID, p.Scan.Form = "act", "act"
		p.Besides = besides(p.Act, *p.Form)
		p.Known, err = s.knownOf(r, p.Form.Values)
	} else {
		p.Scan.Keep = carried(r.Form)
		p.Known, err = s.knownOf(r, r.Form)
	}
	return err
}

// instructed asks for the instruction in the place of a new form, or offers to
// say that it was read beside it.
func (s *Server) instructed(r *http.Request, p *views.Work, a act, sent bool) error {
	v := visitorOf(r)
	if p.Instruction.Instruction == "" || a.operation == "" || v.Station.Station == "" || p.Auditing() || p.Corrected != "" {
		return nil
	}
	to := views.ActOf(p.Insert.Insert, a.name)
	if r.Method == http.MethodGet {
		to = r.URL.RequestURI() // with what was scanned for it
	}
	if !sent {
		if err := s.askRead(r, p.Form, a.operation, to); err != nil {
			return err
		}
	}
	if p.Form.Reading != nil {
		p.Objections = slices.DeleteFunc(slices.Clone(p.Objections), unread)
	}
	read, err := s.store.HasRead(r.Context(), p.Instruction, v.Person.Badge)
	if err == nil && !read {
		f := blank("", "")
		p.ToRead, p.Here = &f, to
	}
	return err
}

// another gives a form an id of its own where the act in its address was
// refused: that attempt is over, and the next one is judged anew.
func (s *Server) another(r *http.Request, f *views.Form) error {
	id, err := uuid.Parse(f.Command)
	if err != nil || r.FormValue("command") == "" {
		f.Command = blank("", "").Command
		return nil
	}
	e, err := s.store.EntryOf(r.Context(), id)
	if errors.Is(err, shop.ErrNotFound) {
		return nil
	}
	if _, no := e.Event.(shop.GateRefused); no {
		f.Command = blank("", "").Command
	}
	return err
}

// besides are the fields of what was scanned and is not asked for by an act.
func besides(act string, f views.Form) []string {
	asked := map[string]bool{"place": act == views.ActFit || act == views.ActStock, "shelf": act == views.ActDryingStart}
	for _, field := range takes[act] {
		asked[field] = true
	}
	var fields []string
	for _, k := range knownFields {
		if f.Value(k.field) != "" && !asked[k.field] {
			fields = append(fields, k.field)
		}
	}
	return fields
}

// blankAct is a new form of an act, with what was scanned for it.
func blankAct(r *http.Request, p views.Work, a act) views.Form {
	f := blank("", views.StationOf(p.Insert.Insert)+"/"+a.name)
	f.ID = "act"
	for field, list := range carried(r.Form) {
		f.Values[field] = list
	}
	if id := f.Value("command"); id != "" && (r.FormValue("act") == a.name || r.FormValue("act") == "") {
		f.Command = id // the same act once more, as it stands in the address
	}
	f.Values.Del("command")
	f.Values.Set("act", a.name)
	if next, ok := p.Insert.Next(); ok && (a.name == views.ActPause || a.name == views.ActGoOn) {
		f.Values.Set("operation", next.Operation)
	}
	if f.Value("corrects") != "" { // what is put right is filled in, not what would come next
		return f
	}
	switch at := visitorOf(r).Station; a.name {
	case views.ActPrintStart:
		proposed(&f, "machine", at.Equipment)
	case views.ActDryingStart, views.ActTemperingStart:
		if at.Operation == a.operation {
			proposed(&f, "oven", at.Equipment)
		}
	case views.ActGreen:
		proposed(&f, "axis", nextAxis(p))
	case views.ActFit:
		proposed(&f, "shows", "the fit as found")
	case views.ActResult:
		proposed(&f, "characteristic", p.Unread())
		if step, _ := p.Insert.StepOf(shop.OpInspect); step.State == shop.Todo || step.State == shop.Started {
			proposed(&f, "purpose", "inspection")
		}
	}
	return f
}

// nextAxis is the first axis that has no green size yet; "" once each has one.
func nextAxis(p views.Work) string {
	for _, axis := range shop.Axes {
		if !slices.ContainsFunc(p.Greens, func(g shop.GreenSize) bool { return g.Axis == axis }) {
			return axis
		}
	}
	return ""
}

// proposed sets a field that neither a scan nor a person has filled in.
func proposed(f *views.Form, field, value string) {
	if !f.Values.Has(field) {
		f.Values.Set(field, value)
	}
}

// offered reads what a form offers to choose from.
func (s *Server) offered(r *http.Request, p *views.Work) error {
	var err error
	switch p.Act {
	case views.ActPrintStart:
		p.Machines, err = s.store.Machines(r.Context())
	case views.ActPaste:
		if p.Release.Lot == "" {
			return nil
		}
		if p.Lot, err = s.store.Lot(r.Context(), p.Release.Lot); err != nil {
			return err
		}
		if p.Expected, err = s.store.Expected(r.Context(), p.Insert, p.Lot); err != nil {
			return err
		}
		for _, lot := range p.Release.Lots() {
			boxes, err := s.containersOf(r, lot)
			if err != nil {
				return err
			}
			p.Containers = append(p.Containers, boxes...)
		}
	case views.ActLayers:
		return s.spindle(r, p)
	case views.ActDryingStart:
		p.Ovens, err = s.store.Ovens(r.Context())
	case views.ActTemperingStart:
		if p.Ovens, err = s.store.Ovens(r.Context()); err == nil {
			p.Recipes, err = s.store.Recipes(r.Context())
		}
	case views.ActLoadBegin:
		if p.Furnaces, err = s.store.Furnaces(r.Context()); err == nil {
			p.Recipes, err = s.store.Recipes(r.Context())
		}
	case views.ActResult, views.ActWeigh, views.ActGreen, views.ActCheck:
		p.Gauges, err = s.store.Gauges(r.Context())
	case views.ActFit:
		p.Moulds, err = s.store.Moulds(r.Context())
	case views.ActHold:
		var number string
		number, err = s.store.NextNumber(r.Context(), "hold", "H-")
		p.Form.Values.Set("hold", number)
	}
	return err
}

// spindle proposes the cutter that is in the machine.
func (s *Server) spindle(r *http.Request, p *views.Work) error {
	cutters, err := s.store.Cutters(r.Context())
	for _, c := range cutters {
		if c.RemovedAt.IsZero() && c.Machine == p.Release.Machine && !p.Form.Values.Has("cutter") {
			p.Form.Values.Set("cutter", c.Cutter)
		}
	}
	return err
}

// correcting fills a new form with the record that it is to put right.
func correcting(p *views.Work, sent bool) error {
	text := p.Form.Value("corrects")
	if text == "" {
		return nil
	}
	seq, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return shop.Wrong("corrects", "%q is not the number of an entry.", text)
	}
	was, values, err := recordOf(*p, seq)
	if err != nil {
		return err
	}
	p.Corrected = was
	for field, v := range values {
		if !sent {
			proposed(p.Form, field, v)
		}
	}
	return nil
}

// recordOf is a record that can be corrected: in words, and as its form had it.
func recordOf(p views.Work, seq int64) (words string, values map[string]string, err error) {
	switch p.Act {
	case views.ActPaste:
		words, values = drawAsTyped(p, seq)
	case views.ActResult:
		words, values = resultAsTyped(p, seq)
	case views.ActGreen:
		words, values = greenAsTyped(p, seq)
	case views.ActFit:
		words, values = fitAsTyped(p, seq)
	}
	if words == "" {
		return "", nil, shop.NotFound("entry to correct", strconv.FormatInt(seq, 10))
	}
	return words, values, nil
}

// ways adds the other acts and the page on which the next one is done.
func (s *Server) ways(r *http.Request, p *views.Work) {
	if p.Auditing() {
		return
	}
	insert := p.Insert.Insert
	for _, name := range suited(*p) {
		if name != p.Act || p.Corrected != "" {
			text := views.ActTitle(name)
			if p.Elsewhere != "" {
				text += " here all the same"
			}
			p.Others = append(p.Others, views.Link{Href: views.ActOf(insert, name), Text: text})
		}
	}
	next, open := p.Insert.Next()
	open = open && !p.Insert.Done
	if open && next.State == shop.Todo && (next.Optional || s.permitted(r, insert, shop.StepOptional.Name, next.Operation)) {
		p.Others = append(p.Others, views.Link{Href: views.PageOf("insert", insert) + "/leave-out", Text: "Leave out " + next.Operation})
	}
	if step, _ := p.Insert.StepOf(shop.OpInspect); step.State == shop.Finished && p.Act != views.ActResult {
		p.Others = append(p.Others, views.Link{Href: views.ActOf(insert, views.ActResult), Text: "Measure again, or correct"})
	}
	if step, _ := p.Insert.StepOf(shop.OpFit); step.State == shop.Finished && p.Act != views.ActFit {
		for _, n := range p.Fits {
			if n.CorrectedBy == 0 {
				p.Others = append(p.Others, views.Link{Href: p.Correct(views.ActFit, n.Seq), Text: "Correct the fit note"})
			}
		}
	}
	if p.Insert.Status == shop.StatusDried && p.Act != views.ActGreen && s.may(r, shop.GreenMeasured{}, shop.OpDry) {
		p.Others = append(p.Others, views.Link{Href: views.ActOf(insert, views.ActGreen), Text: views.ActTitle(views.ActGreen)})
	}
	if step, _ := p.Insert.StepOf(shop.OpSinter); step.State == shop.Finished && p.Insert.Marked == "" && !p.Insert.Done && p.Act != views.ActMark && s.may(r, shop.InsertMarked{}, "") {
		p.Others = append(p.Others, views.Link{Href: views.ActOf(insert, views.ActMark), Text: views.ActTitle(views.ActMark)})
	}
	if p.Insert.Green() && p.Insert.Carrier != "" && p.Act != views.ActCarrier && s.may(r, shop.CarrierChanged{}, "") {
		p.Others = append(p.Others, views.Link{Href: views.ActOf(insert, views.ActCarrier), Text: views.ActTitle(views.ActCarrier)})
	}
	if next.State == shop.Started && !p.Insert.Done && s.may(r, shop.StepPaused{}, "") {
		if !p.Insert.Paused() && p.Act != views.ActPause {
			p.Others = append(p.Others, views.Link{Href: views.ActOf(insert, views.ActPause), Text: views.ActTitle(views.ActPause)})
		}
	}
	if p.Act != views.ActPhoto && p.Act != views.ActFit && s.may(r, shop.DocumentAdded{}, "") {
		p.Others = append(p.Others, views.Link{Href: views.ActOf(insert, views.ActPhoto), Text: views.ActTitle(views.ActPhoto)})
	}
	held := slices.ContainsFunc(p.Standing(), func(h shop.Hold) bool { return h.OnKind == "insert" })
	if p.Act != views.ActHold && !held && s.may(r, shop.HoldSet{}, "") {
		p.Others = append(p.Others, views.Link{Href: views.ActOf(insert, views.ActHold), Text: views.ActTitle(views.ActHold)})
	}
	if open && p.Act == "" && p.Elsewhere == "" && len(p.Standing()) == 0 {
		p.Go = goOn(p.Insert, next.Operation)
	}
}

// goOn is the page on which the next act is done, where that is no station.
func goOn(i shop.Insert, operation string) *views.Link {
	switch {
	case operation == shop.OpRelease:
		return &views.Link{Href: views.PageOf("insert", i.Insert) + "/release", Text: "Assign its release"}
	case operation == shop.OpSinter && i.Load != "":
		return &views.Link{Href: views.PageOf("load", i.Load), Text: "Open load " + i.Load}
	case operation == shop.OpSinter:
		return &views.Link{Href: "/loads", Text: "Place it in a load"}
	case operation == shop.OpDeliver && i.Mould != "":
		return &views.Link{Href: views.PageOf("mould", i.Mould), Text: "Deliver it with mould " + i.Mould}
	}
	return nil
}
