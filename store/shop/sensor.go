package shop

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// A Sensor is the control thermocouple of one zone of a furnace.
type Sensor struct {
	ID          int64
	Sensor      string // as F1-TC2
	Furnace     string
	Zone        string
	Type        string // its letter
	Certificate string
	FittedAt    time.Time
	RemovedAt   time.Time // zero while it is in place
	Code        ScanCode
	Test        SensorTest // its last one; zero where there was none
}

// SensorTypes are the letters of thermocouples (IEC 60584-1:2013).
var SensorTypes = []string{"A", "B", "C", "E", "J", "K", "N", "R", "S", "T"}

// SensorFitted puts a control sensor into a zone; the one that was there is
// out of it from then on.
type SensorFitted struct {
	Sensor      string   `json:"sensor"`
	Furnace     string   `json:"furnace"`
	Zone        string   `json:"zone"`
	Type        string   `json:"type"`
	Certificate string   `json:"certificate"`
	Code        ScanCode `json:"code"`
}

func (SensorFitted) Kind() string { return "sensor-fitted" }
func (e SensorFitted) Subjects() []string {
	return []string{Subject("sensor", e.Sensor), Subject("furnace", e.Furnace)}
}

// Valid refuses a sensor of no place, type or certificate.
func (e SensorFitted) Valid() error {
	f := Fields{}
	f.Number("sensor", e.Sensor, "The sensor's number")
	f.Need("furnace", e.Furnace, "The furnace")
	f.Need("zone", e.Zone, "The zone")
	if !slices.Contains(SensorTypes, e.Type) {
		f.Say("type", "The type %q is not a letter of IEC 60584-1: it is one of %s.", e.Type, Listed(SensorTypes))
	}
	f.Need("certificate", e.Certificate, "The number of its calibration certificate")
	needCode(f, e.Code)
	return f.Err()
}

// A SensorTest is a system accuracy test (SAT): the furnace's own reading
// against a calibrated sensor beside it.
type SensorTest struct {
	Seq       int64
	Sensor    string
	At        time.Time
	By        string
	SetPoint  Reading
	Read      Reading // by the furnace
	Reference Reading // corrected reading of the test sensor
	Limit     Reading // plus or minus
	Verdict   string
	Due       Date // last day on which the next one may be done, "" after one that failed
}

// Off is reading minus reference, in K.
func (t SensorTest) Off() float64 { return t.Read.Value() - t.Reference.Value() }

// SensorTested records a system accuracy test (SAT). The verdict is decided
// when it is recorded, by the limit that was typed.
type SensorTested struct {
	Sensor    string  `json:"sensor"`
	SetPoint  Reading `json:"set_point" quantity:"temperature"`
	Read      Reading `json:"read" quantity:"temperature"`
	Reference Reading `json:"reference" quantity:"temperature"`
	Limit     Reading `json:"limit" quantity:"temperature difference"`
	Verdict   string  `json:"verdict"`
	Due       Date    `json:"due"`
}

func (SensorTested) Kind() string         { return "sensor-tested" }
func (e SensorTested) Subjects() []string { return []string{Subject("sensor", e.Sensor)} }

// Valid refuses a test without its two readings, limit or next day, and
// readings that cannot be of one furnace at one time.
func (e SensorTested) Valid() error {
	f := Fields{}
	f.Need("sensor", e.Sensor, "The sensor")
	f.needFurnaceHeat("set_point", e.SetPoint, "The set point")
	f.needFurnaceHeat("read", e.Read, "The furnace's reading")
	f.needFurnaceHeat("reference", e.Reference, "The reading of the test sensor")
	f.needPositive("limit", e.Limit, "The limit")
	f.needNext("due", e.Due, e.Judged(), "The day on which the next test is due")
	if off := e.Read.Value() - e.Reference.Value(); e.Read.Taken() && e.Reference.Taken() && math.Abs(off) > 200 {
		f.Say("reference", "The two readings are %.0f °C apart: look at their units.", math.Abs(off))
	}
	return f.Err()
}

// Judged is the verdict: it passes when the furnace's reading is off the
// reference by no more than the limit.
func (e SensorTested) Judged() string {
	if math.Abs(e.Read.Value()-e.Reference.Value()) <= e.Limit.Value()+exactness(e.Read, e.Reference) {
		return "pass"
	}
	return "fail"
}

// needNext refuses something that passed and does not say until when it
// counts; what failed counts for nothing.
func (f Fields) needNext(field string, due Date, verdict, what string) {
	if due != "" {
		f.needDate(field, due, what)
	} else if verdict == "pass" {
		f.Say(field, "%s is missing.", what)
	}
}

// needFurnaceHeat refuses a temperature at which no furnace is tested.
func (f Fields) needFurnaceHeat(field string, r Reading, what string) {
	if !r.Taken() {
		f.Say(field, "%s is missing.", what)
	} else if r.Value() < 100 || r.Value() > 2000 {
		f.Say(field, "%s is %s: a furnace is tested from 100 to 2000 °C.", what, r)
	}
}

// FurnaceTestsInDate asks for the SAT of every control sensor and for the TUS
// of the furnace: both passed and neither is overdue.
var FurnaceTestsInDate = Gate{"SAT and TUS in date", "the overdue or failed test, or another furnace", askFurnaceTests}

func askFurnaceTests(f Facts) string {
	n := f.Furnace
	if n.Furnace == "" {
		return ""
	}
	day := DayOf(f.At, f.Zone)
	for _, zone := range n.ControlledZones() {
		at := slices.IndexFunc(n.Sensors, func(s Sensor) bool { return s.Zone == zone })
		if at < 0 {
			return fmt.Sprintf("No control sensor of zone %s of furnace %s is on record.", zone, n.Furnace)
		}
		switch s := n.Sensors[at]; {
		case s.Test.Seq == 0:
			return fmt.Sprintf("No SAT of sensor %s is on record.", s.Sensor)
		case s.Test.Verdict != "pass":
			return fmt.Sprintf("Sensor %s failed its SAT of %s: it was %+.1f °C off, limit ±%s.", s.Sensor, DayOf(s.Test.At, f.Zone), s.Test.Off(), s.Test.Limit)
		case day > s.Test.Due:
			return fmt.Sprintf("The SAT of sensor %s was due on %s.", s.Sensor, s.Test.Due)
		}
	}
	switch s := n.Survey; {
	case s.Seq == 0:
		return fmt.Sprintf("No TUS of furnace %s is on record.", n.Furnace)
	case s.Verdict != "pass":
		return fmt.Sprintf("Furnace %s failed its TUS of %s.", n.Furnace, DayOf(s.At, f.Zone))
	case day > s.Due:
		return fmt.Sprintf("The TUS of furnace %s was due on %s.", n.Furnace, s.Due)
	}
	return ""
}
