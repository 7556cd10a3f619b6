package views

import (
	"slices"
	"time"

	"sinterbook/store/calc/paste"
	"sinterbook/store/shop"
)

// A ContainerLine is a container of a lot with its balance by the records.
type ContainerLine struct {
	shop.Container
	Of                                           shop.Lot
	Drawn, Purged, Wasted, SentBack, Unexplained float64    // g
	Held                                         string     // number of a hold on it
	LotHeld                                      string     // number of a hold on its lot
	Over                                         bool       // more is unexplained than the shop lets pass
	Limit                                        shop.Limit // by which that is judged
	Answer                                       string     // what was found about it, "" while nobody looked
}

// OpenLife says how much of a container's open life remains.
func (c ContainerLine) OpenLife(now time.Time) string {
	until := c.OpenUntil(c.Of)
	switch {
	case !c.Gone().IsZero():
		return "over"
	case until.IsZero():
		return days(c.Of.OpenLifeDays) + " once opened"
	case now.After(until):
		return "over since " + Lasted(now.Sub(until))
	}
	return Lasted(until.Sub(now)) + " left"
}

// State says in a word whether a container may be used. Of a lot on test only
// coupons and first inserts are printed.
func (c ContainerLine) State(now time.Time, zone *time.Location) (word, mark string) {
	switch {
	case c.Held != "":
		return "held", "stopped"
	case !c.Returned.IsZero():
		return "sent back", "past"
	case !c.Scrapped.IsZero():
		return "scrapped", "past"
	case c.LotHeld != "":
		return "lot held", "stopped"
	case !c.Of.InDate(shop.DayOf(now, zone)):
		return "expired", "stopped"
	case c.Opened.IsZero():
		return "sealed", "todo"
	case now.After(c.OpenUntil(c.Of)):
		return "open too long", "stopped"
	case c.Left < 0.05:
		return "empty", "todo"
	case !c.Of.Released():
		return "lot on test", "todo"
	}
	return "open", "done"
}

// Usable reports whether paste may be drawn from it, or could be once opened.
func (c ContainerLine) Usable(now time.Time, zone *time.Location) bool {
	word, _ := c.State(now, zone)
	return word == "sealed" || word == "open" || word == "lot on test"
}

// flag says that its account does not add up, or what was found about it; no
// word where it does.
func (c ContainerLine) flag() (word, mark string) {
	switch {
	case !c.Over:
		return "", ""
	case c.Answer != "":
		return "looked into", "done"
	}
	return "over the limit", "stopped"
}

// flagSentence says by how much it does not add up.
func (c ContainerLine) flagSentence() string {
	switch {
	case c.Left < 0:
		return "More was taken out than was in it: " + Grams(c.Left) + noBreak + "g are left by the records."
	case c.Unexplained < 0:
		return Grams(-c.Unexplained) + noBreak + "g too much, unexplained."
	}
	return Grams(c.Unexplained) + noBreak + "g missing, unexplained."
}

func (c ContainerLine) flagWord() string { word, _ := c.flag(); return word }
func (c ContainerLine) flagMark() string { _, mark := c.flag(); return mark }

// Flagged reports whether somebody has to look into its mass.
func (c ContainerLine) Flagged() bool { return c.flagMark() == "stopped" }

// limitWords say by which limit its mass is judged.
func (c ContainerLine) limitWords() string {
	return "The limit was " + c.Limit.Words() + "."
}

// account is the sentence that the masses of a container make.
func (c ContainerLine) account() []Fact {
	return []Fact{
		{Name: "Received with", Value: Grams(c.In), Unit: "g", Figure: true}, {Name: "Drawn", Value: Grams(c.Drawn), Unit: "g", Figure: true},
		{Name: "Purged", Value: Grams(c.Purged), Unit: "g", Figure: true}, {Name: "Thrown away", Value: Grams(c.Wasted), Unit: "g", Figure: true},
		{Name: "Sent back", Value: Grams(c.SentBack), Unit: "g", Figure: true}, {Name: "Left", Value: Grams(c.Left), Unit: "g", Figure: true},
		{Name: "Unexplained", Value: Grams(c.Unexplained), Unit: "g", Figure: true},
	}
}

