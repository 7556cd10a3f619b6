package shop

// setterRows are the questions to the gates about setters, by gate.
var setterRows = map[string][]gateRow{
	SetterLife.Name: {
		{"its last run", asIs, nil},
		{"on none that is numbered", func(f *Facts) { f.Setter = Setter{} }, nil},
		{"life over", func(f *Facts) { f.Setter.Cycles = 150 }, []string{"ST-17", "150 runs; its life is 150"}},
	},
}
