package shop

import (
	"strings"
	"time"
)

// A gateRow is one question to a gate: what is special about the facts, and
// the words that its sentence must have; no words mean that it passes.
type gateRow struct {
	name string
	with func(*Facts)
	says []string
}

func asIs(*Facts) {}

// later is what happened at noon and is entered afterwards.
func later(with func(*Facts)) func(*Facts) {
	return func(f *Facts) {
		f.Later = true
		with(f)
	}
}

func draws(drawn, purged string) func(*Facts) {
	return func(f *Facts) {
		e := PasteDrawn{Container: "L2509-A/03", Insert: "I-0029", FromLayer: 1, ToLayer: 5, Drawn: MustReading(drawn, "g")}
		if purged != "" {
			e.Purged = MustReading(purged, "g")
		}
		f.Event, f.Phase = e, During
	}
}

// mixed draws for layers of a release whose second lot takes over at 184.
func mixed(lot string, from, to int) func(*Facts) {
	return func(f *Facts) {
		f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}}
		f.Container.Lot, f.Container.Container = lot, lot+"/01"
		f.Event, f.Phase = PasteDrawn{Container: lot + "/01", Insert: "I-0029", FromLayer: from, ToLayer: to, Drawn: MustReading("1", "g")}, During
	}
}

// drawn are draws of an insert that stand, of 100 g each.
func drawn(runs ...int) []LayerDraw {
	var all []LayerDraw
	for i := 0; i < len(runs); i += 2 {
		all = append(all, LayerDraw{LayerRun: LayerRun{runs[i], runs[i+1]}, Container: "L2509-A/03", Drawn: grams("100.0"), By: "205"})
	}
	return all
}

// ends is the end of a print with a mass on the plate.
func ends(mass string, draws ...int) func(*Facts) {
	return func(f *Facts) {
		f.Event, f.Phase, f.Draws = PrintFinished{Insert: "I-0029", LayersDone: 304, Printed: grams(mass)}, End, drawn(draws...)
	}
}

func fits(mouldOf, taken string) func(*Facts) {
	return func(f *Facts) {
		f.Event, f.Operation, f.Phase = FitUpDone{Insert: "I-0029", Mould: "M301", Place: "K1"}, OpFit, Whole
		f.MouldOf, f.PlaceTaken = mouldOf, taken
	}
}

