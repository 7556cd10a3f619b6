package views

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"sinterbook/store/shop"
)

// Loads is the list of furnace loads.
type Loads struct {
	Frame
	Loads []shop.Load
	Held  map[string]string // load to the hold on it
	Zone  *time.Location
	Now   time.Time
	New   bool // this person may begin one
}

// NewLoad is the form that begins a load.
type NewLoad struct {
	Frame
	Form     Form
	Furnaces []shop.Furnace
	Recipes  []shop.Recipe
	Now      time.Time
}

// Load is the page about one furnace load.
type Load struct {
	Frame
	Scan    Scan
	Load    shop.Load
	Furnace shop.Furnace
	Zone    *time.Location
	Now     time.Time
	Chosen  string            // position to be filled next, "" when none is
	Stopped map[string]string // insert to the hold that stops it
	Holds   []shop.Hold       // on the load and its furnace

	Place  *Form           // nil for those who may not build the load, or once it is closed
	Sure   *Asked          // the insert that was typed, not scanned: is it this one?
	Out    map[string]Form // insert to the form that takes it out again
	Close  *Form
	Unload *Form

	Tests  []shop.FurnaceTest // safety tests before this run, oldest first
	Tested bool               // this person may record one
	Lays   bool               // this person may lay a coupon in

	Refused *Form // an act that was refused and has no place on the page any more
}

// Asked is a thing that was named by its number and not by its scan code.
type Asked struct {
	Insert string
	Words  string
}

// LoadState says in a word how far a load is.
func LoadState(l shop.Load, held string) (word, mark string) {
	switch {
	case held != "":
		return "held", "stopped"
	case !l.Opened.IsZero():
		return l.State(), "done"
	}
	return l.State(), "open"
}

func loadWord(l shop.Load, held string) string {
	word, _ := LoadState(l, held)
	return word
}

func loadMark(l shop.Load, held string) string {
	_, mark := LoadState(l, held)
	return mark
}

// when is a moment in the shop's zone, "" while it has not come.
func when(t time.Time, zone *time.Location) string {
	if t.IsZero() {
		return ""
	}
	return Stamp(t, zone)
}

// loadNumber is the label of the number that a load gets.
const loadNumber = "Load number"

// FurnaceOptions name the furnaces that may be loaded.
func FurnaceOptions(furnaces []shop.Furnace) []Option {
	var o []Option
	for _, f := range furnaces {
		o = append(o, Option{Value: f.Furnace, Text: f.Furnace + ", " + placesWord(places(f))})
	}
	return o
}

func places(f shop.Furnace) int {
	n := 0
	for _, p := range f.Positions {
		if p.Use == "insert" {
			n++
		}
	}
	return n
}

func placesWord(n int) string {
	if n == 1 {
		return "1 place"
	}
	return Whole(n) + " places"
}

// Picture is the furnace with what lies at each place.
func (p Load) Picture() SetterPicture {
	picture := SetterPicture{Name: "Load " + p.Load.Load}
	for _, pos := range p.Furnace.Positions {
		i := slices.IndexFunc(picture.Zones, func(z SetterZone) bool { return z.Name == pos.Zone })
		if i < 0 {
			picture.Zones = append(picture.Zones, SetterZone{Name: pos.Zone})
			i = len(picture.Zones) - 1
		}
		picture.Zones[i].Positions = append(picture.Zones[i].Positions, p.position(pos))
	}
	return picture
}

func (p Load) position(pos shop.Position) SetterPosition {
	place := SetterPosition{Code: pos.Position, Holds: p.Load.At(pos.Position)}
	coupons := 0
	for _, c := range p.Load.Coupons {
		if c.Position == pos.Position {
			coupons++
		}
	}
	switch {
	case coupons > 0:
		place.Holds, place.State = couponsWord(coupons), "coupon"
	case pos.Use == "coupon":
		place.State = "coupon"
	case place.Holds != "":
		place.Href = PageOf("insert", place.Holds)
		if p.Stopped[place.Holds] != "" {
			place.State = "stopped"
		}
	case p.Place != nil:
		place.Href = PageOf("load", p.Load.Load) + "?place=" + pathOf(pos.Position) + "#f-place-insert"
		if pos.Position == p.Chosen {
			place.State = "here"
		}
	}
	return place
}

// FreePlaces are the places at which nothing lies yet, for a choice. An insert
// that lies in the load is moved by laying it at another one.
func (p Load) FreePlaces() []Option {
	var o []Option
	for _, pos := range p.Furnace.Positions {
		if pos.Use == "insert" && p.Load.At(pos.Position) == "" {
			o = append(o, Option{Value: pos.Position, Text: pos.Position + opt(", ", pos.Zone)})
		}
	}
	return o
}

