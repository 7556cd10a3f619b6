package views

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

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

// grams writes a mass of the account: all of them to as many decimals as the
// finest needs, so that whoever adds them up on paper comes to the same sum.
func (p Account) grams(g float64) string { return Number(g, p.places()) }

// places are from 1 to 3: a scale for paste reads milligrams at the finest.
func (p Account) places() int {
	masses := []float64{p.In, p.Sum}
	for _, l := range p.Lines {
		masses = append(masses, l.Grams)
	}
	for _, d := range p.Inserts {
		masses = append(masses, d.Drawn.Value(), d.Purged.Value())
	}
	for _, c := range p.Coupons {
		masses = append(masses, c.Drawn.Value(), c.Purged.Value())
	}
	places := 1
	for _, g := range masses {
		for places < 3 && math.Abs(g-math.Round(g*math.Pow10(places))/math.Pow10(places)) > 0.0002 {
			places++
		}
	}
	return places
}

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
	word, _ := c.State(p.At, p.Zone)
	return word
}

func (p Account) mark(c ContainerLine) string {
	_, mark := c.State(p.At, p.Zone)
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
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink("insert", d.Insert), code(d.Part), thingLink("container", d.DrawRecord.Container), words(span(d.FromLayer, d.ToLayer)), words(p.grams(d.Drawn.Value())), words(p.grams(d.Purged.Value())), code(d.At.In(p.Zone).Format(time.DateOnly)), words(d.where())}})
	}
	return l
}

// drawnForCoupons lists coupons with the paste that they took, and where each is
// now.
func (p Account) drawnForCoupons() Listing {
	l := Listing{Name: "Drawn for coupons", Empty: "No coupon was made of it.", Columns: columnsOf("Coupon", "For", "Container", "#Drawn, g", "#Purged, g", "Made", "Where it is now")}
	for _, c := range p.Coupons {
		at := "not fired yet"
		switch {
		case c.Out:
			at = "out of load " + c.Load
		case c.Load != "":
			at = "in load " + c.Load + " at " + c.Position
		}
		l.Rows = append(l.Rows, Row{Cells: []Item{thingLink("coupon", c.Coupon), words(c.For), thingLink("container", c.Container), words(p.grams(c.Drawn.Value())), words(p.grams(c.Purged.Value())), code(c.MadeAt.In(p.Zone).Format(time.DateOnly)), words(at)}})
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
