package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"sinterbook/store/shop"
)

// factsOf gathers what the gates of an act ask about.
func factsOf(ctx context.Context, q querier, e shop.Entry, act shop.Act, by shop.Person, zone *time.Location) (shop.Facts, error) {
	f := shop.Facts{At: e.At, Later: !e.At.Equal(e.Entered), Zone: zone, Event: e.Event, By: by, Operation: act.Operation(), Phase: act.Phase()}
	var err error
	if f.Insert, err = insertAsked(ctx, q, act.InsertNo()); err != nil {
		return f, err
	}
	if f.Release, err = releaseNamed(ctx, q, act, f.Insert.Release); err != nil {
		return f, err
	}
	if f.Release, err = changedBy(ctx, q, f.Release, f.Insert.Insert); err != nil {
		return f, err
	}
	if err := lotsOfRelease(ctx, q, &f); err != nil {
		return f, err
	}
	if err := specific(ctx, q, e, act, &f); err != nil {
		return f, err
	}
	if err := mustRead(ctx, q, e, &f); err != nil {
		return f, err
	}
	f.Holds, err = holdsTouching(ctx, q, act, f)
	return f, err
}

// lotsOfRelease adds the lots that a release prints.
func lotsOfRelease(ctx context.Context, q querier, f *shop.Facts) error {
	for i, name := range f.Release.Lots() {
		lot, err := lotNamed(ctx, q, name)
		if err != nil {
			return err
		}
		if i == 0 {
			f.Lot = lot
			continue
		}
		f.FurtherLots = append(f.FurtherLots, lot)
	}
	return nil
}

// factsOfOne gathers what the gates of a joint act ask about one insert.
func factsOfOne(ctx context.Context, q querier, e shop.Entry, joint shop.Joint, insert string, by shop.Person, zone *time.Location) (shop.Facts, error) {
	f := shop.Facts{At: e.At, Later: !e.At.Equal(e.Entered), Zone: zone, Event: e.Event, By: by, Operation: joint.Operation()}
	var err error
	if insert != "" { // none lies in a load of coupons
		if f.Insert, err = insertAsked(ctx, q, insert); err != nil {
			return f, err
		}
	}
	if f.Insert.Release != "" {
		if f.Release, err = releaseByNumber(ctx, q, f.Insert.Release); err != nil {
			return f, err
		}
		if f.Release, err = changedBy(ctx, q, f.Release, insert); err != nil {
			return f, err
		}
	}
	if _, ok := joint.(shop.MouldShipped); ok {
		if err := nonconforming(ctx, q, insert, &f); err != nil {
			return f, err
		}
		f.ToMould = f.Insert.Mould
	}
	if err := mustRead(ctx, q, e, &f); err != nil {
		return f, err
	}
	things := heldThings(joint, f)
	if closing, ok := joint.(shop.LoadClosed); ok {
		l, err := loadByNumber(ctx, q, closing.Load)
		if err != nil {
			return f, err
		}
		f.LoadRecipe, things = l.Recipe, append(things, shop.Subject("load", l.Load), shop.Subject("furnace", l.Furnace))
		if f.Recipe, err = kept(q, "recipe/"+l.Recipe, func() (shop.Recipe, error) { return recipeNamed(ctx, q, l.Recipe) }); err != nil {
			return f, err
		}
		if f.Furnace, err = furnaceFor(ctx, q, l, f.AsOf()); err != nil {
			return f, err
		}
		if insert != "" {
			if err := lotsOfRelease(ctx, q, &f); err != nil {
				return f, err
			}
			if err := predicting(ctx, q, &f); err != nil {
				return f, err
			}
		}
	}
	f.Holds, err = holdsOnAny(ctx, q, things)
	return f, err
}

// releaseNamed is the release that an act names, else the insert's own.
func releaseNamed(ctx context.Context, q querier, act shop.Act, own string) (shop.Release, error) {
	switch a := act.(type) {
	case shop.PrintStarted:
		own = a.Release
	case shop.ReleaseAssigned:
		own = a.Release
	}
	if own == "" {
		return shop.Release{}, nil
	}
	return kept(q, "release/"+own, func() (shop.Release, error) { return releaseByNumber(ctx, q, own) })
}

