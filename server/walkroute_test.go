package server

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"sinterbook/store/shop"
)

const oversizeX, oversizeY, oversizeZ = "Oversize X on the machine", "Oversize Y on the machine", "Oversize Z on the machine"

// print takes the insert through its print: a wrong factor, a double click, a
// wrong lot, the way back, a lost answer, a slip of the pen and a hold.
func (w *walk) print() {
	p := w.printer.scan(w.code["I-0001"]).reads("I-0001", "CR40 core", "Start the print", "Release signed by two people")
	p.fields("Plate that carries the part", "PL-01", "SHA-256 of the program as the machine shows it", testProgram, oversizeX, "1.2109", oversizeY, "1.2019", oversizeZ, "1.2180",
		"Layers planned", "304", "Plate temperature, °C", "41.5")
	w.grown(1, func() {
		p.press("Record the start of the print").reads("Stopped", "1.2109", "1.2019", "the attempt is noted")
	})
	if got := p.value("Plate that carries the part"); got != "PL-01" {
		w.Errorf("after a no the plate comes back as %q", got)
	}
	w.grown(1, func() {
		w.pressTwice(p.fill(oversizeX, "1.2019"), "Record the start of the print")
		p.reads("Print of I-0001 started")
	})
	w.paste()
	w.grown(0, func() {
		p.fields("First layer", "1", "Last layer", "5", "Dried, s", "360", "Drying air, °C", "forty-five", "Cutter", "CU-11", "Cutting time, min", "4").press("Record the layers").reads("Nothing was stored", "forty-five")
	})
	if got := p.value("Drying air, °C"); got != "forty-five" {
		w.Errorf("what was not understood comes back as %q", got)
	}
	p.fields("Drying air, °C", "45", "Shaping pass", "1", "Probe reads", "0.501", "Unit of the probe", "mm").press("Record the layers").reads("Layers 1 to 5 of I-0001 recorded")
	p.fields("First layer", "6", "Last layer", "304", "Dried, s", "360").press("Record the layers").reads("Layers 6 to 304 of I-0001 recorded")
	w.advance(9 * time.Hour)
	w.heldWhileTyping()
}

// paste is drawn by scans. What was sent before is never drawn again.
func (w *walk) paste() {
	p := w.printer
	w.grown(0, func() { p.scan(w.code["L2510-B"]).reads("Stopped", "L2510-B", "L2509-A") })
	p.scan(w.code["L2509-A"]).reads("Draw paste").fields("First layer", "1", "Last layer", "120", "Mass drawn, g", "140.5", "Purged, g", "3.1")
	w.grown(1, func() {
		p.press("Record the paste drawn").reads("140.5 g drawn from L2509-A/01 for layers 1 to 120 of I-0001")
	})
	w.advance(time.Minute)
	w.grown(0, func() {
		p.back().press("Record the paste drawn")
	})
	w.grown(1, func() {
		p.open("/station/I-0001").scan(w.code["L2509-A"]).fields("First layer", "121", "Last layer", "304", "Mass drawn, g", "140.0")
		w.lost.Store(true)
		p.press("Record the paste drawn").waits("140.0 g drawn from L2509-A/01 for layers 121 to 304 of I-0001")
	})
	p.open("/station/I-0001").reads("Layers made")
}

// heldWhileTyping is a hold that comes between a form and its sending.
func (w *walk) heldWhileTyping() {
	p, m := w.printer, w.manager
	p.open("/station/I-0001").reads("Finish the print").fields("Layers printed", "304", "Printed mass, g", "254.3", "Remark", "edge of layer 120 looks dry")
	m.open("/holds").fields("Kind of thing", "insert", "Its number or scan code", "I-0001", "Reason", "edge chipped").press("Hold it")
	w.grown(1, func() {
		p.press("Record the end of the print").reads("Stopped", "H-001", "edge chipped", "the attempt is noted")
	})
	if got := p.value("Remark"); got != "edge of layer 120 looks dry" {
		w.Errorf("after a hold the remark comes back as %q", got)
	}
	m.open("/holds").press("H-001").fields("Why it may go on", "looked at under the glass", "Your PIN", rightPIN).press("Lift H-001")
	w.grown(1, func() { p.press("Record the end of the print").reads("Print of I-0001 finished") })
}

