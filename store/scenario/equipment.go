package scenario

import "sinterbook/store/shop"

// equipment puts machines, furnaces and gauges in the book. The folder does
// not say since when they were there, so they are there from the beginning.
func (p *plan) equipment() {
	for _, r := range p.machines.rows {
		by, at := p.someone(r, "machine-added")
		machine := r.get("machine")
		p.add(r, "", at, by, shop.MachineAdded{Machine: machine, Nozzle: r.number("nozzle_mm", "mm"), Code: codeFor("machine", machine)})
	}
	for _, r := range p.positions.rows {
		r.refer("furnace", r.get("furnace"), "furnace", p.furnaces)
	}
	for _, r := range p.furnaces.rows {
		p.furnace(r)
	}
	for _, r := range p.gauges.rows {
		by, at := p.someone(r, "gauge-added")
		gauge := r.get("gauge")
		p.add(r, "", at, by, shop.GaugeAdded{Gauge: gauge, Type: r.need("kind"), Range: r.need("range"),
			Resolution: r.reading("resolution_mm", "mm"), Error: r.reading("mpe_mm", "mm"), Code: codeFor("gauge", gauge)})
	}
}

func (p *plan) furnace(r row) {
	by, at := p.someone(r, "furnace-added")
	furnace := r.get("furnace")
	var places []shop.Position
	for _, place := range p.positions.of("furnace", furnace) {
		places = append(places, shop.Position{Position: place.get("position"), Zone: place.need("zone"), Use: place.need("use")})
	}
	p.add(r, "", at, by, shop.FurnaceAdded{Furnace: furnace, Positions: places, Code: codeFor("furnace", furnace)})
}
