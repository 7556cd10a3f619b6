package scenario

import (
	"slices"

	"sinterbook/store/shop"
)

// dry plans the final drying of an insert: it went in with its first weighing
// and came out with its last.
func (p *plan) dry(insert string) {
	r, ok := p.drying.find(insert)
	if !ok {
		return
	}
	weighed := p.weighings.of("item", insert)
	if len(weighed) == 0 {
		r.wrong("item", "weighings.csv has no weighing of %s.", insert)
		return
	}
	slices.SortStableFunc(weighed, func(a, b row) int { return a.time("at").Compare(b.time("at")) })
	wet, dry := weighed[0].number("grams", "g"), weighed[len(weighed)-1].number("grams", "g")
	p.add(r, "started_at", r.time("started_at"), r.badge("by_in"), shop.DryingStarted{
		Insert: insert, Oven: r.need("oven"), Shelf: r.get("shelf"), Air: r.number("air_c", "C"), Wet: wet, Constant: r.number("constant_mass_pct", "%"),
	})
	for _, w := range weighed[1:] {
		w.refer("gauge", w.need("gauge"), "gauge", p.gauges)
		p.add(w, "at", w.time("at"), w.badge("by"), shop.InsertWeighed{Insert: insert, Gauge: w.get("gauge"), Mass: w.number("grams", "g")})
	}
	for _, g := range p.green.of("item", insert) {
		g.refer("gauge", g.need("gauge"), "gauge", p.gauges)
		p.add(g, "at", g.time("at"), g.badge("by"), shop.GreenMeasured{Insert: insert, Axis: g.get("axis"), Size: g.number("green_mm", "mm"), Gauge: g.get("gauge")})
	}
	if at := r.until("ended_at", "started_at"); !at.IsZero() {
		p.add(r, "ended_at", at, r.badge("by_out"), shop.DryingFinished{Insert: insert, Dry: dry, Loss: p.loss(r, wet, dry)})
	}
}

// loss is the drying loss that the folder says, which must be what the
// weighings give.
func (p *plan) loss(r row, wet, dry shop.Reading) shop.Reading {
	said := r.number("loss_pct", "%")
	if !wet.Taken() || !dry.Taken() {
		return said
	}
	loss, err := shop.DryingLoss(wet, dry)
	if err != nil {
		r.wrong("loss_pct", "%s", err)
	} else if loss != said {
		r.wrong("loss_pct", "it says %s, and the weighings give %s.", said, loss)
	}
	return said
}

// temper plans the tempering of an insert.
func (p *plan) temper(insert string) {
	r, ok := p.tempering.find(insert)
	if !ok {
		return
	}
	by := r.badge("by")
	p.add(r, "started_at", r.time("started_at"), by, shop.TemperingStarted{Insert: insert, Recipe: r.need("recipe"), Oven: r.need("oven")})
	if at := r.until("ended_at", "started_at"); !at.IsZero() {
		p.add(r, "ended_at", at, by, shop.TemperingFinished{Insert: insert})
	}
}
