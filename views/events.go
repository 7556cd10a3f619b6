package views

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// Sentence says in words what an event says, with every value as it was typed.
func Sentence(e shop.Event, zone *time.Location) string {
	if said := ofPeople(e); said != "" {
		return said
	}
	if said := ofThings(e); said != "" {
		return said
	}
	if said := ofEquipment(e); said != "" {
		return said
	}
	if said := ofNonconformance(e); said != "" {
		return said
	}
	if said := ofRoute(e); said != "" {
		return said
	}
	if said := ofContainment(e, zone); said != "" {
		return said
	}
	switch e := e.(type) {
	case shop.InstructionAcknowledged:
		return fmt.Sprintf("Badge %s has read instruction %s revision %s.", e.Badge, e.Instruction, e.Revision)
	case shop.InstructionReleased:
		return instructionSentence(e, zone)
	case shop.KeptActLeftOut:
		return leftOutSentence(e, zone)
	case shop.OutageNoted:
		return fmt.Sprintf("The service was not there from %s until %s: %s", Stamp(e.From, zone), Stamp(e.Until, zone), full(e.Note))
	case shop.InsertMarked:
		return fmt.Sprintf("%s was marked (%s) with its own code, read back as %s.", e.Insert, e.How, e.Read.Grouped())
	case shop.PermitGiven:
		return fmt.Sprintf("Deviation permit %s lets %s pass the gate “%s” at %s, until %s: %s", e.Permit, e.Insert, e.Gate, e.Op, e.ExpiresOn, full(e.Why))
	case shop.LimitSet:
		return limitSentence(e, zone)
	case shop.PolicySet:
		return fmt.Sprintf("Gate “%s” at %s: %s from %s on%s.", e.Gate, e.Op, modeWord(e.Mode), Stamp(e.From, zone), opt(". Note: ", strings.TrimSuffix(e.Note, ".")))
	case shop.GateRefused:
		return refusedSentence(e)
	}
	return ""
}

// ofPeople is about the book itself, people, stations and tablets.
func ofPeople(e shop.Event) string {
	switch e := e.(type) {
	case shop.BookOpened:
		return fmt.Sprintf("The book of %s was opened. Its times are kept in %s; its checkpoints are verified by %s.", e.Site, e.Zone, e.Verifier)
	case shop.DocumentAdded:
		return documentSentence(e)
	case shop.FormsIssued:
		return issuedSentence(e)
	case shop.FormsCounted:
		return fmt.Sprintf("Seen still blank: %s.", shop.Listed(e.Forms))
	case shop.FormChecked:
		return fmt.Sprintf("Form %s was compared with what was typed in from it by a second person.", e.Form)
	case shop.KeyChanged:
		return fmt.Sprintf("Checkpoints are verified by another key from here on: %s.", e.Verifier)
	case shop.PersonAdded:
		return fmt.Sprintf("Badge %s was given to a person: %s, from %s%s.", e.Badge, shop.Person{Roles: e.Roles}.RoleWords(), e.From, scanCode(e.Code))
	case shop.PersonChanged:
		return fmt.Sprintf("Badge %s is now: %s%s.", e.Badge, shop.Person{Roles: e.Roles}.RoleWords(), opt(", last day ", string(e.Until)))
	case shop.PersonKeysSet:
		return fmt.Sprintf("Set for badge %s: %s. What it was set to is kept beside the log.", e.Badge, shop.Listed(e.What))
	case shop.NameErased:
		return fmt.Sprintf("The name, PIN and password of badge %s were erased.", e.Badge)
	case shop.PersonAuthorised:
		return fmt.Sprintf("Badge %s was authorised for %s from %s%s, training record %s.", e.Badge, e.Operation, e.From, opt(" to ", string(e.Until)), e.Evidence)
	case shop.StationAdded:
		return fmt.Sprintf("Station %s, %s, was set up for %s%s%s.", e.Station, e.Name, e.Operation, opt(", with ", e.Equipment), scanCode(e.Code))
	case shop.DeviceRegistered:
		return fmt.Sprintf("Tablet %s was registered at station %s.", e.Device, e.Station)
	}
	return ""
}

