package shop

// machineRows are the questions to the gates about machines, by gate.
var machineRows = map[string][]gateRow{
	MachineInDate.Name: {
		{"in date", asIs, nil},
		{"no machine in it", func(f *Facts) { f.Machine = Machine{} }, nil},
		{"never checked", func(f *Facts) { f.Machine.Check = MachineCheck{} }, []string{"No check of the axes of machine P1"}},
		{"failed", func(f *Facts) { f.Machine.Check.Verdict = "fail" }, []string{"P1 failed"}},
		{"overdue", func(f *Facts) { f.Machine.Check.Due = "2025-01-01" }, []string{"P1", "2025-01-01"}},
	},
}
