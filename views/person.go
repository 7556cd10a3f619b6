package views

import (
	"slices"
	"strconv"
	"time"

	"sinterbook/store/shop"
)

// People is the list of everyone who ever had a badge.
type People struct {
	Frame
	People []shop.Person
	Today  shop.Date
	New    bool
}

// PersonPage is one person, and the forms about them.
type PersonPage struct {
	Frame
	Person      shop.Person
	Zone        *time.Location
	Today       shop.Date
	Own         bool // the page of who is signed in
	Manages     bool // may change others
	HasPIN      bool
	HasPassword bool
	Wrong       int // wrong sign-ins of the last day
	WrongLast   time.Time

	Unread []shop.Instruction     // in force for what they may do today, and not read yet
	Reads  []shop.Acknowledgement // what they have read, the latest first

	Roles, Authorise, Keys, Erase Form
}

// hereWord says whether a badge is valid on a day.
func hereWord(p shop.Person, day shop.Date) (word, mark string) {
	switch {
	case day < p.From:
		return "from " + string(p.From), "todo"
	case p.Until != "" && p.Until < day:
		return "left", "stopped"
	}
	return "here", "done"
}

func hereSays(p shop.Person, day shop.Date) string {
	word, _ := hereWord(p, day)
	return word
}

func hereMark(p shop.Person, day shop.Date) string {
	_, mark := hereWord(p, day)
	return mark
}

// doesToday lists the operations that a person is authorised for on a day.
func doesToday(p shop.Person, day shop.Date) string {
	var names []string
	for _, o := range skillOptions() {
		if p.MayDo(o.Value, day) {
			names = append(names, OperationName(o.Value))
		}
	}
	if len(names) == 0 {
		return "nothing"
	}
	return shop.Listed(names)
}

// nameOr is a person's name, or what stands for it.
func nameOr(p shop.Person) string {
	if p.Name == "" {
		return "no name kept"
	}
	return p.Name
}

// Facts are what is known about the person.
func (p PersonPage) Facts() []Fact {
	until := string(p.Person.Until)
	if until == "" {
		until = "open"
	}
	return []Fact{
		{Name: "Roles", Value: p.Person.RoleWords()},
		{Name: "First day", Value: string(p.Person.From), Figure: true},
		{Name: "Last day", Value: until, Figure: until != "open"},
		{Name: "Scan code of the badge", Value: p.Person.Code.Grouped(), Figure: true},
		{Name: "PIN", Value: setWord(p.HasPIN)},
		{Name: "Password", Value: setWord(p.HasPassword)},
	}
}

func setWord(set bool) string {
	if set {
		return "set"
	}
	return "not set"
}

// WrongWords tells of wrong sign-ins; "" where there were none.
func (p PersonPage) WrongWords() string {
	if p.Wrong == 0 {
		return ""
	}
	tries := strconv.Itoa(p.Wrong) + " wrong sign-ins"
	if p.Wrong == 1 {
		tries = "One wrong sign-in"
	}
	return tries + " with this badge within a day, the last at " + Stamp(p.WrongLast, p.Zone) + "."
}

// roleTicks are the roles to tick.
func roleTicks(f Form) []Tick {
	var ticks []Tick
	for _, r := range shop.Roles {
		ticks = append(ticks, Tick{Form: f.Name, Name: "roles", Label: string(r), Value: string(r), Checked: slices.Contains(f.Values["roles"], string(r))})
	}
	return ticks
}

func (p PersonPage) keysTitle() string {
	if p.Own {
		return "Your PIN and password"
	}
	return "Name, PIN and password"
}

// old is the field that shows who sets their own keys.
func (p PersonPage) old() Field {
	return Field{Form: p.Keys.Name, Name: "old", Label: "Your present PIN or password", Type: "password", Autocomplete: "current-password", Wrong: p.Keys.Wrong["old"], Required: true}
}

// optional makes a field one that may stay empty.
func optional(f Field) Field {
	f.Required = false
	return f
}

// orOpen is a last day, or that there is none.
func orOpen(d shop.Date) string {
	if d == "" {
		return "open"
	}
	return string(d)
}
