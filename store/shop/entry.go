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

	Event Event
}

// BackEntered reports whether the time was given by a person and lies before
// the time of recording, as with records that were first kept on paper.
func (e Entry) BackEntered() bool { return e.Entered.Sub(e.At) > time.Minute }

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

// DayOf is the calendar day of a moment in a time zone.
func DayOf(t time.Time, zone *time.Location) Date { return Date(t.In(zone).Format(time.DateOnly)) }

func (f Fields) needDate(field string, d Date, what string) {
	if !d.Valid() {
		f.Say(field, "%s is not a day: write it as 2025-11-21.", what)
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

// needNumber checks a shop number as people say it: it stands in addresses and
// in the log, so it has no spaces at its ends, no control characters and no
// slash except between a lot and its container.
func (f Fields) needNumber(field, code, what string) {
	switch {
	case code == "":
		f.Say(field, "%s is missing.", what)
	case len(code) > 40:
		f.Say(field, "%s %q is longer than 40 characters.", what, code)
	case strings.TrimSpace(code) != code:
		f.Say(field, "%s %q has a space at its beginning or end.", what, code)
	case strings.ContainsFunc(code, func(r rune) bool { return !unicode.IsPrint(r) || strings.ContainsRune("?#%\\\uFFFD", r) }):
		f.Say(field, "%s %q has a character that a label cannot carry.", what, code)
	}
}