// ofThings is about what the shop has and orders: designs, lots, equipment,
// loads, moulds, holds.
func ofThings(e shop.Event) string {
	switch e := e.(type) {
	case shop.RouteReleased:
		return routeSentence(e)
	case shop.DesignReleased:
		return designSentence(e)
	case shop.OrderTaken:
		return fmt.Sprintf("Order %s of %s was taken: %d of %s, due %s, sizes in %s, %s%s.", e.Order, e.Customer, e.Quantity, e.Design, e.Due, e.Unit, forMould(e.Mould), opt(". Remark: ", strings.TrimSuffix(e.Remark, ".")))
	case shop.OrderChanged:
		return fmt.Sprintf("Order %s was changed: %s.", e.Order, changesSentence(e.Changes))
	case shop.MouldReceived:
		return fmt.Sprintf("Mould %s of %s was received%s.", e.Mould, e.Customer, scanCode(e.Code))
	case shop.LotReceived:
		return fmt.Sprintf("Lot %s of %s was received: mixed %s, last day of use %s, open life %s%s%s.", e.Lot, e.Material, e.MadeOn, e.ExpiresOn, days(e.OpenLifeDays), opt(", certificate ", e.Certificate)+opt(", supplied by ", e.Supplier)+opt(", maker's article ", e.Article)+taken(", drying loss from ", e.DryingLow)+taken(" to ", e.DryingHigh)+taken(", wet density ", e.WetDensity), scanCode(e.Code)+labelSentence(e.Label))
	case shop.CertificateEntered:
		var lines []string
		for _, l := range e.Lines {
			lines = append(lines, l.Words())
		}
		return fmt.Sprintf("The maker's certificate of lot %s was entered: %s.", e.Lot, strings.Join(lines, "; "))
	case shop.DocumentFiled:
		return filedSentence(e)
	case shop.FilingWithdrawn:
		return fmt.Sprintf("The document of entry %d was taken off %s %s: %s", e.Filing, e.OnKind, e.OnCode, full(e.Why))
	case shop.QualificationPlanned:
		return plannedSentence(e)
	case shop.FactorSet:
		return fmt.Sprintf("The factor of lot %s in %s is %s from here on, for a shrinkage of %s. It rests on: %s", e.Lot, e.Axis, e.K, e.S, full(e.Basis))
	case shop.LotChanged:
		return lotChangedSentence(e)
	case shop.FactorProposed:
		return proposedSentence(e)
	case shop.FactorApproved:
		return fmt.Sprintf("Proposal %s was approved: its factors of lot %s are in force from here on.%s", e.Proposal, e.Lot, differSentence(e.Differ))
	case shop.FactorProposalDropped:
		return fmt.Sprintf("Proposal %s for lot %s was %s: %s", e.Proposal, e.Lot, e.How, full(e.Why))
	case shop.PasteWasted:
		return fmt.Sprintf("%s of paste out of %s was thrown away: %s", e.Mass, e.Container, full(e.Why))
	case shop.ContainerWeighed:
		return fmt.Sprintf("Container %s was weighed: %s is left in it%s.", e.Container, e.Left, opt(". Note: ", strings.TrimSuffix(e.Note, ".")))
	case shop.ContainerScrapped:
		return fmt.Sprintf("Container %s was scrapped and %s of paste with it: %s", e.Container, e.Mass, full(e.Why))
	case shop.ContainerReturned:
		return fmt.Sprintf("Container %s was sent back to its maker with %s of paste in it%s: %s", e.Container, e.Mass, opt(", note ", e.Note), full(e.Why))
	case shop.DifferenceExplained:
		return fmt.Sprintf("The unexplained %s of container %s were looked into: %s", e.Difference, e.Container, full(e.Why))
	case shop.CouponMade:
		return fmt.Sprintf("Coupon %s of %s revision %s, a %s coupon, was printed on %s%s%s%s: %s, %s drawn from %s%s%s%s.", e.Coupon, e.Design, e.Revision, e.For, e.Machine, opt(" by release ", e.Release), opt(" beside ", e.With), opt(", oversize ", oversizeWords(e.Oversize())),
			layersWord(e.Layers), e.Drawn, e.Container, opt(" of lot ", e.Lot), taken(", purged ", e.Purged), scanCode(e.Code))
	case shop.CouponPlaced:
		return fmt.Sprintf("Coupon %s was laid in load %s at place %s%s%s%s.", e.Coupon, e.Load, e.Position, opt(", on setter ", e.Setter), opt(", lying ", e.Lying), taken(", drying loss ", e.Loss))
	case shop.CouponMeasured:
		return fmt.Sprintf("Coupon %s, %s, read %s in %s on %s%s%s.", e.Coupon, e.Stage, e.Value, e.Characteristic, e.Gauge, taken(", part at ", e.PartTemp), opt(": ", e.Verdict))
	case shop.LotReleased:
		return fmt.Sprintf("Lot %s was released for printing. It rests on: %s%s", e.Lot, full(e.Evidence), differSentence(e.Differ))
	case shop.ContainerReceived:
		return fmt.Sprintf("Container %s of lot %s was received with %s%s.", e.Container, e.Lot, e.Mass, opt(", maker's article ", e.Article)+opt(", maker's serial number ", e.Serial)+scanCode(e.Code)+labelSentence(e.Label))
	case shop.ContainerOpened:
		return fmt.Sprintf("Container %s%s was opened: its open life runs from here.", e.Container, opt(" of lot ", e.Lot))
	case shop.MachineAdded:
		return fmt.Sprintf("Machine %s was put on the floor, nozzle bore %s%s.", e.Machine, e.Nozzle, scanCode(e.Code))
	case shop.FurnaceAdded:
		return fmt.Sprintf("Furnace %s was put on the floor, with the places %s%s.", e.Furnace, positionsSentence(e.Positions)+limitsSentence(e.Limits), scanCode(e.Code))
	case shop.GaugeAdded:
		return fmt.Sprintf("Gauge %s, %s, %s, was entered in the register%s%s%s.", e.Gauge, e.Type, e.Range, taken(", resolution ", e.Resolution), taken(", permissible error ±", e.Error)+taken(", uncertainty ±", e.Uncertain), scanCode(e.Code))
	case shop.GaugeCalibrated:
		return calibrationSentence(e)
	case shop.GaugeChecked:
		return fmt.Sprintf("Gauge %s was checked: it read %s on a block of %s, limit ±%s%s.", e.Gauge, e.Read, e.Block, e.Limit, opt(": ", e.Verdict))
	case shop.ReleaseDrafted:
		return releaseSentence(e)
	case shop.ReleaseSigned:
		return fmt.Sprintf("Release %s was signed.", e.Release)
	case shop.ReleaseWithdrawn:
		return fmt.Sprintf("Release %s was withdrawn.", e.Release)
	case shop.LoadOpened:
		return fmt.Sprintf("Load %s was begun for furnace %s, recipe %s%s.", e.Load, e.Furnace, e.Recipe, scanCode(e.Code))
	case shop.LoadTakenOut:
		return fmt.Sprintf("%s was taken out of load %s before the door was closed.", e.Insert, e.Load)
	case shop.LoadClosed:
		return fmt.Sprintf("The door was closed on load %s and its recipe was started by hand%s%s.", e.Load, listedCoupons(e.Coupons), taken("; the logger's clock minus this one: ", e.Clock))
	case shop.LoadUnloaded:
		return fmt.Sprintf("Load %s was unloaded; scanned out: %s.", e.Load, shop.Listed(append(slices.Clone(e.Inserts), e.Coupons...)))
	case shop.MouldShipped:
		return fmt.Sprintf("Mould %s was delivered with %s, delivery note %s.", e.Mould, shop.Listed(e.Inserts), e.Note)
	case shop.MouldReturned:
		return fmt.Sprintf("Mould %s came back%s%s: %s", e.Mould, opt(" with ", shop.Listed(e.Inserts)), opt(", customer's note ", e.Note), full(e.Why)+recalledWords(e.Recalled))
	case shop.InsertReturned:
		return fmt.Sprintf("%s came back from the customer%s and is kept apart at %s; it goes on with %s: %s", e.Insert, opt(", note ", e.Note), e.Place, e.Back, full(e.Why)+recalledWords(e.Recalled))
	case shop.HoldSet:
		return fmt.Sprintf("Hold %s was set on %s %s%s: %s", e.Hold, e.OnKind, e.OnCode, opt(", containment ", e.Containment), full(e.Why))
	case shop.HoldLifted:
		return fmt.Sprintf("Hold %s on %s %s was lifted: %s", e.Hold, e.OnKind, e.OnCode, full(e.Why))
	}
	return ""
}

