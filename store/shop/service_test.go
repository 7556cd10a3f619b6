package shop

import "strings"

// serviceRows are the questions to the gates about the safety of a furnace, by gate.
var serviceRows = map[string][]gateRow{
	FurnaceSafe.Name: {
		{"none asked for, none done", asIs, nil},
		{"all that are asked for", safety([]string{"purge", "leak"}, "leak pass", "purge pass"), nil},
		{"one is missing", safety([]string{"purge", "leak"}, "leak pass"), []string{"No purge test", "F1"}},
		{"failed", safety(nil, "leak fail"), []string{"F1 failed its leak test", "not run before"}},
		{"failed, then passed", safety(nil, "leak fail", "leak pass"), nil},
		{"passed, then failed", safety(nil, "interlock pass", "interlock fail"), []string{"interlock"}},
	},
}

// safety is a furnace that needs some safety tests, and those that were done.
func safety(needs []string, done ...string) func(*Facts) {
	return func(f *Facts) {
		f.Furnace.Tests = needs
		for i, d := range done {
			test, verdict, _ := strings.Cut(d, " ")
			f.Furnace.Tested = append(f.Furnace.Tested, FurnaceTest{Seq: int64(i + 1), Furnace: "F1", Test: test, Verdict: verdict, At: noon})
		}
	}
}
