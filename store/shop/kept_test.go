package shop

import (
	"errors"
	"strings"
	"testing"
	"time"
)

// A tablet's clock that is wrong is put right by how far it is off when the act
// comes in; what no clock can tell is asked of a person.
func TestKeptIsPutRight(t *testing.T) {
	received := time.Date(2025, 11, 21, 9, 24, 0, 0, time.UTC)
	for _, tt := range []struct {
		name         string
		device, sent string
		offset       time.Duration
		at, says     string
	}{
		{"a right clock", "2025-11-21T09:12:00Z", "2025-11-21T09:24:00Z", 0, "2025-11-21T09:12:00Z", ""},
		{"3 s slow", "2025-11-21T09:11:57Z", "2025-11-21T09:23:57Z", 3 * time.Second, "2025-11-21T09:12:00Z", ""},
		{"an hour fast", "2025-11-21T10:12:00Z", "2025-11-21T10:24:00Z", -time.Hour, "2025-11-21T09:12:00Z", ""},
		{"in another zone", "2025-11-21T10:12:00+01:00", "2025-11-21T10:24:00+01:00", 0, "2025-11-21T09:12:00Z", ""},
		{"its battery was empty", "1970-01-01T00:01:00Z", "1970-01-01T00:13:00Z", received.Sub(time.Date(1970, 1, 1, 0, 13, 0, 0, time.UTC)), "2025-11-21T09:12:00Z", ""},
		{"set right by a second meanwhile", "2025-11-21T09:24:01Z", "2025-11-21T09:24:00Z", 0, "2025-11-21T09:24:00Z", ""},
		{"set back by an hour meanwhile", "2025-11-21T10:12:00Z", "2025-11-21T09:24:00Z", 0, "", "was set back"},
		{"just fourteen days", "2025-11-07T09:24:00Z", "2025-11-21T09:24:00Z", 0, "2025-11-07T09:24:00Z", ""},
		{"longer than fourteen days", "2025-11-07T09:23:59Z", "2025-11-21T09:24:00Z", 0, "", "more than 14 days"},
		{"the year 1", "0001-01-02T00:00:00Z", "0001-01-02T00:00:00Z", 0, "", "set it right"},
		{"the year 9999", "9999-01-02T00:00:00Z", "9999-01-02T00:00:00Z", 0, "", "set it right"},
	} {
		k := Kept{DeviceAt: atTime(t, tt.device), SentAt: atTime(t, tt.sent)}
		err := k.Received(received)
		var at time.Time
		if err == nil {
			at, err = k.Pressed()
		}
		if tt.says != "" {
			if !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("%s: %v, %v; want a no that says %q", tt.name, at, err, tt.says)
			}
			continue
		}
		if err != nil || k.Off() != tt.offset || !at.Equal(atTime(t, tt.at)) {
			t.Errorf("%s: %v off, at %v, %v; want %v, %s", tt.name, k.Off(), at, err, tt.offset, tt.at)
		}
	}
}

func atTime(t *testing.T, text string) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

func TestFitsKept(t *testing.T) {
	for name, e := range map[string]Entry{"a signature": {Meaning: "checked"}, "a paper form": {Paper: &Paper{Form: "PF-0001"}}} {
		if err := e.FitsKept(); !errors.Is(err, ErrInvalid) {
			t.Errorf("%s: %v; want it refused", name, err)
		}
	}
	if err := (Entry{}).FitsKept(); err != nil {
		t.Errorf("an act: %v", err)
	}
}
