package scenario

import "sinterbook/store/shop"

// holding plans the holds on what is loaded.
func (p *plan) holding() {
	for _, r := range p.holds.rows {
		on := r.need("on")
		kind, loaded := p.kindOf(on)
		if kind == "" {
			r.wrong("on", "there is no insert, load, lot, container, machine, furnace, gauge or mould %s.", on)
		}
		by := r.badge("by")
		if !loaded {
			continue
		}
		p.add(r, "set_at", r.time("set_at"), by, shop.HoldSet{Hold: r.get("hold"), OnKind: kind, OnCode: on, Why: r.need("reason")})
		if at := r.until("lifted_at", "set_at"); !at.IsZero() {
			p.add(r, "lifted_at", at, r.badge("lifted_by"), shop.HoldLifted{Hold: r.get("hold"), OnKind: kind, OnCode: on, Why: r.need("lift_reason")}).Meaning = "Hold lifted"
		}
	}
}

// kindOf finds out what a number names, and whether that is loaded.
func (p *plan) kindOf(number string) (kind string, loaded bool) {
	for _, k := range []struct {
		kind  string
		table *table
	}{{"lot", p.lots}, {"container", p.containers}, {"machine", p.machines}, {"furnace", p.furnaces}, {"gauge", p.gauges}, {"mould", p.moulds}} {
		if _, ok := k.table.find(number); ok {
			return k.kind, true
		}
	}
	if _, ok := p.inserts.find(number); ok {
		return "insert", p.chosen[number]
	}
	if _, ok := p.loads.find(number); !ok {
		return "", false
	}
	for _, it := range p.loadItems.of("load", number) {
		loaded = loaded || p.chosen[it.get("item")]
	}
	return "load", loaded
}