// A Taking is the paste that an insert of a design takes.
type Taking struct {
	Design, Name string
	Grams        float64 // 0 where nobody knows
	ByVolume     bool    // from the volume of the part; else the mean of what was drawn
	Inserts      int     // that the mean is of
}

// each is the mass for one insert.
func (t Taking) each() string {
	if t.Grams <= 0 {
		return notKnown
	}
	return Grams(t.Grams)
}

// source says where the mass for one insert comes from.
func (t Taking) source() string {
	switch {
	case t.Grams <= 0:
		return "neither volume and wet density nor a whole print"
	case t.ByVolume:
		return "volume, oversize and wet density; without chips and purge"
	case t.Inserts == 1:
		return "1 insert, drawn and purged"
	}
	return "mean of the last " + Whole(t.Inserts) + " inserts, drawn and purged"
}

// fits is how many inserts can be made whole of a mass; "not known" where
// nobody knows what one takes.
func (t Taking) fits(left float64) string {
	n, err := paste.InsertsLeft(max(left, 0), t.Grams)
	if err != nil {
		return notKnown
	}
	return Whole(n)
}

// Makes lists how many inserts of each design containers have paste for: each
// is made whole out of one container, so that containers are counted one by
// one. full is what came in the fullest.
func Makes(takings []Taking, usable []ContainerLine, full float64) Listing {
	l := Listing{Name: "How many inserts the paste is enough for", Empty: "No release in force prints this lot: how far its paste goes is not known.", Columns: columnsOf("Design", "#One takes, g", "Taken from", "#A full container", "#What is left")}
	for _, t := range takings {
		enough, known := 0, t.Grams > 0
		for _, c := range usable {
			if n, err := paste.InsertsLeft(max(c.Left, 0), t.Grams); err == nil {
				enough += n
			}
		}
		left := notKnown
		if known {
			left = Whole(enough)
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{{Text: t.Design, Href: DesignHref(t.Design, ""), Code: true}, words(t.each()), words(t.source()), words(t.fits(full)), words(left)}})
	}
	return l
}

// fullest is what came in the fullest of some containers, g.
func fullest(lines []ContainerLine) float64 {
	most := 0.0
	for _, c := range lines {
		most = max(most, c.In)
	}
	return most
}

// makes lists how far the paste of the lot goes.
func (p Lot) makes() Listing {
	var usable []ContainerLine
	for _, c := range p.Containers {
		if c.Usable(p.Now, p.Zone) {
			usable = append(usable, c)
		}
	}
	return Makes(p.Takings, usable, fullest(p.Containers))
}

// life says in the heading how long the container may be used.
func (p Container) life() string {
	said := p.Line.OpenLife(p.Now)
	if p.Line.Opened.IsZero() && p.Line.Gone().IsZero() {
		return "sealed, " + said
	}
	return "open life " + said
}

// makes lists how far the paste of the container goes.
func (p Container) makes() Listing {
	var usable []ContainerLine
	if p.Line.Usable(p.Now, p.Zone) {
		usable = append(usable, p.Line)
	}
	return Makes(p.Takings, usable, p.Line.In)
}

// sentBack reports whether a container of the lot was sent back.
func (p Lot) sentBack() bool { return p.Balance().SentBack != 0 }

// Balance sums the containers by the records, g.
func (p Lot) Balance() ContainerLine {
	var sum ContainerLine
	for _, c := range p.Containers {
		sum.In += c.In
		sum.Drawn += c.Drawn
		sum.Purged += c.Purged
		sum.Wasted += c.Wasted
		sum.SentBack += c.SentBack
		sum.Unexplained += c.Unexplained
		sum.Left += c.Left
	}
	return sum
}

// heightShare is the share of a lot in the height of an insert.
func heightShare(share float64) string { return Number(100*share, 0) + noBreak + "%" }

// orNotKnown is a reading, or that nobody knows it.
func orNotKnown(r shop.Reading) string {
	if !r.Taken() {
		return notKnown
	}
	return r.String()
}