// listedCoupons names the coupons in a load.
func listedCoupons(coupons []string) string { return opt(", with the coupons ", shop.Listed(coupons)) }

// ofEquipment is about what the shop works with and how it is kept fit.
func ofEquipment(e shop.Event) string {
	switch e := e.(type) {
	case shop.SensorFitted:
		return fmt.Sprintf("Sensor %s, type %s, certificate %s, was fitted in zone %s of furnace %s%s.", e.Sensor, e.Type, e.Certificate, e.Zone, e.Furnace, scanCode(e.Code))
	case shop.SensorTested:
		return fmt.Sprintf("SAT of sensor %s at %s: the furnace read %s, the reference %s, limit ±%s: %s%s.", e.Sensor, e.SetPoint, e.Read, e.Reference, e.Limit, e.Verdict, opt(". Next due ", string(e.Due)))
	case shop.FurnaceSurveyed:
		var zones []string
		for _, z := range e.Zones {
			zones = append(zones, z.Zone+" "+z.Off.String())
		}
		return fmt.Sprintf("TUS of furnace %s at %s: off the set point %s, limit ±%s: %s%s.", e.Furnace, e.SetPoint, strings.Join(zones, ", "), e.Limit, e.Verdict, opt(". Next due ", string(e.Due)))
	case shop.FurnaceTestsSet:
		if len(e.Tests) == 0 {
			return fmt.Sprintf("Furnace %s needs no safety test on record before a run.", e.Furnace)
		}
		return fmt.Sprintf("Furnace %s needs on record before each run: %s.", e.Furnace, shop.Listed(e.Tests))
	case shop.FurnaceTestRecorded:
		return fmt.Sprintf("The %s test of furnace %s before load %s: %s%s.", e.Test, e.Furnace, e.Load, e.Verdict, opt(". Note: ", strings.TrimSuffix(e.Note, ".")))
	case shop.RecipeReleased:
		return fmt.Sprintf("Recipe %s was released for %s: soak %s less at most %s, for %s ± %s%s. Steps: %s", shop.RecipeName(e.Recipe, e.Revision), e.For, e.Soak, e.Band, e.Time, e.Tolerance, taken(", dew point at most ", e.DewPoint), full(e.Steps))
	case shop.SetterAdded:
		return fmt.Sprintf("Setter %s was put into use: %d runs behind it, life %d runs%s.", e.Setter, e.Cycles, e.Life, scanCode(e.Code))
	case shop.OvenAdded:
		return fmt.Sprintf("Oven %s was put on the floor: %d shelves, air at most %s%s.", e.Oven, e.Shelves, e.Limit, scanCode(e.Code))
	case shop.CarrierAdded:
		return fmt.Sprintf("Carrier %s, a %s, was put into use%s.", e.Carrier, e.Type, scanCode(e.Code))
	case shop.StepPaused:
		return pausedSentence(e)
	case shop.StepResumed:
		return fmt.Sprintf("%s of %s goes on%s.", OperationName(e.Op), e.Insert, opt(": ", strings.TrimSuffix(e.Note, ".")))
	case shop.CarrierChanged:
		return fmt.Sprintf("%s was moved to carrier %s: its identity goes with it.", e.Insert, e.Carrier)
	case shop.CutterFitted:
		return fmt.Sprintf("Cutter %s, diameter %s, was put into %s: life %s%s%s.", e.Cutter, e.Diameter, e.Machine, e.Life, taken(", radius offset ", e.Offset), scanCode(e.Code))
	case shop.CutterRemoved:
		return fmt.Sprintf("Cutter %s was taken out of %s.", e.Cutter, e.Machine)
	case shop.ControllerUpdated:
		return fmt.Sprintf("The controller of %s runs version %s from here on.", e.Machine, e.Version)
	case shop.MachineChecked:
		return fmt.Sprintf("The axes of machine %s were checked: %s%s%s.", e.Machine, e.Verdict, opt(", report ", e.Report), opt(". Next due ", string(e.Due)))
	case shop.EquipmentServiced:
		return fmt.Sprintf("Work on %s %s: %s", e.OnKind, e.OnCode, full(e.What))
	}
	return ""
}

