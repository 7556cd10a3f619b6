package scenario

import (
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

// printOf is the print of an insert.
func (p *plan) printOf(insert string) (row, bool) {
	found := p.prints.of("item", insert)
	if len(found) == 0 {
		return row{}, false
	}
	return found[0], true
}

// print plans a print from its start to its end.
func (p *plan) print(insert string, r, line row) {
	machine := r.need("machine")
	r.refer("machine", machine, "machine", p.machines)
	r.refer("carrier", r.get("carrier"), "carrier", p.carriers)
	r.refer("cutter", r.get("cutter"), "cutter", p.cutters)
	by, started := r.badge("started_by"), r.time("started_at")
	if ran := p.versionAt(machine, started); ran != r.get("controller_version") {
		r.wrong("controller_version", "it says %q, and by machine_versions.csv %q ran on %s.", r.get("controller_version"), ran, machine)
	}
	start := p.add(r, "started_at", started, by, shop.PrintStarted{
		Insert: insert, Release: releaseName(line.get("release"), line.get("design")), Machine: machine, ProgramHash: r.need("program_sha256"),
		Carrier: r.need("carrier"), Room: r.reading("room_c", "C"), Humidity: r.reading("room_rh_pct", "%"), KX: r.number("kx_used", "1"), KY: r.number("ky_used", "1"), KZ: r.number("kz_used", "1"), Layers: r.count("layers"),
	})
	start.Answers = p.answers(insert)
	p.stand(start, shop.OpPrint, machine)
	if r.get("ended_at") == "" {
		return
	}
	next, remark := p.pauses(insert, r)
	why := ""
	if broke, ok := p.broke(r); ok {
		why = broke.get("note")
	}
	p.layers(r, insert, next, r.count("layers_done"), remark)
	end := p.add(r, "ended_at", r.until("ended_at", "started_at"), r.badge("finished_by"), shop.PrintFinished{
		Insert: insert, LayersDone: r.count("layers_done"), Printed: r.number("printed_g", "g"), Remark: why,
	})
	end.Entered = later(end.At, r.until("finish_entered_at", "ended_at"))
	p.stand(end, shop.OpPrint, machine)
	if r.get("outcome") == "scrapped" {
		p.scrap(insert, r)
	}
}

// pauses records, at each pause, the layers that were made until then by whom.
// It returns the first layer after the last pause, and the remark of the one
// who went on.
func (p *plan) pauses(insert string, print row) (next int, remark string) {
	next = 1
	for _, r := range p.printEvents.of("print", print.get("print")) {
		switch r.get("kind") {
		case "pause":
			e := p.add(r, "at", r.time("at"), r.badge("by"), shop.LayersMade{Insert: insert, FromLayer: next, ToLayer: r.count("layer"), Remark: "paused: " + r.get("note")})
			p.stand(e, shop.OpPrint, print.get("machine"))
			next = r.count("layer") + 1
		case "resume":
			remark = fmt.Sprintf("resumed %s by badge %s: %s", r.time("at").In(p.zone).Format("2006-01-02 15:04"), r.badge("by"), r.get("note"))
		}
	}
	return next, remark
}

// layers records the layers after the last pause, when the print ended, and
// how long the cutter cut in the whole print.
func (p *plan) layers(r row, insert string, from, to int, remark string) {
	e := p.add(r, "ended_at", r.until("ended_at", "started_at"), r.badge("finished_by"), shop.LayersMade{Insert: insert, FromLayer: from, ToLayer: to,
		Cutter: r.get("cutter"), Cut: r.reading("cutter_min", "min"), Remark: remark})
	e.Entered = later(e.At, r.until("finish_entered_at", "ended_at"))
	p.stand(e, shop.OpPrint, r.get("machine"))
}

// broke is the row that says why a print ended before its time.
func (p *plan) broke(print row) (row, bool) {
	for _, r := range p.printEvents.of("print", print.get("print")) {
		if r.get("kind") == "scrap" {
			return r, true
		}
	}
	return row{}, false
}

// scrap plans the end of an insert that was given up while it was printed, by
// whoever was at the machine.
func (p *plan) scrap(insert string, print row) {
	r, ok := p.broke(print)
	if !ok {
		print.wrong("outcome", "%s was scrapped, and print_events.csv does not say why.", insert)
		return
	}
	e := p.add(r, "at", r.time("at"), r.badge("by"), shop.InsertScrapped{Insert: insert, Why: r.need("note")})
	e.Meaning = "Scrapped"
	e.Entered = later(e.At, print.until("finish_entered_at", "ended_at"))
}

// answers are the reasons that were given for going on with a print although
// a gate asked.
func (p *plan) answers(insert string) map[string]string {
	given := map[string]string{}
	for _, r := range p.overrides.of("item", insert) {
		if gate := r.need("gate"); slices.Contains(shop.GateNames(), gate) {
			given[gate] = fmt.Sprintf("%s (%s, answered by badge %s at %s)", r.need("reason"), r.get("override"), r.badge("by"), r.time("at").In(p.zone).Format("2006-01-02 15:04"))
		}
	}
	return given
}
