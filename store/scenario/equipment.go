package scenario

import (
	"fmt"
	"slices"
	"time"

	"sinterbook/store/shop"
)

// equipment puts machines, furnaces and gauges in the book. The folder does
// not say since when they were there, so they are there from the beginning.
func (p *plan) equipment() {
	for _, r := range p.machines.rows {
		by, at := p.someone(r, "machine-added")
		machine := r.get("machine")
		p.add(r, "", at, by, shop.MachineAdded{Machine: machine, Nozzle: r.number("nozzle_mm", "mm"), Code: codeFor("machine", machine)})
		p.geometry(r)
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
			Resolution: r.reading("resolution_mm", "mm"), Error: r.reading("mpe_mm", "mm"), Uncertain: r.reading("u_mm", "mm"), Code: codeFor("gauge", gauge)})
	}
	p.furnaceCare()
	p.tools()
	p.versions()
	p.serviced()
}

// geometry plans the check of a machine's axes. It is in the register by
// whoever may record it: the folder does not say who did it.
func (p *plan) geometry(r row) {
	by, earliest := p.someone(r, "machine-checked")
	at := r.timeIf("geometry_checked_at")
	if at.IsZero() {
		return
	}
	e := shop.MachineChecked{Machine: r.get("machine"), Verdict: "pass", Due: p.dueDay(r, "geometry_due_at")}
	p.add(r, "geometry_checked_at", at, by, e).Entered = later(at, earliest)
}

// dueDay is the last day on which something is still in date, "" where the
// folder does not say.
func (p *plan) dueDay(r row, column string) shop.Date {
	if due := r.planned(column); !due.IsZero() {
		return shop.DayOf(due, p.zone)
	}
	return ""
}

// furnaceCare plans sensors with their system accuracy tests, and surveys.
func (p *plan) furnaceCare() {
	for _, r := range p.sensors.rows {
		r.refer("furnace", r.get("furnace"), "furnace", p.furnaces)
		by, earliest := p.someone(r, "sensor-fitted")
		at := r.time("installed_at")
		p.add(r, "installed_at", at, by, shop.SensorFitted{Sensor: r.get("sensor"), Furnace: r.need("furnace"), Zone: r.need("zone"), Type: r.need("type"),
			Certificate: r.need("certificate"), Code: codeFor("sensor", r.get("sensor"))}).Entered = later(at, earliest)
	}
	for _, r := range p.sat.rows {
		p.sensorTest(r)
	}
	var done []string
	for _, r := range p.tus.rows {
		if name := r.get("furnace") + r.get("at"); !slices.Contains(done, name) {
			done = append(done, name)
			p.survey(r)
		}
	}
}

func (p *plan) sensorTest(r row) {
	if s, ok := r.refer("sensor", r.get("sensor"), "sensor", p.sensors); ok && s.get("furnace") != r.get("furnace") {
		r.wrong("furnace", "sensor %s is in furnace %s.", r.get("sensor"), s.get("furnace"))
	}
	e := shop.SensorTested{Sensor: r.get("sensor"), SetPoint: r.number("set_point_c", "C"), Read: r.number("reading_c", "C"), Reference: r.number("reference_c", "C"),
		Limit: r.number("limit_c", "K"), Verdict: r.need("verdict"), Due: p.dueDay(r, "next_due_at")}
	if off := fmt.Sprintf("%+.1f", e.Read.Value()-e.Reference.Value()); off != r.get("difference_c") {
		r.wrong("difference_c", "it says %s, and reading minus reference is %s.", r.get("difference_c"), off)
	}
	if judged := e.Judged(); e.Verdict != judged {
		r.wrong("verdict", "it says %q, and by the limit it is %s.", e.Verdict, judged)
	}
	p.add(r, "at", r.time("at"), r.badge("by"), e)
}

// survey is the entry of all rows of one survey, one for each zone.
func (p *plan) survey(first row) {
	first.refer("furnace", first.get("furnace"), "furnace", p.furnaces)
	e := shop.FurnaceSurveyed{Furnace: first.get("furnace"), SetPoint: first.number("set_point_c", "C"), Limit: first.number("limit_c", "K"), Due: p.dueDay(first, "next_due_at")}
	verdict := "pass"
	for _, r := range p.tus.of("furnace", e.Furnace) {
		if r.get("at") == first.get("at") {
			e.Zones = append(e.Zones, shop.ZoneOff{Zone: r.need("zone"), Off: r.number("deviation_c", "K")})
			if r.need("verdict") != "pass" {
				verdict = r.get("verdict")
			}
		}
	}
	if e.Verdict = e.Judged(); e.Verdict != verdict {
		first.wrong("verdict", "it says %q, and by the limit it is %s.", verdict, e.Verdict)
	}
	p.add(first, "at", first.time("at"), first.badge("by"), e)
}