// limitsSentence says by what a furnace is tested.
func limitsSentence(l shop.FurnaceLimits) string {
	said := taken("; SAT limit ±", l.SAT)
	if l.SATDays > 0 {
		said += " every " + days(l.SATDays)
	}
	said += taken(", TUS limit ±", l.TUS)
	if l.TUSDays > 0 {
		said += " every " + days(l.TUSDays)
	}
	return said
}

// ofRoute is about what happened to one insert on its route.
func ofRoute(e shop.Event) string {
	switch e := e.(type) {
	case shop.TravelerOpened:
		return fmt.Sprintf("The traveler of %s was opened: %s revision %s for order %s on route %s version %d%s%s%s.", e.Insert, e.Design, e.Revision, e.Order, e.Template, e.Version,
			opt(", in place of ", e.Replaces), opt(", scratched ", e.Scratch), scanCode(e.Code))
	case shop.ReleaseAssigned:
		return fmt.Sprintf("%s is to be printed by release %s.", e.Insert, e.Release)
	case shop.StepLeftOut:
		return fmt.Sprintf("The operation %s of %s was left out.", e.Op, e.Insert)
	case shop.InsertScrapped:
		return fmt.Sprintf("%s was scrapped: %s", e.Insert, full(e.Why))
	case shop.PrintStarted:
		return fmt.Sprintf("The print of %s was started on %s by release %s, on plate %s: %s planned, oversize X %s, Y %s, Z %s%s, program SHA-256 %s.", e.Insert, e.Machine, e.Release, e.Carrier,
			layersWord(e.Layers), e.KX, e.KY, e.KZ, taken(", plate at ", e.Plate)+taken(", room ", e.Room)+taken(", humidity ", e.Humidity)+opt(", controller ", e.Controller), e.ProgramHash)
	case shop.LayersMade:
		return layersSentence(e)
	case shop.PasteDrawn:
		return fmt.Sprintf("%s of paste was drawn from %s for %s, layers %d to %d%s.", e.Drawn, e.Container, e.Insert, e.FromLayer, e.ToLayer, taken(", purged ", e.Purged))
	case shop.PrintFinished:
		return fmt.Sprintf("The print of %s was finished: %s, %s as printed%s.", e.Insert, layersWord(e.LayersDone), e.Printed, remark(e.Remark))
	case shop.DryingStarted:
		return fmt.Sprintf("Final drying of %s was started in oven %s%s: air %s, mass before %s, dry once it changes by no more than %s in an hour.", e.Insert, e.Oven, opt(", shelf ", e.Shelf), e.Air, e.Wet, e.Constant)
	case shop.InsertWeighed:
		return fmt.Sprintf("%s weighed %s on %s.", e.Insert, e.Mass, e.Gauge)
	case shop.GreenMeasured:
		return fmt.Sprintf("%s is %s green in %s, read on %s.", e.Insert, e.Size, e.Axis, e.Gauge)
	case shop.DryingFinished:
		return fmt.Sprintf("Final drying of %s was finished: mass after %s%s.", e.Insert, e.Dry, taken(", loss ", e.Loss))
	case shop.LoadPlaced:
		return fmt.Sprintf("%s was laid in load %s at place %s%s.", e.Insert, e.Load, e.Position, opt(", on setter ", e.Setter)+opt(", lying ", e.Lying))
	case shop.TemperingStarted:
		return fmt.Sprintf("Tempering of %s was started in oven %s, recipe %s.", e.Insert, e.Oven, e.Recipe)
	case shop.TemperingFinished:
		return fmt.Sprintf("Tempering of %s was finished.", e.Insert)
	case shop.ResultRecorded:
		return fmt.Sprintf("Characteristic %s of %s was read %s with %s%s, %s%s.", e.Characteristic, e.Insert, e.Value, e.Gauge, taken(", part at ", e.PartTemp), e.Purpose, opt(": ", e.Verdict))
	case shop.InspectionFinished:
		return fmt.Sprintf("The inspection of %s was finished.", e.Insert)
	case shop.FitUpDone:
		return fitSentence(e)
	case shop.PutToStock:
		return fmt.Sprintf("%s was put to stock, %s.", e.Insert, e.Place)
	}
	return ""
}

