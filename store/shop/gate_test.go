package shop

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// noon is 12:00 in the shop on a day in October, when Vienna is two hours
// ahead of UTC.
var noon = time.Date(2025, 10, 20, 10, 0, 0, 0, time.UTC)

const programHash = "5e33af2193691f11c0efb9c396ef7b01721eeb63d0135f81937c2aa6813d4a80"

func vienna(tb testing.TB) *time.Location {
	tb.Helper()
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		tb.Fatal(err)
	}
	return zone
}

// whole checks that a text is one or more whole sentences for a person.
func whole(tb testing.TB, text string) {
	tb.Helper()
	if !regexp.MustCompile(`^["A-Z0-9]`).MatchString(text) || !strings.HasSuffix(text, ".") {
		tb.Errorf("%q is not a whole sentence", text)
	}
	for _, hole := range []string{"%!", "  ", " .", " ,", ": .", "()", "..", "\n", "0001-01-01"} {
		if strings.Contains(text, hole) {
			tb.Errorf("%q has a hole: %q", text, hole)
		}
	}
}

// steps is a traveler on which the first so many operations are finished, at
// 06:00, 07:00 … of the day by badge 204.
func steps(finished int) []Step {
	var all []Step
	for i, op := range Operations {
		s := Step{Pass: 1, Step: i + 1, Operation: op, Optional: op == OpTemper, State: Todo}
		if i < finished {
			at := noon.Add(time.Duration(i-6) * time.Hour)
			s.State, s.StartedAt, s.StartedBy, s.FinishedAt, s.FinishedBy = Finished, at, "204", at, "204"
		}
		all = append(all, s)
	}
	return all
}

// ready are the facts of a print that may start: nothing stands in its way.
func ready(tb testing.TB) Facts {
	k := func(text string) Reading { return MustReading(text, "1") }
	return Facts{
		At: noon, Zone: vienna(tb), Operation: OpPrint, Phase: Begin,
		Event: PrintStarted{Insert: "I-0029", Release: "DR-09 A", Machine: "P1", ProgramHash: programHash,
			KX: k("1.2019"), KY: k("1.2020"), KZ: k("1.2180")},
		By:      Person{Badge: "204", Authorised: []Authorisation{{Operation: OpPrint, From: "2025-01-02", Until: "2025-11-30"}}},
		Insert:  Insert{Insert: "I-0029", Design: "CR40", Revision: "B", Release: "DR-09 A", Status: StatusOpened, Steps: steps(1)},
		Current: "B",
		Release: Release{Release: "DR-09 A", Design: "CR40", Revision: "B", Lot: "L2509-A", Machine: "P1", Recipe: "SR-1340 C",
			KX: k("1.2019"), KY: k("1.2020"), KZ: k("1.2180"), ProgramHash: programHash,
			Signatures: []Signature{{By: "101", At: noon.Add(-48 * time.Hour)}, {By: "601", At: noon.Add(-24 * time.Hour)}}},
		Lot:        Lot{Lot: "L2509-A", ExpiresOn: "2025-12-31", OpenLifeDays: 30, ReleasedAt: noon.Add(-72 * time.Hour)},
		Container:  Container{Container: "L2509-A/03", Lot: "L2509-A", Left: 300, Opened: noon.Add(-24 * time.Hour)},
		LoadRecipe: "SR-1340 C",
		MouldOf:    "M301",
		Factors:    factorsOf("L2509-A", "1.2019", "1.2020", "1.2180"),
		AxesOf:     map[string][]string{"L2509-A": Axes},
		Characteristics: []Characteristic{
			{Number: "CR40.1", Axis: "X", Kind: Length, Nominal: mm("40"), Lower: mm("39.950"), Upper: mm("40.050")},
			{Number: "CR40.4", Kind: Hardness, Lower: MustReading("46", "HRC")}},
		Greens: []GreenSize{{Seq: 5, Axis: "X", Size: mm("48.081")}}, Layers: 304,
		Furnace: Furnace{Furnace: "F1", Positions: []Position{{"T1", "top", "insert"}, {"M1", "middle", "insert"}},
			Sensors: []Sensor{{Sensor: "F1-TC1", Zone: "top", Test: satOf("F1-TC1")}, {Sensor: "F1-TC2", Zone: "middle", Test: satOf("F1-TC2")}},
			Survey:  Survey{Seq: 7, Furnace: "F1", At: noon.Add(-240 * time.Hour), Verdict: "pass", Due: "2026-03-12"}},
		Recipe:  Recipe{Seq: 8, Recipe: "SR-1340", Revision: "C", For: OpPrint, ReleasedAt: noon.Add(-900 * time.Hour)},
		Setter:  Setter{Setter: "ST-17", Cycles: 149, Life: 150},
		Machine: Machine{Machine: "P1", Check: MachineCheck{Seq: 9, At: noon.Add(-900 * time.Hour), Verdict: "pass", Due: "2026-02-04"}},
		Cutter:  Cutter{Cutter: "CU-11", Machine: "P1", Used: 53999, Life: MustReading("900", "min")},
	}
}

