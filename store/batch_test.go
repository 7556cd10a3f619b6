package store

import (
	"context"
	"errors"
	"testing"

	"github.com/google/uuid"

	"sinterbook/store/shop"
)

// queued is a command of a batch that records an entry.
func queued(t *testing.T, s *Store, e shop.Entry) (*job, *Receipt) {
	t.Helper()
	if err := s.prepare(&e); err != nil {
		t.Fatal(err)
	}
	receipt := &Receipt{}
	return &job{ctx: t.Context(), id: e.ID, done: make(chan error, 1), run: func(ctx context.Context, w *session, size *int64) (err error) {
		*receipt, err = s.record(ctx, w, size, e, nil)
		return err
	}}, receipt
}

// A command that fails once it has begun to write is undone alone: those before
// and behind it in the batch stand, once each, as does a no of the gates. The
// log then says the same as the tables.
func TestOneOfABatchFails(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "601", shop.HoldSet{Hold: "H-1", OnKind: "machine", OnCode: "P1", Why: "spindle"})
		before := size(t, s)
		mould := func(number string) shop.Entry {
			return entryBy("601", shop.MouldReceived{Mould: number, Customer: "K1", Code: shop.NewScanCode()})
		}
		first := mould("M-91")
		broken := errors.New("the disk said no")
		a, one := queued(t, s, first)
		again, two := queued(t, s, first)
		twin, _ := queued(t, s, mould("M-91"))
		no, _ := queued(t, s, entryBy("204", printStart("I-0001", "PL-01")))
		last, three := queued(t, s, mould("M-92"))
		half := &job{ctx: t.Context(), done: make(chan error, 1), run: func(ctx context.Context, w *session, size *int64) error {
			e := mould("M-93")
			if err := s.prepare(&e); err != nil {
				return err
			}
			if _, err := s.store(ctx, w, size, e, nil); err != nil {
				return err
			}
			return broken
		}}
		conn, err := s.write.Conn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		w := newSession(conn, s.dialect.pipeline)
		defer w.close()
		s.commit(w, []*job{a, again, twin, half, no, last})

		for _, tt := range []struct {
			name string
			job  *job
			want error
		}{
			{"the first", a, nil}, {"its repeat", again, nil}, {"another of its number", twin, shop.ErrConflict},
			{"the one that broke", half, broken}, {"what a gate refuses", no, shop.ErrRefused}, {"the last", last, nil},
		} {
			if err := <-tt.job.done; !errors.Is(err, tt.want) {
				t.Errorf("%s: %v; want %v", tt.name, err, tt.want)
			}
		}
		if one.Seq != before || !two.Repeat || two.Seq != one.Seq || three.Seq != before+2 {
			t.Errorf("receipts %+v, %+v, %+v; want entries %d, the same, and %d", *one, *two, *three, before, before+2)
		}
		if got := size(t, s); got != before+3 {
			t.Errorf("%d entries more; want 3", got-before)
		}
		if _, err := s.Mould(t.Context(), "M-93"); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("the mould of the command that was undone: %v; want it not found", err)
		}
		if r, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("Verify = %+v, %v", r, err)
		}
	})
}

// What the writer keeps in mind is asked anew once its table was written to, and
// not before.
func TestKeptUntilItsTableChanges(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		asked := 0
		var held [3]int
		err := s.submit(t.Context(), func(ctx context.Context, w *session, size *int64) error {
			for i, e := range []shop.Event{nil, shop.MouldReceived{Mould: "M-91", Customer: "K1", Code: shop.NewScanCode()}, shop.HoldSet{Hold: "H-1", OnKind: "machine", OnCode: "P1", Why: "spindle"}} {
				if e != nil {
					entry := entryBy("601", e)
					entry.ID = uuid.Must(uuid.NewV7())
					if err := s.prepare(&entry); err != nil {
						return err
					}
					if _, err := s.store(ctx, w, size, entry, nil); err != nil {
						return err
					}
				}
				holds, err := kept(w, "outer", func() ([]shop.Hold, error) { // an answer that rests on another
					return kept(w, "inner", func() ([]shop.Hold, error) { asked++; return holdsOn(ctx, w, "machine", "P1") })
				})
				if err != nil {
					return err
				}
				held[i] = len(holds)
			}
			return nil
		})
		if err != nil || held != [3]int{0, 0, 1} || asked != 2 {
			t.Errorf("%v holds after asking %d times, %v; want 0, 0 and 1 after 2 times", held, asked, err)
		}
	})
}
