package server

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// hazards are what the cautions of each operation must name: what burns, what
// suffocates, what is hot, heavy, sharp or turns. The list is common knowledge
// of the trade; the data sheets and codes behind it are the shop's.
var hazards = map[string][]string{
	shop.OpRelease: {"lifted", "fragile"},
	shop.OpPrint:   {"dust", "burn", "lungs", "brushed, vacuumed or blown", "no compressed air", "light metals", "Solvent vapour", "no sparks", "skin", "allergic", "cutter turns"},
	shop.OpDry:     {"solvent vapour", "ventilate", "hot", "dust", "lungs", "breaks easily"},
	shop.OpSinter: {"hydrogen burns and explodes", "suffocate without warning", "argon", "carbon monoxide", "Never enter or rescue alone", "hot and heavy", "interlock",
		"authorised person", "never leave to start the furnace"},
	shop.OpTemper:  {"hot", "sharp", "heavy"},
	shop.OpInspect: {"sharp", "hot", "solvents", "lifting"},
	shop.OpFit:     {"hundreds of kilograms", "tested tackle", "sharp", "pinches", "grinding dust", "solvents", "hot work"},
	shop.OpDeliver: {"heavy", "tested tackle"},
}

// Whoever stands at an operation reads its cautions: at the station, on the
// insert before them, on the sheet that hangs on it and on the form for an
// outage. They never have the last word.
func TestCautionsOfEveryOperation(t *testing.T) {
	for _, last := range []string{"safety data sheet", "local code", "authorised people"} {
		if !strings.Contains(views.CautionsEnd(), last) {
			t.Errorf("the end of the cautions does not defer to: %s", last)
		}
	}
	b := staffed(t)
	b.put("700", shop.TravelerOpened{Insert: "I-0029", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 1, Code: shop.NewScanCode()})
	for _, step := range []struct {
		operation string
		do        func() // takes the insert on to the next one
	}{
		{shop.OpRelease, func() { b.put("101", shop.ReleaseAssigned{Insert: "I-0029", Release: "DR-02 A"}) }},
		{shop.OpPrint, func() {
			b.put("204", shop.PrintStarted{Insert: "I-0029", Release: "DR-02 A", Machine: "P1", ProgramHash: testProgram, Carrier: "PL-01", KX: readingOf("1.2019", "1"), KY: readingOf("1.2019", "1"), KZ: readingOf("1.2180", "1"), Layers: 304})
			b.put("204", shop.PasteDrawn{Container: "L2509-A/01", Insert: "I-0029", FromLayer: 1, ToLayer: 304, Drawn: readingOf("280.5", "g")})
			b.put("204", shop.LayersMade{Insert: "I-0029", FromLayer: 1, ToLayer: 304})
			b.put("204", shop.PrintFinished{Insert: "I-0029", LayersDone: 304, Printed: readingOf("254.3", "g")})
		}},
		{shop.OpDry, func() {
			b.put("204", shop.DryingStarted{Insert: "I-0029", Oven: "D1", Air: readingOf("65", "C"), Wet: readingOf("254.82", "g"), Constant: readingOf("0.05", "%")})
			b.advance(14 * time.Hour)
			b.put("204", shop.InsertWeighed{Insert: "I-0029", Gauge: "BAL-1", Mass: readingOf("232.87", "g")})
			b.advance(time.Hour)
			b.put("204", shop.DryingFinished{Insert: "I-0029", Dry: readingOf("232.85", "g")})
			for axis, size := range map[string]string{"X": "48.076", "Y": "36.057", "Z": "30.450"} {
				b.put("204", shop.GreenMeasured{Insert: "I-0029", Axis: axis, Size: readingOf(size, "mm"), Gauge: "M-12"})
			}
		}},
		{shop.OpSinter, func() { b.sintered("F2-05", "I-0029") }},
		{shop.OpTemper, func() { b.because("311", "as ordered", shop.StepLeftOut{Insert: "I-0029", Op: shop.OpTemper}) }},
		{shop.OpInspect, func() {
			b.put("402", shop.GaugeChecked{Gauge: "M-12", Block: readingOf("25.000", "mm"), Read: readingOf("25.001", "mm"), Limit: readingOf("0.004", "mm")})
			for characteristic, size := range map[string]string{"1": "39.969", "2": "30.012", "3": "24.990"} {
				b.put("402", shop.ResultRecorded{Insert: "I-0029", Characteristic: characteristic, Value: readingOf(size, "mm"), Gauge: "M-12", Purpose: "inspection"})
			}
			b.put("402", shop.ResultRecorded{Insert: "I-0029", Characteristic: "9", Value: readingOf("48.2", "HRC"), Gauge: "HT-1", Purpose: "inspection"})
			b.put("402", shop.InspectionFinished{Insert: "I-0029"})
		}},
		{shop.OpFit, func() {
			b.put("501", shop.FitUpDone{Insert: "I-0029", Mould: "M301", Place: "C2", Shim: readingOf("20", "um")})
		}},
		{shop.OpDeliver, func() {}},
	} {
		t.Run(step.operation, func(t *testing.T) {
			caution := views.Caution(step.operation)
			for _, hazard := range hazards[step.operation] {
				if !strings.Contains(strings.ToLower(caution), strings.ToLower(hazard)) {
					t.Errorf("the cautions do not name %q", hazard)
				}
			}
			b.station = shop.Station{Station: "ST1", Name: "A station", Operation: step.operation}
			b.get("601", "/station").says(http.StatusOK, caution, views.CautionsEnd())
			b.get("601", "/station/I-0029").says(http.StatusOK, caution, views.CautionsEnd())
			b.station = shop.Station{}
			b.get("900", "/inserts/I-0029").says(http.StatusOK, caution, views.CautionsEnd())
			b.get("900", "/inserts/I-0029?print=1").says(http.StatusOK, caution, views.CautionsEnd())
			if formActs(step.operation) != nil {
				b.get("900", b.handOut(step.operation, 1)).says(http.StatusOK, caution, views.CautionsEnd())
			} else if step.operation != shop.OpRelease && step.operation != shop.OpDeliver { // these two are signed
				t.Error("there is no form for an outage")
			}
		})
		step.do()
	}
	b.get("900", "/loads/F2-05").says(http.StatusOK, views.Caution(shop.OpSinter), views.CautionsEnd())
	b.get("900", "/loads/F2-05?print=1").says(http.StatusOK, views.Caution(shop.OpSinter), views.CautionsEnd())
	if len(hazards) != len(shop.Operations) {
		t.Errorf("hazards of %d operations are known; want %d", len(hazards), len(shop.Operations))
	}
}
