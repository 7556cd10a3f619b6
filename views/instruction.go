package views

import (
	"fmt"
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

func instructionSentence(e shop.InstructionReleased, zone *time.Location) string {
	return fmt.Sprintf("Instruction %s revision %s, %s, was approved for %s, in force from %s%s.", e.Instruction, e.Revision, e.Title, OperationName(e.Op), Stamp(e.From, zone), opt(": ", strings.TrimSuffix(e.Text, ".")))
}