// factorsOf are the factors of a lot in X, Y and Z, in force since yesterday.
func factorsOf(lot string, k ...string) []Factor {
	var all []Factor
	for i, axis := range Axes {
		all = append(all, Factor{Seq: int64(i + 1), Lot: lot, Axis: axis, S: MustReading(shrinkages[k[i]], "%"), K: MustReading(k[i], "1"), From: noon.Add(-24 * time.Hour)})
	}
	return all
}

// shrinkages are those of which the factors in tests follow.
var shrinkages = map[string]string{"1.2019": "16.80", "1.2020": "16.81", "1.2180": "17.90", "1.2011": "16.74", "1.2171": "17.84", "1.2250": "18.37"}

// satOf is a SAT that passed and is due on the day of the act.
func satOf(sensor string) SensorTest {
	return SensorTest{Seq: 6, Sensor: sensor, At: noon.Add(-240 * time.Hour), Read: MustReading("1340.0", "C"), Reference: MustReading("1339.7", "C"),
		Limit: MustReading("4.0", "K"), Verdict: "pass", Due: DayOf(noon, time.UTC)}
}

// A gateRow is one question to a gate: what is special about the facts, and
// the words that its sentence must have; no words mean that it passes.
type gateRow struct {
	name string
	with func(*Facts)
	says []string
}

func asIs(*Facts) {}

// later is what happened at noon and is entered afterwards.
func later(with func(*Facts)) func(*Facts) {
	return func(f *Facts) {
		f.Later = true
		with(f)
	}
}

// gateRows are the questions to every gate, by its name. Those of a noun stand
// in its own test.
var gateRows = gathered(holdRows, personRows, instructionRows, routeRows, designRows, releaseRows, lotRows, containerRows, expectedRows, printRows, calibrationRows, recipeRows, mouldRows, nonconformanceRows, sensorRows, setterRows, machineRows, cutterRows, serviceRows, factorRows, forecastRows, weighingRows, qualificationRows)

func gathered(nouns ...map[string][]gateRow) map[string][]gateRow {
	all := map[string][]gateRow{}
	for _, rows := range nouns {
		for gate, more := range rows {
			all[gate] = append(all[gate], more...)
		}
	}
	return all
}

// TestGates asks every gate every question of its table.
func TestGates(t *testing.T) {
	for _, g := range AllGates {
		t.Run(g.Name, func(t *testing.T) {
			passed, refused := 0, 0
			for _, row := range gateRows[g.Name] {
				t.Run(row.name, func(t *testing.T) {
					f := ready(t)
					row.with(&f)
					why := g.Ask(f)
					if row.says == nil {
						passed++
						if why != "" {
							t.Errorf("the gate says %q; want nothing in the way", why)
						}
						return
					}
					refused++
					if why == "" {
						t.Fatalf("the gate lets it pass; want a sentence with %q", row.says)
					}
					whole(t, why)
					for _, word := range row.says {
						if !strings.Contains(why, word) {
							t.Errorf("%q does not name %q", why, word)
						}
					}
				})
			}
			if passed == 0 || refused == 0 {
				t.Errorf("%d rows pass and %d are refused; want some of each", passed, refused)
			}
		})
	}
}

func TestGateRowsBelongToGates(t *testing.T) {
	names := GateNames()
	for name := range gateRows {
		if !slices.Contains(names, name) {
			t.Errorf("there are rows for %q, which is no gate", name)
		}
	}
	if len(slices.Compact(names)) != len(AllGates) {
		t.Errorf("two gates share a name: %q", names)
	}
	for _, g := range AllGates {
		if g.Lift == "" {
			t.Errorf("the gate %q does not say who or what clears it", g.Name)
		}
	}
}

// TestReadyPasses: the facts that the rows start from stand in no gate's way
// but that of leaving out an operation, which no print may be.
func TestReadyPasses(t *testing.T) {
	if no := Object(PrintStarted{}.Gates(), ready(t)); no != nil {
		t.Errorf("a print that may start is refused: %+v", no)
	}
}

func TestObjectNamesEveryGate(t *testing.T) {
	f := ready(t)
	f.By.Authorised = nil
	f.OnMachine = "I-0030"
	no := Object(PrintStarted{}.Gates(), f)
	if len(no) != 2 || no[0].Gate != Authorised.Name || no[1].Gate != MachineFree.Name {
		t.Fatalf("objections are %+v; want those of person and machine, in that order", no)
	}
	if no[1].Lift != MachineFree.Lift || no[1].Why != MachineFree.Ask(f) {
		t.Errorf("the objection is %+v; want the gate's own words", no[1])
	}
}

