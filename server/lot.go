package server

import (
	"net/http"
	"net/url"

	"github.com/go-chi/chi/v5"

	"sinterbook/static"
	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

func (s *Server) lotRoutes(r chi.Router) {
	r.Get("/lots", s.page(s.lots))
	r.Get("/lots/{lot}", s.page(s.lot))
	r.Get("/lots/{lot}/account", s.page(s.account))
	r.Post("/lots/{lot}", s.page(s.releaseLot))
	r.Get("/containers/*", s.page(s.container)) // a container's number has a slash in it
	r.Post("/containers/*", s.page(s.openContainer))
}

// lots answers GET /lots.
func (s *Server) lots(w http.ResponseWriter, r *http.Request) error {
	p := views.Lots{Frame: s.frame(r, "/lots"), New: s.may(r, shop.LotReceived{}, "")}
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	p.Day = shop.DayOf(s.now(), zone)
	if p.Lots, err = s.store.Lots(r.Context()); err != nil {
		return err
	}
	if p.Held, err = s.heldOf(r, "lot"); err != nil {
		return err
	}
	p.Now = s.now()
	if p.Known, err = s.store.AllFactors(r.Context()); err != nil {
		return err
	}
	if p.Stock, err = s.stock(r); err != nil {
		return err
	}
	return show(w, r, http.StatusOK, views.LotsPage(p))
}

// heldOf finds the standing holds on a kind of things, by number.
func (s *Server) heldOf(r *http.Request, kind string) (map[string]string, error) {
	holds, err := s.store.HoldsStanding(r.Context())
	held := map[string]string{}
	for _, h := range holds {
		if h.OnKind == kind {
			held[h.OnCode] = h.Hold
		}
	}
	return held, err
}

// lot answers GET /lots/{lot}.
func (s *Server) lot(w http.ResponseWriter, r *http.Request) error {
	p, err := s.lotPage(r)
	if err != nil {
		return err
	}
	if !p.Lot.Released() && s.may(r, shop.LotReleased{}, "") {
		f := blank("", views.PageOf("lot", p.Lot.Lot))
		p.Release = &f
	}
	return show(w, r, http.StatusOK, views.LotPage(p))
}

// releaseLot answers POST /lots/{lot}.
func (s *Server) releaseLot(w http.ResponseWriter, r *http.Request) error {
	p, err := s.lotPage(r)
	if err != nil {
		return err
	}
	f, err := typed(r, "", views.PageOf("lot", p.Lot.Lot))
	if err != nil {
		return err
	}
	ok, err := s.recordSigned(r, &f, shop.LotReleased{Lot: p.Lot.Lot, Evidence: f.Value("evidence")}, views.MeaningOfLotRelease)
	if err != nil {
		return err
	}
	if !ok {
		p.Release = &f
		return show(w, r, statusOf(f), views.LotPage(p))
	}
	return seeOther(w, r, views.PageOf("lot", p.Lot.Lot), "Lot "+p.Lot.Lot+" was released for printing."+views.LeftBehind(p.FactorSheet.Touched, p.Now))
}

func (s *Server) lotPage(r *http.Request) (views.Lot, error) {
	ctx := r.Context()
	p := views.Lot{Frame: s.frame(r, "/lots"), Now: s.now(), NewBox: s.may(r, shop.ContainerReceived{}, "")}
	var err error
	if p.Lot, err = s.store.Lot(ctx, pathWord(r, "lot")); err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(ctx); err != nil {
		return p, err
	}
	if p.Holds, err = s.store.HoldsOn(ctx, "lot", p.Lot.Lot); err != nil {
		return p, err
	}
	if p.Releases, err = s.store.ReleasesOfLot(ctx, p.Lot.Lot); err != nil {
		return p, err
	}
	if p.Containers, err = s.containersOf(r, p.Lot.Lot); err != nil {
		return p, err
	}
	if p.FactorSheet, err = s.factorSheet(r, p.Lot.Lot, p.Zone); err != nil {
		return p, err
	}
	fit, err := s.store.LotFit(ctx, p.Lot.Lot, p.Now)
	if err != nil {
		return p, err
	}
	p.Fit = views.LotFit{Lot: p.Lot.Lot, Fit: fit, Zone: p.Zone, Propose: s.may(r, shop.FactorProposed{}, ""), Style: static.URL("plot.css")}
	if p.Lines, err = s.store.Certificate(ctx, p.Lot.Lot); err != nil {
		return p, err
	}
	if p.Filings, err = s.filingsOn(r, "lot", p.Lot.Lot, p.Zone); err != nil {
		return p, err
	}
	if p.Documents, err = s.store.DocumentsOn(ctx, "lot", p.Lot.Lot); err != nil {
		return p, err
	}
	if p.Coupons, err = s.store.Coupons(ctx, "lot", p.Lot.Lot); err != nil {
		return p, err
	}
	p.WetDensity = shop.WetDensity(p.Lot, p.Lines)
	if p.Takings, err = s.takings(r, p.Releases, p.WetDensity); err != nil {
		return p, err
	}
	if err := s.qualifying(r, &p); err != nil {
		return p, err
	}
	of, plan := "?lot="+url.QueryEscape(p.Lot.Lot), "Plan it"
	if p.Qualifying.Plan != nil {
		plan = "Change the plan"
	}
	p.Qualify = s.allowed(r, form{"/new/qualification" + of, plan, shop.QualificationPlanned{}}, form{"/new/coupon" + of, "Record a coupon", shop.CouponMade{}}, form{"/new/coupon-reading" + of, "Measure a coupon", shop.CouponMeasured{}})
	p.Certify = s.allowed(r, form{"/new/certificate" + of, "Enter the certificate", shop.CertificateEntered{}})
	return p, s.madeOf(r, &p)
}

// madeOf fills in the inserts that have paste of the lot in them.
func (s *Server) madeOf(r *http.Request, p *views.Lot) error {
	from, err := after(r)
	if err != nil {
		return err
	}
	made, err := s.store.MadeOf(r.Context(), p.Lot.Lot, from, rowsAPage)
	if err != nil {
		return err
	}
	for _, m := range made {
		p.Made = append(p.Made, views.MadeLine{Insert: m.Insert, Design: m.Design, Status: m.Status, Place: m.Place, Since: m.Since, Grams: m.Grams, Share: m.Share})
	}
	p.MadeTotal, p.MadeBefore, err = s.store.MadeCount(r.Context(), p.Lot.Lot, from)
	if n := len(made); n > 0 && p.MadeBefore+n < p.MadeTotal {
		p.Further = views.LotHref(p.Lot.Lot, made[n-1].ID)
	}
	return err
}

// container answers GET /containers/{container}.
func (s *Server) container(w http.ResponseWriter, r *http.Request) error {
	p, err := s.containerPage(r)
	if err != nil {
		return err
	}
	if p.Line.Opened.IsZero() && p.Line.Gone().IsZero() && s.may(r, shop.ContainerOpened{}, "") {
		f := blank("", views.PageOf("container", p.Line.Container.Container))
		p.Open = &f
	}
	return show(w, r, http.StatusOK, views.ContainerPage(p))
}

// openContainer answers POST /containers/{container}.
func (s *Server) openContainer(w http.ResponseWriter, r *http.Request) error {
	p, err := s.containerPage(r)
	if err != nil {
		return err
	}
	number := p.Line.Container.Container
	f, err := typed(r, "", views.PageOf("container", number))
	if err != nil {
		return err
	}
	ok, err := s.record(r, &f, shop.ContainerOpened{Container: number})
	if err != nil {
		return err
	}
	if !ok {
		p.Open = &f
		return show(w, r, statusOf(f), views.ContainerPage(p))
	}
	return seeOther(w, r, views.PageOf("container", number), "Container "+number+" is open; its open life runs.")
}

func (s *Server) containerPage(r *http.Request) (views.Container, error) {
	ctx := r.Context()
	p := views.Container{Frame: s.frame(r, "/lots"), Now: s.now()}
	c, err := s.store.Container(ctx, pathWord(r, "*"))
	if err != nil {
		return p, err
	}
	if p.Lot, err = s.store.Lot(ctx, c.Lot); err != nil {
		return p, err
	}
	if p.Zone, err = s.zone(ctx); err != nil {
		return p, err
	}
	if p.Holds, err = s.store.HoldsOn(ctx, "container", c.Container); err != nil {
		return p, err
	}
	lines, err := s.containersOf(r, c.Lot)
	if err != nil {
		return p, err
	}
	for _, line := range lines {
		if line.Container.Container == c.Container {
			p.Line = line
		}
	}
	if p.Care, err = s.careOf(r, c.Container, p.Zone); err != nil {
		return p, err
	}
	p.Explain = s.may(r, shop.DifferenceExplained{}, "")
	if p.Takings, err = s.takingsOf(r, p.Lot); err != nil {
		return p, err
	}
	if p.Coupons, err = s.store.Coupons(ctx, "container", c.Container); err != nil {
		return p, err
	}
	if c.Gone().IsZero() {
		of := "?container=" + url.QueryEscape(c.Container)
		p.Acts = s.allowed(r, form{"/new/waste" + of, "Record waste", shop.PasteWasted{}}, form{"/new/container-weighing" + of, "Weigh it", shop.ContainerWeighed{}}, form{"/new/container-scrap" + of, "Scrap it", shop.ContainerScrapped{}}, form{"/new/container-return" + of, "Send it back", shop.ContainerReturned{}})
	}
	p.Draws, err = s.drawsFrom(r, c.Container)
	return p, err
}

func (s *Server) drawsFrom(r *http.Request, container string) ([]views.ContainerDraw, error) {
	draws, err := s.store.DrawsFrom(r.Context(), container)
	if err != nil {
		return nil, err
	}
	var lines []views.ContainerDraw
	for _, d := range draws {
		line := views.ContainerDraw{Insert: d.Insert, DrawRecord: drawRecord(d)}
		if d.CorrectedBy != 0 {
			by, err := s.store.Entry(r.Context(), d.CorrectedBy)
			if err != nil {
				return nil, err
			}
			line.Reason = by.Reason
		}
		lines = append(lines, line)
	}
	return lines, nil
}

func drawRecord(d store.Draw) views.DrawRecord {
	return views.DrawRecord{Seq: d.Seq, Container: d.Container, FromLayer: d.FromLayer, ToLayer: d.ToLayer,
		Drawn: d.Drawn, Purged: d.Purged, At: d.At.Time, By: d.By, CorrectedBy: d.CorrectedBy}
}
