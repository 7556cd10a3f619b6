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
		OpenLifeDays: r.count("open_life_days"),
		DryingLow:    r.reading("drying_band_low_pct", "%"), DryingHigh: r.reading("drying_band_high_pct", "%"), Code: codeFor("lot", lot),
	})
	p.certify(r, lot)
	p.believe(lot)
	if at := r.until("released_at", "received_at"); !at.IsZero() {
		p.add(r, "released_at", at, r.badge("released_by"), shop.LotReleased{Lot: lot, Evidence: p.evidenceFor(r, lot, at)})
	}
}

// certify plans the maker's certificate of a lot, which came with it.
func (p *plan) certify(r row, lot string) {
	lines := p.certificates.of("lot", lot)
	if len(lines) == 0 {
		return
	}
	by, _ := p.someone(r, "certificate-entered")
	e := shop.CertificateEntered{Lot: lot}
	for _, l := range lines {
		e.Lines = append(e.Lines, shop.CertificateLine{Property: l.get("property"), Value: l.need("value"), Unit: l.need("unit"), Lower: l.get("lower"), Upper: l.get("upper")})
	}
	p.add(lines[0], "value", r.time("received_at"), by, e)
}

// believe plans the factors of a lot.
func (p *plan) believe(lot string) {
	for _, r := range p.factors.of("lot", lot) {
		p.add(r, "from", r.time("from"), r.badge("by"), shop.FactorSet{Lot: lot, Axis: r.get("axis"), S: r.number("s_pct", "%"), K: r.number("k", "1"), Basis: r.need("basis")})
	}
}

// wasted plans waste and weighings of containers. Waste that is followed by
// nothing but a weighing of 0 took the container out of use.
func (p *plan) wasted() {
	for _, r := range p.containerEvents.rows {
		container := r.get("container")
		r.refer("container", container, "container", p.containers)
		at, by := r.time("at"), r.badge("by")
		var e shop.Event
		switch kind := r.get("kind"); {
		case kind == "weighed":
			e = shop.ContainerWeighed{Container: container, Left: r.number("grams", "g"), Note: r.get("note")}
		case kind == "waste" && p.endsIt(container, at):
			e = shop.ContainerScrapped{Container: container, Mass: r.number("grams", "g"), Why: r.need("note")}
		case kind == "waste":
			e = shop.PasteWasted{Container: container, Mass: r.number("grams", "g"), Why: r.need("note")}
		default:
			r.wrong("kind", "%q is neither waste nor weighed.", kind)
			continue
		}
		p.add(r, "at", at, by, e)
	}
}

// endsIt reports whether nothing but a weighing of 0 follows waste of a container.
func (p *plan) endsIt(container string, at time.Time) bool {
	for _, d := range p.draws.of("container", container) {
		if d.time("at").After(at) {
			return false
		}
	}
	empty := false
	for _, e := range p.containerEvents.of("container", container) {
		if !e.time("at").After(at) {
			continue
		}
		if e.get("kind") != "weighed" || e.reading("grams", "g").Value() != 0 {
			return false
		}
		empty = true
	}
	return empty
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
