package server

import (
	"log/slog"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"sinterbook/store"
	"sinterbook/store/scenario"
	"sinterbook/store/shop"
)

// TestDemoWalk takes a new insert of the fresh lot through the demo shop's
// whole route in a real browser, on the day from which its gates are strict,
// and meets each gate that a person can meet there once on purpose.
func TestDemoWalk(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	w := demoShop(t)
	w.begins()
	w.machineGates()
	w.pasteGates()
	w.dryGates()
	w.furnaceGates()
	w.inspectGates()
	w.endGates()
	w.everyGateMet()
}

// A demoWalk is the demo shop at its now.
type demoWalk struct {
	*walk
	told int64 // entries of the book as it was told
}

// demoShop is a book with the whole demo in it, with people who can sign in,
// two of them in the office.
func demoShop(t *testing.T) *demoWalk {
	t.Helper()
	now, err := scenario.Now(scenario.Demo())
	if err != nil {
		t.Fatal(err)
	}
	b, verifier := unopened(t, filepath.Join(t.TempDir(), "book.db"))
	b.set(now)
	if _, err := scenario.Load(t.Context(), b.store, scenario.Demo(), scenario.Options{Verifier: verifier}); err != nil {
		t.Fatal(err)
	}
	w := &demoWalk{walk: &walk{bookTest: b, code: cardCodes()}, told: b.entries()}
	b.server = New(Config{Store: b.store, Log: slog.New(slog.NewTextHandler(t.Output(), nil)), Verifier: verifier})
	w.at = b.serve()
	w.browser = chromium(t)
	for _, badge := range []string{"101", "204", "311", "402", "405", "501", "601"} {
		b.keyed(badge)
		p, err := b.store.Person(t.Context(), badge)
		if err != nil {
			t.Fatal(err)
		}
		w.code[badge] = string(p.Code)
	}
	w.engineer, w.manager = w.inOffice("101"), w.inOffice("601")
	for station, tablet := range map[string]**tab{"PR1": &w.printer, "DRY": &w.oven, "FUR": &w.furnace, "INS": &w.bench, "FIT": &w.fits} {
		*tablet = newTab(t, w.browser, w.at.URL).open("/tablet?token=" + b.tabletAt(station, "walk-"+station)).press("Register this tablet")
	}
	return w
}

// nextDay lets time pass; those in the office sign in again.
func (w *demoWalk) nextDay(d time.Duration) {
	w.advance(d)
	for badge, o := range map[string]*tab{"601": w.manager, "101": w.engineer} {
		o.open("/").reads("Sign in").fields("Badge", badge, "Password", rightPassword).press("Sign in")
	}
}

// begins opens the traveler of the insert that was ordered and not begun.
func (w *demoWalk) begins() {
	e := w.engineer
	e.open("/orders/O-1022").press("Open a traveler").fill("Serial number", "I-0042").press("Open the traveler").reads("The traveler of I-0042 is open.")
	w.code["I-0042"] = w.scanCode(e)
	for _, lot := range []string{"L2509-B/04", "L2511-A/01", "L2511-A/02"} {
		c, err := w.store.Container(w.Context(), lot)
		if err != nil {
			w.Fatal(err)
		}
		w.code[lot] = string(c.Code)
	}
}

// assigned says by which release I-0042 is printed.
func (w *demoWalk) assigned(release string) {
	w.engineer.open("/inserts/I-0042/release").fill("Release", release).press("Assign it")
}

// tries scans I-0042 where somebody stands and reads what stops it there.
func (w *demoWalk) tries(at *tab, stops ...string) *tab {
	w.Helper()
	return at.open("/station").scan(w.code["I-0042"]).reads(append([]string{"Stopped"}, stops...)...)
}

