package shop

import (
	"slices"
	"strings"
	"testing"
)

// but is an event with something changed.
func but[E Event](e E, change func(*E)) Event {
	change(&e)
	return e
}

// an is the example of an event's type.
func an[E Event]() E {
	for _, x := range examples {
		if e, ok := x.event.(E); ok {
			return e
		}
	}
	panic("no example")
}

// one is a change of the only characteristic that is kept of the example.
func one(change func(*Characteristic)) func(*DesignReleased) {
	return func(e *DesignReleased) {
		e.Characteristics = slices.Clone(e.Characteristics[:1])
		change(&e.Characteristics[0])
	}
}

// skipping leaves a number out between two steps of a route.
func skipping(e *RouteReleased) {
	e.Steps = slices.Clone(e.Steps)
	e.Steps[len(e.Steps)-1].Step++
}

// without leaves an operation out of a route.
func without(operation string) func(*RouteReleased) {
	return func(e *RouteReleased) {
		e.Steps = slices.DeleteFunc(slices.Clone(e.Steps), func(s RouteStep) bool { return s.Operation == operation })
		for i := range e.Steps {
			e.Steps[i].Step = i + 1
		}
	}
}

func TestValidRefuses(t *testing.T) {
	for _, tt := range []struct {
		name  string
		e     Event
		field string
		says  string
	}{
		{"a kept act under no number", but(an[KeptActLeftOut](), func(e *KeptActLeftOut) { e.Command = "12" }), "command", "not the number of an act"},
		{"a kept act of a whole book", but(an[KeptActLeftOut](), func(e *KeptActLeftOut) { e.Said = strings.Repeat("x", saidAtMost+1) }), "said", "longer than"},
		{"a hash of no file", but(an[DocumentAdded](), func(e *DocumentAdded) { e.Document = "abc" }), "document", "64 digits"},
		{"a film", but(an[DocumentAdded](), func(e *DocumentAdded) { e.MediaType = "video/mp4" }), "media_type", "JPEG, PNG or WebP photo, or a PDF"},
		{"a file of nothing", but(an[DocumentAdded](), func(e *DocumentAdded) { e.Size = 0 }), "size", "from 1 to"},
		{"a file too large", but(an[DocumentAdded](), func(e *DocumentAdded) { e.Size = DocumentLimit + 1 }), "size", "from 1 to"},
		{"a name with a folder", but(an[DocumentAdded](), func(e *DocumentAdded) { e.Name = "a/b.jpg" }), "name", "not the name of a file by itself"},
		{"a name with a space before it", but(an[DocumentAdded](), func(e *DocumentAdded) { e.Name = " a.jpg" }), "name", "not the name of a file by itself"},
		{"a photo of a person", but(an[DocumentAdded](), func(e *DocumentAdded) { e.OnKind = "person" }), "on_kind", "Nothing can be attached"},
		{"other bytes than named", but(an[DocumentAdded](), func(e *DocumentAdded) { e.Size, e.Bytes = 1, []byte("x") }), "document", "changed on its way"},
		{"a certificate of an insert", but(an[DocumentFiled](), func(e *DocumentFiled) { e.OnKind = "insert" }), "on_kind", "No document is filed with"},
		{"a calibration of paste", but(an[DocumentFiled](), func(e *DocumentFiled) { e.Type = "calibration certificate" }), "type", "certificate of analysis, certificate of conformity"},
		{"a certificate of the 31st of September", but(an[DocumentFiled](), func(e *DocumentFiled) { e.IssuedOn = "2025-09-31" }), "issued_on", "is not a day"},
		{"a certificate that is text", but(an[DocumentFiled](), func(e *DocumentFiled) { e.MediaType = "text/plain" }), "media_type", "JPEG, PNG or WebP photo, or a PDF"},
		{"a certificate of other bytes", but(an[DocumentFiled](), func(e *DocumentFiled) { e.Bytes = []byte("x") }), "document", "changed on its way"},
		{"stock of less than none added", but(an[FitUpDone](), func(e *FitUpDone) { e.Faces = []Face{{Face: "+X", Added: mm("-0.1")}} }), "faces", "The stock added at +X is -0.1 mm"},
		{"the photo of another insert", but(an[FitUpDone](), func(e *FitUpDone) {
			e.Photos = []DocumentAdded{but(an[DocumentAdded](), func(p *DocumentAdded) { p.OnCode = "I-0030" }).(DocumentAdded)}
		}), "photo", "the fit is of insert I-0029"},
		{"a photo that is none", but(an[FitUpDone](), func(e *FitUpDone) {
			e.Photos = []DocumentAdded{but(an[DocumentAdded](), func(p *DocumentAdded) { p.MediaType = "text/html" }).(DocumentAdded)}
		}), "photo", "text/html"},
		{"a drill that took less than no time", but(an[TraceDrilled](), func(e *TraceDrilled) { e.Took = -1 }), "took", "no result"},
		{"a containment of nothing", but(an[ContainmentBegun](), func(e *ContainmentBegun) { e.Inserts = nil }), "inserts", "choose at least one"},
		{"a hold lifted twice at once", but(an[ContainmentLifted](), func(e *ContainmentLifted) { e.Holds = []string{"H-007", "H-007"} }), "holds", "twice"},
		{"a return to the printer", but(an[InsertReturned](), func(e *InsertReturned) { e.Back = OpPrint }), "back", "inspection, fit-up"},
		{"an insert back twice", but(an[MouldReturned](), func(e *MouldReturned) { e.Inserts = []string{"I-0029", "I-0029"} }), "inserts", "twice"},
		{"cutting time without a cutter", but(an[LayersMade](), func(e *LayersMade) { e.Pass, e.Cutter = 0, "" }), "cutter", "missing"},
		{"a thermocouple of no letter", but(an[SensorFitted](), func(e *SensorFitted) { e.Type = "X" }), "type", "IEC 60584-1"},
		{"a SAT read in the other unit", but(an[SensorTested](), func(e *SensorTested) { e.SetPoint = MustReading("2444", "C") }), "set_point", "100 to 2000"},
		{"readings far apart", but(an[SensorTested](), func(e *SensorTested) { e.Reference = MustReading("1340", "F") }), "reference", "look at their units"},
		{"a SAT that passed for ever", but(an[SensorTested](), func(e *SensorTested) { e.Due = "" }), "due", "missing"},
		{"a zone twice", but(an[FurnaceSurveyed](), func(e *FurnaceSurveyed) { e.Zones = []ZoneOff{e.Zones[0], e.Zones[0]} }), "zones.2", "twice"},
		{"a zone not measured", but(an[FurnaceSurveyed](), func(e *FurnaceSurveyed) { e.Zones = []ZoneOff{{Zone: "top"}} }), "zones.1", "type 0"},
		{"a safety test that is none", but(an[FurnaceTestRecorded](), func(e *FurnaceTestRecorded) { e.Test = "paint" }), "test", "interlock"},
		{"a safety test asked for twice", but(an[FurnaceTestsSet](), func(e *FurnaceTestsSet) { e.Tests = []string{"purge", "purge"} }), "tests", "purge"},
		{"a recipe for printing", but(an[RecipeReleased](), func(e *RecipeReleased) { e.For = OpPrint }), "for", "sintering or tempering"},
		{"a dew point in another unit", but(an[RecipeReleased](), func(e *RecipeReleased) { e.DewPoint = deg("233") }), "dew_point", "-100 to 40"},
		{"a setter past its life", but(an[SetterAdded](), func(e *SetterAdded) { e.Cycles = 151 }), "cycles", "0 to its life of 150"},
		{"an oven as hot as a furnace", but(an[OvenAdded](), func(e *OvenAdded) { e.Limit = deg("1300") }), "limit", "20 to 1200"},
		{"a carrier that is a box", but(an[CarrierAdded](), func(e *CarrierAdded) { e.Type = "box" }), "type", "plate or a tray"},
		{"an offset of 3 mm", but(an[CutterFitted](), func(e *CutterFitted) { e.Offset = mm("3") }), "offset", "slip of sign or unit"},
		{"work on a person", but(an[EquipmentServiced](), func(e *EquipmentServiced) { e.OnKind = "person" }), "on_kind", "machine"},
		{"safety that only asks", but(an[PolicySet](), func(e *PolicySet) { e.Gate, e.Mode = FurnaceSafe.Name, Warn }), "mode", "always stops"},
		{"a clock off by days", but(an[LoadClosed](), func(e *LoadClosed) { e.Clock = MustReading("25", "h") }), "clock", "slip"},
		{"1 + s for the factor", but(an[FactorSet](), func(e *FactorSet) { e.K = times("1.1680") }), "k", "1 + s"},
		{"digits of the factor swapped", but(an[FactorSet](), func(e *FactorSet) { e.K = times("1.2109") }), "k", "1.2019"},
		{"a factor along a diagonal", but(an[FactorSet](), func(e *FactorSet) { e.Axis = "XY" }), "axis", "X, Y or Z"},
		{"a chance as a fraction", but(an[LimitSet](), func(e *LimitSet) { e.Limit, e.Value = GreenChance, MustReading("0.8", "%") }), "value", "from 1 to 100 %"},
		{"a chance above all", but(an[LimitSet](), func(e *LimitSet) { e.Limit, e.Value = GreenChance, MustReading("800", "%") }), "value", "from 1 to 100 %"},
		{"kilograms for grams", but(an[LimitSet](), func(e *LimitSet) { e.Limit, e.Value = UnexplainedMass, MustReading("10", "kg") }), "value", "Another unit"},
		{"a plan of one coupon", but(an[QualificationPlanned](), func(e *QualificationPlanned) { e.Coupons = 1 }), "coupons", "at least 2"},
		{"a plan of no coupons of another design", but(an[QualificationPlanned](), func(e *QualificationPlanned) { e.Further = []PlannedCoupons{{0, "CP25", "A"}} }), "further.1", "coupons of CP25"},
		{"a plan of one design twice", but(an[QualificationPlanned](), func(e *QualificationPlanned) { e.Further = []PlannedCoupons{{3, "CP40", "B"}} }), "further.1", "planned twice"},
		{"a plan of less than no first inserts", but(an[QualificationPlanned](), func(e *QualificationPlanned) { e.Firsts = -1 }), "first_inserts", "from 0 to 200"},
		{"a first insert named twice", but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.Firsts = []string{"I-1", "I-1"} }), "first_inserts", "named twice"},
		{"a plan along no axis there is", but(an[QualificationPlanned](), func(e *QualificationPlanned) { e.Axes = []string{"XY"} }), "axes", "X, Y or Z"},
		{"a plan along one axis twice", but(an[QualificationPlanned](), func(e *QualificationPlanned) { e.Axes = []string{"X", "X"} }), "axes", "named twice"},
		{"a shrinkage as a fraction", but(an[FactorSet](), func(e *FactorSet) { e.S = MustReading("0.1680", "%") }), "s", "as 16.80 %"},
		{"a factor in percent", but(an[FactorSet](), func(e *FactorSet) { e.K = times("16.80") }), "k", "looks like the shrinkage in percent"},
		{"1 + s proposed", line(func(l *ProposedFactor) { l.K = times("1.1838") }), "lines.1.k", "1 + s"},
		{"digits of a proposed factor swapped", line(func(l *ProposedFactor) { l.K = times("1.2522") }), "lines.1.k", "two digits of 1.2252 swapped"},
		{"a proposed shrinkage as a fraction", line(func(l *ProposedFactor) { l.S = MustReading("0.1838", "%") }), "lines.1.s", "as 18.38 %"},
		{"an interval as a fraction", line(func(l *ProposedFactor) { l.Low = MustReading("0.1831", "%") }), "lines.1.low", "as 18.31 %"},
		{"outside its own interval", line(func(l *ProposedFactor) { l.High = MustReading("18.35", "%") }), "lines.1.s", "outside its own interval"},
		{"an upper end as a fraction", line(func(l *ProposedFactor) { l.High = MustReading("0.1844", "%") }), "lines.1.high", "as 18.44 %"},
		{"an interval up to the whole", line(func(l *ProposedFactor) { l.High = MustReading("100", "%") }), "lines.1.high", "less than 100 %"},
		{"an interval the other way round", line(func(l *ProposedFactor) { l.Low, l.High = l.High, l.Low }), "lines.1.low", "the lower end comes first"},
		{"measured, but nobody said how often", line(func(l *ProposedFactor) { l.N = 0 }), "lines.1.n", "from 1 to"},
		{"measured without an interval", line(func(l *ProposedFactor) { l.Low = Reading{} }), "lines.1.low", "missing"},
		{"measured and taken from another axis", line(func(l *ProposedFactor) { l.TakenFrom = "X" }), "lines.1.taken_from", "was measured"},
		{"found nobody knows how", line(func(l *ProposedFactor) { l.Method = "" }), "lines.1.method", "missing"},
		{"along a diagonal", line(func(l *ProposedFactor) { l.Axis = "XY" }), "lines.1", "X, Y or Z"},
		{"taken from itself", but(an[FactorProposed](), func(e *FactorProposed) {
			e.Lines = []ProposedFactor{{Axis: "Y", S: MustReading("16.85", "%"), K: times("1.2026"), Method: OtherAxis, TakenFrom: "Y"}}
		}), "lines.1.taken_from", "from which other axis"},
		{"not measured, with an interval", but(an[FactorProposed](), func(e *FactorProposed) {
			e.Lines = []ProposedFactor{{Axis: "Y", S: MustReading("16.85", "%"), K: times("1.2026"), Low: MustReading("16.80", "%"), Method: OtherAxis, TakenFrom: "X"}}
		}), "lines.1.low", "has no interval"},
		{"an axis proposed twice", but(an[FactorProposed](), func(e *FactorProposed) { e.Lines = []ProposedFactor{e.Lines[0], e.Lines[0]} }), "lines.2", "twice"},
		{"a proposal dropped somehow", but(an[FactorProposalDropped](), func(e *FactorProposalDropped) { e.How = "lost" }), "how", `"lost"`},
		{"the document of another lot", but(an[CertificateEntered](), func(e *CertificateEntered) { e.Filed = new(an[DocumentFiled]()); e.Filed.OnCode = "L2509-B" }), "type", "that of lot L2509-B"},
		{"a certificate whose document is none", but(an[CertificateEntered](), func(e *CertificateEntered) {
			e.Filed = new(an[DocumentFiled]())
			e.Filed.MediaType = "text/html"
		}), "media_type", "text/html"},
		{"a value that is a word", but(an[CertificateEntered](), func(e *CertificateEntered) { e.Lines = []CertificateLine{{"carbon", "low", "wt%", "", ""}} }), "lines.1", `"low"`},
		{"limits the other way round", but(an[CertificateEntered](), func(e *CertificateEntered) { e.Lines = []CertificateLine{{"carbon", "0.4", "wt%", "0.5", "0.3"}} }), "lines.1", "above the upper"},
		{"a coupon for show", but(an[CouponMade](), func(e *CouponMade) { e.For = "show" }), "for", "receipt or for a run"},
		{"a coupon made at a slipped factor", but(an[CouponMade](), func(e *CouponMade) { e.KX = times("12.011") }), "kx", "from 1.10 to 1.30"},
		{"a coupon read hot", but(an[CouponMeasured](), func(e *CouponMeasured) { e.PartTemp = deg("180") }), "part_temp", "let it come to 20"},
		{"a coupon read warm", but(an[CouponMeasured](), func(e *CouponMeasured) { e.Stage = "warm" }), "stage", "green or sintered"},
		{"a green size along no axis", but(an[GreenMeasured](), func(e *GreenMeasured) { e.Axis = "" }), "axis", "X, Y or Z"},
		{"dry at a change of 5 %", but(an[DryingStarted](), func(e *DryingStarted) { e.Constant = MustReading("5", "%") }), "constant_mass", "0.05 to 0.1"},
		{"a band the other way round", but(an[LotReceived](), func(e *LotReceived) { e.DryingLow = MustReading("9.9", "%") }), "drying_low", "above the upper"},
		{"a mark by felt pen", but(an[InsertMarked](), func(e *InsertMarked) { e.How = "felt pen" }), "how", "laser"},
		{"a permit around a hold", but(an[PermitGiven](), func(e *PermitGiven) { e.Gate = NotHeld.Name }), "gate", "No permit passes"},
		{"a permit around safety", but(an[PermitGiven](), func(e *PermitGiven) { e.Gate = FurnaceSafe.Name }), "gate", "No permit passes"},
		{"rework to nowhere", but(an[NonconformanceDecided](), func(e *NonconformanceDecided) { e.Back = "" }), "back", "final drying"},
		{"rework back to the printer", but(an[NonconformanceDecided](), func(e *NonconformanceDecided) { e.Back = OpPrint }), "back", "from which operation"},
		{"scrap that goes back", but(an[NonconformanceDecided](), func(e *NonconformanceDecided) { e.Disposition = ScrapIt }), "back", "reworked or repaired"},
		{"a decision in other words", but(an[NonconformanceDecided](), func(e *NonconformanceDecided) { e.Disposition = "ship it" }), "disposition", `"ship it"`},
		{"a decision about nothing", but(an[NonconformanceDecided](), func(e *NonconformanceDecided) { e.Inserts = nil }), "inserts", "at least one"},
		{"forms of no operation", but(an[FormsIssued](), func(e *FormsIssued) { e.Op = "polishing" }), "operation", `"polishing"`},
		{"no form handed out", but(an[FormsIssued](), func(e *FormsIssued) { e.Count = 0 }), "count", "from 1 to 40"},
		{"a cupboard of forms", but(an[FormsIssued](), func(e *FormsIssued) { e.Count = 41 }), "count", "from 1 to 40"},
		{"a form counted twice", but(an[FormsCounted](), func(e *FormsCounted) { e.Forms = []string{"PF-0012", "PF-0012"} }), "forms", "PF-0012"},
		{"more pieces than are named", but(an[ConcessionGiven](), func(e *ConcessionGiven) { e.Quantity = 3 }), "quantity", "3 pieces are allowed, and 2 are named"},
		{"no piece at all", but(an[ConcessionGiven](), func(e *ConcessionGiven) { e.Quantity = 0 }), "quantity", "1 or more"},
		{"a limit without an end", but(an[ConcessionGiven](), func(e *ConcessionGiven) { e.Limits = []ConcessionLimit{{Of: "hardness"}} }), "limits.1", "the least, the most, or both"},
		{"limits the wrong way round", but(an[ConcessionGiven](), func(e *ConcessionGiven) {
			e.Limits = []ConcessionLimit{{"length X", mm("40.1"), mm("39.9")}}
		}), "limits.1", "40.1 mm, is more than the most, 39.9 mm"},
		{"limits of two quantities", but(an[ConcessionGiven](), func(e *ConcessionGiven) {
			e.Limits = []ConcessionLimit{{"length X", mm("39.9"), MustReading("50", "HRC")}}
		}), "limits.1", "not of one quantity"},
		{"a zone of the machine", but(an[BookOpened](), func(e *BookOpened) { e.Zone = "Local" }), "zone", "Europe/Vienna"},
		{"an auditor who also prints", but(an[PersonAdded](), func(e *PersonAdded) { e.Roles = []Role{Auditor, PrintOperator} }), "roles", "no other role"},
		{"a role of another trade", but(an[PersonAdded](), func(e *PersonAdded) { e.Roles = []Role{"welder"} }), "roles", `"welder"`},
		{"a day that is not", but(an[PersonAdded](), func(e *PersonAdded) { e.From = "2025-02-29" }), "from", "2025-11-21"},
		{"a day and month exchanged", but(an[PersonAdded](), func(e *PersonAdded) { e.From = "21.11.2025" }), "from", "2025-11-21"},
		{"a last day that is no day", but(an[PersonChanged](), func(e *PersonChanged) { e.Until = "soon" }), "until", "last day"},
		{"a key of another kind", but(an[PersonKeysSet](), func(e *PersonKeysSet) { e.What = []string{"shoe size"} }), "what", "shoe size"},
		{"authorised backwards", but(an[PersonAuthorised](), func(e *PersonAuthorised) { e.Until = "2025-01-01" }), "until", "before the first day"},
		{"authorised for nothing we do", but(an[PersonAuthorised](), func(e *PersonAuthorised) { e.Operation = "casting" }), "operation", `"casting"`},
		{"a station for nothing we do", but(an[StationAdded](), func(e *StationAdded) { e.Operation = "casting" }), "operation", `"casting"`},
		{"a scan code with a wrong character", but(an[StationAdded](), func(e *StationAdded) { e.Code = "00ABCDEF91" }), "code", "check character"},
		{"a scan code in small letters", but(an[StationAdded](), func(e *StationAdded) { e.Code = ScanCode(strings.ToLower(string(testCode))) }), "code", "check character"},
		{"a limit that there is not", but(an[LimitSet](), func(e *LimitSet) { e.Limit = "the sky" }), "limit", `"the sky"`},
		{"a mass in percent", but(an[LimitSet](), func(e *LimitSet) { e.Value = MustReading("5", "%") }), "value", "its unit must be g, kg"},
		{"a limit of nothing", but(an[LimitSet](), func(e *LimitSet) { e.Value = grams("0") }), "value", "must be"},
		{"a volume in cm³ typed as mm³", but(an[DesignReleased](), func(e *DesignReleased) { e.Volume = MustReading("29.8", "mm3") }), "volume", "look at the unit"},
		{"a volume that the block does not hold", but(an[DesignReleased](), func(e *DesignReleased) { e.Volume = MustReading("31", "cm3") }), "volume", "30 cm³"},
		{"a density in kg/m³", but(an[LotReceived](), func(e *LotReceived) { e.WetDensity = MustReading("4350", "g/cm3") }), "wet_density", "kg/m³"},
		{"nothing sent back", but(an[ContainerReturned](), func(e *ContainerReturned) { e.Mass = grams("0") }), "mass", "must be"},
		{"a policy about no gate", but(an[PolicySet](), func(e *PolicySet) { e.Gate = "no rain" }), "gate", `"no rain"`},
		{"a policy about no operation", but(an[PolicySet](), func(e *PolicySet) { e.Op = "casting" }), "operation", `"casting"`},
		{"a mode that is not", but(an[PolicySet](), func(e *PolicySet) { e.Mode = "shout" }), "mode", "silent, warn or stop"},
		{"steps that do not count up", but(an[RouteReleased](), skipping), "steps.8", "count up from 1"},
		{"a route without sintering", but(an[RouteReleased](), without(OpSinter)), "steps", "sintering is missing"},
		{"a route without an end", but(an[RouteReleased](), without(OpDeliver)), "steps", "delivered is missing"},
		{"an operation twice", but(an[RouteReleased](), func(e *RouteReleased) {
			e.Steps = append(slices.Clone(e.Steps), RouteStep{Step: 9, Operation: OpPrint})
		}), "steps.9", "print stands twice"},
		{"an operation that we do not know", but(an[RouteReleased](), func(e *RouteReleased) {
			e.Steps = append(slices.Clone(e.Steps), RouteStep{Step: 9, Operation: "casting"})
		}), "steps.9", `"casting"`},
		{"a drawing in feet", but(an[DesignReleased](), func(e *DesignReleased) { e.DrawingUnit = "ft" }), "drawing_unit", "mm or in"},
		{"a size of nought", but(an[DesignReleased](), func(e *DesignReleased) { e.X = mm("0") }), "x", "more than zero"},
		{"201 layers between passes", but(an[DesignReleased](), func(e *DesignReleased) { e.LayersBetweenPasses = 201 }), "layers_between_passes", "1 to 200"},
		{"one characteristic twice", but(an[DesignReleased](), func(e *DesignReleased) { e.Characteristics = append(e.Characteristics[:1:1], e.Characteristics[0]) }), "characteristics", "CR40.1 stands twice"},
		{"limits exchanged", but(an[DesignReleased](), one(func(c *Characteristic) { c.Lower, c.Upper = c.Upper, c.Lower })), "characteristics.1", "lower limit"},
		{"limits that are one, in two units", but(an[DesignReleased](), one(func(c *Characteristic) {
			c.Nominal, c.Lower, c.Upper = Reading{}, MustReading("1.0000", "in"), mm("25.4")
		})), "characteristics.1", "lower limit"},
		{"a nominal above its limits", but(an[DesignReleased](), one(func(c *Characteristic) { c.Nominal = mm("41") })), "characteristics.1", "nominal"},
		{"a nominal below its only limit", but(an[DesignReleased](), one(func(c *Characteristic) { c.Nominal, c.Upper = mm("39"), Reading{} })), "characteristics.1", "nominal"},
		{"an axis that is not", but(an[DesignReleased](), one(func(c *Characteristic) { c.Axis = "W" })), "characteristics.1", "X, Y, Z or none"},
		{"a quantity that is not", but(an[DesignReleased](), one(func(c *Characteristic) { c.Kind = "colour" })), "characteristics.1", `"colour"`},
		{"a limit of another quantity", but(an[DesignReleased](), one(func(c *Characteristic) { c.Upper = MustReading("50", "HRC") })), "characteristics.1", "50 HRC"},
		{"a characteristic without a name", but(an[DesignReleased](), one(func(c *Characteristic) { c.Name = "" })), "characteristics.1", "CR40.1"},
		{"an order for none", but(an[OrderTaken](), func(e *OrderTaken) { e.Quantity = 0 }), "quantity", "1 or more"},
		{"changed to a quantity in words", but(an[OrderChanged](), func(e *OrderChanged) { e.Changes = []Change{{Field: "quantity", To: "three"}} }), "quantity", "whole number"},
		{"changed to half a piece", but(an[OrderChanged](), func(e *OrderChanged) { e.Changes = []Change{{Field: "quantity", To: "1.5"}} }), "quantity", "whole number"},
		{"changed to no day", but(an[OrderChanged](), func(e *OrderChanged) { e.Changes = []Change{{Field: "due", To: "tomorrow"}} }), "due", "2025-11-21"},
		{"changed in what stays", but(an[OrderChanged](), func(e *OrderChanged) { e.Changes = []Change{{Field: "design", To: "CV60"}} }), "changes", `"design"`},
		{"expired when it was mixed", but(an[LotReceived](), func(e *LotReceived) { e.ExpiresOn = "2025-08-12" }), "expires_on", "before the day it was mixed"},
		{"open for ever", but(an[LotReceived](), func(e *LotReceived) { e.OpenLifeDays = 366 }), "open_life_days", "1 to 365"},
		{"a label of another lot", but(an[LotReceived](), func(e *LotReceived) { e.Label = `]d210A20\x0d` }), "lot", "The supplier's label says lot A20; here stands L2509-A."},
		{"a label in doubt of another lot", but(an[LotReceived](), func(e *LotReceived) { e.Label = `]d210A2017270331` }), "lot", "says lot A20"},
		{"a label that is no scan", but(an[LotReceived](), func(e *LotReceived) { e.Label = `\n` }), "label", "not as a scan is kept"},
		{"a label of another container's lot", but(an[ContainerReceived](), func(e *ContainerReceived) { e.Label = `]d210A20` }), "lot", "says lot A20"},
		{"a label of another container", but(an[ContainerReceived](), func(e *ContainerReceived) { e.Serial = "J-0032" }), "serial", "says serial number J-0031; here stands J-0032"},
		{"a label of another article", but(an[ContainerReceived](), func(e *ContainerReceived) { e.Article = "" }), "article", "says article PX-7; here stands nothing"},
		{"an empty container", but(an[ContainerReceived](), func(e *ContainerReceived) { e.Mass = grams("0") }), "mass", "more than zero"},
		{"paste put back", but(an[PasteDrawn](), func(e *PasteDrawn) { e.Drawn = grams("-5") }), "drawn", "more than zero"},
		{"a purge of less than nothing", but(an[PasteDrawn](), func(e *PasteDrawn) { e.Purged = grams("-0.1") }), "purged", "less than zero"},
		{"layers backwards", but(an[PasteDrawn](), func(e *PasteDrawn) { e.FromLayer = 305 }), "to_layer", "from 305 to 304"},
		{"layers from nought", but(an[LayersMade](), func(e *LayersMade) { e.FromLayer = 0 }), "from_layer", "count up from 1"},
		{"a furnace place twice", but(an[FurnaceAdded](), func(e *FurnaceAdded) { e.Positions = []Position{{"T1", "top", "insert"}, {"T1", "top", "coupon"}} }), "positions", "T1 stands twice"},
		{"a furnace place for lunch", but(an[FurnaceAdded](), func(e *FurnaceAdded) { e.Positions = []Position{{"T1", "top", "lunch"}} }), "positions", `"lunch"`},
		{"shrinkage typed for oversize", but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.KX = times("0.1680") }), "kx", "1.10 to 1.30"},
		{"oversize turned over", but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.KY = times("0.8320") }), "ky", "green length divided by sintered"},
		{"oversize a hair too large", but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.KZ = times("1.3001") }), "kz", "1.10 to 1.30"},
		{"oversize to three decimals", but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.KX = times("1.202") }), "kx", "four decimals"},
		{"a hash in capitals", but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.ProgramHash = strings.ToUpper(programHash) }), "program_sha256", "64 digits"},
		{"a hash cut short", but(an[PrintStarted](), func(e *PrintStarted) { e.ProgramHash = programHash[:63] }), "program_sha256", "64 digits"},
		{"a lot that takes over from itself", but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.Further = []LayerLot{{Lot: e.Lot, FromLayer: 10}} }), "further.1", "cannot take over from itself"},
		{"a lot that takes over at the first layer", but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.Further = []LayerLot{{Lot: "L9", FromLayer: 1}} }), "further.1", "after 1"},
		{"a release in its own place", but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.Supersedes = e.Release }), "supersedes", "itself"},
		{"20001 layers", but(an[PrintStarted](), func(e *PrintStarted) { e.Layers = 20001 }), "layers", "1 to 20000"},
		{"a plate at 303 °F", but(an[PrintStarted](), func(e *PrintStarted) { e.Plate = MustReading("303", "F") }), "plate", "0 to 150 °C"},
		{"a pass without its cutter", but(an[LayersMade](), func(e *LayersMade) { e.Cutter = " " }), "cutter", "missing"},
		{"a pass below nought", but(an[LayersMade](), func(e *LayersMade) { e.Pass = -1 }), "pass", "count up from 1"},
		{"drying air at 231 °F", but(an[LayersMade](), func(e *LayersMade) { e.Air = MustReading("231", "F") }), "air", "10 to 110 °C"},
		{"an oven that is cold", but(an[DryingStarted](), func(e *DryingStarted) { e.Air = deg("9.9") }), "air", "10 to 110 °C"},
		{"a part that is hot", but(an[ResultRecorded](), func(e *ResultRecorded) { e.PartTemp = deg("60.1") }), "part_temp", "20 °C"},
		{"a result out of curiosity", but(an[ResultRecorded](), func(e *ResultRecorded) { e.Purpose = "curiosity" }), "purpose", "curiosity"},
		{"contact above all of it", but(an[FitUpDone](), func(e *FitUpDone) { e.Spotting = MustReading("101", "%") }), "spotting", "0 to 100 %"},
		{"a face that is not", but(an[FitUpDone](), func(e *FitUpDone) { e.Faces = []Face{{Face: "+Z"}} }), "faces", `"+Z"`},
		{"stock added by grinding", but(an[FitUpDone](), func(e *FitUpDone) { e.Faces = []Face{{Face: "+X", Removed: mm("-0.01")}} }), "faces", "+X"},
		{"a hold on the weather", but(an[HoldSet](), func(e *HoldSet) { e.OnKind = "weather" }), "on_kind", `"weather"`},
		{"a number of spaces", but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = "M301 " }), "mould", "space at its beginning or end"},
		{"a number that is a web address", but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = "M301?x=1" }), "mould", "label cannot carry"},
		{"a number with a line break", but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = "M3\n01" }), "mould", "label cannot carry"},
		{"a number with a mark nobody sees", but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = "M3\u200b01" }), "mould", "label cannot carry"},
		{"a number that reads backwards", but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = "M\u202e103" }), "mould", "label cannot carry"},
		{"a number in no encoding", but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = "M301\xff" }), "mould", "label cannot carry"},
		{"a number of 41 characters", but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = strings.Repeat("M", 41) }), "mould", "40 characters"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			wrong := wrongIn(t, tt.e)
			if !strings.Contains(wrong[tt.field], tt.says) || len(wrong) != 1 {
				t.Errorf("Valid says %q; want %q about %s alone", wrong, tt.says, tt.field)
			}
		})
	}
}

