package store

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"sinterbook/store/shop"
)

// A Receipt says where an entry stands in the log.
type Receipt struct {
	Seq    int64
	Repeat bool // it was there already: the same command, or a second scan within moments
	At     time.Time
	By     string
}

const (
	waiting  = 1024            // commands that may wait for the writer
	together = 128             // commands that share one commit
	twice    = 2 * time.Second // two scans of one label within it are one
	ahead    = 2 * time.Minute // how far a person's clock may run before the server's
)

// Record stores an entry. It checks the event against what is known, appends
// it to the log and applies it to the tables; or it does none of the three.
// An entry with the ID of one that stands already is not stored again.
//
// The error is a *shop.Invalid for malformed input, and a *shop.Refusal for
// everything else that a person can put right. When gates refuse, the refusal
// itself is recorded and nothing else changes.
func (s *Store) Record(ctx context.Context, e shop.Entry) (Receipt, error) {
	if err := s.asCorrected(ctx, &e); err != nil {
		return Receipt{}, err
	}
	if err := s.prepare(&e); err != nil {
		return Receipt{}, err
	}
	body, err := canonical(e.Event) // here, where many can do it at once
	if err != nil {
		return Receipt{}, fmt.Errorf("writing %s: %w", e.Event.Kind(), err)
	}
	var receipt Receipt
	err = s.wait(&job{ctx: ctx, id: e.ID, run: func(ctx context.Context, w *session, size *int64) error {
		var err error
		receipt, err = s.record(ctx, w, size, e, body)
		return err
	}})
	if err != nil {
		return receipt, fmt.Errorf("recording %s: %w", e.Event.Kind(), err)
	}
	return receipt, nil
}

// asCorrected gives a correction the time of what it corrects, where nobody gave
// it one and time decides what it does: a draw that was typed wrong was drawn
// when it was drawn, before or after a weighing, and not when somebody noticed.
func (s *Store) asCorrected(ctx context.Context, e *shop.Entry) error {
	if _, draws := e.Event.(shop.PasteDrawn); !draws || e.Corrects == 0 || !e.At.IsZero() {
		return nil
	}
	old, err := s.Entry(ctx, e.Corrects)
	if errors.Is(err, shop.ErrNotFound) {
		return nil // it is refused for that
	}
	e.At = old.At
	return err
}

// prepare fills in what the store knows and checks the entry by itself.
func (s *Store) prepare(e *shop.Entry) error {
	if e.Event == nil {
		return fmt.Errorf("recording nothing")
	}
	if e.ID == uuid.Nil {
		return shop.Wrong("id", "The command has no id: it cannot be told from a repeat.")
	}
	if e.Entered.IsZero() {
		e.Entered = s.Now()
	}
	if err := atTablet(e); err != nil {
		return err
	}
	if e.At.IsZero() {
		e.At = e.Entered
	}
	e.At = e.At.UTC().Truncate(time.Microsecond)
	e.Entered = e.Entered.UTC().Truncate(time.Microsecond)
	f := shop.Fields{}
	if e.At.After(e.Entered.Add(ahead)) {
		f.Say("at", "The time %s lies in the future.", e.At.Format(time.RFC3339))
	}
	if _, err := loadZone(e.Zone); err != nil || e.Zone == "" {
		f.Say("zone", "%q is not a time zone.", e.Zone)
	}
	if e.NeedsReason() {
		f.Need("reason", e.Reason, "The reason")
	}
	f.Printable("reason", e.Reason)
	e.Missed, e.Instruction = nil, "" // decided here alone
	if e.Paper != nil {
		f.Number("paper_form", e.Paper.Form, "The number of the form")
		f.Need("paper_typed_by", e.Paper.TypedBy, "The badge of who types it in")
		if err := f.Take(e.FitsPaper()); err != nil {
			return err
		}
	}
	for _, scan := range e.Scans {
		if len(scan.Raw) > mostScanned(scan) || !utf8.ValidString(scan.Raw) {
			f.Say("scan", "A scan of %d bytes is no label.", len(scan.Raw))
		}
	}
	for _, gate := range slices.Sorted(maps.Keys(e.Answers)) {
		f.Printable("answer."+gate, e.Answers[gate])
	}
	if err := f.Take(shop.Check(e.Event)); err != nil {
		return err
	}
	return f.Err()
}

// mostScanned is how long a scan may be: a job header is longer than a label.
func mostScanned(scan shop.Scanned) int {
	if kind, _ := shop.SubjectParts(scan.Is); kind == "job" {
		return 2 * shop.JobHeaderMost // browsers send line ends in their own way
	}
	return 400
}

// noted is an error that must not undo what was written before it: the
// refusal that was recorded.
type noted struct{ error }

func (n noted) Unwrap() error { return n.error }

