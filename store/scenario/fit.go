package scenario

import (
	"slices"
	"time"

	"sinterbook/store/shop"
)

// fits plans the fit-ups and the deliveries of moulds.
func (p *plan) fits() {
	for _, r := range p.fitups.rows {
		r.refer("insert", r.get("insert"), "insert", p.inserts)
		r.refer("mould", r.need("mould"), "mould", p.moulds)
		if p.chosen[r.get("insert")] {
			p.fit(r)
		}
	}
	for _, r := range p.deliveries.rows {
		p.delivery(r)
	}
}

func (p *plan) fit(r row) {
	insert, at := r.get("insert"), r.time("at")
	p.add(r, "at", at, r.badge("by"), shop.FitUpDone{
		Insert: insert, Mould: r.get("mould"), Place: r.need("place"), PocketX: r.reading("pocket_x_mm", "mm"), PocketY: r.reading("pocket_y_mm", "mm"),
		GapX: r.reading("gap_x_mm", "mm"), GapY: r.reading("gap_y_mm", "mm"), Shim: r.number("shim_um", "um"), Spotting: r.reading("spotting_pct", "%"),
		Hours: r.reading("hours", "h"), Faces: p.facesOf(insert), Note: r.get("note"),
	})
}

func (p *plan) facesOf(insert string) []shop.Face {
	var faces []shop.Face
	for _, r := range p.faces.of("insert", insert) {
		faces = append(faces, shop.Face{Face: r.get("face"), Removed: r.reading("removed_um", "um"), Shim: r.reading("shim_um", "um")})
	}
	return faces
}

// delivery plans the delivery of a mould with the chosen inserts in it.
func (p *plan) delivery(r row) {
	mould, at := r.get("mould"), r.time("shipped_at")
	r.refer("mould", mould, "mould", p.moulds)
	var inserts []string
	for _, fit := range p.fitups.of("mould", mould) {
		if insert := fit.get("insert"); p.chosen[insert] && !fit.time("at").After(at) {
			inserts = append(inserts, insert)
		}
	}
	by := r.badge("by")
	if len(inserts) == 0 {
		return
	}
	slices.Sort(inserts)
	e := p.add(r, "shipped_at", at, by, shop.MouldShipped{Mould: mould, Note: r.need("note_no"), Inserts: inserts})
	e.Meaning = "Delivered"
	p.stand(e, shop.OpDeliver, "")
}

// shelve puts an insert to stock whose order has no mould, once it is found
// good. The folder says that it goes there, not when or by whom: it does so at
// the end of its inspection, by the first person who may.
func (p *plan) shelve(r row, at time.Time) {
	insert := r.get("insert")
	order, ok := p.orders.find(r.get("order"))
	if !ok || order.get("mould") != "" || len(p.failed(insert, p.now)) > 0 {
		return
	}
	p.add(r, "", at, p.authorised(r, shop.OpFit, at), shop.StepLeftOut{Insert: insert, Op: shop.OpFit}).Reason = "ordered without a mould"
	p.add(r, "", at, p.authorised(r, shop.OpDeliver, at), shop.PutToStock{Insert: insert, Place: "stock"}).Meaning = "Put to stock"
}
