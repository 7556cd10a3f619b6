package scenario

import (
	"regexp"

	"sinterbook/store/shop"
)

// nonconform plans what was found not to conform, what was decided about it,
// and what was conceded.
func (p *plan) nonconform() {
	for _, r := range p.nonconformances.rows {
		r.refer("item", r.get("item"), "insert", p.inserts)
		if p.chosen[r.get("item")] {
			p.add(r, "raised_at", r.time("raised_at"), r.badge("by"), shop.NonconformanceRaised{Nonconformance: r.get("number"), Insert: r.get("item"), What: r.need("what")})
			p.decided(r)
		}
	}
	for _, r := range p.concessions.rows {
		p.concession(r)
	}
}

// decided plans the end of a nonconformance. Its pieces that were decided at
// one moment in one way are one decision, which the first of them records.
func (p *plan) decided(r row) {
	state, d := r.get("state"), shop.Disposition(r.get("disposition"))
	if state == string(shop.NCOpen) {
		return
	}
	same := func(x row) bool {
		return x.get("state") == state && x.get("disposition") == string(d) && x.time("closed_at").Equal(r.time("closed_at"))
	}
	var pieces []string
	for _, x := range p.nonconformances.of("number", r.get("number")) {
		if p.chosen[x.get("item")] && same(x) {
			pieces = append(pieces, x.get("item"))
		}
	}
	if pieces[0] != r.get("item") {
		return
	}
	at, by, number, why := r.time("closed_at"), r.badge("closed_by"), r.get("number"), r.need("note")
	switch {
	case state == string(shop.NCCancelled):
		p.add(r, "closed_at", at, by, shop.NonconformanceCancelled{Nonconformance: number, Inserts: pieces, Why: why})
	case state != string(shop.NCClosed):
		r.wrong("state", "%q is not open, closed or cancelled.", state)
	case d.GoesBack():
		r.wrong("disposition", "this form of folder has no column for the operation that a piece goes back to.")
	default:
		p.add(r, "closed_at", at, by, shop.NonconformanceDecided{Nonconformance: number, Inserts: pieces, Disposition: d, Why: why}).Meaning = "Decided"
	}
}

// concession plans a concession for those of its pieces that are loaded.
func (p *plan) concession(r row) {
	var pieces []string
	for _, insert := range r.words("items") {
		r.refer("items", insert, "insert", p.inserts)
		if p.chosen[insert] {
			pieces = append(pieces, insert)
		}
	}
	number := r.need("nonconformance")
	if len(p.nonconformances.of("number", number)) == 0 {
		r.wrong("nonconformance", "%s is not in nonconformances.csv.", number)
	}
	if mould := r.get("mould"); mould != "" {
		r.refer("mould", mould, "mould", p.moulds)
	}
	at, by, quantity := r.time("given_at"), r.badge("given_by"), r.count("quantity")
	e := shop.ConcessionGiven{
		Concession: r.get("concession"), Nonconformance: number, Inserts: pieces, What: r.need("limit"), Limits: limitsIn(r.get("limit")), Mould: r.get("mould"),
		Customer: r.get("customer"), CustomerReference: r.get("customer_reference"), Quantity: min(quantity, len(pieces)), ExpiresOn: r.day("expires_on"),
	}
	if len(pieces) > 0 {
		p.add(r, "given_at", at, by, e).Meaning = "Given"
	}
}

var limitPattern = regexp.MustCompile(`^(.+?) ([+-]?[0-9]+(?:\.[0-9]+)?) (\S+) or (more|less)$`)

// limitsIn reads a limit in words, such as "hardness 43 HRC or more". Other
// words stay words: whoever gave the concession judged by them.
func limitsIn(text string) []shop.ConcessionLimit {
	m := limitPattern.FindStringSubmatch(text)
	if m == nil {
		return nil
	}
	end, err := shop.ReadingOf(m[2], m[3])
	if err != nil {
		return nil
	}
	if m[4] == "more" {
		return []shop.ConcessionLimit{{Of: m[1], Lower: end}}
	}
	return []shop.ConcessionLimit{{Of: m[1], Upper: end}}
}