// TestCompared: a no about factors has the numbers side by side, axis by axis.
func TestCompared(t *testing.T) {
	f := ready(t)
	prints(func(e *PrintStarted) { e.KX = times("1.2109") })(&f)
	no := Object([]Gate{NotHeld, OversizeOfRelease}, f)
	want := []Compared{{"X", "1.2109", "1.2019", "L2509-A", "1.2019", true}, {"Y", "1.2020", "1.2020", "L2509-A", "1.2020", false}, {"Z", "1.2180", "1.2180", "L2509-A", "1.2180", false}}
	if len(no) != 1 || !slices.Equal(no[0].Compared, want) {
		t.Errorf("objections are %+v; want beside them %+v", no, want)
	}
	f.Release.KX, f.Factors = times("1.2109"), f.Factors[:2]
	no = Object([]Gate{CompensationOfLot}, f)
	if len(no) != 1 || len(no[0].Compared) != 3 || !no[0].Compared[0].Differs || no[0].Compared[2].Factor != "" || !no[0].Compared[2].Differs {
		t.Errorf("objections are %+v; want X to differ and Z to have no factor", no)
	}
	f = ready(t)
	f.Release.KY = times("1.2002") // within the band, with digits swapped
	no = Object([]Gate{CompensationOfLot}, f)
	if len(no) != 1 || len(no[0].Compared) != 3 || no[0].Compared[0].Differs || !no[0].Compared[1].Differs {
		t.Errorf("objections are %+v; want Y to differ", no)
	}
	f = ready(t)
	sinters("1.2019", "1.2020", "1.2150")(&f)
	no = Object([]Gate{CompensationOfLot}, f)
	want = []Compared{{"X", "1.2019", "1.2019", "L2509-A", "1.2019", false}, {"Y", "1.2020", "1.2020", "L2509-A", "1.2020", false}, {"Z", "1.2150", "1.2180", "L2509-A", "1.2180", true}}
	if len(no) != 1 || !slices.Equal(no[0].Compared, want) {
		t.Errorf("before the furnace objections are %+v; want beside them %+v", no, want)
	}
}

// TestActsAreGated: an act of the route asks at least who does it, and what
// moves an insert along asks for holds and the order of operations.
func TestActsAreGated(t *testing.T) {
	asked := map[string]bool{}
	for _, x := range examples {
		act, ok := x.event.(Act)
		if !ok {
			continue
		}
		var names []string
		for _, g := range act.Gates() {
			names = append(names, g.Name)
			asked[g.Name] = true
		}
		must := []string{Authorised.Name}
		if act.Phase() != Anytime {
			must = append(must, NotHeld.Name, RouteOrder.Name)
		}
		for _, name := range must {
			if !slices.Contains(names, name) {
				t.Errorf("%s does not ask %q", act.Kind(), name)
			}
		}
		if !slices.Contains(Operations, act.Operation()) {
			t.Errorf("%s belongs to %q, which is no operation", act.Kind(), act.Operation())
		}
		if Subject("insert", act.InsertNo()) != act.Subjects()[0] {
			t.Errorf("%s is about insert %q and first about %q", act.Kind(), act.InsertNo(), act.Subjects()[0])
		}
	}
	for _, x := range examples {
		if judged, ok := x.event.(Decision); ok { // a joint act is one by its form
			for _, g := range judged.Gates() {
				asked[g.Name] = true
			}
		}
	}
	for _, g := range AllGates {
		if !asked[g.Name] {
			t.Errorf("no act asks the gate %q", g.Name)
		}
	}
}

// TestMeasuringAgain: a held insert, or one further on, may be measured again.
func TestMeasuringAgain(t *testing.T) {
	for _, purpose := range Purposes {
		e := ResultRecorded{Insert: "I-0029", Purpose: purpose}
		f := ready(t)
		f.Event, f.Operation, f.Phase = e, e.Operation(), e.Phase()
		f.Insert.Steps = steps(7)
		f.Holds = []Hold{{Hold: "H-001", OnCode: "I-0029", SetBy: "601", SetAt: noon.Add(-time.Hour), Reason: "small"}}
		f.By.Authorised = []Authorisation{{Operation: OpInspect, From: "2025-01-01"}}
		no := Object(e.Gates(), f)
		if stopped := len(no) > 0; stopped != (purpose == "inspection") {
			t.Errorf("%s on a held insert that is fitted: %+v", purpose, no)
		}
	}
}
