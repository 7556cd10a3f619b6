package scenario

import (
	"slices"
	"strings"

	"sinterbook/store/shop"
)

// gaugeCare plans calibrations and checks. A calibration has a row for each
// point; those of one gauge and certificate are one entry.
func (p *plan) gaugeCare() {
	var done []string
	for _, r := range p.calibrations.rows {
		r.refer("gauge", r.get("gauge"), "gauge", p.gauges)
		if name := r.get("gauge") + " " + r.need("certificate"); !slices.Contains(done, name) {
			done = append(done, name)
			p.calibration(r)
		}
	}
	for _, r := range p.checks.rows {
		r.refer("gauge", r.get("gauge"), "gauge", p.gauges)
		said := r.need("verdict_recorded")
		e := shop.GaugeChecked{Gauge: r.get("gauge"), Block: r.number("block_mm", "mm"), Read: r.number("reading_mm", "mm"), Limit: r.number("limit_typed_mm", "mm"), Verdict: said}
		if judged := e.Judged(); said != judged {
			r.wrong("verdict_recorded", "%q, and by the limit that was typed it is %s.", said, judged)
		}
		p.add(r, "at", r.time("at"), r.badge("by"), e)
	}
}

// calibration is the entry of all rows of one certificate. Who wrote it into
// the register the folder does not say.
func (p *plan) calibration(first row) {
	by, earliest := p.someone(first, "gauge-calibrated")
	e := shop.GaugeCalibrated{Gauge: first.get("gauge"), Certificate: first.get("certificate"), Verdict: first.need("verdict"), Due: p.dueDay(first, "next_due_at")}
	for _, r := range p.calibrations.of("gauge", e.Gauge) {
		if r.get("certificate") == e.Certificate {
			e.Points = append(e.Points, shop.CalibrationPoint{Point: r.measure("point"), AsFound: r.measure("as_found"), AsLeft: r.measure("as_left")})
		}
	}
	at := first.time("at")
	p.add(first, "at", at, by, e).Entered = later(at, earliest)
}

// measure is a number with its unit in one field, not taken where it is empty.
func (r row) measure(column string) shop.Reading {
	text, unit, ok := strings.Cut(r.get(column), " ")
	if text == "" {
		return shop.Reading{}
	}
	if !ok {
		r.wrong(column, "%q has no unit: write it like 25 mm.", text)
		return shop.Reading{}
	}
	return r.parsed(column, text, unit)
}
