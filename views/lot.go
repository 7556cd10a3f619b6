package views

import (
	"fmt"
	"strconv"
	"time"

	"sinterbook/store/shop"
)

// Lots is the list of paste lots.
type Lots struct {
	Frame
	Lots []shop.Lot
	Held map[string]string // lot to the hold on it
	Day  shop.Date         // today, in the shop's zone
	New  bool              // this person may receive one
}

// Lot is the page about one lot of paste.
type Lot struct {
	Frame
	Lot         shop.Lot
	Zone        *time.Location
	Now         time.Time
	Containers  []ContainerLine
	Releases    []shop.Release
	Made        []MadeLine
	MadeBefore  int // inserts on the pages before this one
	MadeTotal   int
	Further     string
	Holds       []shop.Hold
	Release     *Form // nil for those who may not release it, or once it is released
	NewBox      bool  // this person may receive containers
	FactorSheet FactorSheet
	Lines       []shop.CertificateLine
	Coupons     []shop.Coupon
}

// A ContainerLine is a container with its balance by the records.
type ContainerLine struct {
	shop.Container
	Drawn, Purged, Wasted, Unexplained float64 // g
	Held                               string
}

// A MadeLine is an insert that has paste of the lot in it.
type MadeLine struct {
	Insert, Design string
	Status, Place  string
	Since          time.Time
	Grams          float64
}

// Container is the page about one container of paste.
type Container struct {
	Frame
	Line  ContainerLine
	Lot   shop.Lot
	Zone  *time.Location
	Now   time.Time
	Draws []ContainerDraw
	Holds []shop.Hold
	Open  *Form // nil once it is open, or for those who may not
	Care  Listing
	Acts  []Link
}

// A ContainerDraw is paste taken out of it.
type ContainerDraw struct {
	DrawRecord
	Insert string
	Reason string // why the record was replaced, "" while it stands
}

// LotState says in a word whether a lot may be printed on a day.
func LotState(l shop.Lot, held string, day shop.Date) (word, mark string) {
	switch {
	case held != "":
		return "held", "stopped"
	case !l.InDate(day):
		return "expired", "stopped"
	case !l.Released():
		return "on test", "todo"
	}
	return "released", "done"
}

func lotWord(l shop.Lot, held string, day shop.Date) string {
	word, _ := LotState(l, held, day)
	return word
}

func lotMark(l shop.Lot, held string, day shop.Date) string {
	_, mark := LotState(l, held, day)
	return mark
}

// Expiry says how long a lot may still be used.
func Expiry(l shop.Lot, day shop.Date) string {
	last, errLast := time.Parse(time.DateOnly, string(l.ExpiresOn))
	today, errToday := time.Parse(time.DateOnly, string(day))
	if errLast != nil || errToday != nil {
		return notKnown
	}
	switch left := int(last.Sub(today) / (24 * time.Hour)); {
	case left < 0:
		return "expired " + days(-left) + " ago"
	case left == 0:
		return "today is the last day"
	default:
		return days(left) + " left"
	}
}

// OpenLife says how much of a container's open life remains.
func (c ContainerLine) OpenLife(l shop.Lot, now time.Time) string {
	until := c.OpenUntil(l)
	switch {
	case !c.Scrapped.IsZero():
		return "over"
	case until.IsZero():
		return "sealed, " + days(l.OpenLifeDays) + " once opened"
	case now.After(until):
		return "over since " + Lasted(now.Sub(until))
	}
	return Lasted(until.Sub(now)) + " left"
}

// State says in a word whether a container may be used.
func (c ContainerLine) State(l shop.Lot, now time.Time, zone *time.Location) (word, mark string) {
	switch {
	case c.Held != "":
		return "held", "stopped"
	case !c.Scrapped.IsZero():
		return "scrapped", "past"
	case !l.InDate(shop.DayOf(now, zone)):
		return "expired", "stopped"
	case c.Opened.IsZero():
		return "sealed", "todo"
	case now.After(c.OpenUntil(l)):
		return "open too long", "stopped"
	case c.Left < 0.05:
		return "empty", "todo"
	}
	return "open", "done"
}

func (p Lot) word(c ContainerLine) string {
	word, _ := c.State(p.Lot, p.Now, p.Zone)
	return word
}

func (p Lot) mark(c ContainerLine) string {
	_, mark := c.State(p.Lot, p.Now, p.Zone)
	return mark
}

// Held is the number of a hold on the lot itself.
func (p Lot) Held() string { return standingIn(p.Holds) }

func standingIn(holds []shop.Hold) string {
	for _, h := range holds {
		if h.LiftedAt.IsZero() {
			return h.Hold
		}
	}
	return ""
}

// Day is today in the shop's zone.
func (p Lot) Day() shop.Date { return shop.DayOf(p.Now, p.Zone) }

