package scenario

import (
	"slices"
	"time"

	"sinterbook/store/shop"
)

// inspect plans the readings of an insert, and the end of its inspection.
func (p *plan) inspect(r row) {
	insert := r.get("insert")
	for _, res := range p.results.of("item", insert) {
		p.result(res, insert, r.get("design"))
	}
	last, ok := p.inspected(r)
	if !ok {
		return
	}
	// The folder has no entry for the end of an inspection: it ended with the
	// last reading that was needed, by whoever took it.
	at := last.time("at")
	p.add(last, "at", at, last.badge("by"), shop.InspectionFinished{Insert: insert})
	p.shelve(r, at)
}

// result plans one reading. One in a unit that the book does not have is left
// out with its characteristic.
func (p *plan) result(r row, insert, design string) {
	number := r.need("characteristic")
	c, ok := r.refer("characteristic", number, "characteristic", p.characteristics)
	if !ok {
		return
	}
	if c.get("design") != design {
		r.wrong("characteristic", "%s belongs to %s; %s is %s.", number, c.get("design"), insert, design)
		return
	}
	if shop.QuantityOf(c.get("unit")) == "" {
		return
	}
	r.refer("gauge", r.need("gauge"), "gauge", p.gauges)
	value := r.number("value_typed", r.need("unit"))
	p.add(r, "at", r.time("at"), r.badge("by"), shop.ResultRecorded{
		Insert: insert, Characteristic: number, Value: value, Gauge: r.get("gauge"),
		PartTemp: r.reading("part_temp_c", "C"), Purpose: r.need("purpose"), Verdict: p.verdict(r, c, value),
	})
}

// verdict is the verdict that the folder says, which must be what the limits
// give.
func (p *plan) verdict(r, c row, value shop.Reading) string {
	said := r.get("verdict")
	if !value.Taken() {
		return said // a fault is noted
	}
	verdict, err := characteristic(c).Judge(value)
	switch {
	case err != nil:
		r.wrong("value_typed", "%s", err)
	case verdict != said:
		r.wrong("verdict", "it says %q, and by the limits of %s the verdict is %q.", said, c.get("characteristic"), verdict)
	}
	return said
}

// inspected is the reading with which an inspection was complete: ok is false
// where a characteristic was not read.
func (p *plan) inspected(insert row) (last row, ok bool) {
	for _, c := range p.characteristics.of("design", insert.get("design")) {
		if shop.QuantityOf(c.get("unit")) == "" || c.get("revision") != insert.get("revision") {
			continue
		}
		first, read := p.firstReading(insert.get("insert"), c.get("characteristic"))
		if !read {
			return row{}, false
		}
		if !ok || first.time("at").After(last.time("at")) {
			last, ok = first, true
		}
	}
	return last, ok
}

func (p *plan) firstReading(insert, characteristic string) (row, bool) {
	var found []row
	for _, r := range p.results.of("item", insert) {
		if r.get("characteristic") == characteristic && r.get("purpose") == "inspection" {
			found = append(found, r)
		}
	}
	if len(found) == 0 {
		return row{}, false
	}
	return slices.MinFunc(found, func(a, b row) int { return a.time("at").Compare(b.time("at")) }), true
}

// failed lists the characteristics of an insert that had failed by a time.
func (p *plan) failed(insert string, by time.Time) []string {
	newest := map[string]row{}
	for _, r := range p.results.of("item", insert) {
		number := r.get("characteristic")
		if old, ok := newest[number]; !r.time("at").After(by) && (!ok || old.time("at").Before(r.time("at"))) {
			newest[number] = r
		}
	}
	var failed []string
	for number, r := range newest {
		if r.get("verdict") == "fail" {
			failed = append(failed, number)
		}
	}
	slices.Sort(failed)
	return failed
}
