package scenario

import (
	"slices"

	"sinterbook/store/shop"
)

var modes = map[string]shop.Mode{"off": shop.Silent, "warn": shop.Warn, "stop": shop.Stop}

// policies says what each gate did from when on. Rows about gates that the
// book does not have yet are left out.
func (p *plan) policies() {
	var unknown []string
	known := shop.GateNames()
	for _, r := range p.policy.rows {
		gate, mode := r.get("gate"), modes[r.get("mode")]
		if mode == "" {
			r.wrong("mode", "%q is not off, warn or stop.", r.get("mode"))
			continue
		}
		if !slices.Contains(known, gate) {
			unknown = append(unknown, gate)
			continue
		}
		by, earliest := p.someone(r, "policy-set")
		from, operations := r.time("from"), []string{r.get("operation")}
		if gate == shop.NonconformanceClosed.Name { // the book asks at the delivery as well
			operations = append(operations, shop.OpDeliver)
		}
		for _, operation := range operations {
			p.add(r, "from", later(from, earliest), by, shop.PolicySet{Gate: gate, Op: operation, From: from.UTC(), Mode: mode, Note: r.get("note")}, operation)
		}
	}
	if len(unknown) > 0 {
		slices.Sort(unknown)
		p.passed = append(p.passed, "Gates that the book does not have yet: "+shop.Listed(slices.Compact(unknown))+".")
	}
}
