package server

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// factorRoutes are the pages about factors that are proposed.
func (s *Server) factorRoutes(r chi.Router) {
	offer(s, r, s.newFactor())
	offer(s, r, s.newLotChange())
	r.Get("/factors/{factor}", s.page(s.factor))
	r.Post("/factors/{factor}/approve", s.page(s.approveFactor))
	r.Post("/factors/{factor}/drop", s.page(s.dropFactor))
}

// lineColumns are the columns of a proposal's lines beside the axis.
var lineColumns = []string{"s", "k", "method", "low", "high", "n", "taken_from"}

// newFactor is the form that proposes factors of a lot.
func (s *Server) newFactor() making[shop.FactorProposed] {
	return making[shop.FactorProposed]{
		path: "/new/factor", start: s.proposeFactor, more: moreLines, read: s.factorProposed, page: s.newFactorPage,
		made: func(e shop.FactorProposed) (to, notice string) {
			return views.FactorHref(e.Proposal), "Proposal " + e.Proposal + " waits for a second person."
		},
	}
}

// proposeFactor takes what the address names: the lot, and factors that a page
// worked out. Else there is a line for each axis.
func (s *Server) proposeFactor(r *http.Request, f *views.Form) error {
	number, err := s.store.NextNumber(r.Context(), "factor", "FA-")
	if err != nil {
		return err
	}
	f.Values.Set("proposal", number)
	for field, values := range r.URL.Query() {
		if field == "lot" || field == "basis" || field == "evidence" || strings.HasPrefix(field, "lines.") {
			f.Values.Set(field, values[0])
		}
	}
	for n, axis := range shop.Axes {
		if at := views.Cell("lines", n+1, ""); !r.URL.Query().Has("lines.1") {
			f.Values.Set(at, axis)
		}
	}
	return nil
}

// factorProposed reads the lines of a proposal. A line that has nothing but its
// axis is none.
func (s *Server) factorProposed(r *http.Request, f *views.Form) (shop.FactorProposed, error) {
	for n := 1; n <= linesAtMost; n++ {
		if !slices.ContainsFunc(lineColumns, func(c string) bool { return strings.TrimSpace(f.Value(views.Cell("lines", n, c))) != "" }) {
			f.Values.Del(views.Cell("lines", n, ""))
		}
	}
	said := shop.Fields{}
	e := shop.FactorProposed{Proposal: strings.TrimSpace(f.Value("proposal")), Lot: f.Value("lot"), Basis: strings.TrimSpace(f.Value("basis")), Evidence: strings.TrimSpace(f.Value("evidence"))}
	filled := closeUp(f, "lines", lineColumns...)
	for n := range filled {
		e.Lines = append(e.Lines, proposedLine(said, f, n+1))
	}
	for _, axis := range shop.Axes { // the others wait for what is said of them, as before
		if !slices.ContainsFunc(e.Lines, func(l shop.ProposedFactor) bool { return l.Axis == axis }) {
			filled++
			f.Values.Set(views.Cell("lines", filled, ""), axis)
		}
	}
	return e, s.namedSlips(r, said, e)
}

func proposedLine(said shop.Fields, f *views.Form, n int) shop.ProposedFactor {
	at := func(column string) string { return views.Cell("lines", n, column) }
	l := shop.ProposedFactor{Axis: f.Value(at("")), Method: f.Value(at("method")), TakenFrom: f.Value(at("taken_from")),
		S: said.Read(at("s"), f.Value(at("s")), "%", shop.Percentage), K: said.Read(at("k"), f.Value(at("k")), "1", shop.Ratio),
		Low: said.Read(at("low"), f.Value(at("low")), "%", shop.Percentage), High: said.Read(at("high"), f.Value(at("high")), "%", shop.Percentage)}
	if strings.TrimSpace(f.Value(at("n"))) != "" {
		l.N = countOf(said, f, at("n"), "The number of measurements")
	}
	return l
}

// namedSlips adds to what is wrong by itself what only the book knows: a factor
// that does not follow from its shrinkage, and is another axis's or another
// lot's.
func (s *Server) namedSlips(r *http.Request, said shop.Fields, e shop.FactorProposed) error {
	wrong := shop.Fields{}
	if err := wrong.Take(e.Valid()); err != nil {
		return err
	}
	all, err := s.store.AllFactors(r.Context())
	if err != nil {
		return err
	}
	for n, l := range e.Lines {
		at := views.Cell("lines", n+1, "k")
		if wrong[at] == "" || said[at] != "" {
			continue
		}
		if slip := l.Slip(e.Lot, shop.InForce(all, s.now())); slip != "" {
			said.Say(at, "The factor in %s is %s. %s", l.Axis, l.K, slip)
		}
	}
	return said.Err()
}

