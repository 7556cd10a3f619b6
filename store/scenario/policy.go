package scenario

import (
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

// told maps a gate of the folder that the book does not have onto one of ours
// with the mode in which it says the same: without nonconformances in the
// book, going on after a failed reading takes a reason, which names the
// concession.
var told = map[string]struct {
	gate string
	stop shop.Mode
}{
	concededGate: {shop.FailDealtWith.Name, shop.Warn},
}

const concededGate = "nonconformance closed or conceded"

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
		note := r.get("note")
		if as, ok := told[gate]; ok {
			note = fmt.Sprintf("%s: %s", gate, note)
			if gate = as.gate; mode == shop.Stop {
				mode = as.stop
			}
		}
		if !slices.Contains(known, gate) {
			unknown = append(unknown, gate)
			continue
		}
		by, earliest := p.someone(r, "policy-set")
		from, operations := r.time("from"), []string{r.get("operation")}
		if r.get("gate") == concededGate { // the book asks at the delivery as well
			operations = append(operations, shop.OpDeliver)
		}
		for _, operation := range operations {
			p.add(r, "from", later(from, earliest), by, shop.PolicySet{Gate: gate, Op: operation, From: from.UTC(), Mode: mode, Note: note}, operation)
		}
	}
	if len(unknown) > 0 {
		slices.Sort(unknown)
		p.passed = append(p.passed, "Gates that the book does not have yet: "+shop.Listed(slices.Compact(unknown))+".")
	}
}