func refusedSentence(e shop.GateRefused) string {
	var said []string
	for _, o := range e.Objections {
		said = append(said, fmt.Sprintf("%s Gate “%s”; clears it: %s.", o.Why, o.Gate, o.Lift))
		for _, c := range o.Compared {
			said = append(said, fmt.Sprintf("%s: %srelease %s, lot %s %s.", c.Axis, machineWord(c.Machine), c.Release, c.Lot, cmp.Or(c.Factor, "has none in force")))
		}
	}
	return "Refused: " + Deed(e.Tried) + ". " + strings.Join(said, " ") + " Nothing else changed."
}

// deeds say what was tried when a gate said no.
var deeds = map[string]string{
	"release-assigned": "to assign a release", "step-left-out": "to leave an operation out", "print-started": "to start the print",
	"layers-made": "to record layers", "insert-weighed": "to weigh it", "green-measured": "to measure it green", "paste-drawn": "to draw paste", "print-finished": "to finish the print",
	"drying-started": "to start final drying", "drying-finished": "to finish final drying", "load-placed": "to lay it in a load", "load-closed": "to close the door of a load", "mould-shipped": "to deliver a mould",
	"tempering-started": "to start tempering", "tempering-finished": "to finish tempering", "result-recorded": "to record a reading",
	"coupon-made": "to print a coupon", "coupon-measured": "to measure a coupon",
	"lot-released": "to release a lot", "factor-proposed": "to propose factors", "lot-changed": "to change the lot within a print", "factor-set": "to put a factor into force", "release-drafted": "to draft a release", "release-signed": "to sign a release",
	"inspection-finished": "to finish the inspection", "fit-up-done": "to record a fit-up", "put-to-stock": "to put it to stock",
	"container-received": "to receive a container", "container-weighed": "to weigh a container",
}