// machineGates are what the start of a print asks: who, by which release, with
// which factors, on which machine.
func (w *demoWalk) machineGates() {
	e, m, p := w.engineer, w.manager, w.printer
	w.assigned("DR-16 A")
	w.atTablet(p, "311")
	w.tries(p, "Badge 311 is not authorised for print on 2025-11-21", "Release DR-16 A/CR40 is for machine P2, not P1")
	p.open("/station").scan(w.code["204"]).fill("PIN", rightPIN).press("Sign in").reads("204 print operator")
	e.open("/releases").press("Draft a release").fields("Release number", "DR-17 A", "Design", "CR40 core", "Build orientation", "+Z up", "Paste lot", "L2511-A", "Machine", "P1",
		"Furnace recipe", "SR-1340 C", "Oversize in X", "1.2018", "Oversize in Y", "1.2018", "Oversize in Z", "1.2182", "What the factors rest on", "receipt coupons",
		"Program name", "CR40.pgm", "SHA-256 of the program", testProgram).press("Draft the release").fill("Your PIN", rightPIN).press("Sign DR-17 A")
	m.open("/releases/DR-17%20A").fill("Your PIN", rightPIN).press("Sign DR-17 A").reads("in force")
	w.assigned("DR-17 A")
	m.open("/releases/DR-17%20A").unfold("Withdraw it without another")
	m.under("Withdraw it without another").fields("Why it is withdrawn", "wrong program", "Your PIN", rightPIN).press("Withdraw DR-17 A")
	w.tries(p, "DR-17 A was withdrawn")
	w.assigned("DR-15 A")
	w.factor("17.05", "1.2055")
	w.tries(p, "1.2018", "1.2055")
	w.factor("16.79", "1.2018")
	e.open("/machines/P1").press("Record a check of its axes").fields("Verdict", "fail", "Next one due", "2025-11-22").press("Record the check")
	w.tries(p, "P1", "failed")
	e.open("/machines/P1").press("Record a check of its axes").fields("Verdict", "pass", "Next one due", "2026-05-22").press("Record the check")
	w.another()
	w.tries(p, "P1 is printing I-0043", "Cutter CU-15 in P1 has cut for 1024 min; its life is 900 min")
	w.cleared()
	p.open("/station").scan(w.code["I-0042"]).reads("Start the print").fields("Plate that carries the part", "PL-05", "SHA-256 of the program as the machine shows it", testProgram,
		oversizeX, "1.2081", oversizeY, "1.2018", oversizeZ, "1.2182", "Layers planned", "305").press("Record the start of the print")
	p.reads("Stopped", "The program on P1 is not the one of release DR-15 A", "1.2081", "the attempt is noted")
	p.fields(oversizeX, "1.2018", "SHA-256 of the program as the machine shows it", "6a8132091541d83dc5c66f919499b148a45a13567aaef05f753d540eef65e0cd").press("Record the start of the print").reads("Print of I-0042 started")
}

// factor puts another factor of the fresh lot in X into force.
func (w *demoWalk) factor(s, k string) {
	w.factors("L2511-A", [2]string{s, k})
}

// another insert is printed on the machine, and wears its cutter out.
func (w *demoWalk) another() {
	m, e, p := w.manager, w.engineer, w.printer
	m.open("/orders/O-1022").under("Change the order").fill("Quantity", "2").press("Save the change")
	e.open("/orders/O-1022").press("Open a traveler").fill("Serial number", "I-0043").press("Open the traveler")
	e.open("/inserts/I-0043/release").fill("Release", "DR-15 A").press("Assign it")
	w.code["I-0043"] = w.scanCode(e)
	p.open("/station").scan(w.code["I-0043"]).fields("Plate that carries the part", "PL-06", "SHA-256 of the program as the machine shows it", "6a8132091541d83dc5c66f919499b148a45a13567aaef05f753d540eef65e0cd",
		oversizeX, "1.2018", oversizeY, "1.2018", oversizeZ, "1.2182", "Layers planned", "305").press("Record the start of the print").reads("Print of I-0043 started")
	p.press("Layers made").fields("First layer", "1", "Last layer", "5", "Dried, s", "360", "Drying air, °C", "45", "Cutter", "CU-15", "Cutting time, min", "890").press("Record the layers").reads("Layers 1 to 5 of I-0043 recorded")
}

