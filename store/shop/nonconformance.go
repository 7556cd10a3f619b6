package shop

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// A Nonconformance is one piece's part in a nonconformance: a requirement that
// it does not meet, and what was decided about it. One number may be about
// several pieces; each is decided by itself.
type Nonconformance struct {
	Seq         int64
	Number      string // as NC-004
	Insert      string
	What        string // which requirement is not met
	RaisedAt    time.Time
	RaisedBy    string
	State       NonconformanceState
	Disposition Disposition // "" while it is open, and once it is cancelled
	Back        string      // operation from which the route is gone through again, "" for none
	DecidedAt   time.Time   // zero while it is open
	DecidedBy   string
	Note        string // why it was decided so
}

// A NonconformanceState says whether a nonconformance waits for somebody.
type NonconformanceState string

// The states of a nonconformance. A cancelled one keeps its number.
const (
	NCOpen      NonconformanceState = "open"
	NCClosed    NonconformanceState = "closed"
	NCCancelled NonconformanceState = "cancelled"
)

// A Disposition is the decision on a piece that does not conform, in the words
// of ISO 9001:2015 8.7 and ISO 9000:2015 3.12.
type Disposition string

// The dispositions.
const (
	UseAsIs  Disposition = "use as is" // a failed characteristic needs a concession besides
	ReworkIt Disposition = "rework"    // until it meets the requirement
	RepairIt Disposition = "repair"    // fit for use, but does not meet it: needs a concession
	ScrapIt  Disposition = "scrap"
)

// Dispositions lists what can be decided.
var Dispositions = []Disposition{UseAsIs, ReworkIt, RepairIt, ScrapIt}

// GoesBack reports whether a piece goes through operations again.
func (d Disposition) GoesBack() bool { return d == ReworkIt || d == RepairIt }

// Stands reports whether it can need a concession: it was neither cancelled nor
// ended by scrapping the piece.
func (n Nonconformance) Stands() bool { return n.State != NCCancelled && n.Disposition != ScrapIt }

// OpenAt reports whether it waits for a decision, seen from a time.
func (n Nonconformance) OpenAt(at time.Time) bool {
	return n.State == NCOpen || !n.RaisedAt.After(at) && n.DecidedAt.After(at)
}

// ReworkFrom are the operations that a piece can go back to. What is printed
// is not printed again: that is another piece, which replaces it.
var ReworkFrom = []string{OpDry, OpSinter, OpTemper, OpInspect, OpFit}

// NonconformanceRaised says that a piece does not meet a requirement. It stops
// the piece until somebody who may has decided about it.
type NonconformanceRaised struct {
	Nonconformance string `json:"nonconformance"`
	Insert         string `json:"insert"`
	What           string `json:"what"`
}

func (NonconformanceRaised) Kind() string { return "nonconformance-raised" }
func (e NonconformanceRaised) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("nonconformance", e.Nonconformance)}
}

// Valid refuses one without number, piece or words.
func (e NonconformanceRaised) Valid() error {
	f := Fields{}
	f.Number("nonconformance", e.Nonconformance, "The nonconformance's number")
	f.Need("insert", e.Insert, "The insert")
	f.Need("what", e.What, "What does not conform")
	return f.Err()
}

// NonconformanceDecided closes a nonconformance for one or more of its pieces.
type NonconformanceDecided struct {
	Nonconformance string      `json:"nonconformance"`
	Inserts        []string    `json:"inserts"`
	Disposition    Disposition `json:"disposition"`
	Back           string      `json:"back"` // operation to go through again, for rework and repair
	Why            string      `json:"why"`
}

func (NonconformanceDecided) Kind() string { return "nonconformance-decided" }
func (e NonconformanceDecided) Subjects() []string {
	return ofNonconformance(e.Nonconformance, e.Inserts)
}

func ofNonconformance(number string, inserts []string) []string {
	subjects := []string{Subject("nonconformance", number)}
	for _, i := range inserts {
		subjects = append(subjects, Subject("insert", i))
	}
	return subjects
}

