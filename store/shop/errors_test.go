package shop

import (
	"errors"
	"fmt"
	"testing"
	"time"
)

func TestErrorsTellTheirKind(t *testing.T) {
	for _, tt := range []struct {
		err  error
		kind error
		says string
	}{
		{NotFound("lot", "L9"), ErrNotFound, "There is no lot L9 in this book."},
		{Conflict("Load %s is empty.", "F1-01"), ErrConflict, "Load F1-01 is empty."},
		{Wrong("due", "That is %s.", "no day"), ErrInvalid, "That is no day."},
		{&Invalid{Fields: map[string]string{"b": "Second.", "a": "First."}}, ErrInvalid, "First. Second."},
	} {
		if wrapped := fmt.Errorf("recording: %w", tt.err); !errors.Is(wrapped, tt.kind) || tt.err.Error() != tt.says {
			t.Errorf("%q is %v; want %q of the kind %v", tt.err, wrapped, tt.says, tt.kind)
		}
	}
}

func TestFields(t *testing.T) {
	f := Fields{}
	if f.Err() != nil {
		t.Error("nothing was said and yet it is an error")
	}
	f.Need("why", " \t", "The reason")
	f.Need("place", "K1", "The place")
	f.Say("why", "Another sentence.")
	other := errors.New("the disk is full")
	if err := f.Take(fmt.Errorf("wrapped: %w", Wrong("due", "That is 100 %% no day."))); err != nil {
		t.Errorf("an Invalid is handed back: %v", err)
	}
	if err := f.Take(other); err != other {
		t.Errorf("another error is not handed back: %v", err)
	}
	if err := f.Take(nil); err != nil {
		t.Errorf("no error becomes %v", err)
	}
	if got := f.Err().Error(); got != "That is 100 % no day. The reason is missing." {
		t.Errorf("Err = %q", got)
	}
}

// TestFieldsRead: an empty field is a reading not taken, a wrong one is named.
func TestFieldsRead(t *testing.T) {
	f := Fields{}
	if r := f.Read("mass", "  ", "g", Mass); r.Taken() || len(f) != 0 {
		t.Errorf("an empty field is read as %v, %v", r, f)
	}
	if r := f.Read("mass", "280,5", "g", Mass); r.Value() != 280.5 || len(f) != 0 {
		t.Errorf("280,5 is read as %v, %v", r, f)
	}
	if r := f.Read("mass", "100%", "g", Mass); r.Taken() || f["mass"] != `"100%" is not a number: type it like 12.70.` {
		t.Errorf("100%% is read as %v, %q", r, f["mass"])
	}
}

func TestListed(t *testing.T) {
	for want, words := range map[string][]string{"": nil, "a": {"a"}, "a and b": {"a", "b"}, "a, b and c": {"a", "b", "c"}} {
		if got := Listed(words); got != want {
			t.Errorf("Listed(%q) = %q; want %q", words, got, want)
		}
	}
}

// TestDayOf: the shop's day, not that of UTC, also in the hour that comes twice.
func TestDayOf(t *testing.T) {
	zone := vienna(t)
	for at, want := range map[time.Time]Date{
		time.Date(2025, 10, 20, 21, 59, 59, 0, time.UTC): "2025-10-20",
		time.Date(2025, 10, 20, 22, 0, 0, 0, time.UTC):   "2025-10-21",
		time.Date(2025, 10, 26, 0, 30, 0, 0, time.UTC):   "2025-10-26",
		time.Date(2025, 12, 31, 22, 59, 0, 0, time.UTC):  "2025-12-31",
		time.Date(2025, 12, 31, 23, 0, 0, 0, time.UTC):   "2026-01-01",
	} {
		if got := DayOf(at, zone); got != want {
			t.Errorf("%v is %s in the shop; want %s", at, got, want)
		}
	}
	for d, want := range map[Date]bool{"2024-02-29": true, "2025-02-29": false, "2025-1-1": false, "": false, "2025-11-21 ": false} {
		if d.Valid() != want {
			t.Errorf("Date(%q).Valid() = %v; want %v", d, d.Valid(), want)
		}
	}
}

func TestBackEntered(t *testing.T) {
	for after, want := range map[time.Duration]bool{0: false, time.Minute: false, time.Minute + time.Second: true, -time.Hour: false} {
		if got := (Entry{At: noon, Entered: noon.Add(after)}).BackEntered(); got != want {
			t.Errorf("entered %v after it happened: BackEntered = %v; want %v", after, got, want)
		}
	}
}
