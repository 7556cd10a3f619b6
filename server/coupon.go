package server

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// pasteRoutes are about what a lot is known by and what becomes of its paste.
func (s *Server) pasteRoutes(r chi.Router) {
	r.Get("/coupons", s.page(s.coupons))
	r.Get("/coupons/{coupon}", s.page(s.coupon))
	s.factorRoutes(r)
	offer(s, r, s.newFilingWithdrawal())
	offer(s, r, s.newQualification())
	offer(s, r, s.newWaste())
	offer(s, r, s.newContainerWeighing())
	offer(s, r, s.newContainerScrap())
	offer(s, r, s.newContainerReturn())
	offer(s, r, s.newDifference())
	offer(s, r, s.newCoupon())
	offer(s, r, s.placeCoupon())
	offer(s, r, s.measureCoupon())
}

// coupons answers GET /coupons.
func (s *Server) coupons(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Coupons(r.Context(), "", "")
	if err != nil {
		return err
	}
	zone, err := s.zone(r.Context())
	if err != nil {
		return err
	}
	return s.register(w, r, views.Register{Title: "Coupons", Soft: "Small bars that are measured instead of a part.", Sheet: "As they were printed", Listing: views.Coupons(all, zone)},
		form{"/new/coupon", "Record a coupon", shop.CouponMade{}}, form{"/new/coupon-placing", "Lay a coupon in", shop.CouponPlaced{}}, form{"/new/coupon-reading", "Measure a coupon", shop.CouponMeasured{}})
}

// coupon answers GET /coupons/{coupon}.
func (s *Server) coupon(w http.ResponseWriter, r *http.Request) error {
	p := views.Coupon{Frame: s.frame(r, "/book")}
	var err error
	if p.Coupon, err = s.store.Coupon(r.Context(), pathWord(r, "coupon")); err != nil {
		return err
	}
	if p.Zone, err = s.zone(r.Context()); err != nil {
		return err
	}
	if p.Results, err = s.store.CouponResults(r.Context(), p.Coupon.Coupon); err != nil {
		return err
	}
	if p.Reasons, err = s.reasonsOf(r, p.Results); err != nil {
		return err
	}
	p.Mends = s.may(r, shop.CouponMeasured{}, "")
	p.Acts = s.allowed(r, form{"/new/coupon-reading?coupon=" + url.QueryEscape(p.Coupon.Coupon), "Measure it", shop.CouponMeasured{}})
	return show(w, r, http.StatusOK, views.CouponPage(p))
}

// reasonsOf are the reasons for the corrections of readings, by the number of
// the correction.
func (s *Server) reasonsOf(r *http.Request, results []shop.CouponResult) (map[int64]string, error) {
	reasons := map[int64]string{}
	for _, result := range results {
		if result.CorrectedBy == 0 {
			continue
		}
		by, err := s.store.Entry(r.Context(), result.CorrectedBy)
		if err != nil {
			return nil, err
		}
		reasons[result.CorrectedBy] = by.Reason
	}
	return reasons, nil
}

// couponForm is the page of a form about coupons, with what it offers.
func (s *Server) couponForm(page func(views.New, views.CouponChoices) templ.Component) func(*http.Request, views.Form) (templ.Component, error) {
	return func(r *http.Request, f views.Form) (templ.Component, error) {
		ctx := r.Context()
		var c views.CouponChoices
		var err error
		if c.Designs, err = s.store.Designs(ctx); err != nil {
			return nil, err
		}
		if c.Machines, err = s.store.Machines(ctx); err != nil {
			return nil, err
		}
		of := ""
		if r.URL.Query().Get("lot") != "" { // a form that was opened for a lot
			of = "lot"
		}
		if c.Coupons, err = s.store.Coupons(ctx, of, r.URL.Query().Get("lot")); err != nil {
			return nil, err
		}
		if c.Loads, err = s.store.Loads(ctx); err != nil {
			return nil, err
		}
		if c.Gauges, err = s.store.Gauges(ctx); err != nil {
			return nil, err
		}
		if err := s.readBy(r, &c, f.Value("coupon")); err != nil {
			return nil, err
		}
		if c.Corrected, err = s.corrected(r, f); err != nil {
			return nil, err
		}
		c.Containers, err = s.openBoxes(r)
		return page(views.New{Frame: s.frame(r, "/book"), Form: f}, c), err
	}
}

// readBy adds the characteristics by which a coupon is read; where none is
// named, those of every design that a coupon was made of.
func (s *Server) readBy(r *http.Request, c *views.CouponChoices, coupon string) error {
	for i, d := range c.Designs {
		if !slices.ContainsFunc(c.Coupons, func(n shop.Coupon) bool {
			return n.Design == d.Design && n.Revision == d.Revision && (coupon == "" || n.Coupon == coupon)
		}) {
			continue
		}
		whole, err := s.store.Design(r.Context(), d.Design, d.Revision)
		if err != nil {
			return err
		}
		c.Designs[i].Characteristics = whole.Characteristics
	}
	return nil
}

