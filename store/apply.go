package store

import (
	"context"
	"fmt"

	"sinterbook/store/shop"
)

// apply writes into the tables what an entry says. It takes every value from
// the entry, so that replaying the log makes the same rows.
func apply(ctx context.Context, q *session, seq int64, e shop.Entry) error {
	a := applying{ctx: ctx, q: q, seq: seq, Entry: e}
	for _, write := range []func() error{a.event, a.paper} {
		if err := write(); err != nil {
			return fmt.Errorf("applying %s: %w", e.Event.Kind(), err)
		}
	}
	return nil
}

// applying is one entry on its way into the tables. seq is the id of the row
// it makes.
type applying struct {
	ctx context.Context
	q   *session
	seq int64
	shop.Entry
}

func (a applying) event() error {
	switch e := a.Event.(type) {
	case shop.BookOpened:
		return a.bookOpened(e)
	case shop.KeyChanged:
		return a.keyChanged(e)
	case shop.PersonAdded:
		return a.personAdded(e)
	case shop.PersonChanged:
		return a.personChanged(e)
	case shop.PersonKeysSet:
		return a.personKeysSet(e)
	case shop.NameErased:
		return a.nameErased(e)
	case shop.PersonAuthorised:
		return a.personAuthorised(e)
	case shop.StationAdded:
		return a.stationAdded(e)
	case shop.DeviceRegistered:
		return a.deviceRegistered(e)
	case shop.PolicySet:
		return a.policySet(e)
	case shop.LimitSet:
		return a.limitSet(e)
	case shop.RouteReleased:
		return a.routeReleased(e)
	case shop.DesignReleased:
		return a.designReleased(e)
	case shop.StepPaused:
		return a.stepPaused(e)
	case shop.StepResumed:
		return a.stepResumed(e)
	case shop.OrderTaken:
		return a.orderTaken(e)
	case shop.OrderChanged:
		return a.orderChanged(e)
	case shop.MouldReceived:
		return a.mouldReceived(e)
	case shop.LotReceived:
		return a.lotReceived(e)
	case shop.LotReleased:
		return a.lotReleased(e)
	case shop.ContainerReceived:
		return a.containerReceived(e)
	case shop.ContainerOpened:
		return a.containerOpened(e)
	case shop.MachineAdded:
		return a.machineAdded(e)
	case shop.FurnaceAdded:
		return a.furnaceAdded(e)
	case shop.GaugeAdded:
		return a.gaugeAdded(e)
	case shop.GaugeCalibrated:
		return a.gaugeCalibrated(e)
	case shop.GaugeChecked:
		return a.gaugeChecked(e)
	case shop.ReleaseDrafted:
		return a.releaseDrafted(e)
	case shop.ReleaseSigned:
		return a.releaseSigned(e)
	case shop.ReleaseWithdrawn:
		return a.releaseWithdrawn(e)
	case shop.HoldSet:
		return a.holdSet(e)
	case shop.HoldLifted:
		return a.holdLifted(e)
	case shop.InstructionReleased:
		return a.instructionReleased(e)
	case shop.InstructionAcknowledged:
		return a.instructionAcknowledged(e)
	case shop.InsertMarked:
		return a.insertMarked(e)
	case shop.PermitGiven:
		return a.permitGiven(e)
	case shop.FormsIssued:
		return a.formsIssued(e)
	case shop.FormsCounted:
		return a.formsCounted(e)
	case shop.FormChecked:
		return a.formChecked(e)
	case shop.OutageNoted:
		return a.outageNoted(e)
	case shop.NonconformanceRaised:
		return a.nonconformanceRaised(e)
	case shop.NonconformanceDecided:
		return a.nonconformanceDecided(e)
	case shop.NonconformanceCancelled:
		return a.nonconformanceCancelled(e)
	case shop.ConcessionGiven:
		return a.concessionGiven(e)
	case shop.ConcessionWithdrawn:
		return a.concessionWithdrawn(e)
	case shop.GateRefused:
		return a.gateRefused(e)
	case shop.ContainmentBegun:
		return a.containmentBegun(e)
	case shop.KeptActLeftOut:
		return nil // it is an act that nothing followed from
	case shop.ContainmentLifted:
		return nil // the holds that it lifts are entries of their own
	case shop.NoticeSent:
		return a.noticeSent(e)
	case shop.NoticeAnswered:
		return a.noticeAnswered(e)
	case shop.TraceDrilled:
		return a.traceDrilled(e)
	case shop.DocumentFiled:
		return a.documentFiled(e)
	case shop.FilingWithdrawn:
		return a.filingWithdrawn(e)
	case shop.DocumentAdded:
		return a.documentAdded(e)
	}
	return a.onFloor()
}

// onFloor applies what happens to equipment.
func (a applying) onFloor() error {
	switch e := a.Event.(type) {
	case shop.SensorFitted:
		return a.sensorFitted(e)
	case shop.SensorTested:
		return a.sensorTested(e)
	case shop.FurnaceSurveyed:
		return a.furnaceSurveyed(e)
	case shop.FurnaceTestsSet:
		return a.furnaceTestsSet(e)
	case shop.FurnaceTestRecorded:
		return a.furnaceTestRecorded(e)
	case shop.RecipeReleased:
		return a.recipeReleased(e)
	case shop.SetterAdded:
		return a.setterAdded(e)
	case shop.OvenAdded:
		return a.ovenAdded(e)
	case shop.CarrierAdded:
		return a.carrierAdded(e)
	case shop.CarrierChanged:
		return a.carrierChanged(e)
	case shop.CutterFitted:
		return a.cutterFitted(e)
	case shop.CutterRemoved:
		return a.cutterRemoved(e)
	case shop.ControllerUpdated:
		return a.controllerUpdated(e)
	case shop.MachineChecked:
		return a.machineChecked(e)
	case shop.EquipmentServiced:
		return a.equipmentServiced(e)
	}
	return a.ofPaste()
}

