package shop

import (
	"fmt"
	"time"
)

// An Insert is one serial number of a design, with its traveler.
type Insert struct {
	ID       int64
	Insert   string // serial, as I-0029
	Design   string
	Revision string
	Order    string
	Template string
	Version  int
	Release  string // release it is to be printed by, "" until one is assigned
	Opened   time.Time
	Replaces string
	Scratch  string // mark cut while soft, to tell twins apart
	Code     ScanCode

	Status   string    // in words, as "dried"
	Since    time.Time // when that began
	Place    string    // where it is, in words
	Carrier  string    // plate that carries it while green
	Load     string    // last furnace load
	Position string    // place in that load
	Mould    string
	MouldAt  string // place in the mould
	Done     bool   // delivered, put to stock or scrapped
	Count    int64  // events of this insert so far
	Steps    []Step

	Marked   string // how, "" while it bears no mark
	MarkedAt time.Time
	MarkedBy string

	ReadFrom int64 // readings count from this entry on: it sent the insert back to its inspection or further; 0 for all
}

// The words for where an insert stands.
const (
	StatusOpened    = "opened"
	StatusPrinting  = "printing"
	StatusPrinted   = "printed"
	StatusDrying    = "drying"
	StatusDried     = "dried"
	StatusLoaded    = "in a load"
	StatusSintering = "sintering"
	StatusSintered  = "sintered"
	StatusTempering = "tempering"
	StatusTempered  = "tempered"
	StatusInspected = "inspected"
	StatusFitted    = "fitted"
	StatusStock     = "in stock"
	StatusDelivered = "delivered"
	StatusScrapped  = "scrapped"
)

// StatusBefore is how an insert stands that waits for an operation.
func StatusBefore(operation string) string {
	switch operation {
	case OpDry:
		return StatusPrinted
	case OpSinter:
		return StatusDried
	case OpTemper:
		return StatusSintered
	case OpInspect:
		return StatusTempered
	}
	return StatusInspected
}

// A StepState says how far an operation of a traveler has come.
type StepState string

// The states of a step.
const (
	Todo      StepState = "to do"
	Started   StepState = "started"
	Finished  StepState = "done"
	LeftOut   StepState = "left out"
	BrokenOff StepState = "broken off" // the insert went back before it was finished
)

// A Step is one operation on a traveler.
type Step struct {
	Pass       int // 1, and one more with each rework
	Step       int
	Operation  string
	Optional   bool
	State      StepState
	StartedAt  time.Time
	StartedBy  string
	FinishedAt time.Time
	FinishedBy string
	PausedAt   time.Time // zero while it is not paused
	PausedBy   string
}

// Next is the step that comes next: the one under way, else the first one to
// do. ok is false when the traveler is at its end.
func (i Insert) Next() (step Step, ok bool) {
	for _, s := range i.Steps {
		if s.State == Started || s.State == Todo {
			return s, true
		}
	}
	return Step{}, false
}

// Paused reports whether the operation that is under way rests.
func (i Insert) Paused() bool {
	next, _ := i.Next()
	return !next.PausedAt.IsZero()
}

// Last is the step that was finished last; ok is false where none was.
func (i Insert) Last() (step Step, ok bool) {
	for _, s := range i.Steps {
		if s.State == Finished {
			step, ok = s, true
		}
	}
	return step, ok
}

// StepOf is the latest pass of an operation on the traveler.
func (i Insert) StepOf(operation string) (step Step, ok bool) {
	for _, s := range i.Steps {
		if s.Operation == operation {
			step, ok = s, true
		}
	}
	return step, ok
}

// LastFinished is the latest time at which an operation of the traveler was
// finished: nothing that comes after can have happened before it.
func (i Insert) LastFinished() time.Time {
	var last time.Time
	for _, s := range i.Steps {
		if s.FinishedAt.After(last) {
			last = s.FinishedAt
		}
	}
	return last
}

// Took is the time from start to finish of a step. It is unknown (false) where
// the clock stepped back between the two.
func (s Step) Took() (time.Duration, bool) {
	if s.StartedAt.IsZero() || s.FinishedAt.IsZero() || s.FinishedAt.Before(s.StartedAt) {
		return 0, false
	}
	return s.FinishedAt.Sub(s.StartedAt), true
}

// TravelerOpened gives an insert its serial number and its route.
type TravelerOpened struct {
	Insert   string   `json:"insert"`
	Design   string   `json:"design"`
	Revision string   `json:"revision"`
	Order    string   `json:"order"`
	Template string   `json:"template"`
	Version  int      `json:"version"`
	Replaces string   `json:"replaces"`
	Scratch  string   `json:"scratch"`
	Code     ScanCode `json:"code"`
}

func (TravelerOpened) Kind() string { return "traveler-opened" }
func (e TravelerOpened) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("order", e.Order)}
}

// Valid refuses a traveler without serial, design, order or route.
func (e TravelerOpened) Valid() error {
	f := Fields{}
	f.Number("insert", e.Insert, "The serial number")
	f.Need("design", e.Design, "The part number")
	f.Need("revision", e.Revision, "The revision")
	f.Need("order", e.Order, "The order")
	f.Need("template", e.Template, "The route")
	if e.Version < 1 {
		f.sayCount("version", "The version of the route", e.Version, 0)
	}
	needCode(f, e.Code)
	return f.Err()
}

// ReleaseAssigned says by which release an insert is to be printed. It
// finishes the operation design release.
type ReleaseAssigned struct {
	Insert  string `json:"insert"`
	Release string `json:"release"`
}

func (ReleaseAssigned) Kind() string { return "release-assigned" }
func (e ReleaseAssigned) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("release", e.Release)}
}

// Valid refuses an event without insert or release.
func (e ReleaseAssigned) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("release", e.Release, "The release")
	return f.Err()
}

func (ReleaseAssigned) Operation() string  { return OpRelease }
func (e ReleaseAssigned) InsertNo() string { return e.Insert }
func (ReleaseAssigned) Phase() Phase       { return Whole }

// Gates of the release of a traveler.
func (ReleaseAssigned) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, DesignCurrent, ReleaseInForce, ReleaseCovers}
}

// StepLeftOut skips an optional operation, such as tempering.
type StepLeftOut struct {
	Insert string `json:"insert"`
	Op     string `json:"operation"`
}

func (StepLeftOut) Kind() string         { return "step-left-out" }
func (e StepLeftOut) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses to leave out what no route can do without.
func (e StepLeftOut) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("operation", e.Op, "The operation")
	return f.Err()
}

func (e StepLeftOut) Operation() string { return e.Op }
func (e StepLeftOut) InsertNo() string  { return e.Insert }
func (StepLeftOut) Phase() Phase        { return Whole }

// Gates of leaving an operation out.
func (StepLeftOut) Gates() []Gate { return []Gate{NotHeld, Authorised, RouteOrder, StepOptional} }

// Where is the insert's place in one phrase.
func (i Insert) Where() string {
	switch {
	case i.Mould != "" && i.MouldAt != "":
		return fmt.Sprintf("%s, place %s", i.Mould, i.MouldAt)
	case i.Place != "":
		return i.Place
	}
	return "not placed yet"
}

// Green reports whether it is a soft part that lies on a carrier.
func (i Insert) Green() bool {
	return i.Status == StatusPrinted || i.Status == StatusDrying || i.Status == StatusDried
}

// Unsintered reports whether it was planned or made and no furnace has closed
// on it yet.
func (i Insert) Unsintered() bool {
	return i.Status == StatusOpened || i.Status == StatusPrinting || i.Status == StatusLoaded || i.Green()
}
