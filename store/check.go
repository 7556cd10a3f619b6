package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// check judges an entry against what is known: who may do it, when it can have
// happened, whether an edit is based on what stands, and the gates. It may
// complete the event with numbers that are decided now, such as a verdict.
func check(ctx context.Context, q querier, e *shop.Entry) error {
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
	if err := checkCorrection(ctx, q, *e); err != nil {
		return err
	}
	if err := decide(ctx, q, e); err != nil {
		return err
	}
	act, ok := e.Event.(shop.Act)
	if !ok {
		return checkState(ctx, q, *e)
	}
	f, err := factsOf(ctx, q, *e, act, by, zone)
	if err != nil {
		return err
	}
	if err := checkTimes(*e, f); err != nil {
		return err
	}
	if e.Corrects != 0 {
		return nil // a correction changes the record of an act, not the act
	}
	return judge(ctx, q, *e, act, f)
}

// judge asks the gates of an act and sorts their answers by the policy of the
// day.
func judge(ctx context.Context, q querier, e shop.Entry, act shop.Act, f shop.Facts) error {
	objections := shop.Object(act.Gates(), f)
	if len(objections) == 0 {
		return nil
	}
	policies, err := policiesOf(ctx, q)
	if err != nil {
		return err
	}
	var stops, asks []shop.Objection
	for _, o := range objections {
		o.Mode = shop.ModeAt(policies, o.Gate, act.Operation(), e.At)
		switch {
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
var correctable = map[string]string{"result-recorded": "result", "paste-drawn": "draw", "fit-up-done": "fit_up"}

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
	}
	return nil
}
