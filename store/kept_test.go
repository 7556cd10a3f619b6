package store

import (
	"errors"
	"strings"
	"testing"
	"time"

	"sinterbook/store/shop"
)

// keptFrom is an act that a tablet kept; its clock is off by some time.
func keptFrom(s *Store, by string, pressed time.Time, fast time.Duration, e shop.Event) shop.Entry {
	entry := entryBy(by, e)
	entry.Kept = &shop.Kept{DeviceAt: pressed.Add(fast), SentAt: s.Now().Add(fast)}
	return entry
}

// What a tablet kept is in the book at the time at which it happened, with both
// clocks; a resend is the same entry; the log is replayed to the bit.
func TestKeptOnATablet(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		pressed := s.Now().Add(time.Hour)
		clockOf(s).advance(90 * time.Minute)
		kept := keptFrom(s, "204", pressed, -time.Hour, printStart("I-0001", "PL-01"))
		sent := *kept.Kept
		first, err := s.Record(t.Context(), kept)
		if err != nil {
			t.Fatal(err)
		}
		if *kept.Kept != sent {
			t.Error("recording changed what was sent")
		}
		clockOf(s).advance(time.Minute)
		kept.Kept = &shop.Kept{DeviceAt: sent.DeviceAt, SentAt: s.Now().Add(-time.Hour)}
		if again, err := s.Record(t.Context(), kept); err != nil || !again.Repeat || again.Seq != first.Seq {
			t.Errorf("sent again: %+v, %v; want entry %d as it stands", again, err, first.Seq)
		}
		e, err := s.Commanded(t.Context(), kept.ID)
		if err != nil || e.Seq != first.Seq || !e.At.Equal(pressed) || !e.Entered.Equal(pressed.Add(30*time.Minute)) || !e.BackEntered() {
			t.Fatalf("the entry is %+v, %v", e, err)
		}
		if k := e.Kept; k == nil || !k.DeviceAt.Equal(sent.DeviceAt) || !k.SentAt.Equal(sent.SentAt) || k.Off() != time.Hour {
			t.Errorf("of the tablet's clock the entry has %+v; want %+v, an hour slow", e.Kept, sent)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

// Being kept goes around nothing: gates, holds that came meanwhile and the
// order of times are asked as ever, and the no is noted.
func TestKeptIsNoWayAround(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		put(t, s, "204", printStart("I-0001", "PL-01"))
		began := s.Now()
		clockOf(s).advance(2 * time.Hour)
		pressed := began.Add(time.Hour)
		layers := shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 5}
		put(t, s, "402", shop.HoldSet{Hold: "H-001", OnKind: "insert", OnCode: "I-0001", Why: "edge chipped"})
		typed := keptFrom(s, "204", s.Now().Add(-20*24*time.Hour), 0, layers)
		typed.At = pressed
		signature := keptFrom(s, "204", pressed, 0, layers)
		signature.Meaning = "checked"
		for name, c := range map[string]struct {
			entry shop.Entry
			kind  error
			says  string
		}{
			"held meanwhile":         {keptFrom(s, "204", pressed, 0, layers), shop.ErrRefused, "edge chipped"},
			"held, typed time":       {typed, shop.ErrRefused, "edge chipped"},
			"before it was started":  {keptFrom(s, "204", began.Add(-time.Hour), 0, layers), shop.ErrInvalid, "finished"},
			"of a clock set back":    {keptFrom(s, "204", s.Now().Add(time.Hour), 0, layers), shop.ErrInvalid, "set back"},
			"of three weeks ago":     {keptFrom(s, "204", s.Now().Add(-21*24*time.Hour), 0, layers), shop.ErrInvalid, "more than 14 days"},
			"not authorised for it":  {keptFrom(s, "402", pressed, 0, layers), shop.ErrRefused, "not authorised"},
			"an auditor's":           {keptFrom(s, "900", pressed, 0, layers), shop.ErrForbidden, "changes nothing"},
			"signed without the PIN": {signature, shop.ErrInvalid, "signed with a PIN"},
		} {
			if _, err := s.Record(t.Context(), c.entry); !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s: %v; want %v, saying %q", name, err, c.kind, c.says)
			}
		}
		if no, err := s.Commanded(t.Context(), typed.ID); err == nil && no.Kept == nil {
			t.Error("the refusal does not say that the act was kept")
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

// What is left out stays in the insert's history, and only what was not
// recorded can be.
func TestKeptActLeftOut(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		opened(t, s, "I-0001")
		done, refused := entryBy("204", printStart("I-0001", "PL-01")), entryBy("402", shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 5})
		if _, err := s.Record(t.Context(), done); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Record(t.Context(), refused); !errors.Is(err, shop.ErrRefused) {
			t.Fatalf("layers by an inspector: %v", err)
		}
		out := shop.KeptActLeftOut{Insert: "I-0001", Act: "Layers made", Said: "First layer: 1", Whose: "204", Pressed: s.Now(), Command: done.ID.String(), Why: "twice"}
		conflict(t, s, "207", out, "there is nothing to leave out")
		out.Command = refused.ID.String()
		put(t, s, "207", out)
		out.Insert = "I-9999"
		conflict(t, s, "207", out, "I-9999")
		all, err := s.History(t.Context(), "insert/I-0001", 0, 100)
		if err != nil || len(all) == 0 || all[len(all)-1].Event.Kind() != "kept-act-left-out" {
			t.Errorf("the history ends with %+v, %v", all[len(all)-1], err)
		}
		if _, err := s.Verify(t.Context(), nil); err != nil {
			t.Errorf("verify: %v", err)
		}
	})
}

func TestBadgesAt(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		for badge, device := range map[string]string{"204": "T-1", "207": "T-1", "311": "T-2", "601": ""} {
			b := Session{Badge: badge, Device: device, How: "PIN", Began: s.Now(), Ends: s.Now().Add(12 * time.Hour)}
			if err := s.BeginSession(t.Context(), b, NewToken(), ""); err != nil {
				t.Fatal(err)
			}
		}
		for device, want := range map[string]string{"T-1": "204 207", "T-2": "311", "": ""} {
			got, err := s.BadgesAt(t.Context(), device)
			if err != nil || strings.Join(got, " ") != want {
				t.Errorf("at %q: %v, %v; want %s", device, got, err, want)
			}
		}
		clockOf(s).advance(12 * time.Hour)
		if got, err := s.BadgesAt(t.Context(), "T-1"); err != nil || len(got) != 0 {
			t.Errorf("after the shift: %v, %v", got, err)
		}
	})
}
