package views

import (
	"fmt"
	"slices"

	"sinterbook/store/shop"
)

// The acts of a station, named as in their addresses.
const (
	ActPrintStart       = "print-start"
	ActPaste            = "paste"
	ActLayers           = "layers"
	ActPrintFinish      = "print-finish"
	ActDryingStart      = "drying-start"
	ActWeigh            = "weigh"
	ActDryingFinish     = "drying-finish"
	ActGreen            = "green"
	ActTemperingStart   = "tempering-start"
	ActTemperingFinish  = "tempering-finish"
	ActResult           = "result"
	ActInspectionFinish = "inspection-finish"
	ActFit              = "fit"
	ActStock            = "stock"
	ActCarrier          = "carrier"
	ActMark             = "mark"
	ActPause            = "pause"
	ActGoOn             = "go-on"
	ActHold             = "hold"
	ActPhoto            = "photo"
)

// The acts that have their own pages on a screen, and stand on paper forms.
const (
	ActOpen       = "open"
	ActCheck      = "check"
	ActLoadBegin  = "load-begin"
	ActLoadPlace  = "load-place"
	ActLoadClose  = "load-close"
	ActLoadUnload = "load-unload"
)

// actWords says in words what each act is: as a title, before it can be done, and
// on its button. Sinterbook records; the button never starts a machine.
var actWords = map[string]struct{ title, before, button string }{
	ActPrintStart:       {"Start the print", "Before the print can start", "Record the start of the print"},
	ActPaste:            {"Draw paste", "Before paste is drawn", "Record the paste drawn"},
	ActLayers:           {"Layers made", "While it is printed", "Record the layers"},
	ActPrintFinish:      {"Finish the print", "Before the print is finished", "Record the end of the print"},
	ActDryingStart:      {"Start final drying", "Before it goes into the oven", "Record the start of drying"},
	ActWeigh:            {"Weigh it", "While it dries", "Record the weighing"},
	ActGreen:            {"Measure it green", "Before it goes to the furnace", "Record the green size"},
	ActDryingFinish:     {"Finish final drying", "Before it leaves the oven", "Record the mass after drying"},
	ActTemperingStart:   {"Start tempering", "Before it is tempered", "Record the start of tempering"},
	ActTemperingFinish:  {"Finish tempering", "Before it leaves the oven", "Record the end of tempering"},
	ActResult:           {"Measure", "Before it is measured", "Record this reading"},
	ActInspectionFinish: {"Finish the inspection", "Before the inspection is finished", "Record the end of the inspection"},
	ActFit:              {"Fit it into its mould", "Before it is fitted", "Record the fit"},
	ActStock:            {"Put it to stock", "Before it goes to stock", "Put it to stock"},
	ActCarrier:          {"Move it to another carrier", "", "Record the move"},
	ActMark:             {"Mark it", "", "Record the mark"},
	ActPause:            {"Pause", "", "Record the pause"},
	ActGoOn:             {"Go on", "", "Record that it goes on"},
	ActHold:             {"Hold this insert", "", "Hold this insert"},
	ActPhoto:            {"Add a photo", "", "Keep the photo"},
	ActOpen:             {"Open a container", "", "Record that it was opened"},
	ActCheck:            {"Check a gauge", "", "Record the check"},
	ActLoadBegin:        {"Begin a load", "", "Begin the load"},
	ActLoadPlace:        {"Lay an insert in", "", "Lay it in"},
	ActLoadClose:        {"Close the door", "", "Record that the door was closed"},
	ActLoadUnload:       {"Unload: every serial is accounted for", "", "Record the unloading"},
}

// ActTitle names an act in words.
func ActTitle(act string) string { return actWords[act].title }

// StationOf is the address at which an insert is worked on.
func StationOf(insert string) string { return "/station/" + pathOf(insert) }

// ActOf is the address of the form of an act.
func ActOf(insert, act string) string { return StationOf(insert) + "?act=" + act }

// typedGates are the gates that can be asked only once a person has typed or
// scanned what they compare.
var typedGates = map[string]bool{
	shop.ProgramHash.Name: true, shop.OversizeOfRelease.Name: true, shop.PlaceFree.Name: true,
	shop.GaugeInCalibration.Name: true, shop.GaugeCheckPassed.Name: true, shop.GaugeCheckLimit.Name: true,
	shop.ConstantMass.Name: true, shop.LossInBand.Name: true, shop.GaugeCapable.Name: true, shop.SetterLife.Name: true, shop.RecipeIsReleased.Name: true,
	shop.LotOfRelease.Name: true, shop.DrawAsExpected.Name: true, shop.ContainerOpenLife.Name: true, shop.ContainerEnoughLeft.Name: true, shop.LayersDrawnOnce.Name: true, shop.PrintedAsDrawn.Name: true, shop.MouldOfOrder.Name: true,
}

