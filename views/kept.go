package views

import (
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// KeptPath is the page of what this tablet keeps and could not send.
const KeptPath = "/station/kept"

// A Kept is the page of what a tablet keeps: what was not sent yet, and which
// pages can be opened without connection. The tablet's own script fills it in.
type Kept struct {
	Frame
}

// KeptWords say of an entry on which tablet it was kept, and what that one's
// clock said.
func (p History) KeptWords(r HistoryRow) string {
	pressed, err := r.Kept.Pressed()
	from := "from " + p.hourOf(pressed, r.Entered)
	if err != nil {
		from = "from a time that its clock cannot tell"
	}
	device := r.Device
	if device == "" {
		device = "a browser"
	}
	return fmt.Sprintf("Kept on %s %s without connection, sent %s; the tablet's clock %s: it said %s, and %s when it was sent.", device, from, p.hourOf(r.Entered, r.Entered),
		clockWords(r.Kept.Off()), p.clockSaid(r.Kept.DeviceAt), p.clockSaid(r.Kept.SentAt))
}

// hourOf is the hour of a moment, with its day where that is another than that
// of recording.
func (p History) hourOf(t, entered time.Time) string {
	if shop.DayOf(t, p.Zone) == shop.DayOf(entered, p.Zone) {
		return t.In(p.Zone).Format("15:04")
	}
	return Stamp(t, p.Zone)
}

func (p History) clockSaid(t time.Time) string { return t.In(p.Zone).Format(time.DateTime) }

// clockWords say how far a clock was off.
func clockWords(off time.Duration) string {
	switch {
	case off.Abs() < time.Second:
		return "was right"
	case off > 0:
		return "was " + exactly(off.Round(time.Second)) + " slow"
	}
	return "was " + exactly(-off.Round(time.Second)) + " fast"
}

// leftOutSentence is about an act that was kept, and given up by a person.
func leftOutSentence(e shop.KeptActLeftOut, zone *time.Location) string {
	return fmt.Sprintf("“%s” for %s, pressed by %s on a tablet without connection at %s by its clock, was left out%s. It would have been act %s. Why: %s",
		e.Act, e.Insert, e.Whose, Stamp(e.Pressed, zone), opt(": ", e.Said), e.Command, full(e.Why))
}

// StandsNow says how an insert stands, for whoever compares that with what was
// kept on a tablet.
func (p Traveler) StandsNow() []Fact {
	facts := []Fact{{Name: "Stands", Value: p.NextTitle()}, {Name: "Where", Value: p.Insert.Where()}}
	for _, h := range p.Standing() {
		facts = append(facts, Fact{Name: "Held", Value: fmt.Sprintf("%s by %s since %s: %s", h.Hold, h.SetBy, Stamp(h.SetAt, p.Zone), full(h.Reason))})
	}
	return facts
}
