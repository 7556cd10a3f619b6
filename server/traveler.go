package server

import (
	"errors"
	"net/http"
	"net/url"
	"slices"

	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) travelerRoutes(r chi.Router) {
	r.Get("/inserts/{insert}", s.page(s.traveler))
	r.Get("/inserts/{insert}/release", s.page(s.assignForm))
	r.Post("/inserts/{insert}/release", s.page(s.assign))
	r.Get("/inserts/{insert}/leave-out", s.page(s.leaveOutForm))
	r.Post("/inserts/{insert}/leave-out", s.page(s.leaveOut))
}

// traveler answers GET /inserts/{insert}.
func (s *Server) traveler(w http.ResponseWriter, r *http.Request) error {
	p, err := s.travelerPage(r)
	if err != nil {
		return err
	}
	for _, read := range []func(*http.Request, *views.Traveler) error{s.inspected, s.printed, s.heated, s.fitted, s.stopped, s.pictured} {
		if err := read(r, &p); err != nil {
			return err
		}
	}
	p.Print, p.Address = r.FormValue("print") == "1", s.addressOf(r, string(p.Insert.Code))
	p.Acts = s.travelerActs(r, p)
	return show(w, r, http.StatusOK, views.TravelerPage(p))
}

// travelerPage reads what an insert is: its design, order and release.
func (s *Server) travelerPage(r *http.Request) (views.Traveler, error) {
	return s.travelerOf(r, pathWord(r, "insert"))
}

func (s *Server) travelerOf(r *http.Request, insert string) (views.Traveler, error) {
	ctx := r.Context()
	p := views.Traveler{Frame: s.frame(r, ""), At: s.now(), Reasons: map[int64]string{}}
	var err error
	if p.Insert, err = s.store.Insert(ctx, insert); err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(ctx); err != nil {
		return p, err
	}
	if p.Design, err = s.store.Design(ctx, p.Insert.Design, p.Insert.Revision); err != nil {
		return p, err
	}
	if p.Order, err = s.store.Order(ctx, p.Insert.Order); err != nil || p.Insert.Release == "" {
		return p, err
	}
	if p.Release, err = s.store.ReleaseOf(ctx, p.Insert); err != nil {
		return p, err
	}
	for _, lot := range p.Release.Lots() {
		factors, err := s.store.Factors(ctx, lot)
		if err != nil {
			return p, err
		}
		p.Factors = append(p.Factors, factors...)
	}
	p.Others, err = s.store.AllFactors(ctx)
	return p, err
}

// inspected reads the measured values.
func (s *Server) inspected(r *http.Request, p *views.Traveler) error {
	results, err := s.store.Results(r.Context(), p.Insert.Insert)
	if err != nil {
		return err
	}
	for _, result := range results {
		if err := s.reason(r, p, result.CorrectedBy); err != nil {
			return err
		}
	}
	p.Sizes = views.SizesOf(p.Design, results, p.Reasons)
	return nil
}

// reason reads why an entry took the place of another.
func (s *Server) reason(r *http.Request, p *views.Traveler, seq int64) error {
	if seq == 0 {
		return nil
	}
	by, err := s.store.Entry(r.Context(), seq)
	p.Reasons[seq] = by.Reason
	return err
}

