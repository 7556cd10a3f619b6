package shop

import (
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
