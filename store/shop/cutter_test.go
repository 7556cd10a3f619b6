package shop

// cutterRows are the questions to the gates about cutters, by gate.
var cutterRows = map[string][]gateRow{
	CutterLife.Name: {
		{"a second left", asIs, nil},
		{"none on record", func(f *Facts) { f.Cutter = Cutter{} }, nil},
		{"life over", func(f *Facts) { f.Cutter.Used = 54000 }, []string{"CU-11 in P1", "900 min; its life is 900 min"}},
	},
}
