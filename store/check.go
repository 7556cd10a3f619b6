package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"sinterbook/store/shop"
)

// check judges an entry, and asks for the things that it names.
func check(ctx context.Context, q querier, e *shop.Entry) error {
	if err := judge(ctx, q, e); err != nil {
		return err
	}
	return checkThings(ctx, q, *e)
}

// checkThings asks whether the carrier, oven or cutter of an act is there, and
// free for it. No gate knows them: a slip of the hand is no matter of policy.
func checkThings(ctx context.Context, q querier, e shop.Entry) (err error) {
	switch ev := e.Event.(type) {
	case shop.PrintStarted:
		return free(ctx, q, ev.Carrier, ev.Insert)
	case shop.PasteDrawn:
		_, err = checkInUse(ctx, q, ev.Container, e.At)
	case shop.PrintFinished:
		draws, err := drawsOf(ctx, q, ev.Insert, 0)
		if err != nil {
			return err
		}
		return ev.MorePrintedThanDrawn(draws)
	case shop.FitUpDone:
		if e.Corrects == 0 {
			return inToolroom(ctx, q, ev.Mould)
		}
	case shop.GreenMeasured:
		return checkGreen(ctx, q, ev, e.Corrects != 0)
	case shop.LayersMade:
		if ev.Cutter != "" {
			_, err = cutterByNumber(ctx, q, ev.Cutter)
		}
	case shop.DryingStarted:
		return takes(ctx, q, ev.Oven, ev.Shelf, ev.Air)
	case shop.TemperingStarted:
		recipe, err := recipeNamed(ctx, q, ev.Recipe)
		if err != nil {
			return err
		}
		return takes(ctx, q, ev.Oven, "", recipe.Soak)
	}
	return err
}

// judge judges an entry against what is known: who may do it, when it can have
// happened, whether an edit is based on what stands, and the gates. It may
// complete the event with numbers that are decided now, such as a verdict.
func judge(ctx context.Context, q querier, e *shop.Entry) error {
	zone, err := kept(q, "zone", func() (*time.Location, error) { return zoneOf(ctx, q) })
	if err != nil {
		if _, opening := e.Event.(shop.BookOpened); opening && errors.Is(err, shop.ErrNotFound) {
			return nil
		}
		return err
	}
	by, err := recorder(ctx, q, *e, zone)
	if err != nil {
		return err
	}
	if err := checkPaper(ctx, q, *e); err != nil {
		return err
	}
	if err := checkCorrection(ctx, q, *e); err != nil {
		return err
	}
	if err := decide(ctx, q, e); err != nil {
		return err
	}
	if joint, ok := e.Event.(shop.Joint); ok {
		if err := checkState(ctx, q, *e); err != nil {
			return err
		}
		return judgeEach(ctx, q, e, joint, by, zone)
	}
	act, ok := e.Event.(shop.Act)
	if !ok {
		return judgeDecision(ctx, q, e, by, zone)
	}
	f, err := factsOf(ctx, q, *e, act, by, zone)
	if err != nil {
		return err
	}
	if err := checkTimes(*e, f); err != nil {
		return err
	}
	gates := act.Gates()
	if e.Corrects != 0 {
		gates = shop.AboutValues(gates) // it changes the record of an act, not the act
	}
	objections, err := permitted(ctx, q, e, f, shop.Object(gates, f))
	if err != nil {
		return err
	}
	return sorted(ctx, q, e, f.Operation, objections)
}

// judgeDecision judges what is done at a desk: what it needs to be true, and the
// gates of a decision.
func judgeDecision(ctx context.Context, q querier, e *shop.Entry, by shop.Person, zone *time.Location) error {
	if err := checkState(ctx, q, *e); err != nil {
		return err
	}
	d, ok := e.Event.(shop.Decision)
	if !ok {
		return nil
	}
	f := shop.Facts{At: e.At, Later: !e.At.Equal(e.Entered), Zone: zone, Event: e.Event, By: by, Operation: d.Operation()}
	if err := deciding(ctx, q, &f); err != nil {
		return err
	}
	gates := d.Gates()
	if e.Corrects != 0 {
		gates = shop.AboutValues(gates) // as of an act
	}
	return sorted(ctx, q, e, f.Operation, shop.Object(gates, f))
}