func held(set, lifted time.Duration, reason string) func(*Facts) {
	return func(f *Facts) {
		h := Hold{Hold: "H-007", OnKind: "lot", OnCode: "L2509-A", SetBy: "601", SetAt: noon.Add(set), Reason: reason}
		if lifted != 0 {
			h.LiftedAt = noon.Add(lifted)
		}
		f.Holds = append(f.Holds, h)
	}
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

func prints(change func(*PrintStarted)) func(*Facts) {
	return func(f *Facts) {
		e := f.Event.(PrintStarted)
		change(&e)
		f.Event = e
	}
}

// drafts writes the release with some factors.
func drafts(x, y, z string) func(*Facts) {
	return func(f *Facts) {
		f.Release.KX, f.Release.KY, f.Release.KZ = times(x), times(y), times(z)
		f.Event = ReleaseDrafted{Release: "DR-09 A"}
	}
}

func superseded(by string, at time.Time) func(*Facts) {
	return func(f *Facts) { f.Release.SupersededBy, f.Release.SupersededAt = by, at }
}

// gauged is a reading by a micrometer that was calibrated and checked.
func gauged(change func(*Facts)) func(*Facts) {
	return func(f *Facts) {
		f.Gauge = Gauge{Gauge: "M-12", Resolution: mm("0.001"), Error: mm("0.004")}
		f.Calibration = Calibration{Seq: 7, Gauge: "M-12", At: noon.Add(-90 * 24 * time.Hour), Certificate: "CAL-25-002", Verdict: "pass", Due: "2025-10-20"}
		f.Check = GaugeCheck{Seq: 9, Gauge: "M-12", At: noon.Add(-6 * time.Hour), Block: mm("25.000"), Read: mm("25.001"), Limit: mm("0.004"), Verdict: "pass"}
		change(f)
	}
}

// failing are readings outside their limits.
var failing = map[string]Fail{
	"CR40.1": {"CR40.1", "length X", MustReading("39.918", "mm"), "39.950 to 40.050 mm"},
	"CR40.4": {"CR40.4", "hardness", MustReading("43.8", "HRC"), "46 to 50 HRC"},
}

func fails(numbers ...string) func(*Facts) {
	return func(f *Facts) {
		for _, n := range numbers {
			f.Fails = append(f.Fails, failing[n])
		}
	}
}

// conceded is a piece that is too soft: a nonconformance is open, and a
// concession lets it into one mould.
func conceded(with func(*Facts)) func(*Facts) {
	return func(f *Facts) {
		fails("CR40.4")(f)
		f.ToMould = "M301"
		f.Nonconformances = []Nonconformance{{Number: "NC-004", Insert: "I-0029", What: "too soft.", RaisedAt: noon.Add(-3 * time.Hour), RaisedBy: "402", State: NCOpen}}
		f.Concessions = []Concession{{Concession: "CN-01", Nonconformance: "NC-004", Inserts: []string{"I-0029"}, What: "43 HRC or more", Limits: []ConcessionLimit{{Of: "Hardness", Lower: MustReading("43", "HRC")}},
			Mould: "M301", Quantity: 1, ExpiresOn: "2025-12-31", GivenAt: noon.Add(-time.Hour), GivenBy: "601"}}
		with(f)
	}
}

func decided(d Disposition) func(*Facts) {
	return func(f *Facts) {
		n := &f.Nonconformances[0]
		n.State, n.Disposition, n.DecidedAt, n.DecidedBy = NCClosed, d, noon.Add(-2*time.Hour), "601"
	}
}

// instructed has an instruction in force for the act.
func instructed(with func(*Facts)) func(*Facts) {
	return func(f *Facts) {
		f.Instruction = Instruction{Seq: 9, Instruction: "WI-20", Revision: "C", Operation: OpPrint, From: time.Date(2025, 10, 13, 6, 0, 0, 0, time.UTC)}
		with(f)
	}
}

// gateRows are the questions to every gate, by its name.
var gateRows = map[string][]gateRow{
	NotHeld.Name: {
		{"no hold", asIs, nil},
		{"lifted before", held(-2*time.Hour, -time.Hour, "cracks"), nil},
		{"lifted at that moment", func(f *Facts) {
			held(-2*time.Hour, 0, "cracks")(f)
			f.Holds[0].LiftedAt = noon
		}, nil},
		{"set by a clock that was set back since", held(time.Second, 0, "cracks"), []string{"H-007"}},
		{"lifted by a clock that was set back since", held(-2*time.Hour, time.Hour, "cracks"), nil},
		{"entered later, held since then and still", later(held(time.Hour, 0, "cracks")), []string{"H-007"}},
		{"entered later, held since then and no more", later(held(time.Hour, 2*time.Hour, "cracks")), nil},
		{"entered later, lifted only after the act", later(held(-2*time.Hour, time.Hour, "cracks")), []string{"H-007"}},
		{"entered later, lifted before the act", later(held(-2*time.Hour, -time.Hour, "cracks")), nil},
		{"set at that moment", held(0, 0, "cracks"), []string{"L2509-A is held by 601", "2025-10-20 12:00", "H-007", "cracks."}},
		{"one lifted, one stands", func(f *Facts) {
			held(-3*time.Hour, -time.Hour, "cracks")(f)
			held(-2*time.Hour, 0, "small in Z.")(f)
		}, []string{"2025-10-20 10:00", "small in Z."}},
	},
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
	InstructionRead.Name: {
		{"none in force, or not asked here", asIs, nil},
		{"read", instructed(func(f *Facts) { f.Read = true }), nil},
		{"not read", instructed(asIs), []string{"WI-20 C", "print", "2025-10-13 08:00", "204"}},
	},
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
	DesignCurrent.Name: {
		{"in force", asIs, nil},
		{"a later one is in force", func(f *Facts) { f.Current = "C" }, []string{"I-0029", "revision B of CR40", "revision C is in force"}},
	},
	ReleaseInForce.Name: {
		{"in force", asIs, nil},
		{"entered later, superseded a moment after the act", later(superseded("DR-10 A", noon.Add(time.Second))), nil},
		{"entered later, superseded before the act", later(superseded("DR-10 A", noon.Add(-time.Second))), []string{"superseded by DR-10 A"}},
		{"superseded by a clock that was set back since", superseded("DR-10 A", noon.Add(time.Second)), []string{"superseded by DR-10 A"}},
		{"superseded at that moment", superseded("DR-10 A", noon), []string{"DR-09 A", "superseded by DR-10 A", "2025-10-20 12:00"}},
		{"superseded before", superseded("DR-10 A", noon.Add(-time.Hour)), []string{"DR-10 A", "2025-10-20 11:00"}},
		{"withdrawn, nothing in its place", superseded("DR-09 A", noon.Add(-time.Hour)), []string{"DR-09 A was withdrawn", "2025-10-20 11:00"}},
	},
	ReleaseSignedTwice.Name: {
		{"two people", asIs, nil},
		{"one person only", func(f *Facts) { f.Release.Signatures = f.Release.Signatures[:1] }, []string{"DR-09 A", "second signature"}},
		{"one person twice", func(f *Facts) { f.Release.Signatures[1].By = "101" }, []string{"DR-09 A", "two people"}},
		{"entered later, the second signed after the act", later(func(f *Facts) { f.Release.Signatures[1].At = noon.Add(time.Second) }), []string{"DR-09 A"}},
		{"the second signed by a clock that was set back since", func(f *Facts) { f.Release.Signatures[1].At = noon.Add(time.Second) }, nil},
	},
	ReleaseCovers.Name: {
		{"all alike", asIs, nil},
		{"asked about another act", draws("1", ""), nil},
		{"another machine", prints(func(e *PrintStarted) { e.Machine = "P2" }), []string{"DR-09 A", "machine P1, not P2"}},
		{"another release than the insert's", prints(func(e *PrintStarted) { e.Release = "DR-08 A" }), []string{"I-0029", "DR-09 A, not DR-08 A"}},
		{"no release assigned", func(f *Facts) { f.Insert.Release = "" }, []string{"I-0029", "none yet", "DR-09 A"}},
		{"assigned for another design", func(f *Facts) {
			f.Event, f.Release.Design = ReleaseAssigned{Insert: "I-0029", Release: "DR-09 A"}, "CV60"
		}, []string{"CV60", "I-0029", "CR40"}},
		{"assigned before a release stands on the insert", func(f *Facts) {
			f.Event, f.Insert.Release = ReleaseAssigned{Insert: "I-0029", Release: "DR-09 A"}, ""
		}, nil},
		{"another design", func(f *Facts) { f.Release.Design = "CV60" }, []string{"CV60", "I-0029", "CR40"}},
		{"another revision", func(f *Facts) { f.Release.Revision = "A" }, []string{"revision A", "I-0029", "revision B"}},
	},
	ProgramHash.Name: {
		{"the released one", asIs, nil},
		{"asked about another act", draws("1", ""), nil},
		{"one digit differs at the end", prints(func(e *PrintStarted) { e.ProgramHash = programHash[:63] + "1" }), []string{"P1", "DR-09 A"}},
		{"another program", prints(func(e *PrintStarted) { e.ProgramHash = "00ff" + programHash[4:] }), []string{"00ffaf21", "5e33af21"}},
	},
	OversizeOfRelease.Name: {
		{"alike", asIs, nil},
		{"asked about another act", draws("1", ""), nil},
		{"alike, one zero more", prints(func(e *PrintStarted) { e.KX = MustReading("1.20190", "1") }), nil},
		{"X differs in the last digit", prints(func(e *PrintStarted) { e.KX = MustReading("1.2018", "1") }), []string{"in X", "1.2018", "DR-09 A", "1.2019"}},
		{"Y differs", prints(func(e *PrintStarted) { e.KY = MustReading("1.2019", "1") }), []string{"in Y", "1.2020"}},
		{"Z set to the factor of X", prints(func(e *PrintStarted) { e.KZ = MustReading("1.2019", "1") }), []string{"in Z", "1.2180"}},
	},
	GaugeInCalibration.Name: {
		{"an act without a gauge", asIs, nil},
		{"the last day", gauged(asIs), nil},
		{"a day late", gauged(func(f *Facts) { f.Calibration.Due = "2025-10-19" }), []string{"M-12", "due on 2025-10-19"}},
		{"it failed", gauged(func(f *Facts) { f.Calibration.Verdict, f.Calibration.Due = "fail", "" }), []string{"M-12 failed", "CAL-25-002"}},
		{"never calibrated", gauged(func(f *Facts) { f.Calibration = Calibration{} }), []string{"M-12", "no calibration"}},
	},
	GaugeCheckPassed.Name: {
		{"an act without a gauge", asIs, nil},
		{"it passed", gauged(asIs), nil},
		{"no length, no block", gauged(func(f *Facts) { f.Gauge.Resolution, f.Check = Reading{}, GaugeCheck{} }), nil},
		{"it failed", gauged(func(f *Facts) { f.Check.Verdict, f.Check.Read = "fail", mm("25.024") }), []string{"M-12 read 25.024 mm on a block of 25.000 mm", "2025-10-20 06:00"}},
		{"never checked", gauged(func(f *Facts) { f.Check = GaugeCheck{} }), []string{"M-12", "never checked"}},
	},
	GaugeCheckLimit.Name: {
		{"an act without a gauge", asIs, nil},
		{"as permitted", gauged(asIs), nil},
		{"tighter", gauged(func(f *Facts) { f.Check.Limit = mm("0.002") }), nil},
		{"as permitted, in micrometres", gauged(func(f *Facts) { f.Check.Limit = MustReading("4", "um") }), nil},
		{"a nought too few", gauged(func(f *Facts) { f.Check.Limit = mm("0.040") }), []string{"M-12", "0.040 mm", "0.004 mm"}},
		{"never checked is another gate's", gauged(func(f *Facts) { f.Check = GaugeCheck{} }), nil},
	},
	LotReleasedInDate.Name: {
		{"released and in date", asIs, nil},
		{"the last day of use", func(f *Facts) { f.Lot.ExpiresOn = "2025-10-20" }, nil},
		{"the day after", func(f *Facts) { f.Lot.ExpiresOn = "2025-10-19" }, []string{"L2509-A expired", "2025-10-19"}},
		{"past midnight in the shop, not yet in UTC", func(f *Facts) {
			f.Lot.ExpiresOn, f.At = "2025-10-20", time.Date(2025, 10, 20, 22, 0, 0, 0, time.UTC)
		}, []string{"expired"}},
		{"not released", func(f *Facts) { f.Lot.ReleasedAt = time.Time{} }, []string{"L2509-A", "not released"}},
		{"entered later, released after the act", later(func(f *Facts) { f.Lot.ReleasedAt = noon.Add(time.Second) }), []string{"not released"}},
		{"the lot that takes over is not released", func(f *Facts) { f.FurtherLots = []Lot{{Lot: "L2509-B", ExpiresOn: "2026-01-10"}} }, []string{"L2509-B is not released"}},
		{"released by a clock that was set back since", func(f *Facts) { f.Lot.ReleasedAt = noon.Add(time.Second) }, nil},
	},
	LotOfRelease.Name: {
		{"the same", asIs, nil},
		{"the lot of those layers", mixed("L2509-B", 184, 304), nil},
		{"the first lot, up to its last layer", mixed("L2509-A", 1, 183), nil},
		{"the second lot, for the first layers", mixed("L2509-B", 1, 183), []string{"lot L2509-B", "layer 1 of lot L2509-A"}},
		{"across the layer at which the other takes over", mixed("L2509-A", 150, 200), []string{"layer 200 of lot L2509-B", "by itself"}},
		{"another lot", func(f *Facts) { f.Container.Lot, f.Container.Container = "L2509-B", "L2509-B/01" }, []string{"L2509-B/01", "lot L2509-B", "DR-09 A", "lot L2509-A"}},
	},
	ContainerOpenLife.Name: {
		{"opened yesterday", asIs, nil},
		{"the last moment", func(f *Facts) { f.Container.Opened = noon.AddDate(0, 0, -30) }, nil},
		{"a moment too late", func(f *Facts) { f.Container.Opened = noon.AddDate(0, 0, -30).Add(-time.Second) }, []string{"L2509-A/03", "opened 2025-09-20 11:59", "30 days"}},
		{"sealed", func(f *Facts) { f.Container.Opened = time.Time{} }, []string{"L2509-A/03 is sealed", "opening first"}},
	},
	DrawAsExpected.Name: {
		{"as it should be", drawsOf("280.0", 400, "30"), nil},
		{"at the limit", drawsOf("210", 400, "30"), nil}, // 300 layers of 400: 300 g
		{"nobody knows the volume", drawsOf("2", 0, "30"), nil},
		{"the layers are not known", func(f *Facts) {
			f.Event, f.Expected = PasteDrawn{Container: "L2509-A/03", Drawn: grams("2")}, Expected{Whole: 400}.Of(0, 0, 400)
		}, nil},
		{"asked about another act", asIs, nil},
		{"far too little", drawsOf("209.9", 400, "30"), []string{"Layers 1 to 300", "I-0029", "about 300.0 g", "209.9 g was drawn", "30 %", "common practice"}},
		{"far too much", drawsOf("391", 400, "30"), []string{"about 300.0 g", "391 g"}},
		{"half as much again as the last ones", func(f *Facts) {
			drawsOf("450", 400, "30")(f)
			f.Expected.Inserts, f.Expected.SD, f.Expected.Low, f.Expected.High = 14, 5, 390, 408
		}, []string{"about 300.0 g: the last 14 CR40 took 400.0 g in the mean (390.0 to 408.0 g) for all layers; 450 g was drawn", "30 %"}},
		{"of a design that takes now more and now less", func(f *Facts) {
			drawsOf("450", 400, "30")(f)
			f.Expected.Inserts, f.Expected.SD = 14, 67
		}, nil},
		{"kilograms typed as grams", drawsOf("0.301", 400, "30"), []string{"kilograms typed as grams", "0.301 kg are 301 g"}},
		{"grams typed as kilograms", func(f *Facts) {
			drawsOf("300", 400, "30")(f)
			e := f.Event.(PasteDrawn)
			e.Drawn = MustReading("300", "kg")
			f.Event = e
		}, []string{"300 kg was drawn", "grams typed as kilograms"}},
	},
	WeighingAsExpected.Name: {
		{"what the records say", weighs("1250.0"), nil},
		{"a little less", weighs("1240"), nil},
		{"less than the limit", weighs("1239.9"), []string{"should hold 1250.0 g", "1239.9 g is 10.1 g less", "draw, a purge or waste was not recorded", "10 g"}},
		{"a little more", weighs("1260"), nil},
		{"empty, of half a container", weighs("0"), []string{"0 g is 1250.0 g less"}},
		{"empty, as its records say", func(f *Facts) { weighsAgain("0", 9.9)(f); f.Container.Left = 9.9 }, nil},
		{"a little less, for the second time", weighsAgain("1245", 1256), []string{"5.0 g less; with what was unexplained before it is 11.0 g less", "not recorded"}},
		{"a little more after a little less", weighsAgain("1255", 1259), nil},
		{"a little less after much that was asked about", weighsAgain("1245", 1300), nil},
		{"asked about another act", asIs, nil},
		{"more than the limit", weighs("1260.1"), []string{"L2509-A/03", "should hold 1250.0 g", "10.1 g more", "right container", "10 g"}},
		{"more than came in it", weighs("2500"), []string{"came with 2499.8 g", "2500 g is more", "right unit"}},
		{"kilograms typed as grams", weighs("1.25"), []string{"kilograms typed as grams", "1250 g"}},
		{"received like the others", receives("2500"), nil},
		{"the first of its lot", func(f *Facts) { receives("2.5")(f); f.Container.In = 0 }, nil},
		{"received in the wrong unit", receives("2.5"), []string{"lot L2509-A", "2499.8 g in the mean", "2.5 kg are 2500 g"}},
		{"grams typed as kilograms", func(f *Facts) {
			weighs("0")(f)
			f.Event = ContainerWeighed{Container: "L2509-A/03", Left: MustReading("1250", "kg")}
		}, []string{"grams typed as kilograms", "1250 g"}},
	},
	ContainerEnoughLeft.Name: {
		{"some is left over", draws("280.5", "3.10"), nil},
		{"all of it", draws("296.9", "3.1"), nil},
		{"drawn in kilograms", func(f *Facts) {
			f.Event = PasteDrawn{Container: "L2509-A/03", Drawn: MustReading("0.300", "kg")}
		}, nil},
		{"asked about another act", asIs, nil},
		{"the purge is too much", draws("297", "3.1"), []string{"L2509-A/03", "300 g", "300.1 g"}},
		{"a hundredth of a gram too much", draws("300.01", ""), []string{"holds 300 g", "not 300.01 g"}},
		{"empty", func(f *Facts) {
			draws("0.5", "")(f)
			f.Container.Left = 0
		}, []string{"0 g", "0.5 g"}},
	},
	LayersDrawnOnce.Name: {
		{"the first draw", draws("1", ""), nil},
		{"asked about another act", func(f *Facts) { f.Draws = drawn(1, 304) }, nil},
		{"the layers that come next", func(f *Facts) {
			draws("1", "")(f)
			f.Draws = drawn(6, 100)
		}, nil},
		{"one layer of them", func(f *Facts) {
			draws("1", "")(f)
			f.Draws = drawn(5, 100)
		}, []string{"Paste for layer 5 of I-0029", "100.0 g from L2509-A/03 for layers 5 to 100, by 205"}},
		{"all of them, in the second draw", func(f *Facts) {
			draws("1", "")(f)
			f.Draws = drawn(200, 304, 1, 100)
		}, []string{"Paste for layers 1 to 5 of I-0029"}},
	},
	PrintedAsDrawn.Name: {
		{"asked about another act", asIs, nil},
		{"what shaping leaves", ends("261.0", 1, 100, 101, 200, 201, 304), nil},
		{"just enough", ends("70.0", 1, 304), nil},
		{"a tenth of a gram less", ends("69.9", 1, 304), []string{"69.9 g were printed of 100 g drawn for I-0029", "70 %"}},
		{"nothing drawn: the records say so", ends("50.0"), nil},
	},
	MachineFree.Name: {
		{"free", asIs, nil},
		{"asked about another act", func(f *Facts) {
			draws("1", "")(f)
			f.OnMachine = "I-0030"
		}, nil},
		{"another print is on it", func(f *Facts) { f.OnMachine = "I-0030" }, []string{"P1 is printing I-0030", "finished first"}},
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
	RecipeOfRelease.Name: {
		{"the same", asIs, nil},
		{"another revision of it", func(f *Facts) { f.LoadRecipe = "SR-1340 B" }, []string{"SR-1340 B", "DR-09 A", "I-0029", "SR-1340 C"}},
	},
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
	FailHasNonconformance.Name: {
		{"all pass", asIs, nil},
		{"one failed", fails("CR40.4"), []string{"I-0029", "CR40.4 (43.8 HRC; limits 46 to 50 HRC), and no nonconformance"}},
		{"two failed", fails("CR40.1", "CR40.4"), []string{"CR40.1 (39.918 mm; limits 39.950 to 40.050 mm) and CR40.4"}},
		{"one that is open", conceded(func(f *Facts) { f.Concessions = nil }), nil},
		{"one that was cancelled", conceded(func(f *Facts) { f.Nonconformances[0].State = NCCancelled }), []string{"no nonconformance"}},
		{"used as is", conceded(decided(UseAsIs)), nil},
		{"failed again after rework", conceded(decided(ReworkIt)), []string{"no nonconformance"}},
	},
	NonconformanceClosed.Name: {
		{"nothing fails", asIs, nil},
		{"failed, and nothing was given", fails("CR40.4"), []string{"No concession covers what I-0029 failed in"}},
		{"open and not conceded", conceded(func(f *Facts) { f.Concessions = nil }), []string{"NC-004 on I-0029 is open: too soft."}},
		{"open and conceded", conceded(asIs), nil},
		{"closed without a failed reading", func(f *Facts) {
			conceded(decided(UseAsIs))(f)
			f.Fails, f.Concessions = nil, nil
		}, nil},
		{"cancelled", func(f *Facts) {
			conceded(asIs)(f)
			f.Nonconformances[0].State, f.Fails, f.Concessions = NCCancelled, nil, nil
		}, nil},
		{"used as is without a concession", conceded(func(f *Facts) {
			decided(UseAsIs)(f)
			f.Concessions = nil
		}), []string{"No concession covers what I-0029 failed in"}},
		{"entered later, closed after the act", later(func(f *Facts) {
			conceded(decided(UseAsIs))(f)
			f.Nonconformances[0].DecidedAt, f.Concessions = noon.Add(time.Minute), nil
		}), []string{"NC-004 on I-0029 is open"}},
		{"for another piece", conceded(func(f *Facts) { f.Concessions[0].Inserts = []string{"I-0030"} }), []string{"CN-01 is for I-0030, not for I-0029"}},
		{"for another mould", conceded(func(f *Facts) { f.ToMould = "M302" }), []string{"CN-01 is for mould M301, not M302"}},
		{"for a mould, not for stock", conceded(func(f *Facts) { f.ToMould = "" }), []string{"for mould M301, not for stock"}},
		{"on its last day", conceded(func(f *Facts) { f.Concessions[0].ExpiresOn = "2025-10-20" }), nil},
		{"the day after", conceded(func(f *Facts) { f.Concessions[0].ExpiresOn = "2025-10-19" }), []string{"CN-01 expired", "2025-10-19"}},
		{"withdrawn", conceded(func(f *Facts) { f.Concessions[0].WithdrawnAt, f.Concessions[0].WithdrawnBy = noon, "601" }), []string{"withdrawn by 601"}},
		{"entered later, given after the act", later(conceded(func(f *Facts) { f.Concessions[0].GivenAt = noon.Add(time.Hour) })), []string{"CN-01 was given later"}},
		{"on the limit that it allows", conceded(func(f *Facts) { f.Fails[0].Value = MustReading("43", "HRC") }), nil},
		{"beyond the limit that it allows", conceded(func(f *Facts) { f.Fails[0].Value = MustReading("42.9", "HRC") }), []string{"CN-01 allows Hardness 43 HRC or more; CR40.4 reads 42.9 HRC"}},
		{"failed in something else as well", conceded(fails("CR40.1")), []string{"CN-01 says nothing of CR40.1"}},
		{"another quantity", conceded(func(f *Facts) { f.Fails[0].Value = mm("43") }), []string{"another quantity"}},
		{"without limits", conceded(func(f *Facts) { f.Concessions[0].Limits = nil }), nil},
		{"all pieces used", conceded(func(f *Facts) { f.Concessions[0].Used, f.Concessions[0].Quantity = []string{"I-0030"}, 1 }), []string{"CN-01 allows 1 piece, and I-0030 is used already"}},
		{"its own piece used before", conceded(func(f *Facts) { f.Concessions[0].Used, f.Concessions[0].Quantity = []string{"I-0029"}, 1 }), nil},
		{"the second one covers it", conceded(func(f *Facts) {
			first := f.Concessions[0]
			first.Mould = "M302"
			f.Concessions = append([]Concession{first}, f.Concessions...)
		}), nil},
	},
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
	RecipeIsReleased.Name: {
		{"in force", asIs, nil},
		{"no recipe in it", func(f *Facts) { f.LoadRecipe = "" }, nil},
		{"not in the book", func(f *Facts) { f.Recipe = Recipe{} }, []string{"SR-1340 C is not released"}},
		{"for another operation", func(f *Facts) { f.Recipe.For = OpTemper }, []string{"SR-1340 C is for tempering"}},
		{"superseded", func(f *Facts) { f.Recipe.SupersededBy, f.Recipe.SupersededAt = "D", noon.Add(-time.Hour) }, []string{"superseded by revision D"}},
		{"entered later, superseded since", later(func(f *Facts) { f.Recipe.SupersededBy, f.Recipe.SupersededAt = "D", noon.Add(time.Hour) }), nil},
		{"entered later, released since", later(func(f *Facts) { f.Recipe.ReleasedAt = noon.Add(time.Hour) }), []string{"SR-1340 C is not released"}},
	},
	SetterLife.Name: {
		{"its last run", asIs, nil},
		{"on none that is numbered", func(f *Facts) { f.Setter = Setter{} }, nil},
		{"life over", func(f *Facts) { f.Setter.Cycles = 150 }, []string{"ST-17", "150 runs; its life is 150"}},
	},
	MachineInDate.Name: {
		{"in date", asIs, nil},
		{"no machine in it", func(f *Facts) { f.Machine = Machine{} }, nil},
		{"never checked", func(f *Facts) { f.Machine.Check = MachineCheck{} }, []string{"No check of the axes of machine P1"}},
		{"failed", func(f *Facts) { f.Machine.Check.Verdict = "fail" }, []string{"P1 failed"}},
		{"overdue", func(f *Facts) { f.Machine.Check.Due = "2025-01-01" }, []string{"P1", "2025-01-01"}},
	},
	CutterLife.Name: {
		{"a second left", asIs, nil},
		{"none on record", func(f *Facts) { f.Cutter = Cutter{} }, nil},
		{"life over", func(f *Facts) { f.Cutter.Used = 54000 }, []string{"CU-11 in P1", "900 min; its life is 900 min"}},
	},
	FurnaceSafe.Name: {
		{"none asked for, none done", asIs, nil},
		{"all that are asked for", safety([]string{"purge", "leak"}, "leak pass", "purge pass"), nil},
		{"one is missing", safety([]string{"purge", "leak"}, "leak pass"), []string{"No purge test", "F1"}},
		{"failed", safety(nil, "leak fail"), []string{"F1 failed its leak test", "not run before"}},
		{"failed, then passed", safety(nil, "leak fail", "leak pass"), nil},
		{"passed, then failed", safety(nil, "interlock pass", "interlock fail"), []string{"interlock"}},
	},
	CompensationOfLot.Name: {
		{"the lot's own", asIs, nil},
		{"0.0020 off", func(f *Facts) { f.Release.KX = times("1.2039") }, nil},
		{"0.0021 off", func(f *Facts) { f.Release.KX = times("1.2040") }, []string{"DR-09 A has 1.2040 in X", "L2509-A in force is 1.2019", "0.0021"}},
		{"digits swapped", func(f *Facts) { f.Release.KX = times("1.2109") }, []string{"1.2109 in X", "1.2109 has two digits of 1.2019 swapped"}},
		{"Z for X", func(f *Facts) { f.Release.KX = times("1.2180") }, []string{"is the factor of lot L2509-A in Z"}},
		{"another lot's", func(f *Facts) {
			f.Release.KZ, f.Others = times("1.2250"), []Factor{{Seq: 9, Lot: "L2510-A", Axis: "Z", K: times("1.2250"), From: noon.Add(-time.Hour)}}
		}, []string{"is the factor of lot L2510-A in Z"}},
		{"another lot's within the band", func(f *Facts) {
			f.Release.KX = times("1.2025")
			f.Others = []Factor{{Seq: 9, Lot: "L2510-A", Axis: "X", K: times("1.2025"), S: MustReading("16.84", "%"), From: noon.Add(-time.Hour)}}
		}, []string{"DR-09 A has 1.2025 in X", "1.2025 is the factor of lot L2510-A in X"}},
		{"every axis is named", func(f *Facts) { f.Release.KX, f.Release.KZ = times("1.2109"), times("1.2810") }, []string{"1.2109 in X", "1.2810 in Z"}},
		{"what the machine was given", prints(func(e *PrintStarted) { e.KX = times("1.2109") }), []string{"Machine P1 was given 1.2109 in X", "1.2019"}},
		{"no factor in Z", func(f *Facts) { f.Factors = f.Factors[:2] }, []string{"No factor of lot L2509-A in Z"}},
		{"a second lot that has none", func(f *Facts) { f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}} }, []string{"No factor of lot L2509-B"}},
		{"a second lot close by", func(f *Facts) {
			f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}}
			f.Factors = append(f.Factors, factorsOf("L2509-B", "1.2011", "1.2011", "1.2171")...)
		}, nil},
		{"a newer factor", func(f *Facts) {
			f.Factors = append(f.Factors, Factor{Seq: 9, Lot: "L2509-A", Axis: "Y", K: times("1.2060"), From: noon.Add(-time.Hour)})
		}, []string{"in Y", "1.2060"}},
		{"entered later, the factor came since", later(func(f *Facts) {
			f.Factors = append(f.Factors, Factor{Seq: 9, Lot: "L2509-A", Axis: "Y", K: times("1.2060"), From: noon.Add(time.Hour)})
		}), nil},
		{"coupons alone in a load", func(f *Facts) { f.Insert, f.Factors = Insert{}, nil }, nil},
	},
	ReleaseAsLot.Name: {
		{"the lot's own", drafts("1.2019", "1.2020", "1.2180"), nil},
		{"close by", drafts("1.2025", "1.2020", "1.2180"), nil},
		{"too far off", drafts("1.2019", "1.2020", "1.2299"), []string{"DR-09 A has 1.2299 in Z", "1.2180"}},
		{"digits swapped within the band", drafts("1.2019", "1.2002", "1.2180"), []string{"1.2002 has two digits of 1.2020 swapped"}},
		{"another axis within the band", drafts("1.2020", "1.2020", "1.2180"), []string{"1.2020 is the factor of lot L2509-A in Y"}},
		{"another lot within the band", func(f *Facts) {
			drafts("1.2025", "1.2020", "1.2180")(f)
			f.Others = []Factor{{Seq: 9, Lot: "L2510-A", Axis: "X", K: times("1.2025"), S: MustReading("16.84", "%"), From: noon.Add(-time.Hour)}}
		}, []string{"1.2025 is the factor of lot L2510-A in X"}},
		{"another lot's, and once its own", func(f *Facts) {
			drafts("1.2025", "1.2020", "1.2180")(f)
			f.Others = []Factor{{Seq: 9, Lot: "L2510-A", Axis: "X", K: times("1.2025"), S: MustReading("16.84", "%"), From: noon.Add(-time.Hour)}}
			f.Factors = append([]Factor{{Seq: 8, Lot: "L2509-A", Axis: "X", K: times("1.2025"), From: noon.Add(-48 * time.Hour)}}, f.Factors...)
		}, nil},
		{"another axis", drafts("1.2180", "1.2020", "1.2180"), []string{"is the factor of lot L2509-A in Z"}},
		{"a lot on test", func(f *Facts) { drafts("1.2000", "1.2000", "1.2150")(f); f.Lot.ReleasedAt = time.Time{} }, nil},
		{"no factor to compare with", func(f *Facts) { drafts("1.2000", "1.2000", "1.2150")(f); f.Factors = nil }, nil},
	},
	AxesMeasured.Name: {
		{"in all", asIs, nil},
		{"in X only", func(f *Facts) { f.AxesOf = map[string][]string{"L2509-A": {"X"}} }, []string{"Lot L2509-A was measured in X only: Y and Z rest on no measurement."}},
		{"in two", func(f *Facts) { f.AxesOf = map[string][]string{"L2509-A": {"X", "Y"}} }, []string{"in X and Y only: Z rests on no measurement."}},
		{"in none", func(f *Facts) { f.AxesOf = nil }, []string{"Lot L2509-A was never measured: X, Y and Z rest on no measurement."}},
		{"a lot on test", func(f *Facts) { f.AxesOf = nil; f.Lot.ReleasedAt = time.Time{} }, nil},
		{"a second lot", func(f *Facts) {
			f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 184}}
			f.FurtherLots = []Lot{{Lot: "L2509-B", ReleasedAt: noon.Add(-time.Hour)}}
		}, []string{"Lot L2509-B was never measured"}},
	},
	FactorByTwo.Name: {
		{"another act", asIs, nil},
		{"set by one", func(f *Facts) { f.Event = an[FactorSet]() }, []string{"L2509-A in X was put into force by one person"}},
	},
	GreenPredictsGood.Name: {
		{"inside", asIs, nil},
		{"on the upper limit", green("48.137"), nil}, // 48.137 · 0.832 = 40.04998
		{"above it", green("48.138"), []string{"48.138 mm green", "about 40.051 mm", "CR40.1"}},
		{"below the lower", green("48.010"), []string{"about 39.944 mm", "39.950"}},
		{"not measured", func(f *Facts) { f.Greens = nil }, []string{"I-0029 in X was not measured"}},
		{"no factor", func(f *Facts) { f.Factors = nil }, []string{"No factor of lot L2509-A in X"}},
		{"nothing to predict", func(f *Facts) { f.Characteristics, f.Greens = nil, nil }, nil},
		{"coupons alone in a load", func(f *Facts) { f.Insert, f.Greens = Insert{}, nil }, nil},
		{"half of another lot", func(f *Facts) { // 48.081 · (1 − 0.1674) = 40.0322 in its layers
			f.Release.Further = []LayerLot{{Lot: "L2509-B", FromLayer: 153}}
			f.Factors = append(f.Factors, factorsOf("L2509-B", "1.2011", "1.2011", "1.2171")...)
			f.Characteristics[0].Upper = mm("40.017")
		}, []string{"about 40.032 mm in the layers of lot L2509-B"}},
	},
	ConstantMass.Name: {
		{"another act", asIs, nil},
		{"constant", dries("233.07 26h", "232.88 1h", "232.85 0s"), nil}, // 0.0129 %
		{"typed again what was weighed", dries("232.88 61m", "232.85 2m", "232.85 0s"), nil},
		{"still drying", dries("254.82 26h", "233.07 1h", "232.85 0s"), []string{"not at constant mass", "0.094 %", "0.05 %"}},
		{"ten minutes apart", dries("254.82 26h", "232.86 10m", "232.85 0s"), []string{"not at constant mass", "254.82 g"}},
		{"weighed once", dries("232.85 0s"), []string{"not weighed twice"}},
	},
	LossInBand.Name: {
		{"another act", asIs, nil},
		{"in the middle", loses("8.62"), nil},
		{"on the edge", loses("9.60"), nil},
		{"too much", loses("9.61"), []string{"lost 9.61 %", "L2509-A", "7.80 % to 9.60 %"}},
		{"too little", loses("7.79"), []string{"lost 7.79 %"}},
		{"too much, and used as it is", func(f *Facts) {
			loses("9.61")(f)
			f.Nonconformances = []Nonconformance{{Number: "NC-009", State: NCClosed, Disposition: UseAsIs, RaisedAt: noon.Add(time.Minute)}}
			f.DryingSince = noon
		}, nil},
		{"too much, decided before it was dried", func(f *Facts) {
			loses("9.61")(f)
			f.Nonconformances = []Nonconformance{{Number: "NC-009", State: NCClosed, Disposition: UseAsIs, RaisedAt: noon.Add(-time.Minute)}}
			f.DryingSince = noon
		}, []string{"lost 9.61 %"}},
		{"a lot without a band", func(f *Facts) {
			loses("9.61")(f)
			f.Lot.DryingLow, f.Lot.DryingHigh = Reading{}, Reading{}
		}, nil},
	},
	GaugeCapable.Name: {
		{"no gauge", asIs, nil},
		{"a quarter of half the tolerance", reads("0.0125"), nil}, // ±0.050
		{"just more", reads("0.0126"), []string{"M-12 reads to ±0.0126 mm", "±0.050 mm", "±0.0125 mm"}},
		{"not known", reads(""), []string{"uncertainty of gauge M-12 is not on record"}},
		{"one limit only", func(f *Facts) {
			reads("0.1")(f)
			f.Measured.Lower = Reading{}
		}, nil},
		{"hardness", func(f *Facts) {
			reads("")(f)
			f.Measured.Kind = Hardness
		}, nil},
	},
}

