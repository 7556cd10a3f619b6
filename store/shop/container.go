package shop

import (
	"fmt"
	"math"
	"time"
)

// A Container is one tub, syringe or cartridge of paste: the unit that is
// opened, dries out and is used up.
type Container struct {
	ID        int64
	Container string // lot slash number, as L2509-A/03
	Lot       string
	In        float64   // g, when received
	Left      float64   // g, by the last weighing and the records since
	Opened    time.Time // UTC, zero while sealed
	Scrapped  time.Time // zero while it is in use
	Returned  time.Time // to its maker; zero while it is here
	Weighed   time.Time // last time that what is left was weighed, zero if never
	Article   string    // the maker's article number, "" where nobody said
	Serial    string    // the maker's serial number, "" where nobody said
	Label     string    // what the maker's label said, as Visible writes it; "" where none was scanned
	Code      ScanCode
}

// Gone is when the container was scrapped or sent back; zero while it is in use.
func (c Container) Gone() time.Time {
	if c.Returned.IsZero() {
		return c.Scrapped
	}
	return c.Returned
}

// OpenUntil is the end of the container's open life; zero while it is sealed.
func (c Container) OpenUntil(l Lot) time.Time {
	if c.Opened.IsZero() {
		return time.Time{}
	}
	return c.Opened.AddDate(0, 0, l.OpenLifeDays)
}

// LastDay is the last day on which its paste may be printed: the end of its open
// life, or the lot's last day of use where that comes first.
func (c Container) LastDay(l Lot, zone *time.Location) Date {
	if until := c.OpenUntil(l); !until.IsZero() {
		if day := DayOf(until, zone); l.ExpiresOn == "" || day < l.ExpiresOn {
			return day
		}
	}
	return l.ExpiresOn
}

// ContainerReceived takes a container of a lot into the store.
type ContainerReceived struct {
	Container string   `json:"container"`
	Lot       string   `json:"lot"`
	Mass      Reading  `json:"mass" quantity:"mass"`
	Article   string   `json:"article,omitempty"` // the maker's article number
	Serial    string   `json:"serial,omitempty"`  // the maker's serial number of this one container
	Label     string   `json:"label,omitempty"`   // the maker's label as the scanner delivered it, to the byte: as Visible writes it, a line for each scan
	Code      ScanCode `json:"code"`
}

func (ContainerReceived) Kind() string { return "container-received" }
func (e ContainerReceived) Subjects() []string {
	return []string{Subject("container", e.Container), Subject("lot", e.Lot)}
}

// Valid refuses an empty container or one without a lot.
func (e ContainerReceived) Valid() error {
	f := Fields{}
	f.Number("container", e.Container, "The container number")
	f.Need("lot", e.Lot, "The lot number")
	f.needPositive("mass", e.Mass, "The mass of paste in it")
	f.labelled(e.Label, labelSays{"lot", e.Lot}, labelSays{"article", e.Article}, labelSays{"serial", e.Serial})
	needCode(f, e.Code)
	return f.Err()
}

// Operation and Gates say by which policy a mass that looks wrong is questioned.
func (ContainerReceived) Operation() string { return OpPrint }
func (ContainerReceived) Gates() []Gate     { return []Gate{WeighingAsExpected} }

// ContainerOpened starts a container's open life.
type ContainerOpened struct {
	Container string `json:"container"`
	Lot       string `json:"lot,omitempty"` // filled when it is recorded, "" in books from before that
}

func (ContainerOpened) Kind() string { return "container-opened" }
func (e ContainerOpened) Subjects() []string {
	subjects := []string{Subject("container", e.Container)}
	if e.Lot != "" {
		subjects = append(subjects, Subject("lot", e.Lot))
	}
	return subjects
}

// Valid refuses an event without a container.
func (e ContainerOpened) Valid() error {
	f := Fields{}
	f.Need("container", e.Container, "The container")
	return f.Err()
}

// PasteWasted records paste that was thrown away: what sticks to tools, what
// has dried.
type PasteWasted struct {
	Container string  `json:"container"`
	Mass      Reading `json:"mass" quantity:"mass"`
	Why       string  `json:"why"`
}

func (PasteWasted) Kind() string         { return "paste-wasted" }
func (e PasteWasted) Subjects() []string { return []string{Subject("container", e.Container)} }

// Valid refuses waste of nothing, or for no reason.
func (e PasteWasted) Valid() error {
	f := Fields{}
	f.Need("container", e.Container, "The container")
	f.needPositive("mass", e.Mass, "The mass thrown away")
	f.Need("why", e.Why, "Why it was thrown away")
	return f.Err()
}

// ContainerWeighed records what is left in a container by the balance. What
// the records say otherwise is unexplained from then on.
type ContainerWeighed struct {
	Container string  `json:"container"`
	Left      Reading `json:"left" quantity:"mass"` // without the container
	Note      string  `json:"note"`
}

func (ContainerWeighed) Kind() string         { return "container-weighed" }
func (e ContainerWeighed) Subjects() []string { return []string{Subject("container", e.Container)} }

// Valid refuses a weighing without mass; an empty container weighs 0.
func (e ContainerWeighed) Valid() error {
	f := Fields{}
	f.Need("container", e.Container, "The container")
	if !e.Left.Taken() {
		f.Say("left", "The mass left is missing: type 0 where nothing is.")
	}
	f.notNegative("left", e.Left, "The mass left")
	return f.Err()
}

// Operation and Gates say by which policy a weighing that looks wrong is
// questioned.
func (ContainerWeighed) Operation() string { return OpPrint }
func (ContainerWeighed) Gates() []Gate     { return []Gate{WeighingAsExpected} }