// Deed is the act of a kind of event in words, as in "to start the print".
func Deed(kind string) string {
	if d := deeds[kind]; d != "" {
		return d
	}
	return "to record " + kind
}

func routeSentence(e shop.RouteReleased) string {
	var steps []string
	for _, s := range e.Steps {
		step := strconv.Itoa(s.Step) + " " + s.Operation
		if len(s.Group) > 0 {
			step += " (" + shop.Listed(s.Group) + " by layer)"
		}
		if s.Optional {
			step += " (may be left out)"
		}
		steps = append(steps, step)
	}
	return fmt.Sprintf("Route %s version %d was released: %s.", e.Template, e.Version, strings.Join(steps, "; "))
}

func calibrationSentence(e shop.GaugeCalibrated) string {
	var points []string
	for _, p := range e.Points {
		points = append(points, fmt.Sprintf("at %s %s too much%s", p.Point, p.AsFound, taken(", set to ", p.AsLeft)))
	}
	return fmt.Sprintf("Gauge %s was calibrated, certificate %s: %s%s. It read %s.", e.Gauge, e.Certificate, e.Verdict, opt(", next due ", string(e.Due)), strings.Join(points, "; "))
}

func designSentence(e shop.DesignReleased) string {
	var said []string
	for _, c := range e.Characteristics {
		one := c.Number + " " + c.Name + opt(" ", c.Axis) + taken(", nominal ", c.Nominal) + ", " + c.Limits()
		if c.Key {
			one += ", key"
		}
		said = append(said, one+opt(", by ", c.How))
	}
	return fmt.Sprintf("%s revision %s, %s, of %s was released: %s × %s × %s%s, layers of %s, a shaping pass every %d, built %s, drawing in %s. Characteristics: %s.", e.Design, e.Revision, e.Name, e.Material,
		e.X, e.Y, e.Z, taken(", volume ", e.Volume), e.Layer, e.LayersBetweenPasses, e.Orientation, e.DrawingUnit, strings.Join(said, "; "))
}

