package shop

import "time"

// instructionRows are the questions to the gates about instructions, by gate.
var instructionRows = map[string][]gateRow{
	InstructionRead.Name: {
		{"none in force, or not asked here", asIs, nil},
		{"read", instructed(func(f *Facts) { f.Read = true }), nil},
		{"not read", instructed(asIs), []string{"WI-20 C", "print", "2025-10-13 08:00", "204"}},
	},
}

// instructed has an instruction in force for the act.
func instructed(with func(*Facts)) func(*Facts) {
	return func(f *Facts) {
		f.Instruction = Instruction{Seq: 9, Instruction: "WI-20", Revision: "C", Operation: OpPrint, From: time.Date(2025, 10, 13, 6, 0, 0, 0, time.UTC)}
		with(f)
	}
}