// cleared gives the other insert up and puts a new cutter in.
func (w *demoWalk) cleared() {
	p := w.printer
	p.open("/inserts/I-0043").press("Scrap it").fields("Reason", "the cutter dragged the edge", "Your PIN", rightPIN).press("Scrap I-0043").reads("I-0043 was scrapped")
	p.open("/cutters").press("Take a cutter out").fill("Cutter", "CU-15").press("Record that it was taken out")
	p.open("/cutters").press("Put a cutter in").fields("Cutter number", "CU-16", "Machine", "P1", "Diameter", "3", "Radius offset as typed, with its sign", "0.004", "Unit of both", "mm",
		"Cutting time that it is allowed, min", "900").press("Record that it was put in").reads("CU-16 is in P1")
}

// pasteGates are what paste must be: of a released lot, of the release's lot,
// opened, and enough. A print without it is not finished.
func (w *demoWalk) pasteGates() {
	e, p := w.engineer, w.printer
	e.open("/lots").press("Receive a lot").fields("Lot number", "L2512-A", "Material", "HT44 paste", "Day it was mixed", "2025-11-15", "Last day of use", "2026-04-14", "Open life, days", "30", "Maker's certificate", "C-130").press("Receive the lot")
	e.open("/new/container").fields("Lot", "L2512-A", "Container number", "L2512-A/01", "Mass of paste in it", "2500.0", "Unit of the mass", "g").press("Receive the container")
	e.open("/containers/L2512-A/01").press("Record that it was opened")
	w.code["L2512-A/01"] = ungrouped(e.fact("Scan code"))
	p.open("/station/I-0042").scan(w.code["L2512-A/01"]).reads("Stopped", "Lot L2512-A is not released for printing", "Container L2512-A/01 is of lot L2512-A; release DR-15 A/CR40 is for lot L2511-A")
	p.open("/station/I-0042").scan(w.code["L2511-A/02"]).reads("Stopped", "Container L2511-A/02 is sealed")
	p.open("/station/I-0042").scan(w.code["L2511-A/01"]).fields("First layer", "1", "Last layer", "305", "Mass drawn, g", "5000").press("Record the paste drawn").reads("Stopped", "Container L2511-A/01 holds")
	p.open("/station/I-0042?act=print-finish").reads("Stopped", "Print of I-0042 is not complete", "paste drawn")
	p.open("/station/I-0042").scan(w.code["L2511-A/01"]).fields("First layer", "1", "Last layer", "305", "Mass drawn, g", "295.0", "Purged, g", "7.3").press("Record the paste drawn").reads("295.0 g drawn from L2511-A/01")
	p.open("/station/I-0042").reads("Layers made").fields("First layer", "1", "Last layer", "305", "Dried, s", "360", "Drying air, °C", "45", "Cutter", "CU-16", "Cutting time, min", "70").press("Record the layers")
	w.advance(11 * time.Hour)
	p.open("/station/I-0042").fields("Layers printed", "305", "Printed mass, g", "256.5").press("Record the end of the print").reads("Print of I-0042 finished")
}

// dryGates are constant mass and the loss; before that no furnace takes it.
func (w *demoWalk) dryGates() {
	o, f := w.oven, w.furnace
	w.atTablet(o, "204")
	o.scan(w.code["I-0042"]).fields("Oven", "D1", "Shelf", "2", "Air, °C", "65", "Mass without the plate, g", "256.5", "Dry once it changes in an hour by at most, %", "0.05").press("Record the start of drying").reads("Final drying of I-0042 started")
	w.atTablet(f, "311")
	f.open("/loads").press("Begin a load").fields("Load number", "F1-07", "Furnace", "F1", "Recipe", "SR-1340 C").press("Begin the load")
	f.scan(w.code["I-0042"]).scan(w.code["RECORD"]).reads("Stopped", "final drying comes first")
	w.nextDay(14 * time.Hour)
	w.atTablet(o, "204")
	o.scan(w.code["I-0042"]).fill("Mass after drying, g", "250.0").press("Record the mass after drying").reads("Stopped", "not at constant mass", "the band of lot L2511-A is 7.80 % to 9.60 %")
	o.open("/station/I-0042").press("Weigh it").fields("Mass without the plate, g", "234.45", "Balance", "BAL-1").press("Record the weighing")
	w.advance(time.Hour)
	o.scan(w.code["I-0042"]).fill("Mass after drying, g", "234.42").press("Record the mass after drying").reads("Final drying of I-0042 finished")
	w.green("X", "47.600")
}

