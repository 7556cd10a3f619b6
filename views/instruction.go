package views

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Instructions are all instructions, or every revision of one.
type Instructions struct {
	Frame
	Number string // "" on the page of all
	All    []shop.Instruction
	Zone   *time.Location
	At     time.Time
	New    bool // the visitor may approve one

	Readers []Reader               // of the newest revision: those authorised today first
	Earlier []shop.Acknowledgement // of the revisions before it
	Read    *Form                  // for the visitor to say that they have read the newest; nil once they have
}

// stateOf says whether a revision is in force now.
func (p Instructions) stateOf(i shop.Instruction) (word, mark string) {
	switch in, ok := shop.InstructionAt(p.All, i.Operation, p.At); {
	case i.From.After(p.At):
		return "not yet", "todo"
	case ok && in.Seq == i.Seq:
		return "in force", "done"
	}
	return "replaced", "left"
}

// Newest is the last revision of one instruction.
func (p Instructions) Newest() shop.Instruction { return p.All[len(p.All)-1] }

// A Reading is a revision that is to be read before an act.
type Reading struct {
	shop.Instruction
	Was     string // what it took the place of, "" for the first
	Zone    *time.Location
	Command string // id of the acknowledgement, made with the page
	To      string // page to go on with; "" where the form was sent and is to come back
}

// Action is where it is said that it was read: by itself, or with the form that
// comes back.
func (f Form) readAction() string {
	if f.Reading.To != "" {
		return ReadOf(f.Reading.Instruction)
	}
	return f.Action
}

// ReadOf is the address at which a revision is acknowledged.
func ReadOf(i shop.Instruction) string { return PageOf("instruction", i.Instruction) + "/read" }

// carried are the values of a form that go along while an instruction is read;
// never a secret, and not what belongs to the reading itself.
func (f Form) carried() []Option {
	var all []Option
	for _, name := range slices.Sorted(maps.Keys(f.Values)) {
		if slices.Contains([]string{"command", "seen", "pin", "instruction_read", "instruction_revision", "instruction_command"}, name) {
			continue
		}
		for _, v := range f.Values[name] {
			all = append(all, Option{Value: name, Text: v})
		}
	}
	return all
}

// readAside says what comes after the button.
func (f Form) readAside() string {
	if f.Reading.To == "" {
		return "what you typed comes back after it"
	}
	return "it is noted with your badge, once"
}

// Facts say since when the revision is in force, and by whom.
func (p Reading) Facts() []Fact {
	was := p.Was
	if was == "" {
		was = "nothing, it is the first"
	}
	return []Fact{{Name: "In force since", Value: Stamp(p.From, p.Zone), Figure: true},
		{Name: "Takes the place of", Value: was, Figure: p.Was != ""}, {Name: "Approved by", Value: p.ApprovedBy, Figure: true}}
}

// A Reader is somebody who has read a revision, or has still to read it.
type Reader struct {
	Badge   string
	Name    string
	At      time.Time // zero while it was not read
	Station string
	Needs   bool // authorised for the operation today
}

func (r Reader) word() string {
	if r.At.IsZero() {
		return "not yet"
	}
	return "read"
}

func (r Reader) mark() string {
	if r.At.IsZero() {
		return "todo"
	}
	return "done"
}

// where is where it was read.
func (r Reader) where() string {
	if r.Station == "" && !r.At.IsZero() {
		return "office"
	}
	return r.Station
}

// Missing counts those who have still to read it.
func (p Instructions) Missing() string {
	n := 0
	for _, r := range p.Readers {
		if r.At.IsZero() {
			n++
		}
	}
	switch {
	case len(p.Readers) == 0:
		return "Nobody is authorised for its operation today, and nobody has read it."
	case n == 0:
		return "Everyone who is authorised for its operation today has read it."
	}
	return fmt.Sprintf("Not read yet by %d of %d.", n, len(p.Readers))
}

func instructionSentence(e shop.InstructionReleased, zone *time.Location) string {
	return fmt.Sprintf("Instruction %s revision %s, %s, was approved for %s, in force from %s%s.", e.Instruction, e.Revision, e.Title, OperationName(e.Op), Stamp(e.From, zone), opt(": ", strings.TrimSuffix(e.Text, ".")))
}