// record runs inside the writer's transaction. body is the canonical form of
// the event as it was sent.
func (s *Store) record(ctx context.Context, w *session, size *int64, e shop.Entry, body []byte) (Receipt, error) {
	if r, err := repeated(ctx, w, e); r.Repeat || err != nil {
		return r, err
	}
	sent := e.Event
	err := check(ctx, w, &e)
	if no, ok := errors.AsType[*shop.Refusal](err); ok && errors.Is(no.Kind, shop.ErrRefused) {
		if r, err := scannedTwice(ctx, w, e); r.Repeat || err != nil {
			return r, err
		}
		return s.refuse(ctx, w, size, e, no)
	}
	if err != nil {
		return Receipt{}, err
	}
	if err := instruct(ctx, w, &e); err != nil {
		return Receipt{}, err
	}
	if !reflect.DeepEqual(sent, e.Event) { // it was completed by what is decided now
		body = nil
	}
	r, err := s.store(ctx, w, size, e, body)
	if err != nil {
		return r, err
	}
	return r, s.follow(ctx, w, size, e)
}

// follow records what an entry brings with it, as acts of the same person at
// the same moment. The ids are made of the entry's own.
func (s *Store) follow(ctx context.Context, w *session, size *int64, e shop.Entry) error {
	first, ok := e.Event.(shop.Following)
	if !ok {
		return nil
	}
	for n, event := range first.Follow() {
		next := shop.Entry{ID: uuid.NewSHA1(e.ID, fmt.Appendf(nil, "%d", n)), At: e.At, Entered: e.Entered, Zone: e.Zone, By: e.By, Station: e.Station, Device: e.Device, Meaning: e.Meaning, Kept: e.Kept, Event: event}
		if err := check(ctx, w, &next); err != nil {
			return err
		}
		if _, err := s.store(ctx, w, size, next, nil); err != nil {
			return err
		}
	}
	return nil
}

// store appends and applies an entry that was found good. body is nil where the
// canonical form of its event is still to be made.
func (s *Store) store(ctx context.Context, w *session, size *int64, e shop.Entry, body []byte) (Receipt, error) {
	seq := *size
	if body == nil {
		var err error
		if body, err = canonical(e.Event); err != nil {
			return Receipt{}, fmt.Errorf("writing %s: %w", e.Event.Kind(), err)
		}
	}
	if err := appendLog(ctx, w, seq, e, body); err != nil {
		return Receipt{}, err
	}
	if err := apply(ctx, w, seq, e); err != nil {
		return Receipt{}, err
	}
	*size++
	return Receipt{Seq: seq, At: e.At, By: e.By}, nil
}

// refuse records that gates said no. The same no within moments is one.
func (s *Store) refuse(ctx context.Context, w *session, size *int64, e shop.Entry, no *shop.Refusal) (Receipt, error) {
	act := e.Event.(interface{ Operation() string }) // only acts are asked gates
	refused := e
	refused.Corrects, refused.Reason, refused.Answers, refused.Meaning, refused.Paper = 0, "", nil, "", nil
	refused.Event = shop.GateRefused{Tried: e.Event.Kind(), On: e.Event.Subjects(), Operation: act.Operation(), Objections: no.Objections}
	again, err := refusedJustNow(ctx, w, refused)
	if err != nil {
		return Receipt{}, err
	}
	if again {
		return Receipt{}, no
	}
	r, err := s.store(ctx, w, size, refused, nil)
	if err != nil {
		return Receipt{}, err
	}
	return r, noted{no}
}

// repeated finds the entry that the same command made before.
func repeated(ctx context.Context, w *session, e shop.Entry) (Receipt, error) {
	if !w.standing[e.ID] {
		return Receipt{}, nil
	}
	old, err := entryByID(ctx, w, e.ID)
	if errors.Is(err, shop.ErrNotFound) {
		return Receipt{}, nil
	}
	if err != nil {
		return Receipt{}, err
	}
	r := Receipt{Seq: old.Seq, Repeat: true, At: old.At, By: old.By}
	if no, ok := old.Event.(shop.GateRefused); ok && no.Tried == e.Event.Kind() {
		return r, refusal(no.Objections)
	}
	if !sameEvent(old.Event, e.Event) {
		return Receipt{}, shop.Conflict("This form was sent before with other values, and stands as entry %d. To change that, correct the entry.", old.Seq)
	}
	return r, nil
}

// scannedTwice finds a start that the same person made at the same station
// moments ago: one pull of the trigger read twice.
func scannedTwice(ctx context.Context, q querier, e shop.Entry) (Receipt, error) {
	old, err := lastOf(ctx, q, e.Event.Subjects()[0])
	if err != nil || old.Event == nil {
		return Receipt{}, err
	}
	gap := e.Entered.Sub(old.Entered).Abs()
	if gap > twice || old.By != e.By || old.Station != e.Station || !sameEvent(old.Event, e.Event) {
		return Receipt{}, nil
	}
	return Receipt{Seq: old.Seq, Repeat: true, At: old.At, By: old.By}, nil
}

// sameEvent compares two events as they were sent.
func sameEvent(a, b shop.Event) bool {
	x, errX := canonical(asSent(a))
	y, errY := canonical(asSent(b))
	return a.Kind() == b.Kind() && errX == nil && errY == nil && slices.Equal(x, y)
}

// refusal is the answer to objections that stop.
func refusal(objections []shop.Objection) error {
	var why string
	for _, o := range objections {
		why += o.Why + " "
	}
	return &shop.Refusal{Kind: shop.ErrRefused, Why: why + "Not recorded; the attempt is noted.", Objections: objections}
}
