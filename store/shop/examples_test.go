package shop

import (
	"strings"
	"time"
)

// An example is an event filled in everywhere, the subject that it happened
// to, and the fields without which it says nothing.
type example struct {
	event Event
	first string
	needs string
}

var testCode = ScanCode("10ABCDEF9" + string(checkCharacter("10ABCDEF9")))

func mm(text string) Reading    { return MustReading(text, "mm") }
func grams(text string) Reading { return MustReading(text, "g") }
func times(text string) Reading { return MustReading(text, "1") }
func deg(text string) Reading   { return MustReading(text, "C") }

// examples has one event of every kind.
var examples = []example{
	{BookOpened{Site: "Toolroom North", Zone: "Europe/Vienna", Verifier: "north+1+key"}, "book/1", "site zone verifier"},
	{KeyChanged{Verifier: "north+2+key"}, "book/1", "verifier"},
	{PersonAdded{Badge: "204", Roles: []Role{PrintOperator, Inspector}, From: "2025-01-01", Code: testCode}, "person/204", "badge roles from code"},
	{PersonChanged{Badge: "204", Roles: []Role{Toolmaker}, Until: "2025-12-31"}, "person/204", "badge roles"},
	{PersonKeysSet{Badge: "204", What: []string{"name", "PIN", "password"}}, "person/204", "badge what"},
	{NameErased{Badge: "204"}, "person/204", "badge"},
	{PersonAuthorised{Badge: "204", Operation: OpPrint, From: "2025-01-02", Until: "2025-11-30", Evidence: "TR-7"}, "person/204", "badge operation from evidence"},
	{StationAdded{Station: "PR1", Name: "Printing", Operation: OpPrint, Equipment: "P1", Code: testCode}, "station/PR1", "station name operation code"},
	{DeviceRegistered{Device: "T-1", Station: "PR1"}, "station/PR1", "device station"},
	{PolicySet{Gate: NotHeld.Name, Op: EveryOperation, From: time.Date(2025, 9, 1, 6, 0, 0, 0, time.UTC), Mode: Warn, Note: "While we learn."}, "gate/not held", "gate operation from mode"},
	{LimitSet{Limit: UnexplainedMass, Value: grams("12.5"), From: time.Date(2025, 9, 1, 6, 0, 0, 0, time.UTC), Basis: "a year of our own weighings"}, "limit/unexplained mass of a container", "limit value from basis"},
	{RouteReleased{Template: "RT-1", Version: 2, Steps: exampleRoute()}, "route/RT-1", "template version steps"},
	{exampleDesign(), "design/CR40", "design revision name material drawing_unit x y z layer layers_between_passes orientation characteristics"},
	{OrderTaken{Order: "O-1", Customer: "K1", Design: "CR40", Quantity: 3, Due: "2025-10-10", Unit: "mm", Mould: "M301", Remark: "urgent"}, "order/O-1", "order customer design quantity due unit"},
	{OrderChanged{Order: "O-1", Changes: []Change{{Field: "due", From: "2025-10-10", To: "2025-10-17"}}}, "order/O-1", "order changes"},
	{MouldReceived{Mould: "M301", Customer: "K1", Code: testCode}, "mould/M301", "mould customer code"},
	{LotReceived{Lot: "L2509-A", Material: "HT44 paste", MadeOn: "2025-08-13", ExpiresOn: "2026-01-10", OpenLifeDays: 30, Certificate: "C-118", DryingLow: MustReading("7.80", "%"), DryingHigh: MustReading("9.60", "%"), WetDensity: MustReading("4.35", "g/cm3"), Supplier: "K77", Article: "PX-7", Label: `]d2240PX-7\x1d10L2509-A\x0d`, Code: testCode}, "lot/L2509-A", "lot material made_on expires_on open_life_days code"},
	{CertificateEntered{Lot: "L2509-A", Lines: []CertificateLine{{"carbon", "0.40", "wt%", "0.38", "0.44"}, {"oxygen", "0.20", "wt%", "", "0.25"}}}, "lot/L2509-A", "lot lines"},
	{QualificationPlanned{Lot: "L2509-A", Coupons: 4, Design: "CP40", Revision: "B", Further: []PlannedCoupons{{Coupons: 3, Design: "CP25", Revision: "A"}}, Firsts: 2, Axes: []string{"X", "Z"}, Note: "in two runs"}, "lot/L2509-A", "lot coupons design revision axes"},
	{FactorSet{Lot: "L2509-A", Axis: "X", S: MustReading("16.80", "%"), K: times("1.2019"), Basis: "receipt coupons"}, "lot/L2509-A", "lot axis s k basis"},
	{FactorProposed{Proposal: "FA-001", Lot: "L2509-A", Lines: []ProposedFactor{{Axis: "Z", S: MustReading("18.38", "%"), K: times("1.2252"), Low: MustReading("18.31", "%"), High: MustReading("18.44", "%"), N: 14, Method: Measured},
		{Axis: "Y", S: MustReading("16.85", "%"), K: times("1.2026"), Method: OtherAxis, TakenFrom: "X"}}, Basis: "six coupons and eight inserts", Evidence: "CP-0009 to CP-0012"}, "factor/FA-001", "proposal lot lines basis"},
	{FactorApproved{Proposal: "FA-001", Lot: "L2509-A", Differ: []string{"DR-06 A"}}, "factor/FA-001", "proposal lot"},
	{FactorProposalDropped{Proposal: "FA-001", Lot: "L2509-A", How: Refused, Why: "one run only"}, "factor/FA-001", "proposal lot how why"},
	{LotChanged{Insert: "I-0029", FromLayer: 184, From: "L2509-A", To: "L2509-B", Why: "the rest of the tub is too little", Factors: []LotFactor{{"L2509-A", "X", times("1.2026")}}}, "insert/I-0029", "insert from_layer from_lot to_lot why"},
	{PasteWasted{Container: "L2509-A/03", Mass: grams("8.4"), Why: "wiped off the paddle"}, "container/L2509-A/03", "container mass why"},
	{ContainerWeighed{Container: "L2509-A/03", Left: grams("1392.3"), Note: "weekly"}, "container/L2509-A/03", "container left"},
	{ContainerScrapped{Container: "L2509-A/03", Mass: grams("805.1"), Why: "open life over"}, "container/L2509-A/03", "container mass why"},
	{ContainerReturned{Container: "L2509-A/03", Mass: grams("2499.8"), Note: "RN-7", Why: "the maker calls the lot back"}, "container/L2509-A/03", "container mass why"},
	{DifferenceExplained{Container: "L2509-A/03", Difference: grams("38.0"), Why: "spilled on 08-20"}, "container/L2509-A/03", "container why"},
	{CouponMade{Coupon: "CP-0001", For: ReceiptCoupon, Design: "CP40", Revision: "B", Container: "L2509-A/03", Lot: "L2509-A", Machine: "P1", With: "I-0030", Release: "DR-01 A", KX: times("1.2011"), KY: times("1.2011"), KZ: times("1.2171"), Layers: 146, Drawn: grams("56.0"), Purged: grams("2.5"), Code: testCode}, "coupon/CP-0001", "coupon for design revision container machine layers drawn code"},
	{CouponPlaced{Load: "F1-01", Coupon: "CP-0001", Position: "M3", Setter: "ST-17", Lying: "flat", Loss: MustReading("8.56", "%")}, "coupon/CP-0001", "load coupon position"},
	{CouponMeasured{Coupon: "CP-0001", Stage: "sintered", Characteristic: "CP40.1", Value: mm("39.925"), Gauge: "CMM1", PartTemp: deg("20.0"), Verdict: "pass"}, "coupon/CP-0001", "coupon stage characteristic value gauge"},
	{LotReleased{Lot: "L2509-A", Evidence: "coupons of 08-20", Differ: []string{"DR-06 A"}}, "lot/L2509-A", "lot evidence"},
	{ContainerReceived{Container: "L2509-A/03", Lot: "L2509-A", Mass: grams("2499.8"), Article: "PX-7", Serial: "J-0031", Label: `[)>\x1e06\x1d1TL2509-A\x1d1PPX-7\x1dSJ-0031\x1e\x04`, Code: testCode}, "container/L2509-A/03", "container lot mass code"},
	{ContainerOpened{Container: "L2509-A/03", Lot: "L2509-A"}, "container/L2509-A/03", "container"},
	{PasteDrawn{Container: "L2509-A/03", Insert: "I-0029", FromLayer: 11, ToLayer: 304, Drawn: grams("280,5"), Purged: grams("3.10")}, "insert/I-0029", "container insert drawn from_layer to_layer"},
	{MachineAdded{Machine: "P1", Nozzle: mm("0.6"), Code: testCode}, "machine/P1", "machine nozzle code"},
	{FurnaceAdded{Furnace: "F1", Positions: []Position{{"T1", "top", "insert"}, {"M3", "middle", "coupon"}}, Limits: FurnaceLimits{SAT: MustReading("4.0", "K"), TUS: MustReading("6", "K"), SATDays: 92, TUSDays: 183}, Code: testCode}, "furnace/F1", "furnace positions code"},
	{SensorFitted{Sensor: "F1-TC2", Furnace: "F1", Zone: "middle", Type: "S", Certificate: "TC-25-042", Code: testCode}, "sensor/F1-TC2", "sensor furnace zone type certificate code"},
	{SensorTested{Sensor: "F1-TC2", SetPoint: deg("1340"), Read: deg("1340.0"), Reference: deg("1339.9"), Limit: MustReading("4.0", "K"), Verdict: "pass", Due: "2025-12-12"}, "sensor/F1-TC2", "sensor set_point read reference limit due"},
	{FurnaceSurveyed{Furnace: "F1", SetPoint: deg("1340"), Limit: MustReading("6", "K"), Zones: []ZoneOff{{"top", MustReading("+2", "K")}, {"middle", MustReading("-3", "K")}}, Verdict: "pass", Due: "2026-03-12"}, "furnace/F1", "furnace set_point limit zones due"},
	{FurnaceTestsSet{Furnace: "F1", Tests: []string{"interlock", "purge"}}, "furnace/F1", "furnace"},
	{FurnaceTestRecorded{Furnace: "F1", Load: "F1-01", Test: "leak", Verdict: "fail", Note: "12 mbar in 5 min"}, "load/F1-01", "furnace load test verdict"},
	{RecipeReleased{Recipe: "SR-1340", Revision: "C", For: OpSinter, Soak: deg("1340"), Band: MustReading("5", "K"), Time: MustReading("120", "min"), Tolerance: MustReading("10", "min"), DewPoint: deg("-40"), Steps: "purge 20 min"}, "recipe/SR-1340 C", "recipe revision for soak band time tolerance steps"},
	{SetterAdded{Setter: "ST-17", Cycles: 26, Life: 150, Code: testCode}, "setter/ST-17", "setter life code"},
	{OvenAdded{Oven: "D1", Shelves: 6, Limit: deg("110"), Code: testCode}, "oven/D1", "oven shelves limit code"},
	{CarrierAdded{Carrier: "PL-01", Type: "plate", Code: testCode}, "carrier/PL-01", "carrier type code"},
	{StepPaused{Insert: "I-0029", Op: OpPrint, Layer: 212, Why: "shift ends"}, "insert/I-0029", "insert operation"},
	{StepResumed{Insert: "I-0029", Op: OpPrint, Note: "handed over"}, "insert/I-0029", "insert operation"},
	{CarrierChanged{Insert: "I-0029", Carrier: "PL-02"}, "insert/I-0029", "insert carrier"},
	{CutterFitted{Cutter: "CU-11", Machine: "P1", Diameter: mm("3"), Life: MustReading("900", "min"), Offset: mm("0.003"), Code: testCode}, "cutter/CU-11", "cutter machine diameter life code"},
	{CutterRemoved{Cutter: "CU-11", Machine: "P1"}, "cutter/CU-11", "cutter machine"},
	{ControllerUpdated{Machine: "P1", Version: "4.3.0"}, "machine/P1", "machine version"},
	{MachineChecked{Machine: "P1", Report: "BB-7", Verdict: "pass", Due: "2026-02-04"}, "machine/P1", "machine verdict"},
	{EquipmentServiced{OnKind: "furnace", OnCode: "F2", What: "heating element replaced"}, "furnace/F2", "on_kind on_code what"},
	{GaugeAdded{Gauge: "M-12", Type: "micrometer", Range: "25-50 mm", Resolution: mm("0.001"), Error: mm("0.004"), Uncertain: mm("0.003"), Code: testCode}, "gauge/M-12", "gauge type range code"},
	{GaugeCalibrated{Gauge: "M-12", Points: []CalibrationPoint{{Point: mm("25"), AsFound: mm("+0.001"), AsLeft: mm("0.000")}}, Certificate: "CAL-25-002", Verdict: "pass", Due: "2026-02-19"}, "gauge/M-12", "gauge points certificate verdict"},
	{GaugeChecked{Gauge: "M-12", Block: mm("25.000"), Read: mm("25.001"), Limit: mm("0.004"), Verdict: "pass"}, "gauge/M-12", "gauge block read limit"},
	{exampleRelease(), "release/DR-09 A", "release design revision lot machine recipe orientation evidence program program_sha256 kx ky kz"},
	{ReleaseSigned{Release: "DR-09 A"}, "release/DR-09 A", "release"},
	{ReleaseWithdrawn{Release: "DR-09 A"}, "release/DR-09 A", "release"},
	{TravelerOpened{Insert: "I-0029", Design: "CR40", Revision: "B", Order: "O-1", Template: "RT-1", Version: 2, Replaces: "I-0007", Scratch: "X", Code: testCode}, "insert/I-0029", "insert design revision order template version code"},
	{ReleaseAssigned{Insert: "I-0029", Release: "DR-09 A"}, "insert/I-0029", "insert release"},
	{StepLeftOut{Insert: "I-0029", Op: OpTemper}, "insert/I-0029", "insert operation"},
	{InsertScrapped{Insert: "I-0029", Why: "a corner broke off"}, "insert/I-0029", "insert why"},
	{examplePrint(), "insert/I-0029", "insert release machine program_sha256 carrier kx ky kz layers"},
	{LayersMade{Insert: "I-0029", FromLayer: 1, ToLayer: 5, Dried: MustReading("6", "min"), Air: deg("45"), Pass: 7, Cutter: "CU-11", Cut: MustReading("34", "min"), Probe: mm("0.501"), Remark: "edge chipped"}, "insert/I-0029", "insert from_layer to_layer"},
	{PrintFinished{Insert: "I-0029", LayersDone: 303, Printed: grams("254.3"), Remark: "clean"}, "insert/I-0029", "insert layers_done printed"},
	{DryingStarted{Insert: "I-0029", Oven: "D1", Shelf: "2", Air: deg("65"), Wet: grams("254.82"), Constant: MustReading("0.05", "%")}, "insert/I-0029", "insert oven air wet constant_mass"},
	{InsertWeighed{Insert: "I-0029", Gauge: "BAL-1", Mass: grams("233.07")}, "insert/I-0029", "insert gauge mass"},
	{GreenMeasured{Insert: "I-0029", Axis: "X", Size: mm("48.081"), Gauge: "OG-1"}, "insert/I-0029", "insert axis size gauge"},
	{DryingFinished{Insert: "I-0029", Dry: grams("232.85"), Loss: MustReading("8.62", "%")}, "insert/I-0029", "insert dry"},
	{LoadOpened{Load: "F1-01", Furnace: "F1", Recipe: "SR-1340 C", Code: testCode}, "load/F1-01", "load furnace recipe code"},
	{LoadPlaced{Load: "F1-01", Insert: "I-0029", Position: "T1", Setter: "ST-9", Lying: "on its side"}, "insert/I-0029", "load insert position"},
	{LoadTakenOut{Load: "F1-01", Insert: "I-0029"}, "insert/I-0029", "load insert"},
	{LoadClosed{Load: "F1-01", Inserts: []string{"I-0029"}, Coupons: []string{"CP-0001"}, Clock: MustReading("-3", "s")}, "load/F1-01", "load"},
	{LoadUnloaded{Load: "F1-01", Inserts: []string{"I-0029", "I-0030"}, Coupons: []string{"CP-0001"}}, "load/F1-01", "load"},
	{TemperingStarted{Insert: "I-0029", Recipe: "TR-590 A", Oven: "H1"}, "insert/I-0029", "insert recipe oven"},
	{TemperingFinished{Insert: "I-0029"}, "insert/I-0029", "insert"},
	{ResultRecorded{Insert: "I-0029", Characteristic: "CR40.1", Value: MustReading("1.5741", "in"), Gauge: "M-12", PartTemp: deg("20.4"), Purpose: "pair", Verdict: "pass"}, "insert/I-0029", "insert characteristic value gauge purpose"},
	{InspectionFinished{Insert: "I-0029"}, "insert/I-0029", "insert"},
	{exampleFit(), "insert/I-0029", "insert mould place shim"},
	{MouldShipped{Mould: "M301", Note: "DN-5", Inserts: []string{"I-0029"}}, "mould/M301", "mould note inserts"},
	{MouldReturned{Mould: "M301", Note: "RN-2", Why: "flash at place A1", Inserts: []string{"I-0029"}, Recalled: []Recalled{{"I-0029", "H-009", "CA-001", "small in Z"}}}, "mould/M301", "mould why"},
	{InsertReturned{Insert: "I-0029", Note: "RN-3", Why: "edge broken", Place: "cage 2", Back: OpInspect, Recalled: []Recalled{{"I-0029", "H-009", "CA-001", "small in Z"}}}, "insert/I-0029", "insert why place back"},
	{ContainmentBegun{Containment: "CA-001", OfKind: "lot", OfCode: "L2509-A", Narrowed: "since 2025-10-20", Why: "small in Z", Inserts: []string{"I-0029", "I-0030"},
		Held: []HeldAs{{"I-0029", "H-007"}}, Outside: []OutOfReach{{"I-0030", "delivered", "K1", "M304", "DN-504", noon}}}, "containment/CA-001", "containment of_kind of_code why inserts"},
	{ContainmentLifted{Containment: "CA-001", Why: "measured again, good", Holds: []string{"H-007"}, Lifted: []HeldAs{{"I-0029", "H-007"}}}, "containment/CA-001", "containment why holds"},
	{NoticeSent{Containment: "CA-001", Customer: "K1", Says: "Please stop using I-0030.", How: "by letter"}, "containment/CA-001", "containment customer says how"},
	{NoticeAnswered{Containment: "CA-001", Customer: "K1", Answer: "taken out of the press"}, "containment/CA-001", "containment customer answer"},
	{TraceDrilled{Insert: "I-0029", Upstream: 43, Downstream: 9, Missing: []string{}, Took: 1200}, "insert/I-0029", "insert"},
	{PutToStock{Insert: "I-0029", Place: "shelf 4"}, "insert/I-0029", "insert place"},
	{InstructionAcknowledged{Instruction: "WI-20", Revision: "B", Badge: "204"}, "instruction/WI-20", "instruction revision badge"},
	{InstructionReleased{Instruction: "WI-20", Revision: "B", Op: OpPrint, Title: "Print, shape and dry by layer", Text: "Home the machine.", From: noon}, "instruction/WI-20", "instruction revision operation title from"},
	{DocumentFiled{OnKind: "lot", OnCode: "L2509-A", Type: "inspection certificate 3.1", Number: "C-118", IssuedOn: "2025-08-14", IssuedBy: "Maker One", Note: "two pages", Document: programHash, MediaType: "application/pdf", Size: 830, Name: "C-118.pdf"}, "lot/L2509-A", "on_kind on_code type issued_by document media_type size name"},
	{FilingWithdrawn{OnKind: "lot", OnCode: "L2509-A", Filing: 57, Why: "it is that of another lot"}, "lot/L2509-A", "on_kind on_code filing why"},
	{DocumentAdded{Document: programHash, MediaType: "image/jpeg", Size: 830, Name: "pocket.jpg", OnKind: "insert", OnCode: "I-0029", Shows: "contact on +X"}, "insert/I-0029", "document media_type size name on_kind on_code shows"},
	{FormsIssued{Op: OpPrint, First: 12, Count: 2}, "form/PF-0012", "operation first count"},
	{FormsCounted{Forms: []string{"PF-0012", "PF-0013"}}, "form/PF-0012", "forms"},
	{FormChecked{Form: "PF-0007"}, "form/PF-0007", "form"},
	{KeptActLeftOut{Insert: "I-0029", Act: "Draw paste", Said: "Container: L2509-A/03; Mass drawn, g: 35.1", Whose: "204", Pressed: noon, Command: "0199d1f0-7b1c-7e2a-9c3d-1f2e3d4c5b6a", Why: "drawn for another insert"}, "insert/I-0029", "insert act whose pressed command why"},
	{OutageNoted{From: noon, Until: noon.Add(time.Hour), Note: "paper forms PF-0001 on"}, "book/1", "from until note"},
	{NonconformanceRaised{Nonconformance: "NC-004", Insert: "I-0029", What: "X 0.082 mm small"}, "insert/I-0029", "nonconformance insert what"},
	{NonconformanceDecided{Nonconformance: "NC-004", Inserts: []string{"I-0029"}, Disposition: ReworkIt, Back: OpTemper, Why: "too soft"}, "nonconformance/NC-004", "nonconformance inserts disposition why"},
	{NonconformanceCancelled{Nonconformance: "NC-004", Inserts: []string{"I-0029"}, Why: "raised on the wrong traveler"}, "nonconformance/NC-004", "nonconformance inserts why"},
	{exampleConcession(), "concession/CN-01", "concession nonconformance inserts what quantity expires_on"},
	{InsertMarked{Insert: "I-0029", How: "laser", Read: testCode}, "insert/I-0029", "insert how code"},
	{PermitGiven{Permit: "DP-001", Insert: "I-0029", Gate: StepOptional.Name, Op: OpFit, Why: "the customer fits it", ExpiresOn: "2025-12-31"}, "insert/I-0029", "permit insert gate operation why expires_on"},
	{ConcessionWithdrawn{Concession: "CN-01", Nonconformance: "NC-004", Inserts: []string{"I-0029"}, Why: "the customer took it back"}, "concession/CN-01", "concession nonconformance inserts why"},
	{HoldSet{Hold: "H-001", OnKind: "lot", OnCode: "L2509-A", Why: "small in Z", Containment: "CA-001"}, "lot/L2509-A", "hold on_kind on_code why"},
	{HoldLifted{Hold: "H-001", OnKind: "lot", OnCode: "L2509-A", Why: "coupons are good"}, "lot/L2509-A", "hold on_kind on_code why"},
	{GateRefused{Tried: "print-started", On: []string{"insert/I-0029"}, Operation: OpPrint, Objections: []Objection{{Gate: NotHeld.Name, Why: "I-0029 is held.", Lift: NotHeld.Lift, Mode: Stop}}}, "insert/I-0029", "objections"},
}