// Valid refuses a decision about nothing, without a reason, or one that sends
// a piece back without saying where to.
func (e NonconformanceDecided) Valid() error {
	f := Fields{}
	f.Need("nonconformance", e.Nonconformance, "The nonconformance's number")
	f.needPieces(e.Inserts)
	switch {
	case !slices.Contains(Dispositions, e.Disposition):
		f.Say("disposition", "The disposition is %q: choose use as is, rework, repair or scrap.", e.Disposition)
	case e.Disposition.GoesBack() && !slices.Contains(ReworkFrom, e.Back):
		f.Say("back", "Say from which operation on it goes through the route again: %s.", strings.Join(ReworkFrom, ", "))
	case !e.Disposition.GoesBack() && e.Back != "":
		f.Say("back", "Only what is reworked or repaired goes back to an operation.")
	}
	f.Need("why", e.Why, "The reason for the decision")
	return f.Err()
}

func (f Fields) needPieces(inserts []string) {
	if len(inserts) == 0 || slices.Contains(inserts, "") {
		f.Say("inserts", "No piece is named: choose at least one.")
	}
	f.noTwice("inserts", inserts)
}

// NonconformanceCancelled takes back what was raised by mistake. The number
// stays, and is not given again.
type NonconformanceCancelled struct {
	Nonconformance string   `json:"nonconformance"`
	Inserts        []string `json:"inserts"`
	Why            string   `json:"why"`
}

func (NonconformanceCancelled) Kind() string { return "nonconformance-cancelled" }
func (e NonconformanceCancelled) Subjects() []string {
	return ofNonconformance(e.Nonconformance, e.Inserts)
}

// Valid refuses to cancel without a reason.
func (e NonconformanceCancelled) Valid() error {
	f := Fields{}
	f.Need("nonconformance", e.Nonconformance, "The nonconformance's number")
	f.needPieces(e.Inserts)
	f.Need("why", e.Why, "The reason for cancelling it")
	return f.Err()
}

// The gates of what does not conform.
var (
	FailHasNonconformance = Gate{"fail has nonconformance", "raising a nonconformance", askRaised}
	NonconformanceClosed  = Gate{"nonconformance closed or conceded", "the quality manager, who decides or gives a concession", askDecided}
)

// askRaised asks for a nonconformance about each piece whose last reading of a
// characteristic failed. One that was closed by rework is over: what fails
// after it needs another.
func askRaised(f Facts) string {
	if len(f.Fails) == 0 || slices.ContainsFunc(f.Nonconformances, f.speaksOfFails) {
		return ""
	}
	return fmt.Sprintf("%s failed in %s, and no nonconformance says so.", f.Insert.Insert, failsListed(f.Fails))
}

func (f Facts) speaksOfFails(n Nonconformance) bool {
	return n.OpenAt(f.AsOf()) || n.State == NCClosed && (n.Disposition == UseAsIs || n.Disposition == RepairIt)
}

// askDecided asks that each nonconformance of the piece is decided, or that a
// concession covers the piece as it is, where it goes. What failed and is used
// as it is needs a concession all the same.
func askDecided(f Facts) string {
	var open string
	needed := len(f.Fails) > 0
	for _, n := range f.Nonconformances {
		if n.OpenAt(f.AsOf()) {
			open, needed = fmt.Sprintf("%s on %s is open: %s.", n.Number, f.Insert.Insert, strings.TrimSuffix(n.What, ".")), true
			break
		}
	}
	if !needed {
		return ""
	}
	var why []string
	for _, c := range f.Concessions {
		no := c.refuses(f)
		if no == "" {
			return ""
		}
		why = append(why, no)
	}
	switch {
	case open != "":
		return strings.Join(append([]string{open}, why...), " ")
	case len(why) > 0:
		return strings.Join(why, " ")
	}
	return fmt.Sprintf("No concession covers what %s failed in.", f.Insert.Insert)
}

// A Fail is a characteristic whose last reading lies outside its limits.
type Fail struct {
	Characteristic string
	Name           string
	Value          Reading
	Limits         string // in words
}

// String is the characteristic with what was read and its limits.
func (x Fail) String() string {
	return fmt.Sprintf("%s (%s; limits %s)", x.Characteristic, x.Value, x.Limits)
}

func failsListed(fails []Fail) string {
	var words []string
	for _, x := range fails {
		words = append(words, x.String())
	}
	return Listed(words)
}