// green measures the dried insert.
func (w *demoWalk) green(axis, size string) {
	w.oven.open("/station/I-0042").press("Measure it green").fields("Axis", axis, "Green size", size, "Unit", "mm", "Gauge", "OG-1").press("Record the green size").reads(size + " mm green in " + axis)
}

// furnaceGates are the furnace, the recipe, the setter, the green size and the
// safety tests.
func (w *demoWalk) furnaceGates() {
	e, f := w.engineer, w.furnace
	e.open("/recipes").press("Release a recipe").fields("Recipe number", "SR-1360", "Revision", "A", "For", "sintering", "Soak temperature", "1360", "Counts as soak down to this much below", "5", "Degrees in", "°C",
		"Soak time, min", "120", "Tolerance of the time, plus or minus, min", "10", "Steps, with the gas", "purge, heat, hold, cool", "Your PIN", rightPIN).press("Release the recipe")
	w.atTablet(f, "311")
	f.open("/loads").press("Begin a load").fields("Load number", "F2-07", "Furnace", "F2", "Recipe", "SR-1360 A").press("Begin the load")
	f.scan(w.code["I-0042"]).scan(w.code["RECORD"]).reads("Stopped", "H-005", "The load runs SR-1360 A; release DR-15 A/CR40 of I-0042 asks for SR-1340 C", "will be about 39.606 mm", "Sensor F2-TC2 failed its SAT of 2025-11-18")
	f.open("/setters").press("Put a setter into use").fields("Setter number", "ST-30", "Runs behind it already", "150", "Runs that it is allowed", "150").press("Put it into use")
	f.open("/loads/F1-07").fields("Insert", w.code["I-0042"], "Place", "T1", "Setter", "ST-30").press("Lay it in").reads("Stopped", "ST-30", "39.606 mm")
	w.green("X", "48.072")
	w.green("Y", "36.054")
	w.green("Z", "30.455")
	f.open("/loads/F1-07").fields("Insert", w.code["I-0042"], "Place", "T1", "Setter", "ST-01").press("Lay it in").reads("80 % is asked", "scatters too much for these limits")
	w.put("601", shop.LimitSet{Limit: shop.GreenChance, Value: readingOf("70", "%"), From: w.now(), Basis: "what two runs of a lot can tell"})
	f.open("/loads/F1-07").fields("Insert", w.code["I-0042"], "Place", "T1", "Setter", "ST-01").press("Lay it in").reads("I-0042 lies at T1.")
	e.open("/furnaces/F1").fill("purge", "on").press("Ask for these")
	f.open("/loads/F1-07").press("Record that the door was closed").reads("Stopped", "purge")
	f.open("/new/furnace-test").fields("Before the run of", "F1-07", "Test", "purge", "Verdict", "pass").press("Record the test")
	f.open("/loads/F1-07").press("Record that the door was closed").reads("Nothing was started by it.")
	w.nextDay(40 * time.Hour)
	w.atTablet(f, "311")
	f.scan(w.code["I-0042"]).press("Open load F1-07").fill("I-0042 at T1", "on").press("Record the unloading").reads("every serial is accounted for")
	f.open("/station").scan(w.code["I-0042"]).press("Mark it").fields("Marked by", "laser", "Its code, scanned from the part", w.code["I-0042"]).press("Record the mark").reads("I-0042 bears its mark")
	w.tempered()
}

// onDuty signs in at a tablet where the shift before is over.
func (w *demoWalk) onDuty(tablet *tab, badge string) {
	if !strings.Contains(tablet.open("/station").words(), "Scan a traveler to begin.") {
		w.atTablet(tablet, badge)
	}
}

// tempered goes through tempering; the tablet of the furnace will do.
func (w *demoWalk) tempered() {
	f := w.furnace
	w.onDuty(f, "311")
	f.open("/station").scan(w.code["I-0042"]).reads("Next is tempering. This station is for sintering").press("Start tempering here all the same").fields("Tempering recipe", "TR-590 A", "Oven", "D1").press("Record the start of tempering").reads("Oven D1 may reach 110 °C: 590 °C is too hot for it.")
	f.fill("Oven", "H1").press("Record the start of tempering").reads("Tempering of I-0042 started")
	w.advance(7 * time.Hour)
	w.onDuty(f, "311")
	f.open("/station").scan(w.code["I-0042"]).press("Finish tempering here all the same").press("Record the end of tempering").reads("Tempering of I-0042 finished")
}

