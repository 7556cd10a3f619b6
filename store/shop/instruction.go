package shop

import (
	"fmt"
	"slices"
	"time"
)

// An Instruction is one revision of how an operation is done.
type Instruction struct {
	Seq         int64
	Instruction string // as WI-20
	Revision    string
	Operation   string
	Title       string
	Text        string // the steps in words; "" where they are kept elsewhere
	From        time.Time
	ApprovedBy  string
}

// Name is the instruction with its revision, as it is noted with every act.
func (i Instruction) Name() string { return i.Instruction + " " + i.Revision }

// InstructionAt is the instruction for an operation that was in force at a
// time: of those that had begun, the one that began last. ok is false where
// there was none.
func InstructionAt(all []Instruction, operation string, at time.Time) (in Instruction, ok bool) {
	for _, i := range all {
		if i.Operation == operation && !i.From.After(at) && (!ok || !i.From.Before(in.From)) {
			in, ok = i, true
		}
	}
	return in, ok
}

// Replaced is the instruction that was in force for the same operation until
// a revision took its place; ok is false where there was none.
func (i Instruction) Replaced(all []Instruction) (was Instruction, ok bool) {
	before := slices.DeleteFunc(slices.Clone(all), func(other Instruction) bool {
		return other.From.After(i.From) || other.From.Equal(i.From) && other.Seq >= i.Seq
	})
	return InstructionAt(before, i.Operation, i.From)
}

// An Acknowledgement says that a person has read a revision.
type Acknowledgement struct {
	Seq         int64
	Instruction string
	Revision    string
	Badge       string
	Station     string // where, "" for the office
	At          time.Time
}

// Of reports whether it is about a revision.
func (a Acknowledgement) Of(i Instruction) bool {
	return a.Instruction == i.Instruction && a.Revision == i.Revision
}

// InstructionRead is the gate that asks a person to read what is in force
// before they act by it. It is asked at stations only: there the book can show
// the instruction. What a paper form says was done is done.
var InstructionRead = Gate{"instruction read", "reading it", askRead}

func askRead(f Facts) string {
	in := f.Instruction
	if in.Instruction == "" || f.Read {
		return ""
	}
	return fmt.Sprintf("Instruction %s has been in force for %s since %s: badge %s has not said yet that they have read it.", in.Name(), in.Operation, f.clock(in.From), f.By.Badge)
}

// InstructionReleased puts a revision of an instruction in force.
type InstructionReleased struct {
	Instruction string    `json:"instruction"`
	Revision    string    `json:"revision"`
	Op          string    `json:"operation"`
	Title       string    `json:"title"`
	Text        string    `json:"text"`
	From        time.Time `json:"from"`
}

func (InstructionReleased) Kind() string { return "instruction-released" }
func (e InstructionReleased) Subjects() []string {
	return []string{Subject("instruction", e.Instruction)}
}

// Valid refuses an instruction without number, revision, operation or title.
func (e InstructionReleased) Valid() error {
	f := Fields{}
	f.Number("instruction", e.Instruction, "The instruction's number")
	f.Number("revision", e.Revision, "The revision")
	if !slices.Contains(Operations, e.Op) {
		f.Say("operation", "%q is not an operation of the route.", e.Op)
	}
	f.Need("title", e.Title, "The title")
	if e.From.IsZero() {
		f.Say("from", "The time from which it is in force is missing.")
	}
	return f.Err()
}

// InstructionAcknowledged says that a person has read a revision. Nobody says
// it for another, and everyone says it once.
type InstructionAcknowledged struct {
	Instruction string `json:"instruction"`
	Revision    string `json:"revision"`
	Badge       string `json:"badge"`
}

func (InstructionAcknowledged) Kind() string { return "instruction-acknowledged" }
func (e InstructionAcknowledged) Subjects() []string {
	return []string{Subject("instruction", e.Instruction), Subject("person", e.Badge)}
}

// Valid refuses a reading of nothing, or by nobody.
func (e InstructionAcknowledged) Valid() error {
	f := Fields{}
	f.Number("instruction", e.Instruction, "The instruction's number")
	f.Number("revision", e.Revision, "The revision")
	f.Number("badge", e.Badge, "The badge of who has read it")
	return f.Err()
}
