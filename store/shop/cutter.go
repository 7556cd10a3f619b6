package shop

import (
	"fmt"
	"math"
	"time"
)

// A Cutter mills the soft part; one is in a machine at a time.
type Cutter struct {
	ID        int64
	Cutter    string // as CU-11
	Machine   string
	Diameter  Reading
	Life      Reading // cutting time allowed
	Offset    Reading // radius offset typed when it was put in
	Used      float64 // s, cutting time by the records
	FittedAt  time.Time
	RemovedAt time.Time // zero while it is in the machine
	Code      ScanCode
}

// CutterFitted puts a cutter into a machine.
type CutterFitted struct {
	Cutter   string   `json:"cutter"`
	Machine  string   `json:"machine"`
	Diameter Reading  `json:"diameter" quantity:"length"`
	Life     Reading  `json:"life" quantity:"time"`
	Offset   Reading  `json:"offset" quantity:"length"` // may be negative
	Code     ScanCode `json:"code"`
}

func (CutterFitted) Kind() string { return "cutter-fitted" }
func (e CutterFitted) Subjects() []string {
	return []string{Subject("cutter", e.Cutter), Subject("machine", e.Machine)}
}

// Valid refuses a cutter without diameter or life, and an offset that is more
// than a slip of a setting gauge would be.
func (e CutterFitted) Valid() error {
	f := Fields{}
	f.Number("cutter", e.Cutter, "The cutter's number")
	f.Need("machine", e.Machine, "The machine")
	f.needPositive("diameter", e.Diameter, "The diameter")
	f.needPositive("life", e.Life, "The cutting time allowed")
	if e.Offset.Taken() && math.Abs(e.Offset.Value()) > 0.2 {
		f.Say("offset", "The radius offset is %s: one beyond 0.2 mm is a slip of sign or unit.", e.Offset)
	}
	needCode(f, e.Code)
	return f.Err()
}

// CutterRemoved takes a cutter out of its machine.
type CutterRemoved struct {
	Cutter  string `json:"cutter"`
	Machine string `json:"machine"`
}

func (CutterRemoved) Kind() string { return "cutter-removed" }
func (e CutterRemoved) Subjects() []string {
	return []string{Subject("cutter", e.Cutter), Subject("machine", e.Machine)}
}

// Valid refuses an event without cutter or machine.
func (e CutterRemoved) Valid() error {
	f := Fields{}
	f.Need("cutter", e.Cutter, "The cutter")
	f.Need("machine", e.Machine, "The machine")
	return f.Err()
}

// CutterLife asks that the cutter in the machine has cutting time left.
var CutterLife = Gate{"cutter life", "another cutter", askCutterLife}

func askCutterLife(f Facts) string {
	if c := f.Cutter; c.Cutter != "" && c.Used >= c.Life.Value() {
		return fmt.Sprintf("Cutter %s in %s has cut for %.0f min; its life is %s.", c.Cutter, c.Machine, c.Used/60, c.Life)
	}
	return ""
}