// inspectGates are the gauge, its check and what it is capable of; and what
// fails and is not talked about.
func (w *demoWalk) inspectGates() {
	i := w.bench
	w.atTablet(i, "405")
	i.scan(w.code["I-0042"]).reads("Measure: first read how", "WI-50 B", "Takes the place of WI-50 A", "The limit is the permissible error in the gauge register").
		press("I have read WI-50 B").reads("Noted: you have read WI-50 B.", "Record this reading", "Badge 405 has read the instruction")
	i.open("/station").scan(w.code["402"]).fill("PIN", rightPIN).press("Sign in").reads("402 inspector")
	for _, g := range []string{"M-12", "M-15", "CMM1", "HT-1", "BAL-1", "FL-1"} {
		gauge, err := w.store.Gauge(w.Context(), g)
		if err != nil {
			w.Fatal(err)
		}
		w.code[g] = string(gauge.Code)
	}
	first := []string{"Reading", "40.004", "Unit", "mm", "Part temperature, °C", "20.1"}
	i.open("/station").scan(w.code["I-0042"]).reads("Measure").scan(w.code["M-12"]).fields(first...).press("Record this reading").
		reads("Stopped", "M-12 is held by 601", "Gauge M-12 failed its calibration of 2025-11-20", "judged by a limit of 0.040 mm; its permissible error is 0.004 mm")
	w.checked("M-15", "25.011")
	i.open("/station").scan(w.code["I-0042"]).scan(w.code["M-15"]).fields(first...).press("Record this reading").reads("Stopped", "Gauge M-15 read 25.011 mm on a block of 25.000 mm")
	w.checked("M-15", "25.001")
	w.calliper()
	w.checked("CL-01", "25.00")
	i.open("/station").scan(w.code["I-0042"]).scan(w.code["CL-01"]).fields(first...).press("Record this reading").reads("This asks for a reason", "CL-01")
	w.measured("M-15", "40.004", "M-15", "30.005", "CMM1", "25.0104", "HT-1", "44.8", "BAL-1", "96.6", "FL-1", "5.1", "FL-1", "2")
	i.press("Record the end of the inspection").reads("Inspection of I-0042 finished")
}

// checked checks a gauge on a block.
func (w *demoWalk) checked(gauge, reads string) {
	w.bench.open("/gauges/"+gauge).press("Check it on a block").fields("Size of the block", "25.000", "The gauge reads", reads).press("Record the check").reads("The check of " + gauge + " was recorded")
}

// calliper is a gauge that is too coarse for the insert.
func (w *demoWalk) calliper() {
	m := w.manager
	m.open("/gauges").press("Enter a gauge").fields("Gauge number", "CL-01", "Kind of gauge", "calliper", "Range", "0-150 mm", "Resolution", "0.01",
		"Permissible error, plus or minus", "0.02", "Expanded uncertainty, k = 2", "0.03", "Unit of both", "mm").press("Enter the gauge")
	w.code["CL-01"] = ungrouped(m.cell("CL-01", "Scan code"))
	m.open("/gauges/CL-01").press("Record a calibration").fields("Number of the certificate", "CAL-25-040", "Verdict of the certificate", "pass", "Next one due", "2026-05-20",
		"Unit of the points", "mm", "Standard, line 1", "25", "Read too much, as found, line 1", "0").press("Record the calibration")
}

// measured reads all characteristics in their order: gauge, reading, gauge,
// reading.
func (w *demoWalk) measured(readings ...string) {
	i := w.bench
	i.open("/station").scan(w.code["I-0042"])
	for n, unit := range []string{"mm", "mm", "mm", "HRC", "%", "l/min", "mbar"} {
		i.scan(w.code[readings[2*n]])
		if unit == "HRC" || unit == "%" { // the only one stands in the label
			i.fill("Reading, "+unit, readings[2*n+1])
		} else {
			i.fields("Reading", readings[2*n+1], "Unit", unit)
		}
		i.press("Record this reading")
	}
	i.reads("Every characteristic has a reading")
}