// everyPlace are all places for inserts, for a choice.
func (p Load) everyPlace() []Option {
	var o []Option
	for _, pos := range p.Furnace.Positions {
		if pos.Use == "insert" {
			o = append(o, Option{Value: pos.Position, Text: pos.Position + opt(", ", pos.Zone)})
		}
	}
	return o
}

// FirstFree is the first free place, "" in a full furnace.
func FirstFree(l shop.Load, f shop.Furnace) string {
	for _, pos := range f.Positions {
		if pos.Use == "insert" && l.At(pos.Position) == "" {
			return pos.Position
		}
	}
	return ""
}

// Summary says what the load is, in a line.
func (p Load) Summary() string {
	return fmt.Sprintf("%s in furnace %s, recipe %s", insertsWord(len(p.Load.Items)), p.Load.Furnace, p.Load.Recipe)
}

// Facts are what was recorded of the load.
func (p Load) Facts() []Fact {
	l := p.Load
	facts := []Fact{
		{Name: "Furnace", Value: l.Furnace, Href: PageOf("furnace", l.Furnace), Figure: true}, {Name: "Recipe", Value: l.Recipe, Figure: true},
		{Name: "Laid in", Value: fmt.Sprintf("%d of %s", len(l.Items), placesWord(places(p.Furnace)))},
	}
	if l.Closed.IsZero() {
		facts = append(facts, Fact{Name: "Door", Value: "open"})
	} else {
		facts = append(facts, Fact{Name: "Door closed", Value: l.ClosedBy + " " + Stamp(l.Closed, p.Zone), Figure: true})
	}
	if !l.Opened.IsZero() {
		facts = append(facts, Fact{Name: "Unloaded", Value: l.OpenedBy + " " + Stamp(l.Opened, p.Zone), Figure: true}, Fact{Name: "In the furnace", Value: Took(l.Closed, l.Opened)})
	} else if !l.Closed.IsZero() {
		facts = append(facts, Fact{Name: "In the furnace for", Value: Lasted(p.Now.Sub(l.Closed))})
	}
	return append(facts, Fact{Name: "Scan code", Value: l.Code.Grouped(), Figure: true})
}

// Held is the number of a hold on the load or its furnace.
func (p Load) Held() string { return standingIn(p.Holds) }

// Items are what lies in the load, by place.
func (p Load) Items() []shop.LoadItem {
	place := func(it shop.LoadItem) int {
		return slices.IndexFunc(p.Furnace.Positions, func(pos shop.Position) bool { return pos.Position == it.Position })
	}
	return slices.SortedFunc(slices.Values(p.Load.Items), func(a, b shop.LoadItem) int { return place(a) - place(b) })
}

// outWord says whether an insert was scanned out.
func (p Load) outWord(it shop.LoadItem) string {
	if it.Out {
		return "scanned out"
	}
	return p.Load.State()
}

func (p Load) outMark(it shop.LoadItem) string {
	switch {
	case p.Stopped[it.Insert] != "":
		return "stopped"
	case it.Out:
		return "done"
	}
	return "open"
}

// scan is the box for places, inserts and cards.
func (p Load) scan() Scan {
	s := p.Scan
	s.Hint = p.scanHint()
	return s
}

func (p Load) scanHint() string {
	switch {
	case p.Place != nil:
		return "place, insert, then RECORD; START when the door is closed"
	case p.Unload != nil:
		return "each insert that comes out, then FINISH"
	}
	return "badge, traveler, load"
}

// placeInsert is the field in which the insert is scanned.
func placeInsert(f Form) Field {
	return f.CodeField("insert", "Insert", true)
}

// unloadScans is where the serials are scanned one after the other.
func unloadScans(f Form) Area {
	a := f.Words("scans", "All that came out", false)
	a.Hint = "One scan code or serial number to a line."
	return a
}

// TestList lists the safety tests before the run.
func (p Load) TestList() Listing {
	l := Listing{Name: "Safety tests", Empty: "None is on record for this run.", Columns: columnsOf("Test", "Verdict", "By, at")}
	for _, t := range p.Tests {
		l.Rows = append(l.Rows, Row{Stopped: t.Verdict != "pass", Cells: []Item{words(t.Test), stateItem(t.Verdict, verdictMark(t.Verdict)), code(t.By + " " + Stamp(t.At, p.Zone))}})
	}
	return l
}

func couponsWord(n int) string {
	if n == 1 {
		return "1 coupon"
	}
	return strconv.Itoa(n) + " coupons"
}
