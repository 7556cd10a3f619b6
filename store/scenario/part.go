package scenario

import (
	"fmt"

	"sinterbook/store/shop"
)

// parts puts designs, moulds and orders in the book.
func (p *plan) parts() {
	var left []string
	for _, r := range p.designs.rows {
		left = append(left, p.design(r)...)
	}
	if len(left) > 0 {
		p.passed = append(p.passed, fmt.Sprintf("Characteristics in a unit that the book does not have yet, with their readings: %s.", shop.Listed(left)))
	}
	for _, r := range p.moulds.rows {
		by, _ := p.someone(r, "mould-received")
		mould := r.get("mould")
		r.refer("customer", r.get("customer"), "customer", p.customers)
		p.add(r, "in_at", r.time("in_at"), by, shop.MouldReceived{Mould: mould, Customer: r.need("customer"), Code: codeFor("mould", mould)})
	}
	for _, r := range p.orders.rows {
		p.order(r)
	}
}

// design plans a revision with its characteristics, and returns those whose
// unit the book does not have.
func (p *plan) design(r row) (left []string) {
	design, revision := r.get("design"), r.get("revision")
	e := shop.DesignReleased{
		Design: design, Revision: revision, Name: r.need("name"), Material: p.materialOf(design), DrawingUnit: r.need("drawing_unit"),
		X: r.number("x_mm", "mm"), Y: r.number("y_mm", "mm"), Z: r.number("z_mm", "mm"), Layer: r.number("layer_mm", "mm"),
		LayersBetweenPasses: r.count("layers_between_passes"), Orientation: r.need("orientation"),
	}
	for _, c := range p.characteristics.of("design", design) {
		if c.get("revision") != revision {
			continue
		}
		if shop.QuantityOf(c.need("unit")) == "" {
			left = append(left, fmt.Sprintf("%s in %s", c.get("characteristic"), c.get("unit")))
			continue
		}
		e.Characteristics = append(e.Characteristics, characteristic(c))
	}
	p.add(r, "in_force_from", r.time("in_force_from"), r.badge("by"), e)
	return left
}

func characteristic(r row) shop.Characteristic {
	unit := r.get("unit")
	quantity := shop.QuantityOf(unit)
	return shop.Characteristic{
		Number: r.get("characteristic"), Name: r.need("name"), Axis: r.get("axis"), Kind: quantity,
		Nominal: r.reading("nominal", unit), Lower: r.reading("lower", unit), Upper: r.reading("upper", unit), Key: r.yes("key"), How: r.get("how"),
	}
}

// materialOf is what a part is made of. The folder says it of lots only: it is
// the material of the lots that the part was released to be printed of.
func (p *plan) materialOf(design string) string {
	for _, r := range p.releases.of("design", design) {
		if lot, ok := p.lots.find(r.get("lot")); ok {
			return lot.get("material")
		}
	}
	return ""
}