// judgeEach asks the gates of a joint act for every insert. What one gate says
// about several of them is one objection, with one reason to go on.
func judgeEach(ctx context.Context, q querier, e *shop.Entry, joint shop.Joint, by shop.Person, zone *time.Location) error {
	var all []shop.Objection
	on := joint.On()
	if len(on) == 0 {
		on = []string{""} // a load of coupons only
	}
	for _, insert := range on {
		f, err := factsOfOne(ctx, q, *e, joint, insert, by, zone)
		if err != nil {
			return err
		}
		objections, err := permitted(ctx, q, e, f, shop.Object(joint.Gates(), f))
		if err != nil {
			return err
		}
		for _, o := range objections {
			at := slices.IndexFunc(all, func(p shop.Objection) bool { return p.Gate == o.Gate })
			switch {
			case at < 0:
				all = append(all, o)
			case !strings.Contains(all[at].Why, o.Why):
				all[at].Why += " " + o.Why
				all[at].Compared = append(all[at].Compared, o.Compared...)
			}
		}
	}
	return sorted(ctx, q, e, joint.Operation(), all)
}

// sorted answers objections by the policy of the day. What a paper form says
// was done; the stops that nobody heard then are noted with it. Only the order
// of the route stays: nothing can be finished that was not started.
func sorted(ctx context.Context, q querier, e *shop.Entry, operation string, objections []shop.Objection) error {
	if len(objections) == 0 {
		return nil
	}
	policies, err := kept(q, "policies", func() ([]shop.Policy, error) { return policiesOf(ctx, q) })
	if err != nil {
		return err
	}
	var stops, asks []shop.Objection
	for _, o := range objections {
		o.Mode = shop.ModeAt(policies, o.Gate, operation, e.At)
		switch {
		case e.Paper != nil && o.Mode != shop.Silent && o.Gate != shop.RouteOrder.Name:
			e.Missed = append(e.Missed, o)
		case o.Mode == shop.Stop:
			stops = append(stops, o)
		case o.Mode == shop.Warn && e.Answers[o.Gate] == "":
			asks = append(asks, o)
		}
	}
	if len(stops) > 0 {
		return refusal(stops)
	}
	if len(asks) > 0 {
		why := ""
		for _, o := range asks {
			why += o.Why + " "
		}
		return &shop.Refusal{Kind: shop.ErrAsks, Why: why + "Give a reason to go on. Nothing was recorded.", Objections: asks}
	}
	return nil
}

// recorder is the person who records, if it is their work. The first person of
// a book is added by nobody.
func recorder(ctx context.Context, q querier, e shop.Entry, zone *time.Location) (shop.Person, error) {
	if _, opening := e.Event.(shop.BookOpened); opening {
		return shop.Person{}, shop.Conflict("This book is open already.")
	}
	if e.By == "" {
		return shop.Person{}, firstPerson(ctx, q, e)
	}
	p, err := kept(q, "person/"+e.By, func() (shop.Person, error) { return personByBadge(ctx, q, e.By) })
	if err != nil {
		return shop.Person{}, err
	}
	if day := shop.DayOf(e.At, zone); day < p.From || p.Until != "" && day > p.Until {
		return p, &shop.Refusal{Kind: shop.ErrForbidden, Why: fmt.Sprintf("Badge %s is not in use on %s.", p.Badge, day)}
	}
	return p, p.MayRecord(e.Event)
}

// firstPerson lets set-up, which has no person yet, add the quality manager
// and their keys.
func firstPerson(ctx context.Context, q querier, e shop.Entry) error {
	var others int
	badge := ""
	switch ev := e.Event.(type) {
	case shop.PersonAdded:
	case shop.PersonKeysSet:
		badge = ev.Badge
	default:
		return &shop.Refusal{Kind: shop.ErrForbidden, Why: "Nobody is signed in: every record names a person."}
	}
	if err := q.QueryRowContext(ctx, "SELECT count(*) FROM person WHERE badge <> $1", badge).Scan(&others); err != nil {
		return fmt.Errorf("counting people: %w", err)
	}
	if others > 0 {
		return &shop.Refusal{Kind: shop.ErrForbidden, Why: "This book has people already: one of them must sign in."}
	}
	return nil
}