func (s *Server) newFactorPage(r *http.Request, f views.Form) (templ.Component, error) {
	p := views.NewFactor{New: views.New{Frame: s.frame(r, "/lots"), Form: f}}
	var err error
	if p.Lots, err = s.store.Lots(r.Context()); err != nil {
		return nil, err
	}
	factors, err := s.store.Factors(r.Context(), f.Value("lot"))
	if err != nil {
		return nil, err
	}
	p.InForce = shop.InForce(factors, s.now())
	if lot := f.Value("lot"); lot != "" {
		p.Fit, err = s.store.LotFit(r.Context(), lot, s.now())
	}
	return views.NewFactorPage(p), err
}

// factor answers GET /factors/{factor}.
func (s *Server) factor(w http.ResponseWriter, r *http.Request) error {
	p, err := s.factorPage(r)
	if err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.FactorPageOf(p))
}

// factorPage reads a proposal, what it does, and the forms that end it.
func (s *Server) factorPage(r *http.Request) (views.FactorPage, error) {
	ctx := r.Context()
	p := views.FactorPage{Frame: s.frame(r, "/lots"), Now: s.now()}
	var err error
	if p.Proposal, err = s.store.Proposal(ctx, pathWord(r, "factor")); err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(ctx); err != nil {
		return p, err
	}
	all, err := s.store.AllFactors(ctx)
	if err != nil {
		return p, err
	}
	for _, f := range shop.InForce(all, p.Now) {
		if f.Lot == p.Proposal.Lot {
			p.InForce = append(p.InForce, f)
		} else {
			p.Others = append(p.Others, f)
		}
	}
	if err := s.against(r, &p); err != nil {
		return p, err
	}
	if p.Proposal.State != shop.Waiting {
		return p, nil
	}
	if p.Touched, err = s.touched(r, p.Proposal.Lot, p.Proposal.Factors(p.Now)); err != nil {
		return p, err
	}
	if p.Greens, err = s.greens(r, p.Proposal.Lot, p.Proposal.Factors(p.Now)); err != nil {
		return p, err
	}
	at, badge := views.FactorHref(p.Proposal.Proposal), visitorOf(r).Person.Badge
	if s.may(r, shop.FactorApproved{}, "") && p.Proposal.Decidable(badge, shop.Approved) == nil {
		f := blank("approve", at+"/approve")
		p.Approve = &f
	}
	p.DropAs = droppedAs(p.Proposal, badge)
	if s.may(r, shop.FactorProposalDropped{}, "") {
		f := blank("drop", at+"/drop")
		p.Drop = &f
	}
	return p, nil
}

// against reads what the lengths of the lot say of a proposal, or said when it
// was decided, and why it was proposed against them.
func (s *Server) against(r *http.Request, p *views.FactorPage) (err error) {
	at := p.Now
	if p.Proposal.State != shop.Waiting {
		at = p.Proposal.DecidedAt
	}
	if p.Fit, err = s.store.LotFit(r.Context(), p.Proposal.Lot, at); err != nil {
		return err
	}
	e, err := s.store.Entry(r.Context(), p.Proposal.Seq)
	p.Answer = e.Answers[shop.MeasuredAsBook.Name]
	return err
}

// touched reads what factors do to the open releases of a lot.
func (s *Server) touched(r *http.Request, lot string, more []shop.Factor) ([]views.TouchedRelease, error) {
	all, err := s.store.Touched(r.Context(), lot, more)
	var lines []views.TouchedRelease
	for _, t := range all {
		lines = append(lines, views.TouchedRelease{Release: t.Release, Shifts: t.Shifts, Inserts: t.Inserts, Coupons: t.Coupons})
	}
	return lines, err
}

// greens reads what factors mean for what was printed of a lot and is not
// sintered yet.
func (s *Server) greens(r *http.Request, lot string, more []shop.Factor) ([]views.GreenInsert, error) {
	all, err := s.store.GreenInserts(r.Context(), lot, more)
	var lines []views.GreenInsert
	for _, g := range all {
		lines = append(lines, views.GreenInsert{Insert: g.Insert, Given: g.Given, Shifts: g.Shifts})
	}
	return lines, err
}

// approveFactor answers POST /factors/{factor}/approve.
func (s *Server) approveFactor(w http.ResponseWriter, r *http.Request) error {
	p, err := s.factorPage(r)
	if err != nil {
		return err
	}
	number := p.Proposal.Proposal
	f, err := typed(r, "approve", views.FactorHref(number)+"/approve")
	if err != nil {
		return err
	}
	ok, err := s.recordSigned(r, &f, shop.FactorApproved{Proposal: number, Lot: p.Proposal.Lot}, views.MeaningOfApproval)
	if err != nil {
		return err
	}
	if !ok {
		p.Approve = &f
		return show(w, r, statusOf(f), views.FactorPageOf(p))
	}
	return seeOther(w, r, views.PageOf("lot", p.Proposal.Lot), "The factors of "+number+" are in force from now on.")
}