// dry takes it through final drying.
func (w *walk) dry() {
	o := w.oven.scan(w.code["I-0001"]).reads("Start final drying")
	o.fields("Oven", "D1", "Shelf", "2", "Air, °C", "65", "Mass without the plate, g", "254.82", "Dry once it changes in an hour by at most, %", "0.05").press("Record the start of drying").reads("Final drying of I-0001 started")
	w.nextDay(14 * time.Hour)
	w.atTablet(w.oven, "204")
	o.scan(w.code["I-0001"]).fill("Mass after drying, g", "232.85").press("Record the mass after drying").reads("Stopped", "not at constant mass")
	o.open("/station/I-0001").press("Weigh it").fields("Mass without the plate, g", "232.87", "Balance", "BAL-1, balance, 0-2000 g").press("Record the weighing").reads("I-0001 weighed 232.87 g")
	w.advance(time.Hour)
	o.scan(w.code["I-0001"]).fill("Mass after drying, g", "232.85").press("Record the mass after drying").reads("Final drying of I-0001 finished")
	o.open("/station/I-0001").press("Measure it green").fields("Axis", "X", "Green size", "48.076", "Unit", "mm", "Gauge", "M-12, micrometer, 25-50 mm").press("Record the green size").reads("48.076 mm green in X")
}

// sinter lays it into a load, and leaves tempering out.
func (w *walk) sinter() {
	w.atTablet(w.furnace, "311")
	f := w.furnace.scan(w.code["I-0001"]).press("Place it in a load").press("Begin a load").fields("Load number", "F2-05", "Furnace", "F2", "Recipe", "SR-1340 C").press("Begin the load")
	f.scan(w.code["I-0001"]).scan(w.code["RECORD"]).reads("I-0001 lies at T1.")
	f.press("Record that the door was closed").reads("Nothing was started by it.")
	w.nextDay(40 * time.Hour)
	w.atTablet(f, "311")
	f.scan(w.code["I-0001"]).press("Open load F2-05").fill("I-0001 at T1", "on").press("Record the unloading").reads("every serial is accounted for")
	f.open("/station").scan(w.code["I-0001"]).press("Mark it").fields("Marked by", "laser", "Its code, scanned from the part", w.code["L2509-A"]).press("Record the mark").reads("Nothing was stored", "it is another part")
	f.fill("Its code, scanned from the part", w.code["I-0001"]).press("Record the mark").reads("I-0001 bears its mark")
	f.open("/station").scan(w.code["I-0001"]).press("Leave out tempering").fill("Reason", "hardness is right as sintered").press("Leave it out")
}

// inspect measures it. The tablet runs no script.
func (w *walk) inspect() {
	i := w.bench
	i.withoutScript(true)
	w.atTablet(i, "402")
	i.scan(w.code["I-0001"]).reads("Measure", "size X").scan(w.code["M-12"])
	w.grown(1, func() {
		w.pressTwice(i.fields("Reading", "39.969", "Unit", "mm", "Part temperature, °C", "20.4"), "Record this reading")
		i.reads("39.969")
	})
	i.scan(w.code["HT-1"]).reads("hardness").fill("Reading, HRC", "48.2").press("Record this reading")
	i.reads("Every characteristic has a reading").press("Record the end of the inspection").reads("fit-up")
}

// again sends it back to its inspection: what does not conform is raised at the
// bench, stops the fit-up, is decided in the office and measured anew.
func (w *walk) again() {
	i, m := w.bench, w.manager
	i.open("/new/nonconformance?insert=I-0001").fields("In your own words", "size X was read with a burr on the edge").press("Raise it").reads("NC-001", "waits for a decision")
	m.open("/inserts/I-0001").reads("NC-001 is open", "read with a burr")
	m.open("/holds").press("NC-001").fields("Disposition", "rework", "Back to, for rework and repair", "inspection", "Reason", "deburr it and measure again", "Your PIN", rightPIN)
	w.grown(1, func() { m.press("Decide").reads("rework, back to inspection", "deburr it and measure again") })
	i.open("/station").scan(w.code["I-0001"]).reads("Measure").scan(w.code["M-12"])
	i.fields("Reading", "39.970", "Unit", "mm", "Part temperature, °C", "20.1").press("Record this reading").reads("39.970")
	i.scan(w.code["HT-1"]).reads("hardness").fill("Reading, HRC", "48.1").press("Record this reading")
	i.press("Record the end of the inspection").reads("fit-up")
	m.open("/inserts/I-0001").reads("Inspection, again", "Nonconformances decided")
}

// fit puts it into its mould, without script too.
func (w *walk) fit() {
	f := w.fits
	f.withoutScript(true)
	w.atTablet(f, "501")
	f.scan(w.code["I-0001"]).reads("Fit it into its mould").scan(w.code["M301"])
	f.fields("Place in the mould", "C2", "Shim under the base, 0 for none", "20", "Unit of shims and stock", "µm", "Spotting contact, %", "85", "Note", "dropped in by hand").press("Record the fit")
	f.reads("I-0001 fitted in M301 at C2")
}

// deliver signs it out of the house.
func (w *walk) deliver() {
	m := w.manager.open("/moulds/M301")
	m.fill("Number of the delivery note", "DN-7").press("Sign and deliver M301").reads("Nothing was")
	if got := m.value("Number of the delivery note"); got != "DN-7" {
		w.Errorf("without a PIN the note comes back as %q", got)
	}
	m.fill("Your PIN", rightPIN).press("Sign and deliver M301").reads("Mould M301 was delivered with delivery note DN-7.")
}