// checkTimes refuses a time that a person gave and that cannot be. Where the
// server's own clock stepped back the record stands as the clock read.
func checkTimes(e shop.Entry, f shop.Facts) error {
	if e.At.Equal(e.Entered) {
		return nil
	}
	if last := f.Insert.LastFinished(); e.At.Before(last) && act(f) {
		return shop.Wrong("at", "%s lies before %s, when the operation before it was finished.", f.At.In(f.Zone).Format("2006-01-02 15:04"), last.In(f.Zone).Format("2006-01-02 15:04"))
	}
	if s, ok := f.Insert.StepOf(f.Operation); ok && f.Phase == shop.End && e.At.Before(s.StartedAt) {
		return shop.Wrong("at", "%s lies before %s, when it was started.", f.At.In(f.Zone).Format("2006-01-02 15:04"), s.StartedAt.In(f.Zone).Format("2006-01-02 15:04"))
	}
	return nil
}

func act(f shop.Facts) bool { return f.Phase != shop.Anytime }

// correctable are the kinds of entries that a later one of the same kind can
// replace. Everything else is put right by an act of its own.
var correctable = map[string]string{"result-recorded": "result", "paste-drawn": "draw", "green-measured": "green_size", "fit-up-done": "fit_up", "document-filed": "filing", "coupon-measured": "coupon_result"}

// checkCorrection sees to it that a correction names a standing entry of the
// same kind about the same thing.
func checkCorrection(ctx context.Context, q querier, e shop.Entry) error {
	if e.Corrects == 0 {
		return nil
	}
	table, ok := correctable[e.Event.Kind()]
	if !ok {
		return shop.Conflict("An entry of this kind is not corrected but followed by another act.")
	}
	old, err := entryBySeq(ctx, q, e.Corrects)
	if err != nil {
		return err
	}
	if old.Event.Kind() != e.Event.Kind() || old.Event.Subjects()[0] != e.Event.Subjects()[0] {
		return shop.Conflict("Entry %d is not a record of the same kind about the same thing.", e.Corrects)
	}
	var by *int64
	if err := q.QueryRowContext(ctx, "SELECT corrected_by FROM "+table+" WHERE id = $1", e.Corrects).Scan(&by); err != nil {
		return fmt.Errorf("reading entry %d: %w", e.Corrects, err)
	}
	if by != nil {
		return &shop.Refusal{Kind: shop.ErrStale, Why: fmt.Sprintf("Entry %d was corrected already, by entry %d.", e.Corrects, *by)}
	}
	return nil
}

// asSent is an event without what decide adds to it.
func asSent(e shop.Event) shop.Event {
	switch ev := e.(type) {
	case shop.ResultRecorded:
		ev.Verdict = ""
		return ev
	case shop.DryingFinished:
		ev.Loss = shop.Reading{}
		return ev
	case shop.LoadClosed:
		ev.Inserts, ev.Coupons = nil, nil
		return ev
	case shop.CouponMade:
		ev.Lot = ""
		return ev
	case shop.ContainerOpened:
		ev.Lot = ""
		return ev
	case shop.CouponMeasured:
		ev.Verdict = ""
		return ev
	case shop.GaugeChecked:
		ev.Verdict = ""
		return ev
	case shop.SensorTested:
		ev.Verdict = ""
		return ev
	case shop.FurnaceSurveyed:
		ev.Verdict = ""
		return ev
	case shop.PrintStarted:
		ev.Controller = ""
		return ev
	case shop.FactorApproved:
		ev.Differ = nil
		return ev
	case shop.LotReleased:
		ev.Differ = nil
		return ev
	case shop.LotChanged:
		ev.Factors = nil
		return ev
	case shop.ContainmentBegun:
		ev.Held, ev.Outside = nil, nil
		return ev
	case shop.ContainmentLifted:
		ev.Lifted = nil
		return ev
	case shop.TraceDrilled:
		return shop.TraceDrilled{Insert: ev.Insert} // the rest was measured
	case shop.DifferenceExplained:
		ev.Difference = shop.Reading{}
		return ev
	case shop.MouldReturned:
		ev.Recalled = nil
		return ev
	case shop.InsertReturned:
		ev.Recalled = nil
		return ev
	}
	return e
}