// droppedAs is what becomes of a proposal that somebody drops: who made it
// withdraws it.
func droppedAs(p shop.Proposal, badge string) string {
	if badge == p.By {
		return shop.Withdrawn
	}
	return shop.Refused
}

// dropFactor answers POST /factors/{factor}/drop.
func (s *Server) dropFactor(w http.ResponseWriter, r *http.Request) error {
	p, err := s.factorPage(r)
	if err != nil {
		return err
	}
	number := p.Proposal.Proposal
	f, err := typed(r, "drop", views.FactorHref(number)+"/drop")
	if err != nil {
		return err
	}
	how := droppedAs(p.Proposal, visitorOf(r).Person.Badge)
	ok, err := s.record(r, &f, shop.FactorProposalDropped{Proposal: number, Lot: p.Proposal.Lot, How: how, Why: strings.TrimSpace(f.Value("why"))})
	if err != nil {
		return err
	}
	if !ok {
		p.Drop = &f
		return show(w, r, statusOf(f), views.FactorPageOf(p))
	}
	return seeOther(w, r, views.FactorHref(number), "Proposal "+number+" was "+how+".")
}

// factorSheet reads what a lot's page says of its factors.
func (s *Server) factorSheet(r *http.Request, lot string, zone *time.Location) (views.FactorSheet, error) {
	ctx, of := r.Context(), "?lot="+url.QueryEscape(lot)
	p := views.FactorSheet{Lot: lot, Now: s.now(), Zone: zone}
	p.Acts = s.allowed(r, form{"/new/factor" + of, "Propose factors", shop.FactorProposed{}})
	var err error
	if p.Factors, err = s.store.Factors(ctx, lot); err != nil {
		return p, err
	}
	if p.Proposals, err = s.store.Proposals(ctx, lot); err != nil {
		return p, err
	}
	if p.Measured, err = s.store.AxesMeasured(ctx, lot); err != nil {
		return p, err
	}
	if p.Touched, err = s.touched(r, lot, nil); err != nil {
		return p, err
	}
	p.Greens, err = s.greens(r, lot, nil)
	return p, err
}

// newCertificate is the form for the maker's certificate of a lot.
func (s *Server) newCertificate() making[shop.CertificateEntered] {
	return making[shop.CertificateEntered]{
		path:  "/new/certificate",
		start: startsWith("lot"),
		more:  moreLines,
		read: func(_ *http.Request, f *views.Form) (shop.CertificateEntered, error) {
			e := shop.CertificateEntered{Lot: f.Value("lot")}
			said := shop.Fields{}
			for n := range closeUp(f, "lines", "value", "unit", "lower", "upper") {
				e.Lines = append(e.Lines, certificateLine(said, f, n+1))
			}
			return e, cmp.Or(alongWith(said, *f, &e), said.Err())
		},
		page: func(r *http.Request, f views.Form) (templ.Component, error) {
			f.Upload = true
			lots, err := s.store.Lots(r.Context())
			return views.NewCertificatePage(views.New{Frame: s.frame(r, "/lots"), Form: f}, lots), err
		},
		made: func(e shop.CertificateEntered) (to, notice string) {
			if e.Filed == nil {
				return views.PageOf("lot", e.Lot), "The certificate of " + e.Lot + " was entered. The document itself can be filed below."
			}
			return views.PageOf("lot", e.Lot), "The certificate of " + e.Lot + " was entered, and the document is filed with it."
		},
	}
}

// alongWith reads the document that a certificate was copied from, where it
// came along.
func alongWith(said shop.Fields, f views.Form, e *shop.CertificateEntered) error {
	typed := slices.ContainsFunc([]string{"type", "number", "issued_on", "issued_by", "note"}, func(field string) bool { return f.Value(field) != "" })
	if !typed && len(f.Files) == 0 {
		return nil
	}
	d, err := filed(f, "lot", e.Lot, nil)
	err = said.Take(err)
	if e.Lot != "" {
		e.Filed = &d
	}
	delete(said, "on_code") // the lot is asked for by its own field
	return err
}

// certificateLine reads a line of a certificate. What is missing in it is said
// there, and not once more about the table.
func certificateLine(said shop.Fields, f *views.Form, n int) shop.CertificateLine {
	at := func(column string) string { return views.Cell("lines", n, column) }
	for column, what := range map[string]string{"": "The property", "value": "The value", "unit": "The unit"} {
		said.Need(at(column), f.Value(at(column)), what)
	}
	return shop.CertificateLine{Property: cmp.Or(f.Value(at("")), follows), Value: cmp.Or(strings.TrimSpace(f.Value(at("value"))), "0"), Unit: cmp.Or(f.Value(at("unit")), follows),
		Lower: strings.TrimSpace(f.Value(at("lower"))), Upper: strings.TrimSpace(f.Value(at("upper")))}
}
