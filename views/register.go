package views

import "github.com/a-h/templ"

// A Register is the page that lists one kind of the shop's things.
type Register struct {
	Frame
	Title string
	Soft  string
	Sheet string
	Care  string // a caution below the list, "" for none
	Lists []Link // other lists that belong to it
	Add   []Link // forms that this person may fill in
	Listing
}

// A Listing is a table of things.
type Listing struct {
	Name    string // spoken
	Worded  bool   // its lines begin with words, not with a number
	Empty   string // said where there is none
	Columns []Column
	Rows    []Row
}

// A Column is one of a Listing; figures are right aligned.
type Column struct {
	Name string
	Num  bool
	Off  bool // on paper it is left out: it only leads somewhere
}

// A Row is a line of a Listing.
type Row struct {
	Stopped bool // something stands in the way of its use
	Past    bool // it is not used any more
	Cells   []Item
}

// An Item is a cell of a Listing: words, a code, a link, or a state with its
// mark.
type Item struct {
	Text string
	Href string
	Mark string
	Said string // what a screen reader says for the link
	Code bool
}

// historyColumn heads the column that leads to the history of each thing.
const historyColumn = "Records"

// columnsOf makes columns out of their names; "#" before one says figures.
func columnsOf(names ...string) []Column {
	var all []Column
	for _, n := range names {
		c := Column{Name: n, Off: n == historyColumn}
		if n[0] == '#' {
			c = Column{Name: n[1:], Num: true}
		}
		all = append(all, c)
	}
	return all
}

func words(text string) Item { return Item{Text: text} }
func code(text string) Item  { return Item{Text: text, Code: true} }

// thingLink leads to the page about a thing.
func thingLink(kind, number string) Item {
	return Item{Text: number, Href: PageOf(kind, number), Code: true}
}

// historyItem leads to the history of a thing.
func historyItem(kind, number string) Item {
	return Item{Text: "History", Href: HistoryOf(kind, number), Said: "History of " + kind + " " + number}
}

func stateItem(word, mark string) Item { return Item{Text: word, Mark: mark} }

// A Wording is what the form for a new thing says.
type Wording struct {
	Title, Intro, Does string
	Back               string // address of the list that it belongs to
}

// plain makes the page of a form out of groups of fields.
func plain(p New, w Wording, groups ...[]templ.Component) templ.Component {
	return plainThing(p, w, groups)
}

// group is fields that stand beside each other.
func group(fields ...templ.Component) []templ.Component { return fields }
