package views

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"sinterbook/store/calc/paste"
	"sinterbook/store/shop"
)

// A ContainerLine is a container with its balance by the records.
type ContainerLine struct {
	shop.Container
	Drawn, Purged, Wasted, SentBack, Unexplained float64 // g
	Held                                         string
	Over                                         bool       // more is unexplained than the shop lets pass
	Limit                                        shop.Limit // by which that is judged
	Answer                                       string     // what was found about it, "" while nobody looked
}

// OpenLife says how much of a container's open life remains.
func (c ContainerLine) OpenLife(l shop.Lot, now time.Time) string {
	until := c.OpenUntil(l)
	switch {
	case !c.Gone().IsZero():
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
	case !c.Returned.IsZero():
		return "sent back", "past"
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

// Usable reports whether paste may be drawn from it, or could be once opened.
func (c ContainerLine) Usable(l shop.Lot, now time.Time, zone *time.Location) bool {
	word, _ := c.State(l, now, zone)
	return word == "sealed" || word == "open"
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
		if c.Usable(p.Lot, p.Now, p.Zone) {
			usable = append(usable, c)
		}
	}
	return Makes(p.Takings, usable, fullest(p.Containers))
}

// life says in the heading how long the container may be used.
func (p Container) life() string {
	said := p.Line.OpenLife(p.Lot, p.Now)
	if p.Line.Opened.IsZero() && p.Line.Gone().IsZero() {
		return said
	}
	return "open life " + said
}

// makes lists how far the paste of the container goes.
func (p Container) makes() Listing {
	var usable []ContainerLine
	if p.Line.Usable(p.Lot, p.Now, p.Zone) {
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
	if p.Expected.Whole <= 0 {
		return "How much it should take is not known: its volume or the density of the paste is missing."
	}
	return "All layers should take about " + Grams(p.Expected.Whole) + noBreak + "g by the volume of the part, without chips and purge."
}

// A LotStock is what a lot's line in the list says of its paste.
type LotStock struct {
	Left    float64  // g
	Flagged []string // containers of which too much is unexplained
}

// words say whether the lot's paste adds up.
func (s LotStock) words() string {
	switch len(s.Flagged) {
	case 0:
		return "adds up"
	case 1:
		return s.Flagged[0] + " over the limit"
	}
	return Whole(len(s.Flagged)) + " containers over the limit"
}

func (s LotStock) mark() string {
	if len(s.Flagged) == 0 {
		return "done"
	}
	return "stopped"
}

// An OpenBox is an open container on the floor, or one whose mass does not add
// up.
type OpenBox struct {
	ContainerLine
	Lot shop.Lot
}

// until is when its paste may not be used any more: the end of its open life or
// of the lot's shelf life, whichever comes first.
func (b OpenBox) until(zone *time.Location) time.Time {
	end := b.OpenUntil(b.Lot)
	if last, err := time.ParseInLocation(time.DateOnly, string(b.Lot.ExpiresOn), zone); err == nil && last.AddDate(0, 0, 1).Before(end) {
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
func OpenLines(boxes []OpenBox, now time.Time, zone *time.Location) []OpenLine {
	boxes = slices.Clone(boxes)
	slices.SortStableFunc(boxes, func(a, b OpenBox) int { return a.until(zone).Compare(b.until(zone)) })
	var flagged, open []OpenLine
	for _, b := range boxes {
		number := b.Container.Container
		if b.Flagged() {
			flagged = append(flagged, OpenLine{number, "stopped", b.flagSentence() + " " + b.limitWords()})
		}
		if word, mark := b.State(b.Lot, now, zone); b.Gone().IsZero() && !b.Opened.IsZero() {
			open = append(open, OpenLine{number, mark, b.openWords(word, now, zone)})
		}
	}
	return append(flagged, open...)
}

// openWords say what is left in an open container and for how long.
func (b OpenBox) openWords(word string, now time.Time, zone *time.Location) string {
	left := Grams(b.Left) + noBreak + "g left, "
	switch {
	case word == "open too long":
		return left + "open life " + b.OpenLife(b.Lot, now)
	case word != "open":
		return left + word
	}
	return left + b.openLeft(now, zone)
}

// OpenWords say of a container that was scanned what is left in it and how long
// it may be used.
func OpenWords(c ContainerLine, l shop.Lot, now time.Time, zone *time.Location) string {
	word, _ := c.State(l, now, zone)
	said := Grams(c.Left) + noBreak + "g left, "
	switch word {
	case "sealed":
		return said + "sealed: record its opening first"
	case "open":
		return said + "open, " + OpenBox{c, l}.openLeft(now, zone)
	}
	return said + word
}

func (b OpenBox) openLeft(now time.Time, zone *time.Location) string {
	return Lasted(b.until(zone).Sub(now)) + " to use it"
}

// Account is the page that says what became of all the paste of a lot, or of
// one container.
type Account struct {
	Frame
	Lot        shop.Lot
	Container  string // "" for the whole lot
	Zone       *time.Location
	At         time.Time
	Name       string // of who drew it up, "" where the name was erased
	Entries    int64
	Lines      []AccountLine
	In, Sum    float64 // g
	Containers []ContainerLine
	Inserts    []AccountDraw
	Coupons    []shop.Coupon
	Events     []AccountEvent
}

// An AccountLine is a part of what came in.
type AccountLine struct {
	What  string
	Grams float64
	Count int
	Of    string
}

// counted is how many things a line is about.
func (l AccountLine) counted() string {
	if l.Of == "" {
		return ""
	}
	of := l.Of
	if l.Count == 1 {
		of = of[:len(of)-1]
	}
	return Whole(l.Count) + " " + of
}

// An AccountDraw is paste drawn for an insert, and where that is now.
type AccountDraw struct {
	DrawRecord
	Insert, Part  string
	Status, Place string
	HeldBy        []string
}

// An AccountEvent is paste that was thrown away or sent back, or a weighing.
type AccountEvent struct {
	Container string
	CareLine
}

// AccountOf is the address of the account of a lot, or of a container of it.
func AccountOf(lot, container string) string {
	to := PageOf("lot", lot) + "/account"
	if container != "" {
		to += "?container=" + queryOf(container)
	}
	return to
}

// accountOf is the address of the account of what is traced or contained, "" for
// what is no paste.
func accountOf(kind, number string) string {
	switch kind {
	case "lot":
		return AccountOf(number, "")
	case "container":
		lot, _, _ := strings.Cut(number, "/")
		return AccountOf(lot, number)
	}
	return ""
}

// About is what the account is of.
func (p Account) About() string { return cmp.Or(p.Container, p.Lot.Lot) }

func (p Account) kind() string {
	if p.Container != "" {
		return "Account of the paste of a container of lot " + p.Lot.Lot
	}
	return "Account of the paste of a lot"
}

// closes says whether the parts add up to what came in.
func (p Account) closes() bool { return fmt.Sprintf("%.3f", p.In) == fmt.Sprintf("%.3f", p.Sum) }

// drawnUp says when, by whom and on what it was drawn up.
func (p Account) drawnUp() string {
	who := "badge " + p.Person
	if p.Name != "" {
		who = p.Name + ", " + who
	}
	return fmt.Sprintf("Drawn up %s by %s, on %s of the log.", Stamp(p.At, p.Zone), who, entriesWord(p.Entries))
}

// over are the containers that are over the limit, looked into or not.
func (p Account) over() []ContainerLine {
	return slices.DeleteFunc(slices.Clone(p.Containers), func(c ContainerLine) bool { return !c.Over })
}

// flagged reports whether a container of it is over the limit.
func (p Account) flagged() bool { return slices.ContainsFunc(p.Containers, ContainerLine.Flagged) }

func (p Account) word(c ContainerLine) string {
	word, _ := c.State(p.Lot, p.At, p.Zone)
	return word
}

func (p Account) mark(c ContainerLine) string {
	_, mark := c.State(p.Lot, p.At, p.Zone)
	return mark
}

// printHref is the address of the account as it prints.
func (p Account) printHref() string {
	if p.Container != "" {
		return AccountOf(p.Lot.Lot, p.Container) + "&print=1"
	}
	return AccountOf(p.Lot.Lot, "") + "?print=1"
}

// where says where an insert is now.
func (d AccountDraw) where() string {
	at := d.Status
	if d.Place != "" && d.Place != "scrap" {
		at += ", " + d.Place
	}
	for _, h := range d.HeldBy {
		at += ", held " + h
	}
	return at
}

func (p Account) inserts() Listing {
	l := Listing{Name: "Drawn for inserts", Empty: "Nothing was drawn for an insert.", Columns: columnsOf("Insert", "Part", "Container", "#Layers", "#Drawn, g", "#Purged, g", "Drawn", "Where it is now")}
	for _, d := range p.Inserts {
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink("insert", d.Insert), code(d.Part), thingLink("container", d.DrawRecord.Container), words(span(d.FromLayer, d.ToLayer)), words(Grams(d.Drawn.Value())), words(Grams(d.Purged.Value())), code(d.At.In(p.Zone).Format(time.DateOnly)), words(d.where())}})
	}
	return l
}

// drawnForCoupons lists coupons with the paste that they took, and where each is
// now.
func drawnForCoupons(coupons []shop.Coupon, zone *time.Location) Listing {
	l := Listing{Name: "Drawn for coupons", Empty: "No coupon was made of it.", Columns: columnsOf("Coupon", "For", "Container", "#Drawn, g", "#Purged, g", "Made", "Where it is now")}
	for _, c := range coupons {
		at := "not fired yet"
		switch {
		case c.Out:
			at = "out of load " + c.Load
		case c.Load != "":
			at = "in load " + c.Load + " at " + c.Position
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink("coupon", c.Coupon), words(c.For), thingLink("container", c.Container), words(Grams(c.Drawn.Value())), words(Grams(c.Purged.Value())), code(c.MadeAt.In(zone).Format(time.DateOnly)), words(at)}})
	}
	return l
}

func (p Account) events() Listing {
	l := Listing{Name: "Thrown away, sent back, weighed", Empty: "Nothing was thrown away or sent back, and nothing was weighed.", Columns: columnsOf("Container", "What", "#Mass", "On", "By", "Remark")}
	for _, e := range p.Events {
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink("container", e.Container), words(e.what()), words(e.Mass.String()), code(e.At.In(p.Zone).Format(time.DateOnly)), code(e.By), words(e.Note)}})
	}
	return l
}
