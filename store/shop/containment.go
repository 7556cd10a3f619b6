package shop

import (
	"fmt"
	"slices"
	"time"
)

// A Containment is the answer to a suspect thing: every insert that it touched
// and that is still here is held in one act, and whoever has the others is told.
type Containment struct {
	Seq         int64
	Containment string // as CA-001
	OfKind      string // of the thing that is suspect
	OfCode      string
	Narrowed    string // to what part of its history, in words; "" for all of it
	Why         string
	At          time.Time
	By          string
	Holds       []Hold
	Outside     []OutOfReach
	Notices     []RecallNotice
}

// Standing are the holds of it that were not lifted.
func (c Containment) Standing() []Hold {
	return slices.DeleteFunc(slices.Clone(c.Holds), func(h Hold) bool { return !h.Standing() })
}

// Waiting counts the notices that nobody has answered.
func (c Containment) Waiting() int {
	n := 0
	for _, v := range c.Notices {
		if v.AnsweredAt.IsZero() {
			n++
		}
	}
	return n
}

// An OutOfReach is an insert that could not be held, and why.
type OutOfReach struct {
	Insert   string    `json:"insert"`
	Why      string    `json:"why"`      // delivered or scrapped
	Customer string    `json:"customer"` // who has it; "" for one that was scrapped
	Mould    string    `json:"mould"`
	Note     string    `json:"note"` // delivery note that it left with
	Since    time.Time `json:"since"`
}

// A RecallNotice tells a customer which of their inserts are suspect.
type RecallNotice struct {
	Customer   string
	Says       string // "" while it is to be written
	How        string // by letter, mail or call, to whom
	SentAt     time.Time
	SentBy     string
	Answer     string
	AnsweredAt time.Time
	AnsweredBy string
}

// State is how far it has come, in a word.
func (n RecallNotice) State() string {
	switch {
	case !n.AnsweredAt.IsZero():
		return "answered"
	case !n.SentAt.IsZero():
		return "sent"
	}
	return "to be written"
}

// A HeldAs is an insert with the hold that a containment set on it.
type HeldAs struct {
	Insert string `json:"insert"`
	Hold   string `json:"hold"`
}

// ContainmentBegun holds inserts in one act. Which of them can be held, and
// under which numbers, is decided when it is recorded.
type ContainmentBegun struct {
	Containment string       `json:"containment"`
	OfKind      string       `json:"of_kind"`
	OfCode      string       `json:"of_code"`
	Narrowed    string       `json:"narrowed"`
	Why         string       `json:"why"`
	Inserts     []string     `json:"inserts"`
	Held        []HeldAs     `json:"held"`
	Outside     []OutOfReach `json:"outside"`
}

func (ContainmentBegun) Kind() string { return "containment-begun" }
func (e ContainmentBegun) Subjects() []string {
	subjects := []string{Subject("containment", e.Containment)}
	if e.OfKind != "insert" {
		subjects = append(subjects, Subject(e.OfKind, e.OfCode))
	}
	for _, o := range e.Outside {
		subjects = append(subjects, Subject("insert", o.Insert))
	}
	return subjects
}

// Valid refuses one of nothing, or without a reason.
func (e ContainmentBegun) Valid() error {
	f := Fields{}
	f.Number("containment", e.Containment, "The number of the containment")
	f.Need("of_kind", e.OfKind, "The kind of thing that is suspect")
	f.Need("of_code", e.OfCode, "The thing that is suspect")
	f.Need("why", e.Why, "The reason for it")
	if len(e.Inserts) == 0 {
		f.Say("inserts", "No insert is named: choose at least one.")
	}
	if len(e.Inserts) > containedAtMost {
		f.Say("inserts", "There are %d inserts: one act holds at most %d. Hold the lot, machine or furnace itself, or narrow the trace.", len(e.Inserts), containedAtMost)
	}
	f.noTwice("inserts", e.Inserts)
	return f.Err()
}

// containedAtMost bounds what one act holds: an entry of the log must fit on a
// line of an export, and others wait while it is written.
const containedAtMost = 5000

