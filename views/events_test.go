package views

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

var vienna = func() *time.Location {
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		panic(err)
	}
	return zone
}()

func read(text, unit string) shop.Reading { return shop.MustReading(text, unit) }

// examples has one event of every kind, filled in everywhere.
func examples() []shop.Event {
	const hash = "5e33af2193691f11c0efb9c396ef7b01721eeb63d0135f81937c2aa6813d4a80"
	const code = shop.ScanCode("0123456789")
	return []shop.Event{
		shop.BookOpened{Site: "Test Shop", Zone: "Europe/Vienna", Verifier: "shop+1+key"}, shop.KeyChanged{Verifier: "shop+2+key"},
		shop.PersonAdded{Badge: "204", Roles: []shop.Role{shop.PrintOperator, shop.Inspector}, From: "2025-01-01", Code: code},
		shop.PersonChanged{Badge: "204", Roles: []shop.Role{shop.Toolmaker}, Until: "2025-12-31"}, shop.PersonKeysSet{Badge: "204", What: []string{"name", "PIN"}},
		shop.NameErased{Badge: "204"}, shop.PersonAuthorised{Badge: "204", Operation: "print", From: "2025-01-02", Until: "2025-11-30", Evidence: "TR-7"},
		shop.StationAdded{Station: "PR1", Name: "Printing", Operation: "print", Equipment: "P1", Code: code}, shop.DeviceRegistered{Device: "T-1", Station: "PR1"},
		shop.PolicySet{Gate: "not held", Op: "every operation", From: time.Date(2025, 9, 1, 6, 0, 0, 0, time.UTC), Mode: shop.Warn, Note: "while we learn."},
		shop.RouteReleased{Template: "RT-1", Version: 2, Steps: []shop.RouteStep{{Step: 1, Operation: "print", Group: []string{"shape", "dry"}, Yields: ""}, {Step: 2, Operation: "tempering", Optional: true}}},
		shop.DesignReleased{Design: "CR40", Revision: "B", Name: "core", Material: "HT44", DrawingUnit: "mm", X: read("40", "mm"), Y: read("30", "mm"), Z: read("25", "mm"), Layer: read("0.1", "mm"),
			LayersBetweenPasses: 5, Orientation: "+Z up", Characteristics: []shop.Characteristic{{Number: "CR40.1", Name: "length", Axis: "X", Kind: shop.Length, Nominal: read("40.0", "mm"),
				Lower: read("39.950", "mm"), Upper: read("40.050", "mm"), Key: true, How: "micrometer"}}},
		shop.OrderTaken{Order: "O-1", Customer: "K1", Design: "CR40", Quantity: 3, Due: "2025-10-10", Unit: "mm", Mould: "M301", Remark: "urgent"},
		shop.OrderChanged{Order: "O-1", Changes: []shop.Change{{Field: "due", From: "2025-10-10", To: "2025-10-17"}}}, shop.MouldReceived{Mould: "M301", Customer: "K1", Code: code},
		shop.LotReceived{Lot: "L1", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Certificate: "C-118", DryingLow: read("7.80", "%"), DryingHigh: read("9.60", "%"), Supplier: "K77", Article: "PX-7", Label: `[)>\x1e06\x1d1TL1\x1d1PPX-7\x1e\x04`, Code: code},
		shop.QualificationPlanned{Lot: "L1", Coupons: 4, Design: "CP40", Revision: "B", Further: []shop.PlannedCoupons{{Coupons: 3, Design: "CP25", Revision: "A"}}, Firsts: 5, Axes: []string{"X", "Z"}, Note: "in two runs"},
		shop.CertificateEntered{Lot: "L1", Lines: []shop.CertificateLine{{Property: "carbon", Value: "0.40", Unit: "wt%", Lower: "0.38", Upper: "0.44"}, {Property: "oxygen", Value: "0.20", Unit: "wt%", Upper: "0.25"}}},
		shop.LotChanged{Insert: "I-1", FromLayer: 184, From: "L1", To: "L2", Why: "too little left", Factors: []shop.LotFactor{{Lot: "L1", Axis: "X", K: read("1.2026", "1")}, {Lot: "L2", Axis: "X", K: read("1.2011", "1")}}},
		shop.FactorProposed{Proposal: "FA-001", Lot: "L1", Lines: []shop.ProposedFactor{{Axis: "Z", S: read("18.38", "%"), K: read("1.2252", "1"), Low: read("18.31", "%"), High: read("18.44", "%"), N: 14, Method: "measured"},
			{Axis: "Y", S: read("16.85", "%"), K: read("1.2026", "1"), Method: "not measured", TakenFrom: "X"}}, Basis: "coupons.", Evidence: "CP-0009"},
		shop.FactorApproved{Proposal: "FA-001", Lot: "L1", Differ: []string{"DR-06 A", "DR-07 A"}}, shop.FactorProposalDropped{Proposal: "FA-001", Lot: "L1", How: "refused", Why: "one run only"},
		shop.FactorSet{Lot: "L1", Axis: "X", S: read("16.80", "%"), K: read("1.2019", "1"), Basis: "receipt coupons"},
		shop.PasteWasted{Container: "L1/01", Mass: read("8.4", "g"), Why: "wiped off the paddle"}, shop.ContainerWeighed{Container: "L1/01", Left: read("1392.3", "g"), Note: "weekly"},
		shop.ContainerReturned{Container: "L1/01", Mass: read("805.2", "g"), Note: "RN-7", Why: "recalled"}, shop.DifferenceExplained{Container: "L1/01", Difference: read("38.1", "g"), Why: "spilled at the scale"},
		shop.LimitSet{Limit: shop.DrawOff, Value: read("27.5", "%"), From: time.Date(2025, 9, 1, 6, 0, 0, 0, time.UTC), Basis: "our own draws."},
		shop.ContainerScrapped{Container: "L1/01", Mass: read("805.1", "g"), Why: "open life over"},
		shop.CouponMade{Coupon: "CP-0001", For: "receipt", Design: "CP40", Revision: "B", Container: "L1/01", Lot: "L-of-it", Machine: "P1", With: "I-0002", Release: "DR-01 A", KX: read("1.2011", "1"), KY: read("1.2012", "1"), KZ: read("1.2171", "1"), Layers: 146, Drawn: read("56.0", "g"), Purged: read("2.5", "g"), Code: code},
		shop.CouponPlaced{Load: "F1-01", Coupon: "CP-0001", Position: "M3", Setter: "ST-17", Lying: "flat", Loss: read("8.56", "%")},
		shop.CouponMeasured{Coupon: "CP-0001", Stage: "sintered", Characteristic: "CP40.1", Value: read("39.925", "mm"), Gauge: "CMM1", PartTemp: read("20.0", "C"), Verdict: "pass"},
		shop.InsertWeighed{Insert: "I-0002", Gauge: "BAL-1", Mass: read("233.07", "g")}, shop.GreenMeasured{Insert: "I-0002", Axis: "X", Size: read("48.081", "mm"), Gauge: "OG-1"},
		shop.LotReleased{Lot: "L1", Evidence: "coupons", Differ: []string{"DR-04 A"}}, shop.ContainerReceived{Container: "L1/01", Lot: "L1", Mass: read("2499.8", "g"), Article: "PX-7", Serial: "J-0031", Label: `[)>\x1e06\x1d1TL1\x1dSJ-0031\x1e\x04`, Code: code}, shop.ContainerOpened{Container: "L1/01", Lot: "L-of-it"},
		shop.PasteDrawn{Container: "L1/01", Insert: "I-0001", FromLayer: 11, ToLayer: 304, Drawn: read("280,5", "g"), Purged: read("3.10", "g")},
		shop.MachineAdded{Machine: "P1", Nozzle: read("0.6", "mm"), Code: code}, shop.FurnaceAdded{Furnace: "F1", Positions: []shop.Position{{Position: "T1", Zone: "top", Use: "insert"}, {Position: "M3", Zone: "middle", Use: "coupon"}}, Limits: shop.FurnaceLimits{SAT: read("4.0", "K"), TUS: read("6", "K"), SATDays: 92, TUSDays: 183}, Code: code},
		shop.SensorFitted{Sensor: "F1-TC2", Furnace: "F1", Zone: "middle", Type: "S", Certificate: "TC-25-042", Code: code},
		shop.SensorTested{Sensor: "F1-TC2", SetPoint: read("1340", "C"), Read: read("1340.0", "C"), Reference: read("1339.9", "C"), Limit: read("4.0", "K"), Verdict: "pass", Due: "2025-12-12"},
		shop.FurnaceSurveyed{Furnace: "F1", SetPoint: read("1340", "C"), Limit: read("6", "K"), Zones: []shop.ZoneOff{{Zone: "top", Off: read("+2", "K")}, {Zone: "middle", Off: read("-3", "K")}}, Verdict: "pass", Due: "2026-03-12"},
		shop.FurnaceTestsSet{Furnace: "F1", Tests: []string{"interlock", "purge"}}, shop.FurnaceTestRecorded{Furnace: "F1", Load: "F1-01", Test: "leak", Verdict: "fail", Note: "12 mbar in 5 min"},
		shop.RecipeReleased{Recipe: "SR-1340", Revision: "C", For: shop.OpSinter, Soak: read("1340", "C"), Band: read("5", "K"), Time: read("120", "min"), Tolerance: read("10", "min"), DewPoint: read("-40", "C"), Steps: "purge 20 min"},
		shop.SetterAdded{Setter: "ST-17", Cycles: 26, Life: 150, Code: code}, shop.OvenAdded{Oven: "D1", Shelves: 6, Limit: read("110", "C"), Code: code}, shop.CarrierAdded{Carrier: "PL-01", Type: "plate", Code: code},
		shop.StepPaused{Insert: "I-0002", Op: shop.OpPrint, Layer: 212, Why: "shift ends"}, shop.StepResumed{Insert: "I-0002", Op: shop.OpPrint, Note: "handed over"},
		shop.CarrierChanged{Insert: "I-0002", Carrier: "PL-02"}, shop.CutterFitted{Cutter: "CU-11", Machine: "P1", Diameter: read("3", "mm"), Life: read("900", "min"), Offset: read("0.003", "mm"), Code: code},
		shop.CutterRemoved{Cutter: "CU-11", Machine: "P1"}, shop.ControllerUpdated{Machine: "P1", Version: "4.3.0"}, shop.MachineChecked{Machine: "P1", Report: "BB-7", Verdict: "pass", Due: "2026-02-04"},
		shop.EquipmentServiced{OnKind: "furnace", OnCode: "F2", What: "heating element replaced"},
		shop.GaugeCalibrated{Gauge: "M-12", Points: []shop.CalibrationPoint{{Point: read("25", "mm"), AsFound: read("+0.024", "mm"), AsLeft: read("0.001", "mm")}}, Certificate: "CAL-25-019", Verdict: "fail", Due: "2026-05-19"},
		shop.GaugeChecked{Gauge: "M-12", Block: read("25.000", "mm"), Read: read("25.001", "mm"), Limit: read("0.004", "mm"), Verdict: "pass"},
		shop.GaugeAdded{Gauge: "M-12", Type: "micrometer", Range: "25-50 mm", Resolution: read("0.001", "mm"), Error: read("0.004", "mm"), Uncertain: read("0.003", "mm"), Code: code},
		shop.ReleaseDrafted{Release: "DR-02 A", Design: "CR40", Revision: "B", Lot: "L1", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up", KX: read("1.2019", "1"), KY: read("1.2020", "1"),
			KZ: read("1.2180", "1"), Evidence: "coupons", Program: "CR40.pgm", ProgramHash: hash, Supersedes: "DR-01 A", Further: []shop.LayerLot{{Lot: "L2", FromLayer: 184}}, Firsts: []string{"I-0077", "I-0078"}},
		shop.ReleaseSigned{Release: "DR-02 A"}, shop.ReleaseWithdrawn{Release: "DR-02 A"},
		shop.TravelerOpened{Insert: "I-0002", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 2, Replaces: "I-0001", Scratch: "X", Code: code},
		shop.ReleaseAssigned{Insert: "I-0002", Release: "DR-02 A"}, shop.StepLeftOut{Insert: "I-0002", Op: "tempering"}, shop.InsertScrapped{Insert: "I-0002", Why: "broken"},
		shop.PrintStarted{Insert: "I-0002", Release: "DR-02 A", Machine: "P1", ProgramHash: hash, Carrier: "PL-01", KX: read("1.2019", "1"), KY: read("1.2020", "1"), KZ: read("1.2180", "1"), Layers: 304, Plate: read("106,5", "F"), Room: read("21.9", "C"), Humidity: read("44", "%"), Controller: "4.2.1"},
		shop.LayersMade{Insert: "I-0002", FromLayer: 1, ToLayer: 5, Dried: read("6", "min"), Air: read("45", "C"), Pass: 7, Cutter: "CU-11", Cut: read("34", "min"), Probe: read("0.501", "mm"), Remark: "edge chipped"},
		shop.PrintFinished{Insert: "I-0002", LayersDone: 303, Printed: read("254.3", "g"), Remark: "clean"},
		shop.DryingStarted{Insert: "I-0002", Oven: "D1", Shelf: "2", Air: read("65", "C"), Wet: read("254.82", "g"), Constant: read("0.05", "%")}, shop.DryingFinished{Insert: "I-0002", Dry: read("232.85", "g"), Loss: read("8.62", "%")},
		shop.LoadOpened{Load: "F1-01", Furnace: "F1", Recipe: "SR-1340 C", Code: code}, shop.LoadPlaced{Load: "F1-01", Insert: "I-0002", Position: "T1", Setter: "S-9", Lying: "on its side"},
		shop.LoadTakenOut{Load: "F1-01", Insert: "I-0002"}, shop.LoadClosed{Load: "F1-01", Coupons: []string{"CP-0001"}, Clock: read("-3", "s")}, shop.LoadUnloaded{Load: "F1-01", Inserts: []string{"I-0002", "I-0003"}, Coupons: []string{"CP-0001"}},
		shop.TemperingStarted{Insert: "I-0002", Recipe: "TR-590 A", Oven: "H1"}, shop.TemperingFinished{Insert: "I-0002"},
		shop.ResultRecorded{Insert: "I-0002", Characteristic: "CR40.1", Value: read("1.5741", "in"), Gauge: "M-12", PartTemp: read("20.4", "C"), Purpose: "pair", Verdict: "pass"}, shop.InspectionFinished{Insert: "I-0002"},
		shop.FitUpDone{Insert: "I-0002", Mould: "M301", Place: "K1", PocketX: read("40.01", "mm"), PocketY: read("30.02", "mm"), GapX: read("34", "um"), GapY: read("35", "um"), Shim: read("10", "um"),
			Spotting: read("85", "%"), Hours: read("2.5", "h"), Faces: []shop.Face{{Face: "+X", Removed: read("0.03", "mm"), Added: read("0.4", "mm"), Shim: read("0.05", "mm")}}, Note: "tight"},
		shop.MouldShipped{Mould: "M301", Note: "DN-501", Inserts: []string{"I-0002", "I-0003"}}, shop.PutToStock{Insert: "I-0002", Place: "shelf 4"},
		shop.ContainmentBegun{Containment: "CA-001", OfKind: "lot", OfCode: "L1", Narrowed: "since 2025-10-20", Why: "small in Z", Inserts: []string{"I-0002", "I-0003"},
			Held: []shop.HeldAs{{Insert: "I-0002", Hold: "H-007"}}, Outside: []shop.OutOfReach{{Insert: "I-0003", Why: "delivered", Customer: "K1", Mould: "M304", Note: "DN-504", Since: time.Date(2025, 11, 5, 13, 30, 0, 0, time.UTC)}}},
		shop.ContainmentLifted{Containment: "CA-001", Why: "good", Holds: []string{"H-007"}, Lifted: []shop.HeldAs{{Insert: "I-0002", Hold: "H-007"}}},
		shop.NoticeSent{Containment: "CA-001", Customer: "K1", Says: "Stop using I-0003", How: "by letter"}, shop.NoticeAnswered{Containment: "CA-001", Customer: "K1", Answer: "taken out"},
		shop.TraceDrilled{Insert: "I-0002", Upstream: 43, Downstream: 9, Missing: []string{"gauge of inspection"}, Took: 1200},
		shop.MouldReturned{Mould: "M301", Note: "RN-2", Why: "flash at place A1", Inserts: []string{"I-0002"}, Recalled: []shop.Recalled{{Insert: "I-0002", Hold: "H-009", Containment: "CA-001", Why: "small in Z"}}}, shop.InsertReturned{Insert: "I-0002", Note: "RN-3", Why: "edge broken", Place: "cage 2", Back: "inspection"},
		shop.HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "sensor test"}, shop.HoldLifted{Hold: "H-001", OnKind: "lot", OnCode: "L1", Why: "test passed"},
		shop.InstructionAcknowledged{Instruction: "WI-20", Revision: "B", Badge: "204"},
		shop.InstructionReleased{Instruction: "WI-20", Revision: "B", Op: shop.OpPrint, Title: "Print by layer", Text: "Home the machine.", From: time.Date(2025, 10, 13, 6, 0, 0, 0, time.UTC)},
		shop.KeptActLeftOut{Insert: "I-0002", Act: "Draw paste", Said: "Container: L1/01; Mass drawn, g: 35.1", Whose: "204", Pressed: time.Date(2025, 10, 3, 11, 12, 0, 0, time.UTC), Command: "0199d1f0-7b1c-7e2a-9c3d-1f2e3d4c5b6a", Why: "drawn for another insert"},
		shop.DocumentFiled{OnKind: "lot", OnCode: "L1", Type: "inspection certificate 3.1", Number: "C-118", IssuedOn: "2025-08-14", IssuedBy: "Maker One", Note: "two pages.", Document: hash, MediaType: "application/pdf", Size: 830, Name: "C-118.pdf"},
		shop.FilingWithdrawn{OnKind: "lot", OnCode: "L1", Filing: 57, Why: "it is that of another lot"},
		shop.DocumentAdded{Document: hash, MediaType: "image/jpeg", Size: 830, Name: "pocket.jpg", OnKind: "insert", OnCode: "I-0002", Shows: "contact on +X"},
		shop.FormsIssued{Op: shop.OpPrint, First: 12, Count: 3}, shop.FormsCounted{Forms: []string{"PF-0012", "PF-0014"}},
		shop.FormChecked{Form: "PF-0007"}, shop.OutageNoted{From: time.Date(2025, 10, 3, 11, 10, 0, 0, time.UTC), Until: time.Date(2025, 10, 3, 14, 45, 0, 0, time.UTC), Note: "paper forms PF-0001 on"},
		shop.NonconformanceRaised{Nonconformance: "NC-004", Insert: "I-0002", What: "X small"}, shop.NonconformanceDecided{Nonconformance: "NC-004", Inserts: []string{"I-0002", "I-0003"}, Disposition: shop.ReworkIt, Back: shop.OpTemper, Why: "tempered too hot"},
		shop.NonconformanceCancelled{Nonconformance: "NC-005", Inserts: []string{"I-0003"}, Why: "wrong traveler"}, shop.InsertMarked{Insert: "I-0002", How: "laser", Read: code}, shop.PermitGiven{Permit: "DP-001", Insert: "I-0002", Gate: "program hash", Op: "print", Why: "trial of one piece", ExpiresOn: "2025-12-31"}, shop.ConcessionWithdrawn{Concession: "CN-01", Nonconformance: "NC-004", Inserts: []string{"I-0002"}, Why: "taken back"},
		shop.ConcessionGiven{Concession: "CN-01", Nonconformance: "NC-004", Inserts: []string{"I-0002", "I-0003"}, What: "somewhat soft", Limits: []shop.ConcessionLimit{{Of: "hardness", Lower: read("43", "HRC"), Upper: read("50", "HRC")}},
			Mould: "M301", Customer: "K1", CustomerReference: "letter of 14 October", Quantity: 2, ExpiresOn: "2025-12-31"},
		shop.GateRefused{Tried: "print-started", On: []string{"insert/I-0002"}, Operation: "print", Objections: []shop.Objection{{Gate: "program hash", Why: "It is another program.", Lift: "the released program", Mode: shop.Stop}}},
	}
}

