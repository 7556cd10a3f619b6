package views

import (
	"maps"
	"net/url"
	"slices"
)

// A Scan is the box of a station that takes any scan.
type Scan struct {
	Action string // where the scan is posted
	Value  string // what was scanned, when it was not understood
	Wrong  string
	Hint   string     // what may be scanned next
	Form   string     // id of the form that goes with it, so that what was typed stays; "" where there is none
	Keep   url.Values // what was scanned so far, where there is no form
	Away   bool       // the cursor begins elsewhere
}

// kept lists what is sent along with the scan, in a steady order.
func (s Scan) kept() [][2]string {
	var all [][2]string
	for _, field := range slices.Sorted(maps.Keys(s.Keep)) {
		for _, v := range s.Keep[field] {
			all = append(all, [2]string{field, v})
		}
	}
	return all
}

// shortened is a long code, as the hash of a program, by its beginning.
func shortened(code string) string {
	if len(code) <= 24 {
		return code
	}
	return code[:12] + "…"
}

// A Heading opens a page: what this is.
type Heading struct {
	Code  string // the shop number, set large; "" for a page about no single thing
	Title string // in words, when there is no code
	Text  string // beside a code: what the thing is
	Soft  string // a quieter second line
}

// A Fact is one line of what is known about a thing.
type Fact struct {
	Name   string
	Value  string // "" says that it is not known
	Unit   string
	Href   string // where the value leads; "" nowhere
	Figure bool   // a number or a code
}

// Text is the value with its unit on one line.
func (f Fact) Text() string {
	if f.Value == "" {
		return "not known"
	}
	return WithUnit(f.Value, f.Unit)
}

// A Need is one line of what an act needs: there already, or still open.
type Need struct {
	Mark  string // done, open, stopped or todo
	Text  string
	Value string // the figure or word at the end of the line
	Href  string // where the text leads; "" nowhere
}

// A Pager leads through a long list. Prev and Next are "" at the ends.
type Pager struct {
	Prev  string
	Next  string
	From  int // the first one shown, counted from 1
	To    int
	Total int
	What  string // the plural: "inserts"
}

// Text says which part of the list is shown.
func (p Pager) Text() string {
	if p.Total == 0 {
		return "no " + p.What
	}
	return Whole(p.From) + "\u2013" + Whole(p.To) + " of " + Whole(p.Total) + " " + p.What
}

// spokenMark is a mark's word for those who listen.
func spokenMark(mark string) string {
	switch mark {
	case "done":
		return "done"
	case "stopped":
		return "stopped"
	case "todo":
		return "to come"
	default:
		return "still needed"
	}
}