// Facts are what is known of the lot.
func (p Lot) Facts() []Fact {
	l := p.Lot
	released := Fact{Name: "Released", Value: "not yet: it may not be printed"}
	if l.Released() {
		released = Fact{Name: "Released", Value: l.ReleasedBy + " " + Stamp(l.ReleasedAt, p.Zone), Figure: true}
	}
	return []Fact{
		{Name: "Material", Value: l.Material}, {Name: "Mixed", Value: string(l.MadeOn), Figure: true},
		{Name: "Last day of use", Value: string(l.ExpiresOn), Figure: true}, {Name: "Shelf life", Value: Expiry(l, p.Day())},
		{Name: "Open life", Value: days(l.OpenLifeDays)}, {Name: "Drying loss", Value: dryingBand(l)}, {Name: "Maker's certificate", Value: l.Certificate, Figure: l.Certificate != ""},
		{Name: "Maker's article", Value: l.Article, Figure: l.Article != ""}, {Name: "Received", Value: Stamp(l.Received, p.Zone), Figure: true}, released,
		{Name: "Scan code", Value: l.Code.Grouped(), Figure: true},
	}
}

// dryingBand is the drying loss that is accepted of a lot.
func dryingBand(l shop.Lot) string {
	if !l.DryingLow.Taken() && !l.DryingHigh.Taken() {
		return "no band"
	}
	return shown(l.DryingLow) + " to " + shown(l.DryingHigh)
}

// Balance sums the containers: in, drawn, purged and left by the records, g.
func (p Lot) Balance() ContainerLine {
	var sum ContainerLine
	for _, c := range p.Containers {
		sum.In += c.In
		sum.Drawn += c.Drawn
		sum.Purged += c.Purged
		sum.Wasted += c.Wasted
		sum.Unexplained += c.Unexplained
		sum.Left += c.Left
	}
	return sum
}

// LotHref is a lot's page with the inserts after the one with an id.
func LotHref(lot string, after int64) string {
	return PageOf("lot", lot) + "?after=" + strconv.FormatInt(after, 10)
}

// MadePages leads through the inserts of the lot.
func (p Lot) MadePages() Pager {
	pages := Pager{Next: p.Further, From: p.MadeBefore + 1, To: p.MadeBefore + len(p.Made), Total: p.MadeTotal, What: "inserts"}
	if p.MadeBefore > 0 {
		pages.Prev = PageOf("lot", p.Lot.Lot)
	}
	return pages
}

// ReleaseState says how a release stands.
func ReleaseState(r shop.Release, at time.Time) (word, mark string) {
	switch {
	case r.SupersededBy == r.Release:
		return "withdrawn", "todo"
	case !r.InForce(at):
		return "superseded by " + r.SupersededBy, "todo"
	case !r.Signed(at):
		return "waits for a signature", "open"
	}
	return "in force", "done"
}

func releaseWord(r shop.Release, at time.Time) string {
	word, _ := ReleaseState(r, at)
	return word
}

func releaseMark(r shop.Release, at time.Time) string {
	_, mark := ReleaseState(r, at)
	return mark
}

// Words say in short what a container is.
func (p Container) Words() string {
	return fmt.Sprintf("Container of lot %s, %s", p.Lot.Lot, p.Lot.Material)
}

func (p Container) word() string {
	word, _ := p.Line.State(p.Lot, p.Now, p.Zone)
	return word
}

func (p Container) mark() string {
	_, mark := p.Line.State(p.Lot, p.Now, p.Zone)
	return mark
}

// Facts are what is known of the container.
func (p Container) Facts() []Fact {
	c := p.Line
	opened := Fact{Name: "Opened", Value: "not yet"}
	if !c.Opened.IsZero() {
		opened = Fact{Name: "Opened", Value: Stamp(c.Opened, p.Zone), Figure: true}
	}
	return []Fact{
		{Name: "Lot", Value: c.Lot, Href: PageOf("lot", c.Lot), Figure: true},
		{Name: "Received with", Value: Grams(c.In), Unit: "g", Figure: true}, {Name: "Drawn", Value: Grams(c.Drawn), Unit: "g", Figure: true},
		{Name: "Purged", Value: Grams(c.Purged), Unit: "g", Figure: true}, {Name: "Thrown away", Value: Grams(c.Wasted), Unit: "g", Figure: true},
		{Name: "Left", Value: Grams(c.Left), Unit: "g", Figure: true}, {Name: "Unexplained", Value: Grams(c.Unexplained), Unit: "g", Figure: true},
		{Name: "Maker's article", Value: c.Article, Figure: c.Article != ""}, {Name: "Maker's serial number", Value: c.Serial, Figure: c.Serial != ""},
		opened, {Name: "Open life", Value: c.OpenLife(p.Lot, p.Now)}, {Name: "Shelf life", Value: Expiry(p.Lot, shop.DayOf(p.Now, p.Zone))},
		{Name: "Scan code", Value: c.Code.Grouped(), Figure: true},
	}
}

// Moment makes a field for a date and time of the shop.
func (f Form) Moment(name, label string) Field {
	field := f.Text(name, label, true)
	field.Type = "datetime-local"
	return field
}

// Earlier is the field for the time of something that was first kept on paper.
func (f Form) Earlier() Field {
	field := f.Text("at", "When it happened", false)
	field.Type, field.Hint = "datetime-local", "Leave it empty for now."
	return field
}
