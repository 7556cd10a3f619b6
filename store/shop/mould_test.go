package shop

// mouldRows are the questions to the gates about moulds, by gate.
var mouldRows = map[string][]gateRow{
	MouldOfOrder.Name: {
		{"the mould of the order", fits("M301", ""), nil},
		{"asked about another act", func(f *Facts) { f.MouldOf = "M302" }, nil},
		{"another mould", fits("M302", ""), []string{"I-0029", "M302, not M301"}},
		{"ordered for stock", fits("", ""), []string{"none (stock)", "M301"}},
	},
	PlaceFree.Name: {
		{"free", fits("M301", ""), nil},
		{"taken by itself", fits("M301", "I-0029"), nil},
		{"asked about another act", func(f *Facts) { f.PlaceTaken = "I-0030" }, nil},
		{"taken by another", fits("M301", "I-0030"), []string{"K1", "M301", "I-0030"}},
	},
}

func fits(mouldOf, taken string) func(*Facts) {
	return func(f *Facts) {
		f.Event, f.Operation, f.Phase = FitUpDone{Insert: "I-0029", Mould: "M301", Place: "K1"}, OpFit, Whole
		f.MouldOf, f.PlaceTaken = mouldOf, taken
	}
}