// corrected is the reading of a coupon that a form is to put right; zero where
// it is to put none right.
func (s *Server) corrected(r *http.Request, f views.Form) (shop.CouponResult, error) {
	text := f.Value("corrects")
	if text == "" {
		return shop.CouponResult{}, nil
	}
	none := shop.NotFound("reading to correct", text)
	seq, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return shop.CouponResult{}, none
	}
	entry, err := s.store.Entry(r.Context(), seq)
	e, ok := entry.Event.(shop.CouponMeasured)
	if err != nil || !ok {
		return shop.CouponResult{}, cmp.Or(err, none)
	}
	results, err := s.store.CouponResults(r.Context(), e.Coupon)
	at := slices.IndexFunc(results, func(c shop.CouponResult) bool { return c.Seq == seq })
	if at < 0 {
		return shop.CouponResult{}, cmp.Or(err, none)
	}
	return results[at], nil
}

// startReading fills a new form with the coupon, or with the reading that it is
// to put right.
func (s *Server) startReading(r *http.Request, f *views.Form) error {
	if err := startsWith("coupon", "corrects")(r, f); err != nil {
		return err
	}
	old, err := s.corrected(r, *f)
	if err != nil || old.Seq == 0 {
		return err
	}
	for field, v := range map[string]string{"coupon": old.Coupon, "stage": old.Stage, "characteristic": old.Characteristic, "value": old.Value.Text, "unit": old.Value.Unit, "gauge": old.Gauge} {
		f.Values.Set(field, v)
	}
	if old.PartTemp.Unit == "C" { // the form asks for it in °C
		f.Values.Set("part_temp", old.PartTemp.Text)
	}
	return nil
}

// newCoupon is the form for a coupon that was printed.
func (s *Server) newCoupon() making[shop.CouponMade] {
	return making[shop.CouponMade]{
		path: "/new/coupon",
		read: func(r *http.Request, f *views.Form) (shop.CouponMade, error) {
			said := shop.Fields{}
			e := shop.CouponMade{Coupon: f.Value("coupon"), For: f.Value("for"), Design: f.Value("design"), Revision: follows, Container: f.Value("container"), Machine: f.Value("machine"),
				With: strings.TrimSpace(f.Value("with")), Release: strings.TrimSpace(f.Value("release")),
				KX: said.Read("kx", f.Value("kx"), "1", shop.Ratio), KY: said.Read("ky", f.Value("ky"), "1", shop.Ratio), KZ: said.Read("kz", f.Value("kz"), "1", shop.Ratio), Layers: countOf(said, f, "layers", "The number of layers"),
				Drawn: said.Read("drawn", f.Value("drawn"), "g", shop.Mass), Purged: said.Read("purged", f.Value("purged"), "g", shop.Mass), Code: newCode(f)}
			if e.Design != "" {
				d, err := s.store.Design(r.Context(), e.Design, "")
				if err != nil {
					return e, err
				}
				e.Revision = d.Revision
			}
			return e, said.Err()
		},
		page: s.couponForm(views.NewCouponPage),
		made: func(e shop.CouponMade) (to, notice string) {
			return views.PageOf("coupon", e.Coupon), "Coupon " + e.Coupon + " was recorded."
		},
	}
}

// placeCoupon is the form that lays a coupon into a load.
func (s *Server) placeCoupon() making[shop.CouponPlaced] {
	return making[shop.CouponPlaced]{
		path: "/new/coupon-placing", start: startsWith("load", "coupon"),
		read: func(_ *http.Request, f *views.Form) (shop.CouponPlaced, error) {
			said := shop.Fields{}
			return shop.CouponPlaced{Load: f.Value("load"), Coupon: f.Value("coupon"), Position: strings.TrimSpace(f.Value("position")), Setter: strings.TrimSpace(f.Value("setter")),
				Lying: f.Value("lying"), Loss: said.Read("loss", f.Value("loss"), "%", shop.Percentage)}, said.Err()
		},
		page: s.couponForm(views.PlaceCouponPage),
		made: func(e shop.CouponPlaced) (to, notice string) {
			return views.PageOf("load", e.Load), e.Coupon + " lies at " + e.Position + "."
		},
	}
}

// measureCoupon is the form for a reading of a coupon.
func (s *Server) measureCoupon() making[shop.CouponMeasured] {
	return making[shop.CouponMeasured]{
		path: "/new/coupon-reading", start: s.startReading,
		read: func(_ *http.Request, f *views.Form) (shop.CouponMeasured, error) {
			said := shop.Fields{}
			q := shop.QuantityOf(f.Value("unit"))
			if q == "" {
				q = shop.Length
			}
			e := shop.CouponMeasured{Coupon: f.Value("coupon"), Stage: f.Value("stage"), Characteristic: f.Value("characteristic"), Value: measured(said, f, "value", "unit", "The unit of the reading", q),
				Gauge: f.Value("gauge"), PartTemp: said.Read("part_temp", f.Value("part_temp"), "C", shop.Temperature)}
			return e, said.Err()
		},
		page: s.couponForm(views.MeasureCouponPage),
		made: func(e shop.CouponMeasured) (to, notice string) {
			return views.PageOf("coupon", e.Coupon), e.Coupon + " read " + e.Value.String() + " in " + e.Characteristic + "."
		},
	}
}