// tools plans recipes, setters, ovens, carriers and cutters.
func (p *plan) tools() {
	for _, r := range p.recipes.rows {
		p.add(r, "released_at", r.time("released_at"), r.badge("by"), shop.RecipeReleased{Recipe: r.get("recipe"), Revision: r.get("revision"), For: r.need("kind"),
			Soak: r.number("soak_c", "C"), Band: r.number("soak_band_c", "K"), Time: r.number("soak_min", "min"), Tolerance: r.number("soak_tol_min", "min"),
			DewPoint: r.reading("dew_point_max_c", "C"), Steps: r.need("steps")})
	}
	for _, r := range p.setters.rows {
		by, at := p.someone(r, "setter-added")
		p.add(r, "", at, by, shop.SetterAdded{Setter: r.get("setter"), Cycles: r.count("cycles_before"), Life: r.count("life_cycles"), Code: codeFor("setter", r.get("setter"))})
	}
	for _, r := range p.ovens.rows {
		by, at := p.someone(r, "oven-added")
		p.add(r, "", at, by, shop.OvenAdded{Oven: r.get("oven"), Shelves: r.count("shelves"), Limit: r.number("limit_c", "C"), Code: codeFor("oven", r.get("oven"))})
	}
	for _, r := range p.carriers.rows {
		by, at := p.someone(r, "carrier-added")
		p.add(r, "", at, by, shop.CarrierAdded{Carrier: r.get("carrier"), Type: r.need("kind"), Code: codeFor("carrier", r.get("carrier"))})
	}
	for _, r := range p.cutters.rows {
		machine, cutter := r.need("machine"), r.get("cutter")
		r.refer("machine", machine, "machine", p.machines)
		by, _ := p.someone(r, "cutter-fitted")
		p.add(r, "installed_at", r.time("installed_at"), by, shop.CutterFitted{Cutter: cutter, Machine: machine, Diameter: r.number("diameter_mm", "mm"),
			Life: r.number("life_min", "min"), Offset: r.reading("offset_typed_mm", "mm"), Code: codeFor("cutter", cutter)})
		if at := r.until("removed_at", "installed_at"); !at.IsZero() {
			p.add(r, "removed_at", at, by, shop.CutterRemoved{Cutter: cutter, Machine: machine})
		}
	}
}

func (p *plan) versions() {
	for _, r := range p.machineVersions.rows {
		r.refer("machine", r.get("machine"), "machine", p.machines)
		p.add(r, "from", r.time("from"), r.badge("by"), shop.ControllerUpdated{Machine: r.get("machine"), Version: r.need("controller_version")})
	}
}

// versionAt is the controller version that ran on a machine at a time.
func (p *plan) versionAt(machine string, at time.Time) string {
	version, since := "", time.Time{}
	for _, r := range p.machineVersions.of("machine", machine) {
		if from := r.time("from"); !from.After(at) && !from.Before(since) {
			version, since = r.get("controller_version"), from
		}
	}
	return version
}

func (p *plan) serviced() {
	for _, r := range p.equipmentEvents.rows {
		code := r.get("equipment")
		kind := ""
		for name, t := range map[string]*table{"machine": p.machines, "furnace": p.furnaces, "oven": p.ovens, "gauge": p.gauges} {
			if _, ok := t.find(code); ok {
				kind = name
			}
		}
		if kind == "" {
			r.wrong("equipment", "there is no machine, furnace, oven or gauge %s.", code)
			continue
		}
		p.add(r, "at", r.time("at"), r.badge("by"), shop.EquipmentServiced{OnKind: kind, OnCode: code, What: r.need("what")})
	}
}

func (p *plan) furnace(r row) {
	by, at := p.someone(r, "furnace-added")
	furnace := r.get("furnace")
	var places []shop.Position
	for _, place := range p.positions.of("furnace", furnace) {
		places = append(places, shop.Position{Position: place.get("position"), Zone: place.need("zone"), Use: place.need("use")})
	}
	p.add(r, "", at, by, shop.FurnaceAdded{Furnace: furnace, Positions: places, Limits: shop.FurnaceLimits{
		SAT: r.reading("sat_limit_c", "K"), TUS: r.reading("tus_limit_c", "K"), SATDays: r.count("sat_interval_days"), TUSDays: r.count("tus_interval_days")}, Code: codeFor("furnace", furnace)})
}
