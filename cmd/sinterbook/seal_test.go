package main

import (
	"log/slog"
	"path/filepath"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/uuid"

	"sinterbook/store"
	"sinterbook/store/shop"
)

func TestShiftEnd(t *testing.T) {
	t.Parallel()
	vienna, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ name, now, want string }{
		{"in the night", "2025-10-20T00:30:00+02:00", "2025-10-20T06:00:00+02:00"},
		{"in the morning", "2025-10-20T06:00:00+02:00", "2025-10-20T14:00:00+02:00"},
		{"just before an end", "2025-10-20T13:59:59.999999+02:00", "2025-10-20T14:00:00+02:00"},
		{"late", "2025-10-31T22:00:00+01:00", "2025-11-01T06:00:00+01:00"},
		{"at the end of a year", "2025-12-31T23:00:00+01:00", "2026-01-01T06:00:00+01:00"},
		{"in the night that has an hour more", "2025-10-26T00:00:00+02:00", "2025-10-26T06:00:00+01:00"},
		{"in the night that has an hour less", "2026-03-28T22:30:00+01:00", "2026-03-29T06:00:00+02:00"},
	} {
		now, err := time.Parse(time.RFC3339, tt.now)
		if err != nil {
			t.Fatal(err)
		}
		if got := shiftEnd(now, vienna).Format("2006-01-02T15:04:05Z07:00"); got != tt.want {
			t.Errorf("%s: the shift ends at %s; want %s", tt.name, got, tt.want)
		}
	}
}

// TestSealing: the log is signed at once, an hour later, at the end of the
// shift, and when the service stops; and never twice for the same entries.
func TestSealing(t *testing.T) {
	t.Parallel()
	data := small(t)
	synctest.Test(t, func(t *testing.T) {
		signer, err := readKey(filepath.Join(data, keyFile))
		if err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		at := time.Date(2026, 1, 10, 12, 20, 0, 0, time.FixedZone("", 3600))
		st, err := store.Open(t.Context(), store.Options{DB: filepath.Join(data, "book.db"), Signer: signer, Now: func() time.Time { return at.Add(time.Since(began)) }})
		if err != nil {
			t.Fatal(err)
		}
		defer st.Close()
		n := int64(6) // entries of a small book
		put := func() {
			if _, err := st.Record(t.Context(), shop.Entry{ID: uuid.Must(uuid.NewV7()), Zone: "Europe/Vienna", By: "601", Event: shop.MouldReceived{Mould: uuid.NewString()[:8], Customer: "K1", Code: shop.NewScanCode()}}); err != nil {
				t.Fatal(err)
			}
			n++
		}
		signed := func(when string, want ...int64) {
			t.Helper()
			all, err := st.Checkpoints(t.Context(), 0, 10)
			if err != nil {
				t.Fatal(err)
			}
			var got []int64
			for _, c := range all {
				got = append(got, c.Size)
			}
			if !slices.Equal(got, want) {
				t.Errorf("%s the checkpoints cover %v entries; want %v", when, got, want)
			}
		}
		put()
		stop := sealing(st, slog.New(slog.NewTextHandler(t.Output(), nil)))
		time.Sleep(time.Second)
		signed("at once", 7, 6)
		put()
		time.Sleep(time.Hour - 2*time.Second)
		signed("before the hour is over", 7, 6)
		time.Sleep(2 * time.Second)
		signed("after an hour", 8, 7, 6)
		put()
		time.Sleep(40*time.Minute - 2*time.Second)
		signed("before the shift ends", 8, 7, 6)
		time.Sleep(2 * time.Second)
		signed("at the end of the shift", 9, 8, 7, 6)
		time.Sleep(3 * time.Hour)
		signed("while nothing is recorded", 9, 8, 7, 6)
		put()
		stop()
		signed("after it stopped", n, 9, 8, 7, 6)
	})
}