// read is the auditor's: all of it in its order, on the screen and on paper.
func (w *walk) read() {
	a := w.inOffice("900")
	a.open("/history/insert/I-0001")
	rows := script[[][]string](a, "rows", "What")
	at := 0
	for _, want := range walkedEntries {
		n := slices.IndexFunc(rows[at:], func(row []string) bool { return len(row) > 3 && strings.Contains(row[3], want) })
		if n < 0 {
			w.Errorf("the history has no %q after line %d", want, at)
			continue
		}
		at += n + 1
	}
	if last := rows[len(rows)-2][0]; len(rows)-1 < len(walkedEntries) || last != strconv.Itoa(len(rows)-1) {
		w.Errorf("the history has %d lines and ends with number %s", len(rows)-1, last)
	}
	a.press("Print all of it")
	wanted := a.onPaper()
	sheets := paperOf(w.TB, a, papers[0].options)
	if missing := missingWords(wanted, sheets); missing != nil {
		w.Errorf("not on paper: %q", missing)
	}
	a.open("/station/I-0001")
	if n := script[int](a, "count", "main form:not(.scan)"); n != 0 {
		w.Errorf("an auditor is offered %d forms", n)
	}
	a.quiet("the auditor's tab")
}

// walkedEntries are words of the history of the insert, in their order.
var walkedEntries = []string{
	"The traveler of I-0001 was opened: CR40 revision B for order O-1 on route RT-1 version 1",
	"I-0001 is to be printed by release DR-02 A.",
	"Refused: to start the print. The oversize in X on the machine is 1.2109; release DR-02 A says 1.2019.",
	"The print of I-0001 was started on P1 by release DR-02 A, on plate PL-01: 304 layers planned, oversize X 1.2019, Y 1.2019, Z 1.2180, plate at 41.5 °C",
	"140.5 g of paste was drawn from L2509-A/01 for I-0001, layers 1 to 120, purged 3.1 g.",
	"140.0 g of paste was drawn from L2509-A/01 for I-0001, layers 121 to 304.",
	"Layers 1 to 5 of I-0001 were made, dried for 360 s, air 45 °C, shaping pass 1, cutter CU-11 cut for 4 min, probe 0.501 mm.",
	"Layers 6 to 304 of I-0001 were made, dried for 360 s",
	"Hold H-001 was set on insert I-0001: edge chipped.",
	"Refused: to finish the print. I-0001 is held by 601",
	"Hold H-001 on insert I-0001 was lifted: looked at under the glass. Signed by 601",
	"The print of I-0001 was finished: 304 layers, 254.3 g",
	"Final drying of I-0001 was started in oven D1, shelf 2: air 65 °C, mass before 254.82 g, dry once it changes by no more than 0.05 % in an hour.",
	"Refused: to finish final drying. I-0001 is not at constant mass",
	"I-0001 weighed 232.87 g on BAL-1.",
	"Final drying of I-0001 was finished: mass after 232.85 g, loss 8.62 %.",
	"I-0001 is 48.076 mm green in X, read on M-12.",
	"I-0001 was laid in load F2-05 at place T1.",
	"Load F2-05 was unloaded; scanned out: I-0001.",
	"I-0001 was marked (laser) with its own code",
	"The operation tempering of I-0001 was left out. Reason: hardness is right as sintered.",
	"Characteristic 1 of I-0001 was read 39.969 mm with M-12, part at 20.4 °C, inspection: pass.",
	"Characteristic 9 of I-0001 was read 48.2 HRC with HT-1, inspection: pass.",
	"The inspection of I-0001 was finished.",
	"I-0001 was fitted in mould M301 at place C2: shim 20 µm, spotting contact 85 %. Note: dropped in by hand.",
	"Mould M301 was delivered with I-0001, delivery note DN-7. Signed by 601: I deliver this mould with the inserts that are fitted in it.",
}

// endsWell looks at the book itself.
func (w *walk) endsWell() {
	i, err := w.store.Insert(w.Context(), "I-0001")
	if err != nil || i.Status != shop.StatusDelivered || !i.Done {
		w.Errorf("in the end the insert is %q, done %v, %v", i.Status, i.Done, err)
	}
	r, err := w.store.Verify(w.Context(), nil)
	if err != nil || r.Entries != w.entries() {
		w.Errorf("the book verifies %d entries of %d: %v", r.Entries, w.entries(), err)
	}
	for name, o := range map[string]*tab{"manager": w.manager, "engineer": w.engineer, "planner": w.planner, "printer": w.printer, "oven": w.oven, "furnace": w.furnace, "bench": w.bench, "fits": w.fits} {
		o.quiet(name)
	}
}