// ofPaste applies what becomes of paste, and what is known of a part before it
// is fired.
func (a applying) ofPaste() error {
	switch e := a.Event.(type) {
	case shop.QualificationPlanned:
		return a.qualificationPlanned(e)
	case shop.CertificateEntered:
		return a.certificateEntered(e)
	case shop.FactorSet:
		return a.factorSet(e)
	case shop.FactorProposed:
		return a.factorProposed(e)
	case shop.FactorApproved:
		return a.factorDecided(e.Proposal, shop.Approved, a.Meaning)
	case shop.FactorProposalDropped:
		return a.factorDecided(e.Proposal, e.How, e.Why)
	case shop.PasteWasted:
		return a.pasteWasted(e)
	case shop.ContainerWeighed:
		return a.containerWeighed(e)
	case shop.ContainerScrapped:
		return a.containerScrapped(e)
	case shop.ContainerReturned:
		return a.containerReturned(e)
	case shop.DifferenceExplained:
		return a.differenceExplained(e)
	case shop.CouponMade:
		return a.couponMade(e)
	case shop.CouponPlaced:
		return a.couponPlaced(e)
	case shop.CouponMeasured:
		return a.couponMeasured(e)
	case shop.InsertWeighed:
		return a.insertWeighed(e)
	case shop.GreenMeasured:
		return a.greenMeasured(e)
	}
	return a.onTraveler()
}

// onTraveler applies what happens to an insert on its route.
func (a applying) onTraveler() error {
	switch e := a.Event.(type) {
	case shop.TravelerOpened:
		return a.travelerOpened(e)
	case shop.ReleaseAssigned:
		return a.releaseAssigned(e)
	case shop.StepLeftOut:
		return a.stepLeftOut(e)
	case shop.InsertScrapped:
		return a.insertScrapped(e)
	case shop.PrintStarted:
		return a.printStarted(e)
	case shop.LotChanged:
		return a.lotChanged(e)
	case shop.LayersMade:
		return a.layersMade(e)
	case shop.PasteDrawn:
		return a.pasteDrawn(e)
	case shop.PrintFinished:
		return a.printFinished(e)
	case shop.DryingStarted:
		return a.dryingStarted(e)
	case shop.DryingFinished:
		return a.dryingFinished(e)
	case shop.LoadOpened:
		return a.loadOpened(e)
	case shop.LoadPlaced:
		return a.loadPlaced(e)
	case shop.LoadTakenOut:
		return a.loadTakenOut(e)
	case shop.LoadClosed:
		return a.loadClosed(e)
	case shop.LoadUnloaded:
		return a.loadUnloaded(e)
	case shop.TemperingStarted:
		return a.temperingStarted(e)
	case shop.TemperingFinished:
		return a.temperingFinished(e)
	case shop.ResultRecorded:
		return a.resultRecorded(e)
	case shop.InspectionFinished:
		return a.inspectionFinished(e)
	case shop.FitUpDone:
		return a.fitUpDone(e)
	case shop.MouldShipped:
		return a.mouldShipped(e)
	case shop.MouldReturned:
		return a.mouldReturned(e)
	case shop.InsertReturned:
		return a.insertReturned(e)
	case shop.PutToStock:
		return a.putToStock(e)
	}
	return fmt.Errorf("no table takes it")
}

// exec runs a statement that writes rows, now or before anybody reads them.
func (a applying) exec(query string, args ...any) error {
	return a.q.later(a.ctx, query, args...)
}

// add inserts the row of a new thing; one of that number may not stand.
func (a applying) add(kind, number, query string, args ...any) error {
	_, err := a.q.ExecContext(a.ctx, query, args...)
	if kindOf(err) == shop.ErrConflict {
		return shop.Conflict("There is already %s %s %s in this book.", shop.Article(kind), kind, number)
	}
	return err
}

// code gives a thing its scan code.
func (a applying) code(code shop.ScanCode, kind, number string) error {
	return a.add("scan code", string(code), "INSERT INTO code (code, kind, number) VALUES ($1, $2, $3)", string(code), kind, number)
}

// correct marks the row that this entry replaces, if it is a correction.
func (a applying) correct(table string) error {
	if a.Corrects == 0 {
		return nil
	}
	return a.exec("UPDATE "+table+" SET corrected_by = $1 WHERE id = $2", a.seq, a.Corrects)
}

// at is the time of the event as the tables keep it.
func (a applying) at() stamp { return stamp{a.At} }

// args joins plain values and the three columns of readings.
func args(parts ...any) []any {
	all := make([]any, 0, 2*len(parts))
	for _, p := range parts {
		if r, ok := p.(shop.Reading); ok {
			of := columns(r)
			all = append(all, of[:]...)
			continue
		}
		all = append(all, p)
	}
	return all
}