// takes says how much paste the whole print should take.
func (p Work) takes() string {
	if said := p.Expected.Words(p.Insert.Design); said != "" {
		return said
	}
	return "How much it should take is not known: the volume of the part or the density of the paste is missing, and too few of its design were printed."
}

// A LotStock is what a lot's line in the list says of its paste.
type LotStock struct {
	Left       float64 // g
	Containers int
	Begun      int      // of these opened, or gone
	Checked    int      // of those weighed since, or gone: else nothing can have been found missing
	Flagged    []string // of which too much is unexplained
}

// Add counts a container of the lot in.
func (s *LotStock) Add(c ContainerLine) {
	s.Left += c.Left
	s.Containers++
	gone := !c.Gone().IsZero()
	if gone || !c.Opened.IsZero() {
		s.Begun++
		if gone || !c.Weighed.IsZero() {
			s.Checked++
		}
	}
	if c.Flagged() {
		s.Flagged = append(s.Flagged, c.Container.Container)
	}
}

// words say whether the lot's paste adds up.
func (s LotStock) words() string {
	switch {
	case len(s.Flagged) == 1:
		return s.Flagged[0] + " over the limit"
	case len(s.Flagged) > 1:
		return Whole(len(s.Flagged)) + " containers over the limit"
	case s.Containers == 0:
		return "no container yet"
	case s.Begun == 0:
		return "sealed"
	case s.Checked == 0:
		return "not weighed yet"
	case s.Checked < s.Begun:
		return "adds up, " + Whole(s.Checked) + " of " + Whole(s.Begun) + " weighed"
	}
	return "adds up"
}

func (s LotStock) mark() string {
	switch {
	case len(s.Flagged) > 0:
		return "stopped"
	case s.Checked == 0:
		return "todo"
	}
	return "done"
}

// until is when its paste may not be used any more: the end of its open life or
// of the lot's shelf life, whichever comes first.
func (c ContainerLine) until(zone *time.Location) time.Time {
	end := c.OpenUntil(c.Of)
	if last, err := time.ParseInLocation(time.DateOnly, string(c.Of.ExpiresOn), zone); err == nil && last.AddDate(0, 0, 1).Before(end) {
		return last.AddDate(0, 0, 1)
	}
	return end
}

// An OpenLine is what the floor says of a container.
type OpenLine struct {
	Container, Mark, Words string
}

// OpenLines lists what the floor says of containers: first those that do not
// add up, then those that are open, what runs out first before the others.
func OpenLines(boxes []ContainerLine, now time.Time, zone *time.Location) []OpenLine {
	boxes = slices.Clone(boxes)
	slices.SortStableFunc(boxes, func(a, b ContainerLine) int { return a.until(zone).Compare(b.until(zone)) })
	var flagged, open []OpenLine
	for _, b := range boxes {
		number := b.Container.Container
		if b.Flagged() {
			flagged = append(flagged, OpenLine{number, "stopped", b.flagSentence() + " " + b.limitWords()})
		}
		if word, mark := b.State(now, zone); b.Gone().IsZero() && !b.Opened.IsZero() {
			open = append(open, OpenLine{number, mark, b.openWords(word, now, zone)})
		}
	}
	return append(flagged, open...)
}

// openWords say what is left in an open container and for how long.
func (c ContainerLine) openWords(word string, now time.Time, zone *time.Location) string {
	left := Grams(c.Left) + noBreak + "g left, "
	switch {
	case word == "open too long":
		return left + "open life " + c.OpenLife(now)
	case word != "open":
		return left + word
	}
	return left + c.openLeft(now, zone)
}

// OpenWords say of a container that was scanned what is left in it and how long
// it may be used.
func OpenWords(c ContainerLine, now time.Time, zone *time.Location) string {
	word, _ := c.State(now, zone)
	said := Grams(c.Left) + noBreak + "g left, "
	switch word {
	case "sealed":
		return said + "sealed: record its opening first"
	case "open":
		return said + "open, " + c.openLeft(now, zone)
	}
	return said + word
}

func (c ContainerLine) openLeft(now time.Time, zone *time.Location) string {
	return Lasted(c.until(zone).Sub(now)) + " to use it"
}
