package scenario

import (
	"time"

	"sinterbook/store/shop"
)

// paste puts lots and their containers in the book.
func (p *plan) paste() {
	for _, r := range p.lots.rows {
		p.lot(r)
	}
	for _, r := range p.containers.rows {
		p.container(r)
	}
}

func (p *plan) lot(r row) {
	lot := r.get("lot")
	by, _ := p.someone(r, "lot-received")
	p.add(r, "received_at", r.time("received_at"), by, shop.LotReceived{
		Lot: lot, Material: r.need("material"), MadeOn: r.dayNeeded("made_on"), ExpiresOn: r.dayNeeded("expires_on"),
		OpenLifeDays: r.count("open_life_days"), Code: codeFor("lot", lot),
	})
	if at := r.until("released_at", "received_at"); !at.IsZero() {
		p.add(r, "released_at", at, r.badge("released_by"), shop.LotReleased{Lot: lot, Evidence: p.evidenceFor(r, lot, at)})
	}
}

// evidenceFor is what a lot's release rests on: its factors of that moment.
func (p *plan) evidenceFor(r row, lot string, at time.Time) string {
	for _, factor := range p.factors.of("lot", lot) {
		if !factor.time("from").After(at) {
			return factor.need("basis")
		}
	}
	r.wrong("released_at", "factors.csv has no factor of lot %s for that moment: its release rests on nothing.", lot)
	return ""
}

// container plans the receipt of a container, and its opening by whoever drew
// from it first.
func (p *plan) container(r row) {
	number := r.get("container")
	r.refer("lot", r.need("lot"), "lot", p.lots)
	by, _ := p.someone(r, "container-received")
	p.add(r, "received_at", r.time("received_at"), by, shop.ContainerReceived{
		Container: number, Lot: r.get("lot"), Mass: r.number("mass_in_g", "g"), Code: codeFor("container", number),
	})
	at := r.until("opened_at", "received_at")
	if at.IsZero() {
		return
	}
	var first time.Time
	opener, _ := p.someone(r, "container-opened")
	for _, draw := range p.draws.of("container", number) {
		if drawn := draw.time("at"); earliest(first, drawn) == drawn {
			first, opener = drawn, draw.badge("by")
		}
	}
	p.stand(p.add(r, "opened_at", at, opener, shop.ContainerOpened{Container: number}), shop.OpPrint, "")
}

// drawn plans the paste that was drawn for an insert.
func (p *plan) drawn(insert string, print row) {
	for _, r := range p.draws.of("item", insert) {
		r.refer("container", r.need("container"), "container", p.containers)
		e := p.add(r, "at", r.time("at"), r.badge("by"), shop.PasteDrawn{
			Container: r.get("container"), Insert: insert, FromLayer: r.count("layer_from"), ToLayer: r.count("layer_to"),
			Drawn: r.number("drawn_g", "g"), Purged: r.reading("purge_g", "g"),
		})
		p.stand(e, shop.OpPrint, print.get("machine"))
	}
}
