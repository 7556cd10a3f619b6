package shop

import (
	"strings"
	"time"

	"github.com/google/uuid"
)

// A Kept says of an entry that the act was kept on a tablet without connection
// and sent later. Both times are what the tablet's own clock said; how far
// that was off follows from when its message came in.
type Kept struct {
	DeviceAt time.Time `json:"device_at"` // when the button was pressed
	SentAt   time.Time `json:"sent_at"`   // when it was sent at last
	Offset   int64     `json:"offset_ms"` // server's clock less tablet's, milliseconds: more than 0 for a tablet that is slow; filled by the store
}

// KeptAtMost is how long an act may wait on a tablet.
const KeptAtMost = 14 * 24 * time.Hour

// clockSlack is how far a tablet's clock may have stepped back while an act
// waited; a century is further off than any clock is by itself.
const (
	clockSlack = 2 * time.Minute
	century    = 100 * 365 * 24 * time.Hour
)

// Off is how far the tablet's clock was behind the server's.
func (k Kept) Off() time.Duration { return time.Duration(k.Offset) * time.Millisecond }

// Received works out how far the tablet's clock is off, from when its message
// came in. An offset that is absurd is kept as it is: histories say it.
func (k *Kept) Received(at time.Time) error {
	k.DeviceAt, k.SentAt = k.DeviceAt.UTC().Truncate(time.Millisecond), k.SentAt.UTC().Truncate(time.Millisecond)
	off := at.Sub(k.SentAt)
	if off.Abs() > century {
		return Wrong("", "The tablet's clock says %s: set it right, then send again.", k.SentAt.Format(time.DateOnly))
	}
	k.Offset = off.Milliseconds()
	return nil
}

// Pressed is when the button was pressed, by the server's clock: a tablet whose
// clock is an hour wrong is put right by its offset. It is an Invalid where the
// tablet's clock cannot tell.
func (k Kept) Pressed() (time.Time, error) {
	switch waited := k.SentAt.Sub(k.DeviceAt); {
	case waited < -clockSlack:
		return time.Time{}, Wrong("at", "The tablet's clock was set back while this waited, so that nobody knows when it happened: say so under “It happened earlier”.")
	case waited > KeptAtMost:
		return time.Time{}, Wrong("at", "By the tablet's clock this waited for more than %d days: say under “It happened earlier” when it happened.", KeptAtMost/(24*time.Hour))
	case waited < 0:
		return k.SentAt.Add(k.Off()), nil
	}
	return k.DeviceAt.Add(k.Off()), nil
}

// FitsKept says, as an Invalid, why an entry cannot have been kept on a tablet.
func (e Entry) FitsKept() error {
	switch {
	case e.Meaning != "":
		return Wrong("", "This is signed with a PIN: it is not kept on a tablet, but signed when the connection is back.")
	case e.Paper != nil:
		return Wrong("paper_form", "What was kept on this tablet is not typed in from a form too: leave one of the two out.")
	}
	return nil
}

// KeptActLeftOut says that an act which a tablet kept, and which could not be
// recorded, was given up by a person. Nothing that was pressed at a station
// goes without a trace.
type KeptActLeftOut struct {
	Insert  string    `json:"insert"`
	Act     string    `json:"act"`     // in words, as on its button
	Said    string    `json:"said"`    // what was typed, label by label
	Whose   string    `json:"whose"`   // badge of who pressed the button, as the tablet has it
	Pressed time.Time `json:"pressed"` // by the tablet's own clock
	Command string    `json:"command"` // under which it would have been recorded
	Why     string    `json:"why"`
}

func (KeptActLeftOut) Kind() string         { return "kept-act-left-out" }
func (e KeptActLeftOut) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// saidAtMost bounds what is kept of a form that was left out.
const saidAtMost = 4000

// Valid refuses to leave something out that nobody can tell from another.
func (e KeptActLeftOut) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("act", e.Act, "What was to be recorded")
	f.Need("whose", e.Whose, "The badge of who pressed the button")
	f.Need("why", e.Why, "The reason to leave it out")
	if strings.TrimSpace(e.Command) == "" {
		f.Say("command", "The number of the act is missing.")
	} else if _, err := uuid.Parse(e.Command); err != nil {
		f.Say("command", "%q is not the number of an act.", e.Command)
	}
	if e.Pressed.IsZero() {
		f.Say("pressed", "The time at which the button was pressed is missing.")
	}
	if len(e.Said) > saidAtMost {
		f.Say("said", "What was typed is longer than %d characters.", saidAtMost)
	}
	return f.Err()
}