// printed reads what was recorded while it was printed.
func (s *Server) printed(r *http.Request, p *views.Traveler) error {
	pr, err := s.store.Print(r.Context(), p.Insert.Insert)
	if errors.Is(err, shop.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	given, err := pr.Given()
	if err != nil {
		return err
	}
	p.Prints = []views.PrintRecord{{Release: pr.Release, Machine: pr.Machine, Given: given, Carrier: pr.Carrier, ProgramHash: pr.ProgramHash, KX: pr.KX, KY: pr.KY, KZ: pr.KZ,
		Layers: pr.Layers, LayersDone: pr.LayersDone, Plate: pr.Plate, Printed: pr.Printed,
		Began: pr.StartedAt.Time, Ended: pr.FinishedAt.Time, BeganBy: pr.StartedBy, EndedBy: pr.FinishedBy}}
	draws, err := s.store.Draws(r.Context(), p.Insert.Insert)
	if err != nil {
		return err
	}
	for _, d := range draws {
		p.Draws = append(p.Draws, drawRecord(d))
		if err := s.reason(r, p, d.CorrectedBy); err != nil {
			return err
		}
	}
	if p.LotChanges, err = s.store.LotChanges(r.Context(), p.Insert.Insert); err != nil {
		return err
	}
	layers, err := s.store.Layers(r.Context(), p.Insert.Insert)
	for _, l := range layers {
		p.Layers = append(p.Layers, views.LayerRecord{LayersMade: l.LayersMade, At: l.At.Time, By: l.By})
	}
	return err
}

// heated reads final drying, the furnace loads and tempering, of every pass.
func (s *Server) heated(r *http.Request, p *views.Traveler) error {
	ctx, insert := r.Context(), p.Insert.Insert
	dryings, err := s.store.Dryings(ctx, insert)
	if err != nil {
		return err
	}
	for _, d := range dryings {
		p.Drying = append(p.Drying, views.DryingRecord{Oven: d.Oven, Shelf: d.Shelf, Air: d.Air, Wet: d.Wet, Dry: d.Dry, Loss: d.Loss,
			Began: d.StartedAt.Time, Ended: d.FinishedAt.Time, BeganBy: d.StartedBy, EndedBy: d.FinishedBy})
	}
	if p.Weighings, err = s.store.Weighings(ctx, insert); err != nil {
		return err
	}
	if p.Greens, err = s.store.GreenSizes(ctx, insert); err != nil {
		return err
	}
	if p.Insert.Green() && len(p.Greens) > 0 {
		if p.Forecasts, p.LeastChance, err = s.store.Forecasts(ctx, insert, p.At); err != nil {
			return err
		}
	}
	if p.Load, err = s.store.LoadsOf(ctx, insert); err != nil {
		return err
	}
	temperings, err := s.store.Temperings(ctx, insert)
	for _, t := range temperings {
		p.Tempering = append(p.Tempering, views.TemperingRecord{Recipe: t.Recipe, Oven: t.Oven, Began: t.StartedAt.Time, Ended: t.FinishedAt.Time, BeganBy: t.StartedBy, EndedBy: t.FinishedBy})
	}
	return err
}

// fitted reads the toolmaker's notes.
func (s *Server) fitted(r *http.Request, p *views.Traveler) error {
	var err error
	if p.Fits, err = s.store.Fits(r.Context(), p.Insert.Insert); err != nil {
		return err
	}
	for _, n := range p.Fits {
		if err := s.reason(r, p, n.CorrectedBy); err != nil {
			return err
		}
	}
	return nil
}

// pictured reads the photos and papers.
func (s *Server) pictured(r *http.Request, p *views.Traveler) (err error) {
	p.Documents, err = s.store.DocumentsOn(r.Context(), "insert", p.Insert.Insert)
	return err
}

// stopped reads the holds that a gate would name, those that are over, and
// what gates said no to.
func (s *Server) stopped(r *http.Request, p *views.Traveler) error {
	i := p.Insert
	things := [][2]string{{"insert", i.Insert}, {"load", i.Load}, {"mould", i.Mould}}
	for _, lot := range p.Release.Lots() {
		things = append(things, [2]string{"lot", lot})
	}
	for _, on := range things {
		if on[1] == "" {
			continue
		}
		if p.Live != "" {
			p.Live += "&held=" + url.QueryEscape(shop.Subject(on[0], on[1]))
		}
		holds, err := s.store.HoldsOn(r.Context(), on[0], on[1])
		if err != nil {
			return err
		}
		p.Holds = append(p.Holds, holds...)
	}
	var err error
	if p.Nonconformances, err = s.store.NonconformancesOn(r.Context(), i.Insert); err != nil {
		return err
	}
	refused, err := s.store.Refusals(r.Context(), shop.Subject("insert", i.Insert))
	for _, no := range refused {
		p.Refusals = append(p.Refusals, views.Refusal{Seq: no.Seq, Tried: no.Tried, Gate: no.Gate, Why: no.Why, At: no.At.Time, By: no.By, Station: no.Station})
	}
	return err
}

// travelerActs are the acts that the visitor may do from here, the next one
// first.
func (s *Server) travelerActs(r *http.Request, p views.Traveler) []views.Link {
	if p.Print {
		return nil
	}
	i, here := p.Insert, views.PageOf("insert", p.Insert.Insert)
	next, goes := i.Next()
	goes = goes && !i.Done && len(p.Standing()) == 0
	var acts []views.Link
	switch {
	case goes && next.Operation == shop.OpRelease && s.may(r, shop.ReleaseAssigned{}, shop.OpRelease):
		acts = append(acts, views.Link{Href: here + "/release", Text: "Assign a release", Here: true})
	case goes && next.Operation != shop.OpRelease && s.may(r, shop.StepLeftOut{}, next.Operation):
		acts = append(acts, views.Link{Href: "/station/" + url.PathEscape(i.Insert), Text: "Go on at the station", Here: true})
	}
	if goes && next.State == shop.Todo && s.may(r, shop.StepLeftOut{}, next.Operation) && (next.Optional || s.permitted(r, i.Insert, shop.StepOptional.Name, next.Operation)) {
		acts = append(acts, views.Link{Href: here + "/leave-out", Text: "Leave out " + next.Operation})
	}
	if len(p.Sizes) > 0 && slices.ContainsFunc(p.Sizes, views.Size.Read) {
		acts = append(acts, views.Link{Href: here + "/certificate", Text: "Certificate for the customer"})
	}
	acts = append(acts, views.Link{Href: views.TraceOf("insert", i.Insert), Text: "Trace it"}, views.Link{Href: views.LabelOf("insert", i.Insert), Text: "Print its label"})
	if i.Status == shop.StatusDelivered && s.may(r, shop.InsertReturned{}, "") {
		acts = append(acts, views.Link{Href: "/new/return?insert=" + url.QueryEscape(i.Insert), Text: "Record that it came back"})
	}
	if s.may(r, shop.NonconformanceRaised{}, "") && !i.Done {
		acts = append(acts, views.Link{Href: "/new/nonconformance?insert=" + url.QueryEscape(i.Insert), Text: "Raise a nonconformance"})
	}
	if s.may(r, shop.DocumentAdded{}, "") {
		acts = append(acts, views.Link{Href: views.NewDocumentOn("insert", i.Insert), Text: "Add a photo or a paper"})
	}
	if i.Status == shop.StatusPrinting && s.may(r, shop.LotChanged{}, "") {
		acts = append(acts, views.Link{Href: "/new/lot-change?insert=" + url.QueryEscape(i.Insert), Text: "Sign a change of lot"})
	}
	if s.may(r, shop.PermitGiven{}, "") && !i.Done {
		acts = append(acts, views.Link{Href: "/new/permit?insert=" + url.QueryEscape(i.Insert), Text: "Permit a deviation"})
	}
	if s.may(r, shop.HoldSet{}, "") {
		acts = append(acts, views.Link{Href: "/holds?on_kind=insert&on_code=" + url.QueryEscape(i.Insert) + "#hold", Text: "Hold this insert"})
	}
	if open(i, true) == nil && s.may(r, shop.InsertScrapped{}, "") {
		acts = append(acts, views.Link{Href: here + "/scrap", Text: "Scrap it"})
	}
	return acts
}

// may reports whether it is the visitor's work to record an event, and, where
// an operation is named, whether they are authorised for it today.
func (s *Server) may(r *http.Request, e shop.Event, operation string) bool {
	p := visitorOf(r).Person
	if p.Badge == "" || p.MayRecord(e) != nil {
		return false
	}
	zone, err := s.zone(r.Context())
	return err == nil && (operation == "" || p.MayDo(operation, shop.DayOf(s.now(), zone)))
}

// assignForm answers GET /inserts/{insert}/release.
func (s *Server) assignForm(w http.ResponseWriter, r *http.Request) error {
	p, err := s.assignPage(r)
	if err != nil {
		return err
	}
	p.Form = blank("", p.Action())
	if err := s.askRead(r, &p.Form, shop.OpRelease, r.URL.RequestURI()); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.AssignPage(p))
}

