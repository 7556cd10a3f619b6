package scenario

import (
	"slices"
	"time"

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
	p.younger()
	if len(unknown) > 0 {
		slices.Sort(unknown)
		p.passed = append(p.passed, "Gates that the book does not have yet: "+shop.Listed(slices.Compact(unknown))+".")
	}
}

// youngerGates are those that a folder need not know, with how strictly they are
// kept from its now on. While its history is told they are not asked: the folder
// has no answers to give.
var youngerGates = []struct {
	name string
	then shop.Mode
}{
	{shop.FactorByTwo.Name, shop.Stop}, {shop.ReleaseAsLot.Name, shop.Stop}, {shop.AxesMeasured.Name, shop.Stop},
	{shop.CertificateInLimits.Name, shop.Stop}, {shop.QualifiedAsPlanned.Name, shop.Stop}, {shop.FactorsApproved.Name, shop.Stop}, {shop.ShrinkageKnown.Name, shop.Stop},
	{shop.DrawAsExpected.Name, shop.Warn}, {shop.WeighingAsExpected.Name, shop.Warn},
}

// younger sets the gates that the folder says nothing about.
func (p *plan) younger() {
	if len(p.policy.rows) == 0 {
		return
	}
	r := p.policy.rows[0]
	by, earliest := p.someone(r, "policy-set")
	for _, gate := range youngerGates {
		if len(p.policy.of("gate", gate.name)) > 0 {
			continue
		}
		for _, from := range []struct {
			at   time.Time
			mode shop.Mode
		}{{earliest, shop.Silent}, {later(p.now, earliest), gate.then}} {
			p.add(r, "from", from.at, by, shop.PolicySet{Gate: gate.name, Op: shop.EveryOperation, From: from.at.UTC(), Mode: from.mode, Note: "the folder does not say"}, gate.name, string(from.mode))
		}
	}
}