func green(size string) func(*Facts) {
	return func(f *Facts) { f.Greens = []GreenSize{{Seq: 5, Axis: "X", Size: mm(size)}} }
}

// dries are weighings, each with how long before the end of drying it was
// taken; the last is the one typed at the end.
func dries(weighings ...string) func(*Facts) {
	return func(f *Facts) {
		f.Constant = MustReading("0.05", "%")
		for _, w := range weighings {
			mass, ago, _ := strings.Cut(w, " ")
			before, err := time.ParseDuration(ago)
			if err != nil {
				panic(err)
			}
			f.Weighings = append(f.Weighings, Weighing{At: f.At.Add(-before), Mass: grams(mass)})
		}
		last := len(f.Weighings) - 1
		f.Event, f.Weighings = DryingFinished{Insert: "I-0029", Dry: f.Weighings[last].Mass}, f.Weighings[:last]
	}
}

func loses(percent string) func(*Facts) {
	return func(f *Facts) {
		f.Lot.DryingLow, f.Lot.DryingHigh = MustReading("7.80", "%"), MustReading("9.60", "%")
		f.Event = DryingFinished{Insert: "I-0029", Dry: grams("232.85"), Loss: MustReading(percent, "%")}
	}
}

func reads(uncertainty string) func(*Facts) {
	return func(f *Facts) {
		f.Gauge, f.Measured = Gauge{Gauge: "M-12"}, f.Characteristics[0]
		if uncertainty != "" {
			f.Gauge.Uncertain = mm(uncertainty)
		}
	}
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

// drawsOf draws so much for 300 layers of 400, of a piece that should take so
// much in all.
func drawsOf(g string, whole float64, limit string) func(*Facts) {
	return func(f *Facts) {
		f.Event = PasteDrawn{Container: "L2509-A/03", Insert: "I-0029", FromLayer: 1, ToLayer: 300, Drawn: grams(g)}
		f.Expected = Expected{Whole: whole}.Of(1, 300, 400)
		f.Limit = Limit{Limit: DrawOff, Value: MustReading(limit, "%"), Basis: commonPractice}
	}
}

// weighs weighs a container that holds 1250 g by its records.
func weighs(g string) func(*Facts) { return weighsAgain(g, 1250) }

// weighsAgain weighs it where it should hold so much with no weighing counted.
func weighsAgain(g string, book float64) func(*Facts) {
	return func(f *Facts) {
		f.Book = book
		f.Event = ContainerWeighed{Container: "L2509-A/03", Left: grams(g)}
		f.Container.In, f.Container.Left = 2499.8, 1250
		f.Limit = LimitAt(nil, UnexplainedMass, f.At)
	}
}

// receives takes in a container of a lot whose others came with 2499.8 g.
func receives(g string) func(*Facts) {
	return func(f *Facts) {
		f.Event = ContainerReceived{Container: "L2509-A/04", Lot: "L2509-A", Mass: grams(g)}
		f.Container.In = 2499.8
	}
}