func exampleRoute() []RouteStep {
	var steps []RouteStep
	for i, op := range Operations {
		s := RouteStep{Step: i + 1, Operation: op, Optional: op == OpTemper, Yields: "a record"}
		if op == OpPrint {
			s.Group = BuildParts
		}
		steps = append(steps, s)
	}
	return steps
}

func exampleDesign() DesignReleased {
	return DesignReleased{Design: "CR40", Revision: "B", Name: "core", Material: "HT44", DrawingUnit: "mm", X: mm("40"), Y: mm("30"), Z: mm("25"), Volume: MustReading("29.8", "cm3"),
		Layer: mm("0.1"), LayersBetweenPasses: 5, Orientation: "+Z up", Characteristics: []Characteristic{
			{Number: "CR40.1", Name: "length", Axis: "X", Kind: Length, Nominal: mm("40.0"), Lower: mm("39.950"), Upper: mm("40.050"), Key: true, How: "micrometer"},
			{Number: "CR40.2", Name: "hardness", Kind: Hardness, Lower: MustReading("46", "HRC"), Upper: MustReading("50", "HRC")},
		}}
}

func exampleRelease() ReleaseDrafted {
	return ReleaseDrafted{Release: "DR-09 A", Design: "CR40", Revision: "B", Lot: "L2509-A", Machine: "P1", Recipe: "SR-1340 C", Orientation: "+Z up",
		KX: times("1.2019"), KY: times("1.2020"), KZ: times("1.2180"), Evidence: "coupons of 08-20", Program: "CR40.pgm", ProgramHash: programHash, Supersedes: "DR-08 A",
		Further: []LayerLot{{Lot: "L2509-B", FromLayer: 184}}, Firsts: []string{"I-0042"}}
}