func lotNamed(ctx context.Context, q querier, lot string) (shop.Lot, error) {
	if lot == "" {
		return shop.Lot{}, nil
	}
	return kept(q, "lot/"+lot, func() (shop.Lot, error) { return lotByNumber(ctx, q, lot) })
}

// specific adds what only one kind of act is asked about.
func specific(ctx context.Context, q querier, e shop.Entry, act shop.Act, f *shop.Facts) (err error) {
	switch a := act.(type) {
	case shop.ReleaseAssigned:
		f.Current, err = currentRevision(ctx, q, f.Insert.Design)
	case shop.PrintStarted:
		if f.Current, err = currentRevision(ctx, q, f.Insert.Design); err == nil {
			err = machining(ctx, q, a, f)
		}
	case shop.PasteDrawn:
		if f.Container, err = containerByNumber(ctx, q, a.Container); err != nil {
			return err
		}
		if f.Container, err = asOf(ctx, q, f.Container, f.AsOf()); err != nil {
			return err
		}
		if e.Corrects != 0 { // what was written down wrongly is still in the container
			if err := putBack(ctx, q, e.Corrects, &f.Container); err != nil {
				return err
			}
		}
		if f.Draws, err = drawsOf(ctx, q, a.Insert, e.Corrects); err != nil {
			return err
		}
		f.FurtherLots = nil
		if f.Lot, err = lotByNumber(ctx, q, f.Container.Lot); err == nil {
			err = expecting(ctx, q, e, a, f)
		}
	case shop.PrintFinished:
		if f.Draws, err = drawsOf(ctx, q, a.Insert, 0); err == nil {
			f.Missing, err = missingOfPrint(ctx, q, a, f.Draws)
		}
	case shop.LoadPlaced:
		var l shop.Load
		if l, err = loadByNumber(ctx, q, a.Load); err == nil {
			if err = placeable(ctx, q, l, a, f.Insert); err == nil {
				err = firing(ctx, q, l, a, f)
			}
		}
	case shop.DryingStarted:
		err = raised(ctx, q, f.Insert.Insert, f)
	case shop.TemperingStarted:
		f.LoadRecipe = a.Recipe
		if f.Recipe, err = recipeNamed(ctx, q, a.Recipe); err == nil {
			err = raised(ctx, q, f.Insert.Insert, f)
		}
	case shop.ResultRecorded:
		if f.Measured, err = characteristicOf(ctx, q, a.Insert, a.Characteristic); err == nil {
			f.Gauge, f.Calibration, f.Check, err = careOf(ctx, q, a.Gauge, f.AsOf())
		}
	case shop.InsertWeighed:
		f.Gauge, f.Calibration, f.Check, err = careOf(ctx, q, a.Gauge, f.AsOf())
	case shop.GreenMeasured:
		f.Gauge, f.Calibration, f.Check, err = careOf(ctx, q, a.Gauge, f.AsOf())
	case shop.DryingFinished:
		if err = drying(ctx, q, a.Insert, f); err == nil {
			err = raised(ctx, q, a.Insert, f)
		}
	case shop.InspectionFinished:
		f.Missing, err = missingResults(ctx, q, f.Insert)
	case shop.FitUpDone:
		if f.MouldOf, err = mouldOfOrder(ctx, q, f.Insert.Order); err == nil {
			if f.PlaceTaken, err = insertAt(ctx, q, a.Mould, a.Place); err == nil {
				f.ToMould, err = a.Mould, nonconforming(ctx, q, f.Insert.Insert, f)
			}
		}
	case shop.PutToStock:
		err = nonconforming(ctx, q, f.Insert.Insert, f)
	}
	return err
}

// machining adds what a print asks of its machine.
func machining(ctx context.Context, q querier, e shop.PrintStarted, f *shop.Facts) (err error) {
	if f.OnMachine, err = printingOn(ctx, q, e.Machine); err != nil {
		return err
	}
	if f.Machine, err = machineAt(ctx, q, e.Machine, f.AsOf()); err != nil {
		return err
	}
	if f.Cutter, err = cutterIn(ctx, q, e.Machine); err != nil {
		return err
	}
	if err := compensated(ctx, q, f); err != nil {
		return err
	}
	return measuredAlong(ctx, q, f)
}

