package shop

import "time"

// A Result is one measured value of one characteristic.
type Result struct {
	Seq            int64 // number of the entry that recorded it
	Insert         string
	Characteristic string
	Value          Reading
	Gauge          string
	By             string
	At             time.Time
	PartTemp       Reading
	Purpose        string
	Verdict        string // pass, fail, or "" without limits
	CorrectedBy    int64  // entry that replaced it, 0 while it stands
}

// Purposes are the reasons for which a value is measured.
var Purposes = []string{"inspection", "re-measurement", "pair"}

// ResultRecorded keeps a measured value as it was typed, with the verdict as
// judged then.
type ResultRecorded struct {
	Insert         string  `json:"insert"`
	Characteristic string  `json:"characteristic"`
	Value          Reading `json:"value" quantity:"its kind"`
	Gauge          string  `json:"gauge"`
	PartTemp       Reading `json:"part_temp" quantity:"temperature"`
	Purpose        string  `json:"purpose"`
	Verdict        string  `json:"verdict"`
}

func (ResultRecorded) Kind() string { return "result-recorded" }
func (e ResultRecorded) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("gauge", e.Gauge)}
}

// Valid refuses a result without value, gauge or purpose.
func (e ResultRecorded) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("characteristic", e.Characteristic, "The characteristic")
	f.Need("gauge", e.Gauge, "The gauge")
	if !e.Value.Taken() {
		f.Say("value", "The reading is missing. A size that was not measured is left out, never set to nominal.")
	}
	f.partTemp(e.PartTemp)
	if e.Purpose != "inspection" && e.Purpose != "re-measurement" && e.Purpose != "pair" {
		f.Say("purpose", "The purpose %q is not inspection, re-measurement or pair.", e.Purpose)
	}
	return f.Err()
}

// partTemp refuses a temperature at which nothing is measured.
func (f Fields) partTemp(r Reading) {
	if r.Taken() && (r.Value() < 5 || r.Value() > 60) {
		f.Say("part_temp", "The part's temperature is %s: let it come to 20 °C; it must lie from 5 to 60 °C.", r)
	}
}

func (ResultRecorded) Operation() string  { return OpInspect }
func (e ResultRecorded) InsertNo() string { return e.Insert }

// Phase of a result: the first one begins the inspection. A held insert, or
// one further on, may be measured again: measuring is not an operation.
func (e ResultRecorded) Phase() Phase {
	if e.Purpose == "inspection" {
		return During
	}
	return Anytime
}

// Gates of recording a result.
func (e ResultRecorded) Gates() []Gate {
	gauge := []Gate{GaugeInCalibration, GaugeCheckPassed, GaugeCheckLimit, GaugeCapable}
	if e.Purpose == "inspection" {
		return append([]Gate{NotHeld, Authorised, InstructionRead, RouteOrder}, gauge...)
	}
	return append([]Gate{Authorised, InstructionRead}, gauge...)
}

// Judge fits a reading to its characteristic: it refuses a quantity that does
// not belong and a unit that was probably mistaken, and returns the verdict.
func (c Characteristic) Judge(r Reading) (verdict string, err error) {
	if u := units[r.Unit]; u.quantity != c.Kind {
		return "", Wrong("value", "%s is measured as %s; %q is not a unit of that.", c.Number, c.Kind, UnitWord(r.Unit))
	}
	if c.Kind == Length {
		if r.Value() <= 0 {
			return "", Wrong("value", "%s reads %s: a length must be more than zero.", c.Number, r)
		}
		if meant := UnitSlip(r.Value(), c.Nominal.Value()); meant != "" {
			return "", Wrong("value", "%s reads %s where the nominal is %s: off by a factor of 25.4. Was it read in %s?", c.Number, r, c.Nominal, meantWord[meant])
		}
	}
	return c.Verdict(r), nil
}

// InspectionFinished ends the inspection: every characteristic has a reading.
type InspectionFinished struct {
	Insert string `json:"insert"`
}

func (InspectionFinished) Kind() string         { return "inspection-finished" }
func (e InspectionFinished) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses an event without insert.
func (e InspectionFinished) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	return f.Err()
}

func (InspectionFinished) Operation() string  { return OpInspect }
func (e InspectionFinished) InsertNo() string { return e.Insert }
func (InspectionFinished) Phase() Phase       { return End }

// Gates of the end of inspection.
func (InspectionFinished) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, RecordsComplete}
}
