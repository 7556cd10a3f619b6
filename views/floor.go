package views

import (
	"net/url"
	"slices"
	"strconv"
	"time"

	"sinterbook/store/shop"
)

// Floor is the board: where every open insert is, how long it has been there,
// and what blocks it.
type Floor struct {
	Frame
	Lines   []FloorLine
	Counts  []Count // open inserts by status, in the order of work
	Ready   []Ready // what could go into a furnace together
	Paste   []OpenLine
	Next    string // operation by which the list is filtered, "" for all
	Total   int
	Before  int // lines on the pages before this one
	Prev    string
	Further string
}

// A FloorLine is where one insert is.
type FloorLine struct {
	Insert, Design, Name string
	Order, Customer      string
	Due                  string // as written on the order
	Late                 int    // days past due, 0 in time
	Status, Place        string
	Since                string // when that began
	Stays                string // how long ago, in words
	Next                 string // operation that comes next
	Begun                bool
	Held                 string // number of the hold that stops it
	Open                 string // number of a nonconformance that waits for a decision
}

// A Count is how many open inserts stand at a status.
type Count struct {
	Status string
	Count  int
}

// Ready are the dried inserts that ask for one recipe: a load's worth.
type Ready struct {
	Recipe string
	Lines  []FloorLine
}

// At says since when and until when, worded in the shop's zone.
func (l FloorLine) At(since, now time.Time, due shop.Date, zone *time.Location) FloorLine {
	l.Since, l.Stays = Stamp(since, zone), Lasted(now.Sub(since))
	l.Due, l.Late = string(due), DaysLate(due, now, zone)
	return l
}

// NextWords are the next operation and how far it is.
func (l FloorLine) NextWords() string {
	switch {
	case l.Next == "":
		return "none"
	case l.Begun:
		return OperationName(l.Next) + ", under way"
	}
	return OperationName(l.Next)
}

// workOrder is the order in which an insert meets its statuses.
var workOrder = []string{shop.StatusOpened, shop.StatusPrinting, shop.StatusPrinted, shop.StatusDrying, shop.StatusDried, shop.StatusLoaded, shop.StatusSintering,
	shop.StatusSintered, shop.StatusTempering, shop.StatusTempered, shop.StatusInspected, shop.StatusFitted}

// InOrder sorts counts as work passes through them.
func InOrder(counts []Count) []Count {
	slices.SortFunc(counts, func(a, b Count) int {
		return slices.Index(workOrder, a.Status) - slices.Index(workOrder, b.Status)
	})
	return counts
}

// All counts every open insert.
func (p Floor) All() int {
	n := 0
	for _, c := range p.Counts {
		n += c.Count
	}
	return n
}

// Summary is the board in a sentence.
func (p Floor) Summary() string { return insertsWord(p.All()) + " on the floor" }

// Title says which part of the floor is listed.
func (p Floor) Title() string {
	if p.Next == "" {
		return "Where everything is"
	}
	return "What comes to " + OperationName(p.Next) + " next"
}

// Filters lead to the floor of one operation.
func (p Floor) Filters() []Link {
	links := []Link{{Href: "/floor", Text: "All", Here: p.Next == ""}}
	for _, op := range shop.Operations {
		links = append(links, Link{Href: FloorHref(op, 0), Text: OperationName(op), Here: p.Next == op})
	}
	return links
}

// FloorHref is the floor from a place on.
func FloorHref(next string, after int64) string {
	q := url.Values{}
	if next != "" {
		q.Set("next", next)
	}
	if after > 0 {
		q.Set("after", strconv.FormatInt(after, 10))
	}
	if len(q) == 0 {
		return "/floor"
	}
	return "/floor?" + q.Encode()
}

// Pages leads through the list.
func (p Floor) Pages() Pager {
	return Pager{Prev: p.Prev, Next: p.Further, From: min(p.Before+1, p.Total), To: p.Before + len(p.Lines), Total: p.Total, What: "inserts"}
}

// Words head a group of inserts that could share a load.
func (r Ready) Words() string { return r.Recipe + ": " + insertsWord(len(r.Lines)) }

func insertsWord(n int) string {
	if n == 1 {
		return "1 insert"
	}
	return Whole(n) + " inserts"
}

// Words say how many holds stand and how many decisions are due.
func (p Holds) Words() string {
	word := holdsWord(len(p.Standing))
	switch n := len(p.Open); n {
	case 0:
		return word
	case 1:
		return word + ", 1 piece waits for a decision"
	default:
		return word + ", " + Whole(n) + " pieces wait for a decision"
	}
}

func holdsWord(n int) string {
	switch n {
	case 0:
		return "no hold stands"
	case 1:
		return "1 hold stands"
	}
	return Whole(n) + " holds stand"
}
