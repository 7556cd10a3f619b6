package shop

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// A Service is work done on a piece of equipment.
type Service struct {
	Seq    int64
	OnKind string
	OnCode string
	At     time.Time
	By     string
	What   string
}

// Serviced are the kinds of equipment that work is done on.
var Serviced = []string{"machine", "furnace", "oven", "gauge", "sensor", "setter", "cutter"}

// EquipmentServiced records maintenance, repair or a change of equipment.
type EquipmentServiced struct {
	OnKind string `json:"on_kind"`
	OnCode string `json:"on_code"`
	What   string `json:"what"`
}

func (EquipmentServiced) Kind() string         { return "equipment-serviced" }
func (e EquipmentServiced) Subjects() []string { return []string{Subject(e.OnKind, e.OnCode)} }

// Valid refuses work on nothing, or of no kind.
func (e EquipmentServiced) Valid() error {
	f := Fields{}
	if !slices.Contains(Serviced, e.OnKind) {
		f.Say("on_kind", "%q is not a kind of equipment: it is one of %s.", e.OnKind, Listed(Serviced))
	}
	f.Need("on_code", e.OnCode, "The number of the equipment")
	f.Need("what", e.What, "What was done")
	return f.Err()
}

// A FurnaceTest is one of the tests by which a furnace is safe to run: its
// purge, its tightness, its interlocks, its over-temperature trip.
type FurnaceTest struct {
	Seq     int64
	Furnace string
	Load    string // before which it was done
	Test    string
	Verdict string
	Note    string
	At      time.Time
	By      string
}

// FurnaceTests are the tests, in the order in which they are done.
var FurnaceTests = []string{"interlock", "over-temperature", "leak", "purge"}

// FurnaceTestRecorded records a safety test of a furnace before a run. A
// record is never permission to start it.
type FurnaceTestRecorded struct {
	Furnace string `json:"furnace"`
	Load    string `json:"load"`
	Test    string `json:"test"`
	Verdict string `json:"verdict"`
	Note    string `json:"note"` // what was read, "" for nothing
}

func (FurnaceTestRecorded) Kind() string { return "furnace-test-recorded" }
func (e FurnaceTestRecorded) Subjects() []string {
	return []string{Subject("load", e.Load), Subject("furnace", e.Furnace)}
}

// Valid refuses a test that is none, or one without a verdict.
func (e FurnaceTestRecorded) Valid() error {
	f := Fields{}
	f.Need("furnace", e.Furnace, "The furnace")
	f.Need("load", e.Load, "The load")
	if !slices.Contains(FurnaceTests, e.Test) {
		f.Say("test", "%q is not a safety test: it is one of %s.", e.Test, Listed(FurnaceTests))
	}
	f.needVerdict("verdict", e.Verdict)
	return f.Err()
}

// FurnaceTestsSet says which safety tests a furnace needs on record before
// each run.
type FurnaceTestsSet struct {
	Furnace string   `json:"furnace"`
	Tests   []string `json:"tests"`
}

func (FurnaceTestsSet) Kind() string         { return "furnace-tests-set" }
func (e FurnaceTestsSet) Subjects() []string { return []string{Subject("furnace", e.Furnace)} }

// Valid refuses a test that is none, or one that stands twice.
func (e FurnaceTestsSet) Valid() error {
	f := Fields{}
	f.Need("furnace", e.Furnace, "The furnace")
	for i, t := range e.Tests {
		if slices.Contains(e.Tests[:i], t) {
			f.Say("tests", "The %s test stands twice.", t)
		}
		if !slices.Contains(FurnaceTests, t) {
			f.Say("tests", "%q is not a safety test: it is one of %s.", t, Listed(FurnaceTests))
		}
	}
	return f.Err()
}

// FurnaceSafe asks for the safety tests of a run. Nobody overrides it: neither
// a policy, nor a reason, nor a permit.
var FurnaceSafe = Gate{"furnace safety tests", "the test that is missing or failed, done by an authorised person", askFurnaceSafe}

// Unyielding are the gates that always stop.
var Unyielding = []string{FurnaceSafe.Name}

func askFurnaceSafe(f Facts) string {
	n := f.Furnace
	var missing []string
	for _, test := range FurnaceTests {
		last := FurnaceTest{}
		for _, t := range n.Tested { // oldest first
			if t.Test == test {
				last = t
			}
		}
		switch {
		case last.Seq == 0 && slices.Contains(n.Tests, test):
			missing = append(missing, test)
		case last.Seq != 0 && last.Verdict != "pass":
			return fmt.Sprintf("Furnace %s failed its %s test at %s%s. It is not run before that test passes.", n.Furnace, test, f.clock(last.At), note(last.Note))
		}
	}
	if len(missing) > 0 {
		return fmt.Sprintf("No %s test of furnace %s is on record for this load.", strings.Join(missing, ", "), n.Furnace)
	}
	return ""
}

func note(text string) string {
	if text == "" {
		return ""
	}
	return " (" + strings.TrimSuffix(text, ".") + ")"
}
