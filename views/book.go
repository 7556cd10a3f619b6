package views

import (
	"slices"
	"time"
)

// Book is the office's table of contents, and what the log says of itself.
type Book struct {
	Frame
	Site    string
	Zone    *time.Location
	Entries int64
	Sealed  Checkpoint
	May     []string // addresses of the forms that this person may fill in
}

// A Chapter is a part of the table of contents.
type Chapter struct {
	Title string
	Lines []ChapterLine
}

// A ChapterLine is a line of the table of contents: a list, what it holds, and the
// form that adds to it.
type ChapterLine struct {
	Href, Name, About string
	New, Does         string
}

// contents is the table of contents.
var contents = []Chapter{
	{"What is to be made", []ChapterLine{
		{"/orders", "Orders", "who wants what, for which mould, by when", "/new/order", "Take an order"},
		{"/floor", "Floor", "where every insert is and what comes next", "/new/insert", "Open a traveler"},
		{"/designs", "Designs", "parts, their sizes and what is measured on them", "/new/design", "Release a design"},
		{"/releases", "Releases", "by which oversize a design is printed", "/new/release", "Draft a release"},
	}},
	{"What it is made of and with", []ChapterLine{
		{"/lots", "Paste lots", "lots, their containers and what was made of them", "/new/lot", "Receive a lot"},
		{"/coupons", "Coupons", "bars that are measured instead of a part", "/new/coupon", "Record a coupon"},
		{"/loads", "Furnace loads", "what lay where in which run", "/new/load", "Begin a load"},
		{"/moulds", "Moulds", "what is fitted in them, and their delivery", "/new/mould", "Receive a mould"},
		{"/equipment", "Equipment", "what is due, the most urgent first", "/new/service", "Record work on it"},
		{"/machines", "Machines", "printers", "/new/machine", "Add a machine"},
		{"/furnaces", "Furnaces", "and the positions on their setters", "/new/furnace", "Add a furnace"},
		{"/recipes", "Recipes", "what furnaces and tempering ovens are set to", "/new/recipe", "Release a recipe"},
		{"/ovens", "Ovens", "for final drying and tempering", "/new/oven", "Add an oven"},
		{"/setters", "Setters", "and the runs behind each", "/new/setter", "Put one into use"},
		{"/carriers", "Carriers", "plates and trays that hold a green part's identity", "/new/carrier", "Put one into use"},
		{"/cutters", "Cutters", "and the time that each has cut", "/new/cutter", "Put one in"},
		{"/gauges", "Gauges", "the register", "/new/gauge", "Enter a gauge"},
	}},
	{"How the shop works", []ChapterLine{
		{"/routes", "Routes", "the operations of an insert in their order", "/new/route", "Make a route"},
		{"/instructions", "Work instructions", "how each operation is done, by revision", "/new/instruction", "Approve an instruction"},
		{"/limits", "Limits", "from which number on a page warns or an act asks", "", ""},
		{"/policies", "Policies", "how strictly each gate is kept", "", ""},
		{"/people", "People", "badges, roles and authorisations", "", ""},
		{"/paper", "Paper forms", "what was kept on paper while the service was down", "/new/outage", "Note an outage"},
		{"/labels", "Labels", "for everything that is scanned", "", ""},
		{"/stations", "Stations", "where records are made, and their tablets", "", ""},
		{"/permits", "Deviation permits", "what may depart from a requirement, and why", "/new/permit", "Permit a deviation"},
		{"/holds", "Holds and nonconformances", "what must not go on, and why", "", ""},
		{"/checkpoints", "Checkpoints", "signed notes that fix the log, for auditors to keep", "", ""},
	}},
}

// may reports whether the person may fill in the form of a line.
func (p Book) may(l ChapterLine) bool { return slices.Contains(p.May, l.New) }

// Facts are what the log says of itself.
func (p Book) Facts() []Fact {
	facts := []Fact{
		{Name: "Site", Value: p.Site}, {Name: "Time zone", Value: p.Zone.String()}, {Name: "Entries in the log", Value: Whole(int(p.Entries)), Figure: true},
	}
	if p.Sealed.Made() {
		return append(facts, Fact{Name: "Newest checkpoint covers", Value: entriesWord(p.Sealed.Size), Figure: true})
	}
	return append(facts, Fact{Name: "Newest checkpoint", Value: "none was signed yet"})
}