// endGates ask about what failed before it goes into a mould, which it was not
// ordered for; in the end it lies on a shelf.
func (w *demoWalk) endGates() {
	f, i, m := w.fits, w.bench, w.manager
	w.atTablet(f, "501")
	mould, err := w.store.Mould(w.Context(), "M306")
	if err != nil {
		w.Fatal(err)
	}
	f.scan(w.code["I-0042"]).reads("Leave out fit-up").open("/station/I-0042?act=fit").scan(string(mould.Code)).reads("Stopped", "I-0042 failed in CR40.4 (44.8 HRC; limits 46 to 50 HRC), and no nonconformance says so")
	w.stocked("and no nonconformance says so")
	i.open("/new/nonconformance?insert=I-0042").fill("In your own words", "hardness 44.8 HRC").press("Raise it").reads("NC-006", "waits for a decision")
	m.open("/station/I-0042").reads("NC-006 on I-0042 is open: hardness 44.8 HRC.")
	m.open("/nonconformances/NC-006").fields("Disposition", "rework", "Back to, for rework and repair", "tempering", "Reason", "temper it again, 10 °C lower", "Your PIN", rightPIN).press("Decide").reads("rework, back to tempering")
	w.tempered()
	w.onDuty(i, "402")
	w.measured("M-15", "40.003", "M-15", "30.005", "CMM1", "25.0104", "HT-1", "47.1", "BAL-1", "96.6", "FL-1", "5.1", "FL-1", "2")
	i.press("Record the end of the inspection").reads("Inspection of I-0042 finished")
	w.onDuty(f, "501")
	f.open("/station/I-0042?act=fit").scan(string(mould.Code)).fields("Place in the mould", "K6", "Shim under the base, 0 for none", "0", "Unit of shims and stock", "µm").press("Record the fit").
		reads("Stopped", "I-0042 was ordered for mould none (stock), not M306", "Place K6 of mould M306 is taken by I-0029")
	w.nextDay(time.Hour)
	w.stocked("")
}

// stocked leaves the fit-up out and lays the insert on a shelf, unless
// something stops that.
func (w *demoWalk) stocked(stop string) {
	f, m := w.fits, w.manager
	f.open("/inserts/I-0042").press("Leave out fit-up").fill("Reason", "ordered for stock").press("Leave it out")
	m.open("/station/I-0042")
	if stop != "" {
		m.reads("Stopped", stop)
		return
	}
	m.fields("Shelf", "shelf 4", "Your PIN", rightPIN).press("Put it to stock").reads("shelf 4")
}

// everyGateMet looks into the book for the attempts that were noted, each under
// the first gate that stopped it, and verifies the whole of it. What is stopped
// before it is tried is no attempt.
func (w *demoWalk) everyGateMet() {
	refused, err := w.store.Refusals(w.Context(), shop.Subject("insert", "I-0042"))
	if err != nil {
		w.Fatal(err)
	}
	met := map[string]bool{}
	for _, no := range refused {
		met[no.Gate] = true
	}
	want := []string{"constant mass", "container enough left", "gauge check passed", "green size predicts a good part", "mould of the order", "not held", "program hash", "route order"}
	if got := slices.Sorted(maps.Keys(met)); !slices.Equal(got, want) {
		w.Errorf("attempts were noted of the gates %q; want %q", got, want)
	}
	r, err := w.store.Verify(w.Context(), nil)
	if err != nil || r.Entries != w.entries() || r.Entries <= w.told {
		w.Errorf("the book verifies %d entries of %d: %v", r.Entries, w.entries(), err)
	}
}

