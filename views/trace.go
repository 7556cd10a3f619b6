package views

import (
	"cmp"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// Trace is the page that says what went into a thing, which inserts it touched
// and where they are now.
type Trace struct {
	Frame
	Asked    url.Values        // as the address has it
	Wrong    map[string]string // field to sentence, where it could not be answered
	Answered bool
	Found    shop.Trace
	Known    bool   // it has a history of its own, and so a page
	Since    string // the test that the window begins at, "" for none
	Shared   []shop.Shared
	Paste    []Fact // of a lot: what became of its grams; nil for all else
	After    int
	Zone     *time.Location
	Contain  *Form // nil for those who may not hold them, or where nothing was found
}

// tracePage is how many inserts a page of a trace lists.
const tracePage = 200

// form is the question as it was typed.
func (p Trace) form() Form {
	values := url.Values{}
	for name, v := range p.Asked {
		values[name] = v
	}
	if !values.Has("window") {
		values.Set("window", "all")
	}
	return Form{Name: "trace", Values: values, Wrong: p.Wrong}
}

// windowOptions are the parts of a thing's history that can be asked for.
func windowOptions() []Option {
	return []Option{{Value: "all", Text: "all of it"}, {Value: "good", Text: "while it is in doubt by its checks and tests"}, {Value: "between", Text: "between two days"}}
}

// with is the address of this trace with something changed.
func (p Trace) with(path, name, value string) string {
	q := url.Values{}
	for n, v := range p.Asked {
		q[n] = v
	}
	q.Del("after")
	if name != "" {
		q.Set(name, value)
	}
	return path + "?" + q.Encode()
}

// Narrowed says in words to which part of the history the trace is narrowed.
func (p Trace) Narrowed() string {
	w := p.Found.Window
	var words []string
	if !w.From.IsZero() {
		words = append(words, "since "+Stamp(w.From, p.Zone)+opt(", ", p.Since))
	}
	if !w.Until.IsZero() {
		words = append(words, "before "+Stamp(w.Until, p.Zone))
	}
	if w.ToLayer > 0 {
		words = append(words, fmt.Sprintf("layers %d to %d", w.FromLayer, w.ToLayer))
	}
	return strings.Join(words, ", ")
}

// Named is what is traced: its kind and number.
func (p Trace) Named() string { return sentenceStart(p.Found.Kind) + " " + p.Found.Number }

// page is the address of the page about what is traced, "" where it has none.
func (p Trace) page() string {
	if href := PageOf(p.Found.Kind, p.Found.Number); p.Known && href != HistoryOf(p.Found.Kind, p.Found.Number) {
		return href
	}
	return ""
}

// Sums say where the inserts are: what was made is what is somewhere.
func (p Trace) Sums() []Fact {
	n := shop.Count(p.Found.Inserts)
	return []Fact{{Name: "Made", Value: Whole(n.Made), Figure: true}, {Name: "Delivered", Value: Whole(n.Delivered), Figure: true}, {Name: "In stock", Value: Whole(n.Stock), Figure: true},
		{Name: "In work", Value: Whole(n.Work), Figure: true}, {Name: "Scrapped", Value: Whole(n.Scrapped), Figure: true}}
}

// Sort puts the inserts in the order that is asked for.
func (p *Trace) Sort() {
	by := map[string]func(a shop.Affected) string{
		"part": func(a shop.Affected) string { return a.Part }, "status": func(a shop.Affected) string { return a.Status }, "where": func(a shop.Affected) string { return a.Place },
		"customer": func(a shop.Affected) string { return a.Customer }, "since": func(a shop.Affected) string { return a.Since },
		"touched": func(a shop.Affected) string { return a.First.UTC().Format(time.RFC3339) },
	}[p.Asked.Get("sort")]
	if by != nil {
		slices.SortStableFunc(p.Found.Inserts, func(a, b shop.Affected) int { return cmp.Or(cmp.Compare(by(a), by(b)), cmp.Compare(a.Code, b.Code)) })
	}
}

// A sortable is a column by which the inserts can be put in order.
type sortable struct{ Name, Href string }

func (p Trace) columns() []sortable {
	var all []sortable
	for _, c := range [][2]string{{"Insert", ""}, {"Part", "part"}, {"Status", "status"}, {"Where", "where"}, {"Since", "since"}, {"Held by", "-"}, {"Customer", "customer"}, {"Touched", "touched"}} {
		s := sortable{Name: c[0]}
		if c[1] != "-" && c[1] != p.Asked.Get("sort") {
			s.Href = p.with("/trace", "sort", c[1]) + "#inserts"
		}
		all = append(all, s)
	}
	return all
}

// Shown are the inserts of this page.
func (p Trace) Shown() []shop.Affected {
	from := min(max(0, p.After), len(p.Found.Inserts))
	return p.Found.Inserts[from : from+min(tracePage, len(p.Found.Inserts)-from)]
}

func (p Trace) pages() Pager {
	pages := Pager{From: p.After + 1, To: p.After + len(p.Shown()), Total: len(p.Found.Inserts), What: "inserts"}
	if p.After > 0 {
		pages.Prev = p.with("/trace", "after", strconv.Itoa(max(0, p.After-tracePage)))
	}
	if pages.To < pages.Total {
		pages.Next = p.with("/trace", "after", strconv.Itoa(pages.To))
	}
	return pages
}

// touchedWords say when an insert was touched.
func (p Trace) touchedWords(a shop.Affected) string {
	switch {
	case a.First.IsZero():
		return ""
	case a.First.In(p.Zone).Format(time.DateOnly) == a.Last.In(p.Zone).Format(time.DateOnly):
		return Stamp(a.First, p.Zone)
	}
	return a.First.In(p.Zone).Format(time.DateOnly) + " to " + a.Last.In(p.Zone).Format(time.DateOnly)
}

// shareWords say how much of an insert's paste it is, "" for all of it.
func shareWords(share float64) string {
	switch {
	case share >= 1:
		return ""
	case share > 0.99:
		return "over 99 % of its paste"
	case share < 0.01:
		return "under 1 % of its paste"
	}
	return strconv.FormatFloat(100*share, 'f', 0, 64) + " % of its paste"
}

// sinceWords are the day since which it is there.
func sinceWords(since string) string {
	day, _, _ := strings.Cut(since, "T")
	return day
}

// behind lists what went into the thing, in the order of the route.
func (p Trace) behind() Listing {
	return p.things("Behind "+p.Found.Number, "Nothing else is on record behind it.", p.Found.Upstream, "First")
}

// ahead lists what the thing went into besides inserts.
func (p Trace) ahead() Listing {
	return p.things("What "+p.Found.Number+" went into", "It went into nothing else.", p.Found.Into, "Since")
}

func (p Trace) things(name, empty string, all []shop.Touched, when string) Listing {
	l := Listing{Name: name, Empty: empty, Columns: columnsOf("Kind", "Number", when)}
	where := slices.ContainsFunc(all, func(t shop.Touched) bool { return t.Where != "" })
	if where {
		l.Columns = append(l.Columns, Column{Name: "Where"})
	}
	for _, t := range all {
		at := ""
		if !t.At.IsZero() {
			at = Stamp(t.At, p.Zone)
		}
		r := Row{Cells: []Item{words(t.Kind), {Text: t.Number, Href: TraceOf(t.Kind, t.Number), Code: true, Said: "Trace " + t.Kind + " " + t.Number}, code(at)}}
		if where {
			r.Cells = append(r.Cells, words(t.Where))
		}
		l.Rows = append(l.Rows, r)
	}
	return l
}

// sharing lists the inserts that share something with those found.
func (p Trace) sharing() Listing {
	l := Listing{Name: "What shares anything with them", Empty: "No other insert shares a release, lot, container or load with them.", Columns: columnsOf("Insert", "Part", "Status", "Where", "Held by", "Customer", "Shares")}
	for _, s := range p.Shared {
		var names []string
		for _, t := range s.Through {
			names = append(names, t.Kind+" "+t.Number)
		}
		l.Rows = append(l.Rows, Row{Stopped: len(s.HeldBy) > 0, Cells: []Item{{Text: s.Code, Href: TraceOf("insert", s.Code), Code: true}, code(s.Part), words(s.Status), words(s.Place), code(strings.Join(s.HeldBy, " ")), code(s.Customer), words(strings.Join(names, ", "))}})
	}
	return l
}

// TraceOf is the address of the trace of a thing.
func TraceOf(kind, number string) string {
	return "/trace?" + url.Values{"kind": {kind}, "q": {number}}.Encode()
}

// ways are the kinds of answers that can be taken along.
func (p Trace) ways() []Link {
	links := []Link{{Href: p.with("/trace.csv", "", ""), Text: "As CSV"}, {Href: p.with("/trace.json", "", ""), Text: "As JSON"}}
	if p.Asked.Get("shared") == "" {
		links = append(links, Link{Href: p.with("/trace", "shared", "1") + "#shared", Text: "Who shares a release, lot, container or load with these"})
	}
	if p.Found.Kind == "insert" {
		links = append(links, Link{Href: "/compare?b=" + url.QueryEscape(p.Found.Number), Text: "Compare it with the last good one"})
	}
	return links
}

// whichOptions say which of the inserts are held.
func (p Trace) whichOptions() []Option {
	return []Option{{Value: "all", Text: "all " + Whole(len(p.Found.Inserts)) + ", on every page"}, {Value: "ticked", Text: "only those ticked on this page"}}
}

// ticked reports whether an insert is ticked in the list.
func (p Trace) ticked(insert string) bool {
	return p.Contain.Has("inserts", insert)
}

// Compare is the page that sets two inserts beside each other.
type Compare struct {
	Frame
	A, B        string
	Good        bool // A was looked for: the last good one before B
	Wrong       map[string]string
	Differences []shop.Contrast
}

// ComparePage sets what is behind two inserts beside each other.
func ComparePage(p Compare) templ.Component { return comparePage(p) }

func (p Compare) field(name, label, value string) Field {
	return Field{Form: "compare", Name: name, Label: label, Value: value, Wrong: p.Wrong[name], Code: true, Required: name == "b"}
}

// listing has a row for each kind of thing, those that differ first.
func (p Compare) listing(alike bool) Listing {
	l := Listing{Name: "Alike in both", Empty: "Nothing.", Columns: columnsOf("Kind", p.A, p.B)}
	if !alike {
		l.Name = "Different, in the order of the route"
	}
	for _, d := range p.Differences {
		if d.Alike == alike {
			l.Rows = append(l.Rows, Row{Cells: []Item{words(d.Kind), words(cmp.Or(strings.Join(d.A, ", "), "none")), words(cmp.Or(strings.Join(d.B, ", "), "none"))}})
		}
	}
	return l
}

// Drills is the page of trace drills.
type Drills struct {
	Frame
	Drills []shop.Drill
	Zone   *time.Location
	Drill  *Form // nil for those who hold none
}

func (p Drills) listing() Listing {
	l := Listing{Name: "Trace drills", Empty: "None was held yet.", Columns: columnsOf("When", "Outcome", "Insert", "#Things behind it", "#Inserts that share with it", "#Took, ms", "Missing", "By")}
	for _, d := range p.Drills {
		outcome := stateItem("complete", "done")
		if len(d.Missing) > 0 {
			outcome = stateItem("not complete", "stopped")
		}
		l.Rows = append(l.Rows, Row{Stopped: len(d.Missing) > 0, Cells: []Item{code(Stamp(d.At, p.Zone)), outcome, {Text: d.Insert, Href: TraceOf("insert", d.Insert), Code: true}, code(Whole(d.Upstream)), code(Whole(d.Downstream)),
			code(strconv.FormatFloat(float64(d.Took)/1000, 'f', 1, 64)), words(cmp.Or(strings.Join(d.Missing, "; "), "nothing")), code(d.By)}})
	}
	return l
}