// assign answers POST /inserts/{insert}/release.
func (s *Server) assign(w http.ResponseWriter, r *http.Request) error {
	p, err := s.assignPage(r)
	if err != nil {
		return err
	}
	if p.Form, err = typed(r, "", p.Action()); err != nil {
		return err
	}
	ok, err := s.record(r, &p.Form, shop.ReleaseAssigned{Insert: p.Insert.Insert, Release: p.Form.Value("release")})
	if err != nil {
		return err
	}
	if !ok {
		return show(w, r, statusOf(p.Form), views.AssignPage(p))
	}
	return seeOther(w, r, views.PageOf("insert", p.Insert.Insert), p.Insert.Insert+" is to be printed by release "+p.Form.Value("release")+".")
}

func (s *Server) assignPage(r *http.Request) (views.Assign, error) {
	if err := visitorOf(r).Person.MayRecord(shop.ReleaseAssigned{}); err != nil {
		return views.Assign{}, err
	}
	t, err := s.travelerPage(r)
	if err != nil {
		return views.Assign{}, err
	}
	if err := open(t.Insert, false); err != nil {
		return views.Assign{}, err
	}
	p := views.Assign{Frame: t.Frame, Insert: t.Insert, Design: t.Design, Now: s.now()}
	p.Releases, err = s.store.ReleasesOf(r.Context(), t.Insert.Design, t.Insert.Revision)
	return p, err
}

