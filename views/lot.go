package views

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Lots is the list of paste lots.
type Lots struct {
	Frame
	Lots  []shop.Lot
	Stock map[string]LotStock // by lot
	Held  map[string]string   // lot to the hold on it
	Day   shop.Date           // today, in the shop's zone
	Now   time.Time
	Known []shop.Factor // of all lots, all that were ever in force
	New   bool          // this person may receive one
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
	Fit         LotFit
	Qualifying  shop.Qualifying // how far it has come
	PlanLacks   []string        // what the plan leaves open
	Qualify     []Link
	FactorSheet FactorSheet
	Lines       []shop.CertificateLine
	Certify     []Link
	Filings     Filings
	Documents   []shop.Document // photos and papers on it
	Coupons     []shop.Coupon
	Takings     []Taking     // what inserts take of it
	WetDensity  shop.Reading // typed at receiving, or of the certificate
}

// A MadeLine is an insert that has paste of the lot in it.
type MadeLine struct {
	Insert, Design string
	Status, Place  string
	Since          time.Time
	Grams          float64
	Share          float64 // of the lot in its height
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

	Coupons []shop.Coupon // of its paste
	Takings []Taking      // what inserts take of it
	Explain bool          // this person may say what was found about its mass
}

// A ContainerDraw is paste taken out of it.
type ContainerDraw struct {
	DrawRecord
	Insert string
	Reason string // why the record was replaced, "" while it stands
}

func lotMark(l shop.Lot, held string, day shop.Date) string {
	switch l.State(held, day) {
	case shop.LotReleasedWord:
		return "done"
	case shop.LotOnTest:
		return "todo"
	}
	return "stopped"
}

// factorsOf are the factors of a lot that are in force, in X, Y and Z.
func (p Lots) factorsOf(lot string) string {
	var k []string
	for _, axis := range shop.Axes {
		if f, ok := shop.FactorAt(p.Known, lot, axis, p.Now); ok {
			k = append(k, f.K.Text)
		} else {
			k = append(k, "–")
		}
	}
	if strings.Join(k, "") == "–––" {
		return "none"
	}
	return strings.Join(k, " ")
}

// Expiry says how long a lot may still be used.
func Expiry(l shop.Lot, day shop.Date) string {
	if !l.ExpiresOn.Valid() || !day.Valid() {
		return notKnown
	}
	switch left := day.DaysTo(l.ExpiresOn); {
	case left < 0:
		return "expired " + days(-left) + " ago"
	case left == 0:
		return "today is the last day"
	default:
		return days(left) + " left"
	}
}

func (p Lot) word(c ContainerLine) string {
	word, _ := c.State(p.Now, p.Zone)
	return word
}

func (p Lot) mark(c ContainerLine) string {
	_, mark := c.State(p.Now, p.Zone)
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
	released := Fact{Name: "Released", Value: "not yet: " + p.untilReleased()}
	if l.Released() {
		released = Fact{Name: "Released", Value: l.ReleasedBy + " " + Stamp(l.ReleasedAt, p.Zone), Figure: true}
	}
	return []Fact{
		{Name: "Material", Value: l.Material}, {Name: "Mixed", Value: string(l.MadeOn), Figure: true},
		{Name: "Last day of use", Value: string(l.ExpiresOn), Figure: true}, {Name: "Shelf life", Value: Expiry(l, p.Day())},
		{Name: "Open life", Value: days(l.OpenLifeDays)}, {Name: "Drying loss", Value: dryingBand(l)}, {Name: "Wet density", Value: orNotKnown(p.WetDensity)}, {Name: "Maker's certificate", Value: l.Certificate, Figure: l.Certificate != ""},
		{Name: "Supplier", Value: cmp.Or(l.Supplier, notKnown)},
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
	word, _ := p.Line.State(p.Now, p.Zone)
	return word
}

func (p Container) mark() string {
	_, mark := p.Line.State(p.Now, p.Zone)
	return mark
}

// Facts are what is known of the container.
func (p Container) Facts() []Fact {
	c := p.Line
	opened := Fact{Name: "Opened", Value: "not yet"}
	if !c.Opened.IsZero() {
		opened = Fact{Name: "Opened", Value: Stamp(c.Opened, p.Zone), Figure: true}
	}
	facts := append([]Fact{{Name: "Lot", Value: c.Lot, Href: PageOf("lot", c.Lot), Figure: true}}, c.account()...)
	return append(facts,
		Fact{Name: "Maker's article", Value: c.Article, Figure: c.Article != ""}, Fact{Name: "Maker's serial number", Value: c.Serial, Figure: c.Serial != ""},
		opened, Fact{Name: "Open life", Value: c.OpenLife(p.Now)}, Fact{Name: "Shelf life", Value: Expiry(p.Lot, shop.DayOf(p.Now, p.Zone))},
		Fact{Name: "Scan code", Value: c.Code.Grouped(), Figure: true})
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
