package shop

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/google/uuid"
)

// An Event is one thing that happened, named by a past participle.
type Event interface {
	// Kind is the event's name in the log; it never changes.
	Kind() string
	// Subjects are the things whose history the event belongs to, the one it
	// happened to first, each as "kind/number".
	Subjects() []string
	// Valid says what is malformed about the event by itself, as an *Invalid.
	Valid() error
}

// An Entry is an event with everything that must be known about its recording.
type Entry struct {
	ID      uuid.UUID // made by whoever sends it, so that a resend is the same entry
	At      time.Time // when it happened, UTC; zero means now
	Entered time.Time // when it was recorded; filled by the store's clock
	Zone    string    // IANA name of the recorder's time zone
	By      string    // badge of the person; never empty once the book is open
	Station string    // where, "" for the office
	Device  string    // what it was recorded with
	Meaning string    // what the person's signature means, "" where none was given

	Corrects int64             // number of the entry this one corrects; 0 means none
	Reason   string            // why it was corrected, changed or deviates
	Answers  map[string]string // gate name to the reason given for going on
	Seen     int64             // for edits: the subject's count when the form was opened

	Scans       []Scanned   // that named what the entry is about; nil for what was typed or chosen
	Instruction string      // that was in force for the act, as "WI-20 B"; filled by the store
	Paper       *Paper      // form from which it was typed in later; nil for all others
	Kept        *Kept       // where it was kept on a tablet without connection; nil for all others
	Missed      []Objection // what gates would have said, for what a form says was done; filled by the store

	Event Event
}

// A Scanned is one scan that an act rests on: so that a history tells what was
// read off a label from what was typed or picked from a list.
type Scanned struct {
	Raw string `json:"raw"` // as it arrived, with what the scanner added
	Is  string `json:"is"`  // what it was read as, as "insert/I-0042"
}

// Subjects are the things whose history an entry belongs to: those of its
// event, and the form that it was typed in from.
func (e Entry) Subjects() []string {
	subjects := e.Event.Subjects()
	if e.Paper != nil {
		subjects = append(slices.Clone(subjects), Subject("form", e.Paper.Form))
	}
	return subjects
}

// BackEntered reports whether the time was given by a person and lies before
// the time of recording, as with records that were first kept on paper.
func (e Entry) BackEntered() bool { return e.Entered.Sub(e.At) > time.Minute }

// NeedsReason reports whether the entry must say why: a correction, and what
// leaves the route or takes a release away.
func (e Entry) NeedsReason() bool {
	switch e.Event.(type) {
	case StepLeftOut, ReleaseWithdrawn:
		return true
	}
	return e.Corrects != 0
}

// A Change is one field of a record that somebody set to another value.
type Change struct {
	Field string    `json:"field"`
	From  string    `json:"from"`
	To    string    `json:"to"`
	By    string    `json:"-"` // filled when a change is shown to another person
	At    time.Time `json:"-"`
}

// Subject names a thing in the log.
func Subject(kind, code string) string { return kind + "/" + code }

// SubjectParts splits what Subject joined.
func SubjectParts(subject string) (kind, code string) {
	kind, code, _ = strings.Cut(subject, "/")
	return kind, code
}

// A decoder reads the body of one kind of event.
type decoder struct {
	kind string
	read func([]byte) (Event, error)
}

// of makes the decoder of an event type; the table of all is in kinds.go.
func of[E Event]() decoder {
	var zero E
	return decoder{zero.Kind(), func(body []byte) (Event, error) {
		var e E
		d := json.NewDecoder(bytes.NewReader(body))
		d.DisallowUnknownFields()
		if err := d.Decode(&e); err != nil {
			return nil, fmt.Errorf("shop: body of %s: %w", zero.Kind(), err)
		}
		if _, err := d.Token(); err != io.EOF {
			return nil, fmt.Errorf("shop: body of %s has something behind its end", zero.Kind())
		}
		return e, nil
	}}
}

// Kinds lists the names of all events, sorted.
func Kinds() []string { return slices.Sorted(maps.Keys(kinds)) }

// DecodeEvent reads the body of an event back from the log.
func DecodeEvent(kind string, body []byte) (Event, error) {
	read, ok := kinds[kind]
	if !ok {
		return nil, fmt.Errorf("shop: there is no event %q", kind)
	}
	return read(body)
}

// Date is a calendar day of the shop, as "2006-01-02". "" means open or none.
type Date string

// Valid reports whether the text is a day of the calendar.
func (d Date) Valid() bool {
	_, err := time.Parse(time.DateOnly, string(d))
	return err == nil
}

// DaysTo counts the days from d to another day, negative where that lies
// before it; 0 where one of the two is no day.
func (d Date) DaysTo(other Date) int {
	from, err := time.Parse(time.DateOnly, string(d))
	to, err2 := time.Parse(time.DateOnly, string(other))
	if err != nil || err2 != nil {
		return 0
	}
	return int(to.Sub(from) / (24 * time.Hour))
}

// DayOf is the calendar day of a moment in a time zone.
func DayOf(t time.Time, zone *time.Location) Date { return Date(t.In(zone).Format(time.DateOnly)) }

func (f Fields) needDate(field string, d Date, what string) {
	if !d.Valid() {
		f.Say(field, "%s is not a day: write it as 2025-11-21.", what)
	}
}

// sayCount says why a count is refused; most is 0 where there is no upper end.
func (f Fields) sayCount(field, what string, n, most int) {
	if most > 0 {
		f.Say(field, "%s is %d: it must be from 1 to %d.", what, n, most)
		return
	}
	f.Say(field, "%s is %d: it must be 1 or more.", what, n)
}

// noTwice refuses a list that names a thing twice.
func (f Fields) noTwice(field string, list []string) {
	for i, item := range list {
		if slices.Contains(list[:i], item) {
			f.Say(field, "%s is listed twice.", item)
		}
	}
}

func (f Fields) needPositive(field string, r Reading, what string) {
	switch {
	case !r.Taken():
		f.Say(field, "%s is missing.", what)
	case r.Value() <= 0:
		f.Say(field, "%s is %s: it must be more than zero.", what, r)
	}
}

func (f Fields) notNegative(field string, r Reading, what string) {
	if r.Taken() && r.Value() < 0 {
		f.Say(field, "%s is %s: it cannot be less than zero.", what, r)
	}
}

// Number checks a shop number as people say it. It stands in addresses and
// in the log, so it has no spaces at its ends and no character that either
// cannot carry; what is between its slashes is never a dot or nothing.
func (f Fields) Number(field, code, what string) {
	switch {
	case code == "":
		f.Say(field, "%s is missing.", what)
	case utf8.RuneCountInString(code) > 40:
		f.Say(field, "%s %q is longer than 40 characters.", what, code)
	case strings.TrimSpace(code) != code:
		f.Say(field, "%s %q has a space at its beginning or end.", what, code)
	case strings.ContainsFunc(code, func(r rune) bool { return !unicode.IsPrint(r) || strings.ContainsRune("?#%\\\uFFFD", r) }):
		f.Say(field, "%s %q has a character that a label cannot carry.", what, code)
	case slices.ContainsFunc(strings.Split(code, "/"), func(part string) bool { return strings.Trim(part, ". ") == "" }):
		f.Say(field, "%s %q has a slash or a dot where a number stands alone: write it like L2509-A/03.", what, code)
	}
}
