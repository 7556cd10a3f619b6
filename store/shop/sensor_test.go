package shop

// sensorRows are the questions to the gates about the sensors of a furnace, by gate.
var sensorRows = map[string][]gateRow{
	FurnaceTestsInDate.Name: {
		{"due today", asIs, nil},
		{"no furnace in it", func(f *Facts) { f.Furnace = Furnace{} }, nil},
		{"a zone without a sensor", func(f *Facts) { f.Furnace.Sensors = f.Furnace.Sensors[:1] }, []string{"zone middle", "F1"}},
		{"never tested", func(f *Facts) { f.Furnace.Sensors[1].Test = SensorTest{} }, []string{"No SAT", "F1-TC2"}},
		{"failed", func(f *Facts) {
			n := &f.Furnace.Sensors[1].Test
			n.Verdict, n.Reference = "fail", MustReading("1357.4", "C")
		}, []string{"F1-TC2", "-17.4 °C off", "±4.0 °C"}},
		{"overdue", func(f *Facts) { f.Furnace.Sensors[0].Test.Due = "2025-01-01" }, []string{"SAT of sensor F1-TC1", "2025-01-01"}},
		{"never surveyed", func(f *Facts) { f.Furnace.Survey = Survey{} }, []string{"No TUS", "F1"}},
		{"survey failed", func(f *Facts) { f.Furnace.Survey.Verdict = "fail" }, []string{"F1 failed its TUS"}},
		{"survey overdue", func(f *Facts) { f.Furnace.Survey.Due = "2025-01-01" }, []string{"TUS of furnace F1", "2025-01-01"}},
	},
}