// plannedSentence says by what a lot is to be qualified.
func plannedSentence(e shop.QualificationPlanned) string {
	var what []string
	for _, k := range e.Kinds() {
		what = append(what, fmt.Sprintf("%s of %s revision %s", plural(k.Coupons, "coupon"), k.Design, k.Revision))
	}
	if e.Firsts > 0 {
		what = append(what, plural(e.Firsts, "first insert"))
	}
	return fmt.Sprintf("Lot %s is to be qualified by %s, measured along %s of the build%s.", e.Lot, shop.Listed(what), strings.Join(e.Axes, ", "), opt(". Note: ", strings.TrimSuffix(e.Note, ".")))
}

func releaseSentence(e shop.ReleaseDrafted) string {
	return fmt.Sprintf("Release %s was written%s%s: %s revision %s of lot %s on %s, recipe %s, built %s, oversize X %s, Y %s, Z %s. It rests on: %s Program %s, SHA-256 %s.", e.Release, opt(" in place of ", e.Supersedes), opt(" for no other inserts than ", strings.Join(e.Firsts, ", ")),
		e.Design, e.Revision, shop.Release{Lot: e.Lot, Further: e.Further}.LotWords(), e.Machine, e.Recipe, e.Orientation, e.KX, e.KY, e.KZ, full(e.Evidence), e.Program, e.ProgramHash)
}

// differSentence names the releases that a lot's factors leave behind.
func differSentence(releases []string) string {
	if len(releases) == 0 {
		return ""
	}
	return " Open releases with other factors, by which no print may start: " + strings.Join(releases, ", ") + "."
}

func machineWord(k string) string {
	if k == "" {
		return ""
	}
	return "machine " + k + ", "
}

func lotChangedSentence(e shop.LotChanged) string {
	var said []string
	for _, f := range e.Factors {
		said = append(said, fmt.Sprintf("%s %s %s", f.Lot, f.Axis, f.K))
	}
	return fmt.Sprintf("From layer %d on lot %s takes over from lot %s in the print of %s: %s%s", e.FromLayer, e.To, e.From, e.Insert, full(e.Why), factorsInForce(said))
}

func factorsInForce(said []string) string {
	if len(said) == 0 {
		return ""
	}
	return " Factors in force: " + strings.Join(said, ", ") + "."
}