func examplePrint() PrintStarted {
	return PrintStarted{Insert: "I-0029", Release: "DR-09 A", Machine: "P1", ProgramHash: programHash, Carrier: "PL-01",
		KX: times("1.2019"), KY: times("1.2020"), KZ: times("1.2180"), Layers: 304, Plate: MustReading("106,5", "F"), Room: deg("21.9"), Humidity: MustReading("44", "%"), Controller: "4.2.1"}
}

func exampleConcession() ConcessionGiven {
	return ConcessionGiven{Concession: "CN-01", Nonconformance: "NC-004", Inserts: []string{"I-0029", "I-0030"}, What: "hardness 43 HRC or more",
		Limits: []ConcessionLimit{{Of: "hardness", Lower: MustReading("43", "HRC"), Upper: MustReading("50", "HRC")}},
		Mould:  "M301", Customer: "K2", CustomerReference: "letter of 2025-10-14", Quantity: 2, ExpiresOn: "2025-12-31"}
}

func exampleFit() FitUpDone {
	um := func(text string) Reading { return MustReading(text, "um") }
	return FitUpDone{Insert: "I-0029", Mould: "M301", Place: "K1", PocketX: mm("40.01"), PocketY: mm("30.02"), GapX: um("34"), GapY: um("35"), Shim: um("10"),
		Spotting: MustReading("85", "%"), Hours: MustReading("1.5", "h"), Faces: []Face{{"base", mm("0"), Reading{}, um("10")}, {"+X", mm("0.02"), mm("0.3"), Reading{}}},
		Note: strings.Repeat("spotted twice. ", 2)}
}