// firing adds what a place in a load asks of the furnace, its recipe and the
// setter.
func firing(ctx context.Context, q querier, l shop.Load, e shop.LoadPlaced, f *shop.Facts) (err error) {
	f.LoadRecipe = l.Recipe
	if f.Recipe, err = recipeNamed(ctx, q, l.Recipe); err != nil {
		return err
	}
	if f.Furnace, err = furnaceFor(ctx, q, l, f.AsOf()); err != nil {
		return err
	}
	if e.Setter != "" {
		if f.Setter, err = setterByNumber(ctx, q, e.Setter); err != nil {
			return err
		}
		if err = elsewhere(ctx, q, e.Setter, l.Load); err != nil {
			return err
		}
	}
	if err = predicting(ctx, q, f); err != nil {
		return err
	}
	return raised(ctx, q, e.Insert, f)
}

// nonconforming adds what does not conform about an insert, and what allows it.
func nonconforming(ctx context.Context, q querier, insert string, f *shop.Facts) (err error) {
	if f.Fails, err = failedOf(ctx, q, insert); err != nil {
		return err
	}
	return raised(ctx, q, insert, f)
}

// raised adds the nonconformances of an insert and what was conceded of them.
func raised(ctx context.Context, q querier, insert string, f *shop.Facts) (err error) {
	if f.Nonconformances, err = nonconformancesOn(ctx, q, insert); err != nil || len(f.Nonconformances) == 0 {
		return err
	}
	f.Concessions, err = concessionsOn(ctx, q, insert)
	return err
}

// placeable refuses a place that does not exist or is taken: two inserts on
// one spot is a slip of the scanner, not a matter of policy.
func placeable(ctx context.Context, q querier, l shop.Load, a shop.LoadPlaced, i shop.Insert) error {
	furnace, err := furnaceByNumber(ctx, q, l.Furnace)
	if err != nil {
		return err
	}
	switch taken := l.At(a.Position); {
	case !furnace.Has(a.Position):
		return shop.Wrong("position", "Furnace %s has no place %s for an insert.", l.Furnace, a.Position)
	case !l.Closed.IsZero():
		return shop.Conflict("The door of load %s was closed by %s: nothing can be laid in it.", l.Load, l.ClosedBy)
	case slices.ContainsFunc(l.Coupons, func(c shop.Coupon) bool { return c.Position == a.Position }):
		return shop.Conflict("Coupons lie at place %s of load %s.", a.Position, l.Load)
	case taken != "" && taken != a.Insert:
		return shop.Conflict("Place %s of load %s is taken by %s.", a.Position, l.Load, taken)
	case i.Status == shop.StatusLoaded && i.Load != "" && i.Load != l.Load:
		return shop.Conflict("%s lies in load %s already.", i.Insert, i.Load)
	}
	return nil
}

