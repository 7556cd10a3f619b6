package views

import (
	"time"

	"github.com/a-h/templ"

	"sinterbook/store/shop"
)

// A CareLine is waste or a weighing of a container.
type CareLine struct {
	Does string // weighed, wasted, scrapped, sent back or explained
	Mass shop.Reading
	Note string
	At   time.Time
	By   string
}

// what says what was done with the paste.
func (c CareLine) what() string {
	switch c.Does {
	case "weighed":
		return "weighed, left in it"
	case "wasted":
		return "thrown away"
	case "scrapped":
		return "scrapped with the container"
	case "sent back":
		return "sent back to the maker"
	}
	return "unexplained, looked into"
}

// CareList lists waste and weighings of a container.
func CareList(lines []CareLine, zone *time.Location) Listing {
	l := Listing{Name: "Waste and weighings", Empty: "Nothing was thrown away and it was never weighed.", Columns: columnsOf("At", "What", "#Mass", "By", "Remark")}
	for _, c := range lines {
		l.Rows = append(l.Rows, Row{Cells: []Item{code(Stamp(c.At, zone)), words(c.what()), words(c.Mass.String()), code(c.By), words(c.Note)}})
	}
	return l
}

// NewWastePage records paste that was thrown away.
func NewWastePage(p New, boxes []Option) templ.Component {
	f := p.Form
	return plain(p, Wording{"Record waste", "What sticks to tools, what has dried, what was not used. Dried paste is dust: keep it damp, and follow the paste's safety data sheet and the local code for its disposal.", "Record the waste", "/lots"},
		group(choice(f.Pick("container", "Container", boxes, true)), field(f.Figure("mass", "Mass thrown away", "g", true))), group(area(f.Words("why", "Why", true))), group(earlier(f)))
}

// NewContainerWeighingPage records what is left in a container.
func NewContainerWeighingPage(p New, boxes []Option) templ.Component {
	f := p.Form
	return plain(p, Wording{"Weigh a container", "What the balance says counts from then on; what the records say otherwise is unexplained.", "Record the weighing", "/lots"},
		group(choice(f.Pick("container", "Container", boxes, true)), field(f.Figure("left", "Left in it, without the container", "g", true))), group(area(f.Words("note", "Remark", false))), group(earlier(f)))
}

// NewContainerScrapPage takes a container out of use.
func NewContainerScrapPage(p New, boxes []Option) templ.Component {
	f := p.Form
	return plain(p, Wording{"Scrap a container", "Nothing is drawn from it any more. Follow the paste's safety data sheet and the local code for its disposal.", "Scrap it", "/lots"},
		group(choice(f.Pick("container", "Container", boxes, true)), field(f.Figure("mass", "Mass thrown away with it", "g", true).WithHint("0 where it was empty."))), group(area(f.Words("why", "Why", true))), group(earlier(f)))
}

// NewContainerReturnPage sends a container back to the maker of the paste.
func NewContainerReturnPage(p New, boxes []Option) templ.Component {
	f := p.Form
	return plain(p, Wording{"Send a container back to its maker", "Nothing is drawn from it any more. Weigh it first; how paste is packed and sent is in its safety data sheet and the carrier's rules.", "Record that it was sent back", "/lots"},
		group(choice(f.Pick("container", "Container", boxes, true)), field(f.Figure("mass", "Paste in it, without the container", "g", true)), field(f.CodeField("note", "Number of the note that goes with it", false))), group(area(f.Words("why", "Why", true))), group(earlier(f)))
}

// NewDifferencePage says what became of mass that is unexplained.
func NewDifferencePage(p New, boxes []Option) templ.Component {
	f := p.Form
	return plain(p, Wording{"Unexplained mass of a container", "Say what was found. The mass stays unexplained in the account; the flag is answered until a later weighing finds another one.", "Record what was found", "/lots"},
		group(choice(f.Pick("container", "Container", boxes, true))), group(area(f.Words("why", "What was found", true))), group(earlier(f)))
}