// Every kind of event is said in a sentence, and nothing that was typed is
// missing from it.
func TestEveryEventIsSaid(t *testing.T) {
	var covered []string
	for _, e := range examples() {
		covered = append(covered, e.Kind())
		said := Sentence(e, vienna)
		if !strings.HasSuffix(said, ".") || strings.Contains(said, "..") || strings.Contains(said, "  ") || strings.Contains(said, " ,") {
			t.Errorf("%s is not one clean sentence: %q", e.Kind(), said)
		}
		body, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		var fields map[string]any
		if err := json.Unmarshal(body, &fields); err != nil {
			t.Fatal(err)
		}
		for _, value := range leaves(fields) {
			if !strings.Contains(said, value) {
				t.Errorf("%s does not say %q: %s", e.Kind(), value, said)
			}
		}
	}
	if missing := slices.DeleteFunc(shop.Kinds(), func(k string) bool { return slices.Contains(covered, k) }); len(missing) > 0 {
		t.Errorf("no example of %v", missing)
	}
}

// leaves lists the texts and numbers in an event, as a sentence must have them.
func leaves(v any) []string {
	switch v := v.(type) {
	case map[string]any:
		if text, ok := v["text"].(string); ok && v["unit"] != nil {
			if word := shop.UnitWord(v["unit"].(string)); word != "" {
				text += " " + word
			}
			return []string{text}
		}
		var all []string
		for _, field := range slices.Sorted(maps.Keys(v)) {
			switch field {
			case "tried", "on", "operation", "mode", "kind", "use", "yields": // said in other words
			case "code":
				all = append(all, shop.ScanCode(v[field].(string)).Grouped())
			case "from", "lower", "upper", "drawing_unit":
				if text, ok := v[field].(string); ok {
					all = append(all, leaves(text)...)
				}
			default:
				all = append(all, leaves(v[field])...)
			}
		}
		return all
	case []any:
		var all []string
		for _, one := range v {
			all = append(all, leaves(one)...)
		}
		return all
	case string:
		if at, err := time.Parse(time.RFC3339, v); err == nil {
			return []string{Stamp(at, vienna)}
		}
		return []string{strings.TrimSuffix(v, ".")}
	case float64:
		return []string{fmt.Sprint(v)}
	}
	return nil
}

