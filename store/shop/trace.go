package shop

import (
	"math"
	"slices"
	"time"
)

// A Whereabout is where an insert is and how it stands, for other programs:
// its status in the shop's words, and one that was inspected and is held or does
// not conform in quarantine.
type Whereabout struct {
	Code      string   `json:"code"`
	Part      string   `json:"part"`
	Status    string   `json:"status"`
	Operation string   `json:"operation"` // that is under way or comes next, "" at the end
	Place     string   `json:"place"`
	Since     string   `json:"since"` // RFC 3339, in the shop's zone
	HeldBy    []string `json:"held_by"`
	Mould     string   `json:"mould"`
	Customer  string   `json:"customer"`
	InStock   bool     `json:"-"` // its status says inspected, as the shop does
}

// A Window narrows a trace to what a thing touched in it.
type Window struct {
	From, Until        time.Time // from then on, and before then; zero for open
	FromLayer, ToLayer int       // of the print; 0 for all
}

// A Touched is a thing that belongs to the history of what is traced, or what
// that went into.
type Touched struct {
	Kind   string
	Number string
	At     time.Time // when it first had to do with it; zero where that has no time
	Where  string    // of what it went into: where that is now
}

// An Affected is an insert that the traced thing touched, and where it is now.
type Affected struct {
	Whereabout
	First time.Time // when it was touched first
	Last  time.Time // and last, in the window
	Share float64   // of the paste in it, by layers; 1 where it is not about paste
}

// A Trace is everything that a thing touched, upstream and downstream.
type Trace struct {
	Kind     string
	Number   string
	Window   Window
	Upstream []Touched  // what it was made of, with and by, in the order of the route
	Inserts  []Affected // that it touched, by number; none for an insert
	Into     []Touched  // coupons and containers of it, moulds and customers that it went to
}

// A TraceAnswer is a trace for other programs.
type TraceAnswer struct {
	Code       string       `json:"code"`
	Kind       string       `json:"kind"`
	Upstream   []TraceThing `json:"upstream"`
	Downstream []TracePart  `json:"downstream"`
}

// A TraceThing names a thing upstream.
type TraceThing struct {
	Kind string `json:"kind"`
	Code string `json:"code"`
}

// A TracePart is what the traced thing went into, where that is now, and the
// share that it has in it: of the paste, by layers; 1 for all else.
type TracePart struct {
	Kind  string  `json:"kind"`
	Code  string  `json:"code"`
	Where string  `json:"where"`
	Share float64 `json:"share"`
}

// Answer is the trace for other programs: inserts first, then what else it went
// into.
func (t Trace) Answer() TraceAnswer {
	a := TraceAnswer{Code: t.Number, Kind: t.Kind, Upstream: []TraceThing{}, Downstream: []TracePart{}}
	for _, v := range t.Upstream {
		a.Upstream = append(a.Upstream, TraceThing{v.Kind, v.Number})
	}
	for _, i := range t.Inserts {
		a.Downstream = append(a.Downstream, TracePart{"insert", i.Code, i.Place, math.Round(i.Share*1e6) / 1e6})
	}
	for _, v := range t.Into {
		a.Downstream = append(a.Downstream, TracePart{v.Kind, v.Number, v.Where, 1})
	}
	return a
}

// Counts are how many of some inserts are where: made = delivered + in stock +
// in work + scrapped.
type Counts struct{ Made, Delivered, Stock, Work, Scrapped int }

// Count says where inserts are.
func Count(all []Affected) Counts {
	c := Counts{Made: len(all)}
	for _, a := range all {
		switch {
		case a.Status == StatusDelivered:
			c.Delivered++
		case a.Status == StatusScrapped:
			c.Scrapped++
		case a.InStock:
			c.Stock++
		default:
			c.Work++
		}
	}
	return c
}

// A Shared is an insert that has something in common with those that are
// traced: what, as kind and number.
type Shared struct {
	Whereabout
	Through []Touched
}

// A Contrast is one kind of thing in the histories of two inserts.
type Contrast struct {
	Kind  string
	A, B  []string // numbers of that kind, in the order of the history
	Alike bool
}

// Numbers are the things of a kind in a trace.
func (t Trace) Numbers(kind string) []string {
	var all []string
	for _, v := range append(slices.Clone(t.Upstream), t.Into...) {
		if v.Kind == kind {
			all = append(all, v.Number)
		}
	}
	return all
}