// decide completes an event with what is decided at the moment of recording,
// so that a replay never decides again.
func decide(ctx context.Context, q querier, e *shop.Entry) error {
	switch ev := e.Event.(type) {
	case shop.ResultRecorded:
		c, err := characteristicOf(ctx, q, ev.Insert, ev.Characteristic)
		if err != nil {
			return err
		}
		ev.Verdict, err = c.Judge(ev.Value)
		e.Event = ev
		return err
	case shop.GaugeChecked:
		ev.Verdict = ev.Judged()
		e.Event = ev
	case shop.SensorTested:
		ev.Verdict = ev.Judged()
		e.Event = ev
	case shop.FurnaceSurveyed:
		ev.Verdict = ev.Judged()
		e.Event = ev
	case shop.CouponMade:
		c, err := containerByNumber(ctx, q, ev.Container)
		ev.Lot = c.Lot
		e.Event = ev
		return err
	case shop.ContainerOpened:
		c, err := containerByNumber(ctx, q, ev.Container)
		ev.Lot = c.Lot
		e.Event = ev
		return err
	case shop.CouponMeasured:
		var err error
		ev.Verdict, err = judgeCoupon(ctx, q, ev)
		e.Event = ev
		return err
	case shop.DifferenceExplained:
		var err error
		ev.Difference, err = differing(ctx, q, ev.Container)
		e.Event = ev
		return err
	case shop.MouldReturned:
		var err error
		ev.Recalled, err = recalled(ctx, q, ev.Inserts)
		e.Event = ev
		return err
	case shop.InsertReturned:
		var err error
		ev.Recalled, err = recalled(ctx, q, []string{ev.Insert})
		e.Event = ev
		return err
	case shop.LotChanged:
		var err error
		ev.Factors, err = factorsOfBoth(ctx, q, *e, ev)
		e.Event = ev
		return err
	case shop.FactorApproved:
		p, err := proposalByNumber(ctx, q, ev.Proposal)
		if err != nil {
			return err
		}
		ev.Differ, err = releasesOff(ctx, q, p.Lot, p.Factors(e.At), e.At)
		e.Event = ev
		return err
	case shop.LotReleased:
		var err error
		ev.Differ, err = releasesOff(ctx, q, ev.Lot, nil, e.At)
		e.Event = ev
		return err
	case shop.ContainmentBegun:
		err := contain(ctx, q, &ev)
		e.Event = ev
		return err
	case shop.ContainmentLifted:
		err := lifting(ctx, q, &ev)
		e.Event = ev
		return err
	case shop.PrintStarted:
		m, err := machineAt(ctx, q, ev.Machine, shop.Facts{At: e.At, Later: !e.At.Equal(e.Entered)}.AsOf())
		ev.Controller = m.Controller
		e.Event = ev
		return err
	case shop.DryingFinished:
		d, err := dryingOf(ctx, q, ev.Insert)
		if errors.Is(err, shop.ErrNotFound) {
			return nil // the gates say what is missing
		}
		if err != nil {
			return err
		}
		ev.Loss, err = shop.DryingLoss(d.Wet, ev.Dry)
		e.Event = ev
		return err
	case shop.LoadClosed:
		l, err := loadByNumber(ctx, q, ev.Load)
		ev.Inserts, ev.Coupons = nil, nil
		for _, it := range l.Items {
			ev.Inserts = append(ev.Inserts, it.Insert)
		}
		for _, c := range l.Coupons {
			ev.Coupons = append(ev.Coupons, c.Coupon)
		}
		e.Event = ev
		return err
	}
	return nil
}