// Follow are the holds that it sets.
func (e ContainmentBegun) Follow() []Event {
	var holds []Event
	for _, h := range e.Held {
		holds = append(holds, HoldSet{Hold: h.Hold, OnKind: "insert", OnCode: h.Insert, Why: e.Why, Containment: e.Containment})
	}
	return holds
}

// ContainmentLifted lifts holds of a containment together.
type ContainmentLifted struct {
	Containment string   `json:"containment"`
	Why         string   `json:"why"`
	Holds       []string `json:"holds"`
	Lifted      []HeldAs `json:"lifted"` // with what each lies on; filled by the store
}

func (ContainmentLifted) Kind() string { return "containment-lifted" }
func (e ContainmentLifted) Subjects() []string {
	return []string{Subject("containment", e.Containment)}
}

// Valid refuses to lift nothing, or without a reason.
func (e ContainmentLifted) Valid() error {
	f := Fields{}
	f.Need("containment", e.Containment, "The containment")
	f.Need("why", e.Why, "The reason for lifting them")
	if len(e.Holds) == 0 {
		f.Say("holds", "No hold is named: choose at least one.")
	}
	f.noTwice("holds", e.Holds)
	return f.Err()
}

// Follow are the holds that it lifts.
func (e ContainmentLifted) Follow() []Event {
	var lifted []Event
	for _, h := range e.Lifted {
		lifted = append(lifted, HoldLifted{Hold: h.Hold, OnKind: "insert", OnCode: h.Insert, Why: e.Why})
	}
	return lifted
}

// A Following event records others with it, in the same act: they stand in the
// log behind it, or none of them does.
type Following interface {
	Event
	Follow() []Event
}

// NoticeSent says that a customer was told.
type NoticeSent struct {
	Containment string `json:"containment"`
	Customer    string `json:"customer"`
	Says        string `json:"says"`
	How         string `json:"how"`
}

func (NoticeSent) Kind() string         { return "notice-sent" }
func (e NoticeSent) Subjects() []string { return []string{Subject("containment", e.Containment)} }

// Valid refuses a notice that says nothing or went to nobody.
func (e NoticeSent) Valid() error {
	f := Fields{}
	f.Need("containment", e.Containment, "The containment")
	f.Need("customer", e.Customer, "The customer")
	f.Need("says", e.Says, "What the notice says")
	f.Need("how", e.How, "How it was sent, and to whom")
	return f.Err()
}

// NoticeAnswered says what the customer answered.
type NoticeAnswered struct {
	Containment string `json:"containment"`
	Customer    string `json:"customer"`
	Answer      string `json:"answer"`
}

func (NoticeAnswered) Kind() string         { return "notice-answered" }
func (e NoticeAnswered) Subjects() []string { return []string{Subject("containment", e.Containment)} }

// Valid refuses an empty answer.
func (e NoticeAnswered) Valid() error {
	f := Fields{}
	f.Need("containment", e.Containment, "The containment")
	f.Need("customer", e.Customer, "The customer")
	f.Need("answer", e.Answer, "What they answered")
	return f.Err()
}

// TraceDrilled is the evidence of a trace drill: an insert that was drawn at
// random was traced both ways, how long that took and what was missing.
type TraceDrilled struct {
	Insert     string   `json:"insert"`
	Upstream   int      `json:"upstream"`   // things found behind it
	Downstream int      `json:"downstream"` // inserts found that share its paste, load or release
	Missing    []string `json:"missing"`    // what should have been found and was not
	Took       int64    `json:"took_us"`    // microseconds of the server's clock
}

func (TraceDrilled) Kind() string         { return "trace-drilled" }
func (e TraceDrilled) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses a drill of nothing.
func (e TraceDrilled) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	if e.Took < 0 || e.Upstream < 0 || e.Downstream < 0 {
		f.Say("took", "A drill takes time and finds things: %s is no result.", fmt.Sprint(e.Took))
	}
	return f.Err()
}

// A Drill is a trace drill as it stands in the book.
type Drill struct {
	TraceDrilled
	Seq int64
	At  time.Time
	By  string
}
