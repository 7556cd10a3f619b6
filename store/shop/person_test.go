package shop

import "time"

// personRows are the questions to the gates about people, by gate.
var personRows = map[string][]gateRow{
	Authorised.Name: {
		{"within the time", asIs, nil},
		{"open end", func(f *Facts) { f.By.Authorised[0].Until = "" }, nil},
		{"the first day", func(f *Facts) { f.By.Authorised[0].From = "2025-10-20" }, nil},
		{"the last day", func(f *Facts) { f.By.Authorised[0].Until = "2025-10-20" }, nil},
		{"the day before the first", func(f *Facts) { f.By.Authorised[0].From = "2025-10-21" }, []string{"204", "print", "2025-10-20"}},
		{"the day after the last", func(f *Facts) { f.By.Authorised[0].Until = "2025-10-19" }, []string{"204", "print", "2025-10-20"}},
		{"past midnight in the shop, not yet in UTC", func(f *Facts) {
			f.By.Authorised[0].Until = "2025-10-20"
			f.At = time.Date(2025, 10, 20, 22, 30, 0, 0, time.UTC)
		}, []string{"2025-10-21"}},
		{"for another operation", func(f *Facts) { f.Operation = OpSinter }, []string{"204", "sintering"}},
		{"for nothing", func(f *Facts) { f.By.Authorised = nil }, []string{"204", "not authorised for print"}},
	},
}