// checkState asks what an event outside the route needs to be true.
func checkState(ctx context.Context, q querier, e shop.Entry) error {
	switch ev := e.Event.(type) {
	case shop.OrderChanged:
		return checkEdit(ctx, q, e, ev)
	case shop.ReleaseDrafted:
		return checkFirsts(ctx, q, ev)
	case shop.ReleaseSigned:
		return checkSignature(ctx, q, e, ev)
	case shop.ContainerReceived:
		return checkNotTwice(ctx, q, ev)
	case shop.ContainerOpened:
		return checkSealed(ctx, q, ev, e.At)
	case shop.LotReleased:
		return checkFit(ctx, q, e, ev.Lot)
	case shop.LoadTakenOut:
		return checkInLoad(ctx, q, ev)
	case shop.LoadClosed:
		return checkClosable(ctx, q, ev)
	case shop.LoadUnloaded:
		return checkUnloadable(ctx, q, ev)
	case shop.MouldShipped:
		return checkShippable(ctx, q, ev)
	case shop.MouldReturned:
		return checkReturned(ctx, q, ev)
	case shop.InsertReturned:
		return checkInsertReturned(ctx, q, ev)
	case shop.NoticeSent:
		return checkNotice(ctx, q, ev.Containment, ev.Customer, false)
	case shop.NoticeAnswered:
		return checkNotice(ctx, q, ev.Containment, ev.Customer, true)
	case shop.KeptActLeftOut:
		return checkLeftOut(ctx, q, ev)
	case shop.TraceDrilled:
		return exists(ctx, q, "insert", ev.Insert)
	case shop.DocumentFiled:
		return checkFiled(ctx, q, e, ev)
	case shop.FilingWithdrawn:
		return checkFilingStands(ctx, q, ev)
	case shop.DocumentAdded:
		return checkDocument(ctx, q, ev)
	case shop.HoldSet:
		return exists(ctx, q, ev.OnKind, ev.OnCode)
	case shop.HoldLifted:
		return checkHeld(ctx, q, ev)
	case shop.InsertScrapped:
		return checkScrap(ctx, q, ev)
	case shop.FormsIssued:
		return checkIssued(ctx, q, ev)
	case shop.FormsCounted:
		return checkCounted(ctx, q, ev)
	case shop.FormChecked:
		return checkForm(ctx, q, e, ev)
	case shop.NonconformanceRaised:
		return checkRaised(ctx, q, ev)
	case shop.NonconformanceDecided:
		return checkDecided(ctx, q, ev)
	case shop.NonconformanceCancelled:
		return openItems(ctx, q, ev.Nonconformance, ev.Inserts)
	case shop.ConcessionGiven:
		return checkConcession(ctx, q, ev)
	case shop.ConcessionWithdrawn:
		return checkConcessionStands(ctx, q, ev)
	case shop.InstructionAcknowledged:
		return checkAcknowledged(ctx, q, e, ev)
	case shop.PolicySet:
		return checkPolicy(e, ev)
	case shop.SensorFitted:
		return checkZone(ctx, q, ev)
	case shop.FurnaceSurveyed:
		return checkSurvey(ctx, q, ev)
	case shop.FurnaceTestRecorded:
		return checkFurnaceTest(ctx, q, ev)
	case shop.StepPaused:
		return checkPause(ctx, q, ev.Insert, ev.Op, true)
	case shop.StepResumed:
		return checkPause(ctx, q, ev.Insert, ev.Op, false)
	case shop.CarrierChanged:
		return checkRebound(ctx, q, ev)
	case shop.CutterFitted:
		return checkSpindle(ctx, q, ev)
	case shop.CutterRemoved:
		return checkInSpindle(ctx, q, ev)
	case shop.EquipmentServiced:
		return exists(ctx, q, ev.OnKind, ev.OnCode)
	case shop.InsertMarked:
		return checkMark(ctx, q, ev)
	case shop.FactorSet:
		return exists(ctx, q, "lot", ev.Lot)
	case shop.QualificationPlanned:
		return checkQualification(ctx, q, ev)
	case shop.LotChanged:
		return checkLotChange(ctx, q, e, ev)
	case shop.FactorProposed:
		return checkProposed(ctx, q, ev)
	case shop.FactorApproved:
		return checkDecision(ctx, q, e, ev.Proposal, ev.Lot, shop.Approved)
	case shop.FactorProposalDropped:
		return checkDecision(ctx, q, e, ev.Proposal, ev.Lot, ev.How)
	case shop.CertificateEntered:
		return exists(ctx, q, "lot", ev.Lot)
	case shop.PasteWasted:
		return checkWaste(ctx, q, ev.Container, ev.Mass, e.At)
	case shop.ContainerScrapped:
		return checkWaste(ctx, q, ev.Container, ev.Mass, e.At)
	case shop.ContainerWeighed:
		_, err := checkInUse(ctx, q, ev.Container, e.At)
		if ev.Left.Value() == 0 { // one that went may be weighed empty
			return exists(ctx, q, "container", ev.Container)
		}
		return err
	case shop.ContainerReturned:
		return checkWaste(ctx, q, ev.Container, ev.Mass, e.At)
	case shop.DifferenceExplained:
		return exists(ctx, q, "container", ev.Container)
	case shop.LimitSet:
		return checkLimit(e, ev)
	case shop.CouponMade:
		return checkCoupon(ctx, q, e, ev)
	case shop.CouponPlaced:
		return checkCouponPlace(ctx, q, ev)
	case shop.CouponMeasured:
		return checkCouponReading(ctx, q, e, ev)
	}
	return nil
}