// open refuses a form about the route of an insert that is at its end. One in
// stock can still be scrapped.
func open(i shop.Insert, scraps bool) error {
	if !i.Done || scraps && i.Status == shop.StatusStock {
		return nil
	}
	return &shop.Refusal{Kind: shop.ErrConflict, Why: i.Insert + " is " + i.Status + ": its route is at its end."}
}

// leaveOutForm answers GET /inserts/{insert}/leave-out.
func (s *Server) leaveOutForm(w http.ResponseWriter, r *http.Request) error {
	p, err := s.leaveOutPage(r)
	if err != nil {
		return err
	}
	p.Form = blank("", p.Action())
	return show(w, r, http.StatusOK, views.LeaveOutPage(p))
}

// leaveOut answers POST /inserts/{insert}/leave-out.
func (s *Server) leaveOut(w http.ResponseWriter, r *http.Request) error {
	p, err := s.leaveOutPage(r)
	if err != nil {
		return err
	}
	if p.Form, err = typed(r, "", p.Action()); err != nil {
		return err
	}
	op := p.Form.Value("operation")
	if p.Form.Value("reason") == "" {
		p.Form.Wrong = map[string]string{"reason": "The reason for leaving the operation out is missing."}
		return show(w, r, statusOf(p.Form), views.LeaveOutPage(p))
	}
	ok, err := s.record(r, &p.Form, shop.StepLeftOut{Insert: p.Insert.Insert, Op: op})
	if err != nil {
		return err
	}
	if !ok {
		return show(w, r, statusOf(p.Form), views.LeaveOutPage(p))
	}
	return seeOther(w, r, views.PageOf("insert", p.Insert.Insert), views.OperationName(op)+" of "+p.Insert.Insert+" was left out.")
}

func (s *Server) leaveOutPage(r *http.Request) (views.LeaveOut, error) {
	if err := visitorOf(r).Person.MayRecord(shop.StepLeftOut{}); err != nil {
		return views.LeaveOut{}, err
	}
	t, err := s.travelerPage(r)
	if err != nil {
		return views.LeaveOut{}, err
	}
	if err := open(t.Insert, false); err != nil {
		return views.LeaveOut{}, err
	}
	p := views.LeaveOut{Frame: t.Frame, Insert: t.Insert, Design: t.Design}
	if next, ok := t.Insert.Next(); ok && next.Optional && next.State == shop.Todo {
		p.Operation = next.Operation
	}
	return p, nil
}
