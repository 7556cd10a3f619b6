package views

import (
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// Assign is the form that says by which release an insert is printed.
type Assign struct {
	Frame
	Insert   shop.Insert
	Design   shop.Design
	Releases []shop.Release // for its design and revision
	Now      time.Time
	Form     Form
}

// LeaveOut is the form that skips an optional operation.
type LeaveOut struct {
	Frame
	Insert    shop.Insert
	Design    shop.Design
	Operation string // "" where the next one cannot be left out
	Form      Form
}

// Action is where the form is posted.
func (p Assign) Action() string { return PageOf("insert", p.Insert.Insert) + "/release" }

// Options are the releases that may be chosen: those in force and signed by
// two people.
func (p Assign) Options() []Option {
	var o []Option
	for _, r := range p.Releases {
		if r.InForce(p.Now) && r.Signed(p.Now) {
			o = append(o, Option{Value: r.Release, Text: fmt.Sprintf("%s: lot %s on %s, %s", r.Release, r.LotWords(), r.Machine, r.Recipe)})
		}
	}
	return o
}

// Part is what the insert is, in words.
func (p Assign) Part() string { return partWords(p.Insert, p.Design) }

// Action is where the form is posted.
func (p LeaveOut) Action() string { return PageOf("insert", p.Insert.Insert) + "/leave-out" }

// Part is what the insert is, in words.
func (p LeaveOut) Part() string { return partWords(p.Insert, p.Design) }

func partWords(i shop.Insert, d shop.Design) string {
	return fmt.Sprintf("%s %s, revision %s", i.Design, d.Name, i.Revision)
}