// Typed reports whether a gate can be asked only once something was typed.
func Typed(gate string) bool { return typedGates[gate] }

// Needs are the gates of the act: passed, still to be answered by what is
// typed, or in the way.
func (p Work) Needs() []Need {
	var needs []Need
	for _, gate := range p.Gates {
		n := Need{Mark: "done", Text: p.gateWords(gate), Value: p.gateValue(gate)}
		at := slices.IndexFunc(p.Objections, func(o shop.Objection) bool { return o.Gate == gate })
		switch {
		case at >= 0 && p.Asks:
			n = Need{Mark: "open", Text: p.Objections[at].Why}
		case at >= 0:
			n = Need{Mark: "stopped", Text: p.Objections[at].Why}
		case typedGates[gate] && !p.Tried, gate == shop.InstructionRead.Name && p.ToRead != nil:
			n.Mark = "open"
		}
		if n.Text != "" {
			needs = append(needs, n)
		}
	}
	return needs
}

// gateWords say what a gate wants to be true; "" for what goes without saying.
func (p Work) gateWords(gate string) string {
	switch gate {
	case shop.NotHeld.Name:
		return "Nothing that it goes with is held"
	case shop.Authorised.Name:
		return fmt.Sprintf("Badge %s is authorised for %s", p.Person, p.Operation)
	case shop.InstructionRead.Name:
		if p.Instruction.Instruction != "" && p.Station != "" {
			return fmt.Sprintf("Badge %s has read the instruction", p.Person)
		}
	case shop.DesignCurrent.Name:
		return fmt.Sprintf("Revision %s of %s is in force", p.Insert.Revision, p.Insert.Design)
	case shop.ReleaseInForce.Name:
		return "Release is in force"
	case shop.ReleaseSignedTwice.Name:
		return "Release signed by two people"
	case shop.ReleaseCovers.Name:
		return "Release is for this machine"
	case shop.ProgramHash.Name:
		return "Program as released"
	case shop.OversizeOfRelease.Name:
		return "Oversize as released"
	case shop.LotReleasedInDate.Name:
		return "Paste lot released and in date"
	case shop.LotOfRelease.Name:
		return "Container of the release's lot"
	case shop.ContainerOpenLife.Name:
		return "Container within its open life"
	case shop.ContainerEnoughLeft.Name:
		return "Container holds enough"
	case shop.LayersDrawnOnce.Name:
		return "No layer is drawn for twice"
	case shop.PrintedAsDrawn.Name:
		return "Printed mass fits the paste drawn"
	case shop.MachineFree.Name:
		return "Machine is free"
	case shop.RecordsComplete.Name:
		return "Its records are complete"
	case shop.MouldOfOrder.Name:
		return "Mould as ordered"
	case shop.PlaceFree.Name:
		return "Place in the mould is free"
	case shop.FailHasNonconformance.Name:
		return "What failed has a nonconformance"
	case shop.NonconformanceClosed.Name:
		return "Nonconformances closed or conceded"
	case shop.CompensationOfLot.Name:
		return "Oversize as the lot's factors in force"
	case shop.AxesMeasured.Name:
		return "Lot measured in every axis"
	case shop.GreenPredictsGood.Name:
		return "Green sizes become sizes within their limits"
	case shop.ConstantMass.Name:
		return "At constant mass"
	case shop.LossInBand.Name:
		return "Drying loss in the lot's band"
	case shop.GaugeCapable.Name:
		return "Gauge fine enough for the tolerance"
	case shop.MachineInDate.Name:
		return "Machine checked and in date"
	case shop.CutterLife.Name:
		return "Cutter within its life"
	case shop.RecipeIsReleased.Name:
		return "Recipe released and in force"
	case shop.FurnaceTestsInDate.Name:
		return "SAT and TUS of the furnace in date"
	case shop.SetterLife.Name:
		return "Setter within its life"
	case shop.FurnaceSafe.Name:
		return "Safety tests of the furnace on record"
	case shop.GaugeInCalibration.Name:
		return "Gauge in calibration"
	case shop.GaugeCheckPassed.Name:
		return "Gauge checked on a block"
	case shop.GaugeCheckLimit.Name:
		return "Checked by its permissible error"
	}
	return ""
}

// gateValue is the figure that a gate looks at.
func (p Work) gateValue(gate string) string {
	switch gate {
	case shop.InstructionRead.Name:
		return p.Instruction.Name()
	case shop.ReleaseInForce.Name:
		return p.Release.Release
	case shop.ReleaseCovers.Name, shop.MachineFree.Name, shop.MachineInDate.Name:
		return p.Release.Machine
	case shop.ProgramHash.Name:
		return p.Release.Program
	case shop.LotReleasedInDate.Name, shop.LotOfRelease.Name:
		return p.Release.LotWords()
	case shop.MouldOfOrder.Name:
		return p.Order.Mould
	}
	return ""
}