// What is not there is not said.
func TestNothingIsSaidOfWhatIsEmpty(t *testing.T) {
	for _, tt := range []struct {
		e    shop.Event
		want string
	}{
		{shop.PasteDrawn{Container: "L1/01", Insert: "I-1", FromLayer: 1, ToLayer: 9, Drawn: read("2", "g")}, "2 g of paste was drawn from L1/01 for I-1, layers 1 to 9."},
		{shop.LoadPlaced{Load: "F1-01", Insert: "I-1", Position: "T1"}, "I-1 was laid in load F1-01 at place T1."},
		{shop.ResultRecorded{Insert: "I-1", Characteristic: "7", Value: read("48.10", "HRC"), Gauge: "HT-1", Purpose: "inspection"}, "Characteristic 7 of I-1 was read 48.10 HRC with HT-1, inspection."},
		{shop.OrderChanged{Order: "O-1", Changes: []shop.Change{{Field: "remark", To: "soon"}}}, "Order O-1 was changed: remark from nothing to “soon”."},
		{shop.HoldSet{Hold: "H-1", OnKind: "lot", OnCode: "L1", Why: "Why is it dry?"}, "Hold H-1 was set on lot L1: Why is it dry?"},
		{shop.OrderTaken{Order: "O-2", Customer: "K1", Design: "CR40", Quantity: 1, Due: "2025-10-10", Unit: "in"}, "Order O-2 of K1 was taken: 1 of CR40, due 2025-10-10, sizes in in, for stock."},
	} {
		if got := Sentence(tt.e, vienna); got != tt.want {
			t.Errorf("got  %s\nwant %s", got, tt.want)
		}
	}
}

// Every act that a gate can refuse has words of its own.
func TestEveryDeedHasWords(t *testing.T) {
	for _, e := range examples() {
		if _, judged := e.(shop.Decision); judged && Deed(e.Kind()) == "to record "+e.Kind() {
			t.Errorf("%s has no words", e.Kind())
		}
	}
}
