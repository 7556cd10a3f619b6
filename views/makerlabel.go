package views

import (
	"fmt"
	"strings"

	"sinterbook/store/shop"
)

// A LabelBox is where a form for something that was delivered takes the scan of
// the supplier's label.
type LabelBox struct {
	Form   Form
	Does   string            // what the form's own button says
	Read   []shop.MakerLabel // what was read and goes with the form, a scan after the other
	Likely *shop.MakerLabel  // what waits for a person to compare it with the label
	Notes  []string          // what does not agree with the book, in whole sentences
}

// scanField is the box itself.
func (b LabelBox) scanField() Field {
	f := b.Form.CodeField("scan", "Scan the supplier's label", false)
	f.Hint = "It fills in what the label says and records nothing: that is for “" + b.Does + "”."
	return f
}

// labelFacts are what a label says, each with the identifier it stood under.
func labelFacts(l shop.MakerLabel) []Fact {
	var facts []Fact
	for _, f := range l.Fields() {
		facts = append(facts, Fact{Name: strings.ToUpper(f.What[:1]) + f.What[1:] + " (" + strings.Trim(f.From, "()") + ")", Value: f.Text, Figure: true})
	}
	return facts
}

// said are the sentences that stand below what was read.
func (b LabelBox) said() []string {
	all := b.Notes
	for _, l := range b.Read {
		all = append(all, l.Doubts...)
	}
	return all
}

// leaveOut is the button that takes back what was read.
func (b LabelBox) leaveOut() string {
	if len(b.Read) == 1 {
		return "Leave the label out"
	}
	return fmt.Sprintf("Leave all %d labels out", len(b.Read))
}