func proposedSentence(e shop.FactorProposed) string {
	var said []string
	for _, l := range e.Lines {
		line := fmt.Sprintf("%s %s for a shrinkage of %s, %s", l.Axis, l.K, l.S, l.Method)
		if l.Low.Taken() {
			line += fmt.Sprintf(" from %s to %s with 95 %%, %d of them", l.Low, l.High, l.N)
		}
		said = append(said, line+opt(", taken from ", l.TakenFrom))
	}
	return fmt.Sprintf("%s proposes factors of lot %s: %s. They rest on: %s", e.Proposal, e.Lot, strings.Join(said, "; "), full(strings.TrimSuffix(e.Basis, ".")+opt("; kept as: ", e.Evidence)))
}

func layersSentence(e shop.LayersMade) string {
	said := fmt.Sprintf("Layers %d to %d of %s were made", e.FromLayer, e.ToLayer, e.Insert)
	if e.FromLayer == e.ToLayer {
		said = fmt.Sprintf("Layer %d of %s was made", e.FromLayer, e.Insert)
	}
	said += taken(", dried for ", e.Dried) + taken(", air ", e.Air)
	if e.Pass > 0 {
		said += fmt.Sprintf(", shaping pass %d", e.Pass)
	}
	said += opt(", cutter ", e.Cutter) + taken(" cut for ", e.Cut)
	return said + taken(", probe ", e.Probe) + remark(e.Remark) + "."
}

func fitSentence(e shop.FitUpDone) string {
	said := fmt.Sprintf("%s was fitted in mould %s at place %s: shim %s%s%s%s%s%s%s", e.Insert, e.Mould, e.Place, e.Shim, taken(", pocket X ", e.PocketX), taken(", pocket Y ", e.PocketY),
		taken(", gap X ", e.GapX), taken(", gap Y ", e.GapY), taken(", spotting contact ", e.Spotting), taken(", time taken ", e.Hours))
	for _, f := range e.Faces {
		said += "; face " + f.Face + taken(" removed ", f.Removed) + taken(" added ", f.Added) + taken(" shim ", f.Shim)
	}
	return said + opt(". Note: ", strings.TrimSuffix(e.Note, ".")) + "."
}

func changesSentence(changes []shop.Change) string {
	var said []string
	for _, c := range changes {
		said = append(said, fmt.Sprintf("%s from %s to %s", c.Field, quoted(c.From), quoted(c.To)))
	}
	return strings.Join(said, "; ")
}

func positionsSentence(all []shop.Position) string {
	var said []string
	for _, p := range all {
		word := p.Position + opt(" ", p.Zone)
		if p.Use == "coupon" {
			word += " for a coupon"
		}
		said = append(said, word)
	}
	return strings.Join(said, ", ")
}

func modeWord(m shop.Mode) string {
	switch m {
	case shop.Silent:
		return "not asked"
	case shop.Warn:
		return "asks for a reason"
	}
	return "stops"
}

func forMould(mould string) string {
	if mould == "" {
		return "for stock"
	}
	return "for mould " + mould
}

// opt is a phrase that is only said when there is something to say.
// labelSentence is the text of the supplier's labels behind a receipt.
func labelSentence(label string) string {
	return opt("; the supplier's label was scanned as ", strings.ReplaceAll(label, "\n", ", and another as "))
}

func opt(before, text string) string {
	if text == "" {
		return ""
	}
	return before + text
}

func taken(before string, r shop.Reading) string {
	if !r.Taken() {
		return ""
	}
	return before + r.String()
}

func remark(text string) string { return opt(". Remark: ", strings.TrimSuffix(text, ".")) }

func scanCode(c shop.ScanCode) string { return opt(", scan code ", c.Grouped()) }

// full ends what a person typed with a full stop, once.
func full(text string) string {
	if strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") || strings.HasSuffix(text, "!") {
		return text
	}
	return text + "."
}

func quoted(text string) string {
	if text == "" {
		return "nothing"
	}
	return "“" + text + "”"
}

func days(n int) string {
	if n == 1 {
		return WithUnit("1", "day")
	}
	return WithUnit(strconv.Itoa(n), "days")
}

func layersWord(n int) string {
	if n == 1 {
		return "1 layer"
	}
	return Whole(n) + " layers"
}