// heldThings are all the things whose hold stops an act.
func heldThings(act shop.Event, f shop.Facts) []string {
	i := f.Insert
	things := []string{shop.Subject("insert", i.Insert), shop.Subject("load", i.Load), shop.Subject("mould", i.Mould)}
	for _, lot := range f.Release.Lots() {
		things = append(things, shop.Subject("lot", lot))
	}
	switch a := act.(type) {
	case shop.PrintStarted:
		things = append(things, shop.Subject("machine", a.Machine))
	case shop.PasteDrawn:
		things = append(things, shop.Subject("container", a.Container), shop.Subject("lot", f.Container.Lot))
	case shop.LoadPlaced:
		things = append(things, shop.Subject("load", a.Load), shop.Subject("setter", a.Setter))
	case shop.DryingStarted:
		things = append(things, shop.Subject("oven", a.Oven))
	case shop.TemperingStarted:
		things = append(things, shop.Subject("oven", a.Oven))
	case shop.ResultRecorded:
		things = append(things, shop.Subject("gauge", a.Gauge))
	case shop.FitUpDone:
		things = append(things, shop.Subject("mould", a.Mould))
	}
	return things
}

// holdsTouching are the holds on an insert, its lot, its load and the
// equipment an act uses.
func holdsTouching(ctx context.Context, q querier, act shop.Act, f shop.Facts) ([]shop.Hold, error) {
	things := heldThings(act, f)
	if a, ok := act.(shop.LoadPlaced); ok {
		l, err := loadByNumber(ctx, q, a.Load)
		if err != nil {
			return nil, err
		}
		things = append(things, shop.Subject("furnace", l.Furnace))
	}
	return holdsOnAny(ctx, q, things)
}

// holdsOnAny lists the holds on some things, lifted ones too.
func holdsOnAny(ctx context.Context, q querier, things []string) ([]shop.Hold, error) {
	var all []shop.Hold
	for _, thing := range things {
		kind, code := shop.SubjectParts(thing)
		if code == "" {
			continue
		}
		held, err := kept(q, "holds/"+thing, func() ([]shop.Hold, error) { return holdsOn(ctx, q, kind, code) })
		if err != nil {
			return nil, err
		}
		all = append(all, held...)
	}
	return all, nil
}

// exists says whether a thing that somebody named is in the book.
func exists(ctx context.Context, q querier, kind, code string) error {
	table, column, ok := tableOf(kind)
	if !ok {
		return shop.Wrong("kind", "%q is not a kind of thing that the book knows.", kind)
	}
	_, err := idOf(ctx, q, kind, "SELECT id FROM "+table+" WHERE "+column+" = $1", code)
	return err
}

// tableOf names the table and column in which a kind of thing has its number.
func tableOf(kind string) (table, column string, ok bool) {
	switch kind {
	case "insert":
		return "mould_insert", "serial", true
	case "factor": // as it was proposed
		return "factor_proposal", "proposal", true
	case "order":
		return "customer_order", "order_no", true
	case "release":
		return "design_release", "release", true
	case "load":
		return "furnace_load", "load", true
	case "person":
		return "person", "badge", true
	case "lot", "container", "machine", "furnace", "gauge", "mould", "station", "design", "hold", "nonconformance", "concession", "permit",
		"coupon", "sensor", "containment", "recipe", "setter", "oven", "carrier", "cutter":
		return kind, kind, true
	}
	return "", "", false
}

// idOf looks up the id of a thing by its number.
func idOf(ctx context.Context, q querier, kind, query, number string) (int64, error) {
	var id int64
	err := q.QueryRowContext(ctx, query, number).Scan(&id)
	if errors.Is(kindOf(err), shop.ErrNotFound) {
		return 0, shop.NotFound(kind, number)
	}
	if err != nil {
		return 0, fmt.Errorf("looking up %s %s: %w", kind, number, err)
	}
	return id, nil
}

// thing is idOf for the kinds of tableOf.
func thing(ctx context.Context, q querier, kind, number string) (int64, error) {
	table, column, ok := tableOf(kind)
	if !ok {
		return 0, fmt.Errorf("no table holds a %s", kind)
	}
	return fixed(q, "id/"+kind+"/"+number, func() (int64, error) {
		return idOf(ctx, q, kind, "SELECT id FROM "+table+" WHERE "+column+" = $1", number)
	})
}