// ContainerScrapped takes a container out of use, with what was thrown away
// with it. Nothing is drawn from it any more.
type ContainerScrapped struct {
	Container string  `json:"container"`
	Mass      Reading `json:"mass" quantity:"mass"` // thrown away with it
	Why       string  `json:"why"`
}

func (ContainerScrapped) Kind() string         { return "container-scrapped" }
func (e ContainerScrapped) Subjects() []string { return []string{Subject("container", e.Container)} }

// Valid refuses to scrap for no reason or without the mass; an empty container
// weighs 0.
func (e ContainerScrapped) Valid() error {
	f := Fields{}
	f.Need("container", e.Container, "The container")
	if !e.Mass.Taken() {
		f.Say("mass", "The mass thrown away is missing: type 0 where it was empty.")
	}
	f.notNegative("mass", e.Mass, "The mass thrown away")
	f.Need("why", e.Why, "Why it is scrapped")
	return f.Err()
}

// ContainerReturned sends a container back to the maker of the paste with what
// is left in it. Nothing is drawn from it any more.
type ContainerReturned struct {
	Container string  `json:"container"`
	Mass      Reading `json:"mass" quantity:"mass"` // of the paste in it, without the container
	Note      string  `json:"note"`                 // number of the note that goes with it, "" for none
	Why       string  `json:"why"`
}

func (ContainerReturned) Kind() string         { return "container-returned" }
func (e ContainerReturned) Subjects() []string { return []string{Subject("container", e.Container)} }

// Valid refuses to send nothing back, or for no reason.
func (e ContainerReturned) Valid() error {
	f := Fields{}
	f.Need("container", e.Container, "The container")
	f.needPositive("mass", e.Mass, "The mass of paste sent back")
	f.Need("why", e.Why, "Why it is sent back")
	return f.Err()
}

// DifferenceExplained says what became of the mass that a container is short
// of, or has too much. The mass stays unexplained in the account; the flag is
// answered until a later weighing finds another one.
type DifferenceExplained struct {
	Container  string  `json:"container"`
	Difference Reading `json:"difference" quantity:"mass"` // decided when it is recorded: the unexplained mass of that moment
	Why        string  `json:"why"`
}

func (DifferenceExplained) Kind() string         { return "difference-explained" }
func (e DifferenceExplained) Subjects() []string { return []string{Subject("container", e.Container)} }

// Valid refuses an explanation that says nothing.
func (e DifferenceExplained) Valid() error {
	f := Fields{}
	f.Need("container", e.Container, "The container")
	f.Need("why", e.Why, "What was found")
	return f.Err()
}

// AskWeighed says what is strange about a weighing of a container that holds so
// much by its records since it was weighed last, and so much by all of them with
// no weighing counted; "" where nothing is. Too little is asked about while
// somebody still stands at the balance, and can see what was not recorded; so is
// little by little, in the weighing that is too much together.
func (e ContainerWeighed) AskWeighed(in, held, book float64, limit Limit) string {
	left, most := e.Left.Value(), limit.Value.Value()+1e-9
	if slip := massSlip(left, held); slip != "" {
		return fmt.Sprintf("Container %s should hold %.1f g by its records. %s", e.Container, held, slip)
	}
	off, before := left-held, held-book
	should := fmt.Sprintf("Container %s should hold %.1f g by its records, and %s is %.1f g %s", e.Container, held, e.Left, math.Abs(off), lessOrMore(off))
	if math.Abs(off) <= most {
		should += fmt.Sprintf("; with what was unexplained before it is %.1f g %s", math.Abs(off+before), lessOrMore(off+before))
	}
	switch {
	case left > in+1e-9:
		return fmt.Sprintf("Container %s came with %.1f g, and %s is more: see whether it is the right container, weighed without its tub, in the right unit.", e.Container, in, e.Left)
	case math.Abs(off) <= most && (math.Abs(off+before) <= most || math.Abs(before) > most):
		return ""
	case off > 0:
		return fmt.Sprintf("%s: see whether it is the right container, in the right unit. The limit is %s.", should, limit.Words())
	}
	return fmt.Sprintf("%s: see whether it is the right container, in the right unit, and whether a draw, a purge or waste was not recorded. The limit is %s.", should, limit.Words())
}

func lessOrMore(g float64) string {
	if g < 0 {
		return "less"
	}
	return "more"
}

// PasteDrawn takes paste out of a container for an insert that is being printed.
type PasteDrawn struct {
	Container string  `json:"container"`
	Insert    string  `json:"insert"`
	FromLayer int     `json:"from_layer"`
	ToLayer   int     `json:"to_layer"`
	Drawn     Reading `json:"drawn" quantity:"mass"`  // for the piece, chips of shaping included
	Purged    Reading `json:"purged" quantity:"mass"` // pushed through the nozzle and thrown away
}

func (PasteDrawn) Kind() string { return "paste-drawn" }
func (e PasteDrawn) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("container", e.Container)}
}

// Valid refuses a draw of nothing, or for layers in the wrong order.
func (e PasteDrawn) Valid() error {
	f := Fields{}
	f.Need("container", e.Container, "The container")
	f.Need("insert", e.Insert, "The insert")
	f.needPositive("drawn", e.Drawn, "The mass drawn")
	f.notNegative("purged", e.Purged, "The mass purged")
	f.needLayers(e.FromLayer, e.ToLayer)
	return f.Err()
}

// Operation and Insert place the draw on the traveler.
func (PasteDrawn) Operation() string  { return OpPrint }
func (e PasteDrawn) InsertNo() string { return e.Insert }
func (PasteDrawn) Phase() Phase       { return During }
func (PasteDrawn) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, LotReleasedInDate, LotOfRelease, ContainerOpenLife, ContainerEnoughLeft, DrawAsExpected, LayersDrawnOnce}
}
