package shop

import (
	"testing"
	"time"
)

func TestSigned(t *testing.T) {
	by := func(badge string, after time.Duration) Signature { return Signature{By: badge, At: noon.Add(after)} }
	for _, tt := range []struct {
		name       string
		signatures []Signature
		want       bool
	}{
		{"nobody", nil, false},
		{"one person", []Signature{by("101", -time.Hour)}, false},
		{"the same person twice is one", []Signature{by("101", -2*time.Hour), by("101", -time.Hour)}, false},
		{"two people", []Signature{by("101", -2*time.Hour), by("601", -time.Hour)}, true},
		{"one twice, then another", []Signature{by("101", -3*time.Hour), by("101", -2*time.Hour), by("601", -time.Hour)}, true},
		{"the second at that moment", []Signature{by("101", -time.Hour), by("601", 0)}, true},
		{"the second a moment later", []Signature{by("101", -time.Hour), by("601", time.Microsecond)}, false},
		{"the first later, then the same one before", []Signature{by("601", time.Hour), by("101", -time.Hour), by("101", -time.Minute)}, false},
	} {
		if got := (Release{Signatures: tt.signatures}).Signed(noon); got != tt.want {
			t.Errorf("%s: Signed = %v; want %v", tt.name, got, tt.want)
		}
	}
}

func TestHoldStands(t *testing.T) {
	h := Hold{SetAt: noon, LiftedAt: noon.Add(time.Hour)}
	for _, tt := range []struct {
		name  string
		after time.Duration
		want  bool
	}{
		{"before it was set", -time.Microsecond, false},
		{"when it was set", 0, true},
		{"just before it was lifted", time.Hour - time.Microsecond, true},
		{"when it was lifted", time.Hour, false},
	} {
		if got := h.Stands(noon.Add(tt.after)); got != tt.want {
			t.Errorf("%s: Stands = %v; want %v", tt.name, got, tt.want)
		}
	}
	if h.LiftedAt = (time.Time{}); !h.Stands(noon.AddDate(10, 0, 0)) {
		t.Error("a hold that nobody lifted does not stand after ten years")
	}
}

// TestOpenUntil: open life counts days of 24 hours, whatever the shop's clocks do.
func TestOpenUntil(t *testing.T) {
	c := Container{Opened: time.Date(2025, 10, 25, 10, 0, 0, 0, time.UTC)}
	if got := c.OpenUntil(Lot{OpenLifeDays: 2}); !got.Equal(c.Opened.Add(48 * time.Hour)) {
		t.Errorf("open until %v; want 48 hours after opening", got)
	}
	if got := (Container{}).OpenUntil(Lot{OpenLifeDays: 2}); !got.IsZero() {
		t.Errorf("a sealed container is open until %v; want never", got)
	}
}

func TestFurnaceHas(t *testing.T) {
	f := Furnace{Positions: []Position{{"T1", "top", "insert"}, {"M3", "middle", "coupon"}}}
	for position, want := range map[string]bool{"T1": true, "M3": false, "t1": false, "": false} {
		if got := f.Has(position); got != want {
			t.Errorf("a place for an insert at %q: %v; want %v", position, got, want)
		}
	}
}

func TestLoadState(t *testing.T) {
	l := Load{Items: []LoadItem{{Insert: "I-0029", Position: "T1"}}}
	for _, tt := range []struct {
		closed, opened time.Time
		want           string
	}{{want: "being loaded"}, {noon, time.Time{}, "in the furnace"}, {noon, noon.Add(40 * time.Hour), "unloaded"}} {
		l.Closed, l.Opened = tt.closed, tt.opened
		if got := l.State(); got != tt.want {
			t.Errorf("State = %q; want %q", got, tt.want)
		}
	}
	if l.At("T1") != "I-0029" || l.At("T2") != "" {
		t.Errorf("at T1 lies %q and at T2 %q; want I-0029 and nothing", l.At("T1"), l.At("T2"))
	}
}
