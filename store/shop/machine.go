package shop

import (
	"fmt"
	"time"
)

// A Machine lays down paste in layers and shapes it.
type Machine struct {
	ID         int64
	Machine    string
	Nozzle     Reading
	Controller string // version that runs on it, "" where none was recorded
	Check      MachineCheck
	Code       ScanCode
}

// A MachineCheck is a check of a machine's axes and squareness.
type MachineCheck struct {
	Seq     int64 // 0 where there was none
	Machine string
	At      time.Time
	By      string
	Report  string
	Verdict string
	Due     Date // last day on which the next one may be done
}

// A Controller is a version of the software that runs on a machine.
type Controller struct {
	Seq     int64
	Machine string
	Version string
	At      time.Time
	By      string
}

// MachineAdded puts a printer on the floor.
type MachineAdded struct {
	Machine string   `json:"machine"`
	Nozzle  Reading  `json:"nozzle" quantity:"length"` // bore
	Code    ScanCode `json:"code"`
}

func (MachineAdded) Kind() string         { return "machine-added" }
func (e MachineAdded) Subjects() []string { return []string{Subject("machine", e.Machine)} }

// Valid refuses a machine without number or nozzle.
func (e MachineAdded) Valid() error {
	f := Fields{}
	f.Number("machine", e.Machine, "The machine's number")
	f.needPositive("nozzle", e.Nozzle, "The nozzle bore")
	needCode(f, e.Code)
	return f.Err()
}

// ControllerUpdated records the version of the software that runs on a machine
// from then on.
type ControllerUpdated struct {
	Machine string `json:"machine"`
	Version string `json:"version"`
}

func (ControllerUpdated) Kind() string         { return "controller-updated" }
func (e ControllerUpdated) Subjects() []string { return []string{Subject("machine", e.Machine)} }

// Valid refuses an update to no version.
func (e ControllerUpdated) Valid() error {
	f := Fields{}
	f.Need("machine", e.Machine, "The machine")
	f.Need("version", e.Version, "The controller version")
	return f.Err()
}

// MachineChecked records a check of a machine's axes and squareness.
type MachineChecked struct {
	Machine string `json:"machine"`
	Report  string `json:"report"` // number or remark, "" for none
	Verdict string `json:"verdict"`
	Due     Date   `json:"due"`
}

func (MachineChecked) Kind() string         { return "machine-checked" }
func (e MachineChecked) Subjects() []string { return []string{Subject("machine", e.Machine)} }

// Valid refuses a check without verdict or next day.
func (e MachineChecked) Valid() error {
	f := Fields{}
	f.Need("machine", e.Machine, "The machine")
	f.needVerdict("verdict", e.Verdict)
	f.needNext("due", e.Due, e.Verdict, "The day on which the next check is due")
	return f.Err()
}

func (f Fields) needVerdict(field, verdict string) {
	if verdict != "pass" && verdict != "fail" {
		f.Say(field, "The verdict is %q: choose pass or fail.", verdict)
	}
}

// MachineInDate asks for the last check of a machine's axes: it passed and the
// next one is not overdue.
var MachineInDate = Gate{"machine checked and in date", "the overdue check, or another machine", askMachineChecked}

func askMachineChecked(f Facts) string {
	m := f.Machine
	switch c := m.Check; {
	case m.Machine == "":
		return ""
	case c.Seq == 0:
		return fmt.Sprintf("No check of the axes of machine %s is on record.", m.Machine)
	case c.Verdict != "pass":
		return fmt.Sprintf("Machine %s failed the check of its axes of %s.", m.Machine, DayOf(c.At, f.Zone))
	case DayOf(f.At, f.Zone) > c.Due:
		return fmt.Sprintf("The check of the axes of machine %s was due on %s.", m.Machine, c.Due)
	}
	return ""
}
