package scenario

import "sinterbook/store/shop"

// order plans an order. The folder does not say when it came: it is taken when
// its first traveler was opened, since by then it was there, and at the
// folder's now where it has none yet.
func (p *plan) order(r row) {
	number, at := r.get("order"), p.now
	for _, i := range p.inserts.of("order", number) {
		if opened := i.time("opened_at"); opened.Before(at) {
			at = opened
		}
	}
	r.refer("mould", r.get("mould"), "mould", p.moulds)
	if design := r.need("design"); design != "" && !p.known("design", design, p.designs) {
		r.wrong("design", "there is no design %s.", r.get("design"))
	}
	by, _ := p.someone(r, "order-taken")
	r.refer("customer", r.get("customer"), "customer", p.customers)
	p.add(r, "", at, by, shop.OrderTaken{Order: number, Customer: r.need("customer"), Design: r.get("design"), Quantity: r.count("quantity"),
		Due: r.dayNeeded("due"), Unit: r.need("unit"), Mould: r.get("mould")})
}

// known reports whether a table has a row with that value.
func (p *plan) known(column, value string, t *table) bool { return len(t.of(column, value)) > 0 }
