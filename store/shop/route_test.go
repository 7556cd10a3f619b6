package shop

import "time"

// routeRows are the questions to the gates about the route, by gate.
var routeRows = map[string][]gateRow{
	RouteOrder.Name: {
		{"the next one begins", asIs, nil},
		{"one under way goes on", walk(1, OpPrint, During, true), nil},
		{"one under way ends", walk(1, OpPrint, End, true), nil},
		{"the first reading begins the inspection", walk(5, OpInspect, During, false), nil},
		{"started and finished at once", walk(6, OpFit, Whole, false), nil},
		{"tempering left out lies behind", func(f *Facts) {
			walk(5, OpInspect, During, false)(f)
			f.Insert.Steps[4].State = LeftOut
		}, nil},
		{"second pass of a rework", func(f *Facts) {
			walk(8, OpPrint, Begin, false)(f)
			f.Insert.Steps = append(f.Insert.Steps, Step{Pass: 2, Step: 2, Operation: OpPrint, State: Todo})
		}, nil},
		{"paste drawn before the machine starts", func(f *Facts) {
			walk(1, OpPrint, During, false)(f)
			f.Event = PasteDrawn{Insert: "I-0029"}
		}, nil},
		{"another release before the print", assigns(1, false), nil},
		{"another release while it prints", assigns(1, true), []string{"Design release of I-0029", "finished by 204"}},
		{"paste drawn after the print", func(f *Facts) {
			walk(2, OpPrint, During, false)(f)
			f.Event = PasteDrawn{Insert: "I-0029"}
		}, []string{"Print of I-0029", "finished by 204"}},
		{"an operation comes before it", walk(1, OpDry, Begin, false), []string{"I-0029", "not ready for final drying", "print comes first"}},
		{"begun twice", walk(1, OpPrint, Begin, true), []string{"Print of I-0029", "started by 205", "2025-10-20 11:30"}},
		{"at once, while under way", walk(6, OpFit, Whole, true), []string{"Fit-up of I-0029", "205"}},
		{"goes on before it began", walk(1, OpPrint, During, false), []string{"Print of I-0029", "not been started"}},
		{"ends before it began", walk(2, OpDry, End, false), []string{"Final drying of I-0029", "not been started"}},
		{"finished already", walk(3, OpPrint, Begin, false), []string{"Print of I-0029", "finished by 204", "2025-10-20 07:00", "Next is sintering"}},
		{"not on this route", walk(1, "polishing", Begin, false), []string{"I-0029", "polishing", "print comes first"}},
		{"scrapped", func(f *Facts) { f.Insert.Done, f.Insert.Status = true, StatusScrapped }, []string{"I-0029 is scrapped"}},
		{"at its end", func(f *Facts) {
			walk(8, OpDeliver, Whole, false)(f)
			f.Insert.Status = StatusDelivered
		}, []string{"I-0029 is delivered"}},
	},
	RecordsComplete.Name: {
		{"nothing missing", asIs, nil},
		{"one missing", func(f *Facts) { f.Missing = []string{"layers 11 to 15"} }, []string{"Print of I-0029", "Missing: layers 11 to 15."}},
		{"three missing", func(f *Facts) { f.Missing = []string{"A", "B", "C"} }, []string{"A, B and C."}},
	},
	StepOptional.Name: {
		{"tempering, which this route leaves open", func(f *Facts) { f.Operation = OpTemper }, nil},
		{"sintering", func(f *Facts) { f.Operation = OpSinter }, []string{"Sintering", "cannot be left out"}},
		{"not on this route", func(f *Facts) { f.Operation = "polishing" }, []string{"Polishing", "cannot be left out"}},
	},
}

func walk(finished int, operation string, phase Phase, begun bool) func(*Facts) {
	return func(f *Facts) {
		f.Insert.Steps = steps(finished)
		f.Operation, f.Phase = operation, phase
		if begun {
			s := &f.Insert.Steps[finished]
			s.State, s.StartedAt, s.StartedBy = Started, noon.Add(-30*time.Minute), "205"
		}
	}
}

func assigns(finished int, begun bool) func(*Facts) {
	return func(f *Facts) {
		walk(finished, OpPrint, Begin, begun)(f)
		f.Operation, f.Phase, f.Event = OpRelease, Whole, ReleaseAssigned{Insert: "I-0029", Release: "DR-10 A"}
	}
}