// TestRecall goes from a bad insert to its lot, to everyone who is affected,
// holds what is here in one act, prints the list of what is not, and writes the
// notices.
func TestRecall(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	w := demoShop(t)
	m := w.manager
	m.open("/trace").fill("Number or scan code", "I-0013").press("Trace it").reads("Trace of insert I-0013")
	m.under("Behind it").press("Trace lot L2509-A")
	m.reads("Trace of lot L2509-A", "Made 9 Delivered 6 In stock 0 In work 3 Scrapped 0", "60 % of its paste")
	m.press("Sort by Where").under("The inserts that it touched").fill("Why they are held", "0.5 % small in Z").press("Hold them")
	m.reads("Containment CA-001 was begun.")
	for row, want := range map[string]string{"K1": "I-0013, I-0016, I-0017", "K2": "I-0019, I-0021", "K3": "I-0015"} {
		if got := m.under("Notices to write").cell(row, "Inserts"); got != want {
			t.Errorf("the notice to %s is about %q; want %q", row, got, want)
		}
	}
	for _, insert := range []string{"I-0024", "I-0026", "I-0030"} {
		m.under("Held").reads(insert)
		w.manager.beside().open("/floor").reads(insert)
	}
	wanted := m.onPaper()
	sheets := paperOf(t, m, papers[0].options)
	if missing := missingWords(wanted, sheets); missing != nil {
		t.Errorf("not on the recall list: %q", missing)
	}
	for _, customer := range []string{"K1", "K2", "K3"} {
		m.open("/containments/CA-001").under("Notices to write").press(customer)
		if draft := m.value("What it says"); !strings.Contains(draft, "Please do not use them until you hear from us") {
			t.Errorf("the draft to %s is %q", customer, draft)
		}
		m.fill("How it is sent, and to whom", "letter to the toolroom of "+customer).press("Record that it was sent").reads("sent")
	}
	m.fill("What they answered, and who", "all are out of the press").press("Record the answer").reads("answered", "all are out of the press")
	m.open("/containments").reads("holds stand")
	m.open("/inserts/I-0024").reads("0.5 % small in Z")
	m.quiet("the manager's tab")
}

// TestAuditor prints a history, takes its proof to an empty folder and checks
// it there with nothing but the shop's key; a proof that was tampered with is
// found out.
func TestAuditor(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	w := demoShop(t)
	if err := w.store.Checkpoint(t.Context()); err != nil {
		t.Fatal(err)
	}
	w.keyed("900")
	a := w.inOffice("900")
	a.open("/trace").fill("Number or scan code", "I-0037").press("Trace it").press("History")
	a.reads("NC-005", "Download its proof").press("Print all of it")
	wanted := a.onPaper()
	sheets := paperOf(t, a, papers[0].options)
	if missing := missingWords(wanted, sheets); missing != nil {
		t.Errorf("not on paper: %q", missing)
	}
	bundle := step(a, "downloading the proof", chromedp.Evaluate[string]("fetch('/proof/insert/I-0037').then((r) => r.text())", awaited))
	kept := filepath.Join(t.TempDir(), "I-0037.proof")
	if err := os.WriteFile(kept, []byte(bundle), 0o600); err != nil {
		t.Fatal(err)
	}
	book, err := w.store.Book(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	check := func() (store.Bundled, error) {
		f, err := os.Open(kept)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		return store.CheckBundle(f, store.BundleKey{Verifier: book.Verifier})
	}
	history, err := w.store.Count(t.Context(), "insert/I-0037")
	if found, err2 := check(); err2 != nil || err != nil || found.Count != history || !found.Sealed || found.Subject() != "insert I-0037" {
		t.Errorf("the proof has %d entries of %d: %v, %v", found.Count, history, err, err2)
	}
	if err := os.WriteFile(kept, []byte(strings.Replace(bundle, "40.194", "40.094", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := check(); err == nil || !strings.Contains(bundle, "40.194") {
		t.Errorf("a reading that was changed is not found out: %v", err)
	} else if why := err.Error(); !strings.HasPrefix(why, "Line ") || !strings.Contains(why, "about insert I-0037 has the hash") {
		t.Errorf("it is found out, but not named: %s", why)
	}
	for _, paper := range [][]chromedp.PDFOption{{chromedp.PDFPaper(chromedp.PaperA4)}, {chromedp.PDFPaper(chromedp.PaperLetter)}} {
		a.open("/inserts/I-0019/certificate").reads("Inspection certificate", "CN-01", "conceded as named below")
		if sheets := paperOf(t, a, paper); len(sheets) != 1 || strings.Contains(sheets[0], "auditor") {
			t.Errorf("the certificate has %d sheets, or says who printed it: %q", len(sheets), sheets)
		}
	}
	a.quiet("the auditor's tab")
}