// TestValidAtTheEdges: the last value that is allowed is allowed.
func TestValidAtTheEdges(t *testing.T) {
	for name, e := range map[string]Event{
		"oversize 1.1000":         but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.KX = times("1.1000") }),
		"oversize 1.3000":         but(an[ReleaseDrafted](), func(e *ReleaseDrafted) { e.KX = times("1.3000") }),
		"plate at 302 °F":         but(an[PrintStarted](), func(e *PrintStarted) { e.Plate = MustReading("302", "F") }),
		"plate not measured":      but(an[PrintStarted](), func(e *PrintStarted) { e.Plate = Reading{} }),
		"drying air at 230 °F":    but(an[LayersMade](), func(e *LayersMade) { e.Air = MustReading("230", "F") }),
		"one layer, no pass":      but(an[LayersMade](), func(e *LayersMade) { e.FromLayer, e.ToLayer, e.Pass, e.Cutter, e.Cut = 5, 5, 0, "", Reading{} }),
		"no shim, typed as 0":     but(an[FitUpDone](), func(e *FitUpDone) { e.Shim = mm("0") }),
		"a label nobody can read": but(an[LotReceived](), func(e *LotReceived) { e.Label = `]d20109521234567898` }),
		"expires the day it was":  but(an[LotReceived](), func(e *LotReceived) { e.ExpiresOn = e.MadeOn }),
		"a number of 40":          but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = strings.Repeat("M", 40) }),
		"a number with an umlaut": but(an[MouldReceived](), func(e *MouldReceived) { e.Mould = "MÜ 301" }),
		"no tempering on route":   but(an[RouteReleased](), without(OpTemper)),
		"nominal on its limit":    but(an[DesignReleased](), one(func(c *Characteristic) { c.Nominal = c.Upper })),
		"one limit only":          but(an[DesignReleased](), one(func(c *Characteristic) { c.Lower = Reading{} })),
		"an interval of few":      line(func(l *ProposedFactor) { l.Low, l.High, l.N = MustReading("1.20", "%"), MustReading("35.56", "%"), 2 }),
		"authorised for shaping":  but(an[PersonAuthorised](), func(e *PersonAuthorised) { e.Operation = "shape" }),
	} {
		if wrong := wrongIn(t, e); wrong != nil {
			t.Errorf("%s is refused: %q", name, wrong)
		}
	}
}

// line is a proposal of one measured factor with something changed in it.
func line(change func(*ProposedFactor)) Event {
	return but(an[FactorProposed](), func(e *FactorProposed) {
		l := e.Lines[0]
		change(&l)
		e.Lines = []ProposedFactor{l}
	})
}
