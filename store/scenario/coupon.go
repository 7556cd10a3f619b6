package scenario

import (
	"slices"
	"strings"

	"sinterbook/store/shop"
)

// coupon plans the coupons: when the paste for each was drawn, its readings
// before and after the furnace. Where they lay comes with the loads.
func (p *plan) coupon() {
	for _, r := range p.coupons.rows {
		if !p.couponMade(r) {
			continue
		}
		for _, g := range p.green.of("item", r.get("coupon")) {
			p.couponGreen(r, g)
		}
		for _, res := range p.results.of("item", r.get("coupon")) {
			p.couponResult(res)
		}
	}
}

// couponMade plans a coupon. One that was printed in a job of its own has the
// release of the job; one that was printed beside an insert has the insert's,
// and is left out with it.
func (p *plan) couponMade(r row) (made bool) {
	coupon := r.get("coupon")
	print, ok := r.refer("print", r.need("print"), "print", p.prints)
	draws := p.draws.of("item", coupon)
	if !ok || len(draws) == 0 {
		r.wrong("coupon", "draws.csv has no paste for %s.", coupon)
		return false
	}
	d := draws[0]
	design, ok := p.designOfCoupon(r)
	if !ok {
		return false
	}
	e := shop.CouponMade{Coupon: coupon, For: r.need("kind"), Design: design.get("design"), Revision: design.get("revision"), Container: d.need("container"), Machine: print.need("machine"),
		Layers: d.count("layer_to"), Drawn: d.number("drawn_g", "g"), Purged: d.reading("purge_g", "g"), Code: codeFor("coupon", coupon)}
	if lot := r.need("lot"); !strings.HasPrefix(d.get("container"), lot+"/") {
		r.wrong("lot", "it says %s, and the paste was drawn from %s.", lot, d.get("container"))
	}
	switch item := print.get("item"); {
	case strings.HasPrefix(item, "COUPONS "):
		line, ok := p.lineFor(print.need("release"), e.Design, r.get("lot"))
		if !ok {
			print.wrong("release", "releases.csv has no line of %s for %s of lot %s.", print.get("release"), e.Design, r.get("lot"))
			return false
		}
		e.Release = p.nameOf(line)
	case p.chosen[item]:
		e.With = item
	default:
		return false
	}
	for _, g := range p.green.of("item", coupon) {
		if into, ok := map[string]*shop.Reading{"X": &e.KX, "Y": &e.KY, "Z": &e.KZ}[g.get("axis")]; ok {
			*into = g.number("k_used", "1")
		}
	}
	p.stand(p.add(d, "at", d.time("at"), d.badge("by"), e), shop.OpPrint, e.Machine)
	return true
}

// designOfCoupon is the design whose characteristics a coupon is read by; the
// folder names it only there.
func (p *plan) designOfCoupon(r row) (row, bool) {
	for _, res := range p.results.of("item", r.get("coupon")) {
		if c, ok := p.characteristics.find(res.get("characteristic")); ok {
			return p.designRow(c)
		}
	}
	for _, res := range p.results.rows { // not read yet: as the others are
		if c, ok := p.characteristics.find(res.get("characteristic")); ok && res.get("purpose") == "coupon" {
			return p.designRow(c)
		}
	}
	r.wrong("coupon", "no reading in results.csv says of which design %s is.", r.get("coupon"))
	return row{}, false
}

func (p *plan) designRow(characteristic row) (row, bool) {
	r, ok := p.designs.find(characteristic.get("design"), characteristic.get("revision"))
	if !ok {
		characteristic.wrong("revision", "there is no revision %s of design %s.", characteristic.get("revision"), characteristic.get("design"))
	}
	return r, ok
}

// couponGreen plans a green size of a coupon: it is read by the characteristic
// of its axis.
func (p *plan) couponGreen(coupon, g row) {
	design, ok := p.designOfCoupon(coupon)
	if !ok {
		return
	}
	g.refer("gauge", g.need("gauge"), "gauge", p.gauges)
	for _, c := range p.characteristics.of("design", design.get("design")) {
		if c.get("axis") == g.get("axis") {
			p.add(g, "at", g.time("at"), g.badge("by"), shop.CouponMeasured{Coupon: g.get("item"), Stage: "green", Characteristic: c.get("characteristic"), Value: g.number("green_mm", "mm"), Gauge: g.get("gauge")})
			return
		}
	}
	g.wrong("axis", "%s has no characteristic in %s.", design.get("design"), g.get("axis"))
}

func (p *plan) couponResult(r row) {
	number := r.need("characteristic")
	c, ok := r.refer("characteristic", number, "characteristic", p.characteristics)
	if !ok || shop.QuantityOf(c.get("unit")) == "" {
		return
	}
	r.refer("gauge", r.need("gauge"), "gauge", p.gauges)
	value := r.number("value_typed", r.need("unit"))
	p.add(r, "at", r.time("at"), r.badge("by"), shop.CouponMeasured{Coupon: r.get("item"), Stage: "sintered", Characteristic: number, Value: value, Gauge: r.get("gauge"),
		PartTemp: r.reading("part_temp_c", "C"), Verdict: p.verdict(r, c, value)})
}

// isCoupon reports whether a row of a load is about a coupon that is loaded.
func (p *plan) isCoupon(item string) bool {
	return slices.ContainsFunc(p.entries, func(e *planned) bool {
		made, ok := e.Event.(shop.CouponMade)
		return ok && made.Coupon == item
	})
}
