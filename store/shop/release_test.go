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

// releaseRows are the questions to the gates about releases, by gate.
var releaseRows = map[string][]gateRow{
	ReleaseInForce.Name: {
		{"in force", asIs, nil},
		{"entered later, superseded a moment after the act", later(superseded("DR-10 A", noon.Add(time.Second))), nil},
		{"entered later, superseded before the act", later(superseded("DR-10 A", noon.Add(-time.Second))), []string{"superseded by DR-10 A"}},
		{"superseded by a clock that was set back since", superseded("DR-10 A", noon.Add(time.Second)), []string{"superseded by DR-10 A"}},
		{"superseded at that moment", superseded("DR-10 A", noon), []string{"DR-09 A", "superseded by DR-10 A", "2025-10-20 12:00"}},
		{"superseded before", superseded("DR-10 A", noon.Add(-time.Hour)), []string{"DR-10 A", "2025-10-20 11:00"}},
		{"withdrawn, nothing in its place", superseded("DR-09 A", noon.Add(-time.Hour)), []string{"DR-09 A was withdrawn", "2025-10-20 11:00"}},
	},
	ReleaseSignedTwice.Name: {
		{"two people", asIs, nil},
		{"one person only", func(f *Facts) { f.Release.Signatures = f.Release.Signatures[:1] }, []string{"DR-09 A", "second signature"}},
		{"one person twice", func(f *Facts) { f.Release.Signatures[1].By = "101" }, []string{"DR-09 A", "two people"}},
		{"entered later, the second signed after the act", later(func(f *Facts) { f.Release.Signatures[1].At = noon.Add(time.Second) }), []string{"DR-09 A"}},
		{"the second signed by a clock that was set back since", func(f *Facts) { f.Release.Signatures[1].At = noon.Add(time.Second) }, nil},
	},
	ReleaseCovers.Name: {
		{"all alike", asIs, nil},
		{"asked about another act", draws("1", ""), nil},
		{"another machine", prints(func(e *PrintStarted) { e.Machine = "P2" }), []string{"DR-09 A", "machine P1, not P2"}},
		{"another release than the insert's", prints(func(e *PrintStarted) { e.Release = "DR-08 A" }), []string{"I-0029", "DR-09 A, not DR-08 A"}},
		{"no release assigned", func(f *Facts) { f.Insert.Release = "" }, []string{"I-0029", "none yet", "DR-09 A"}},
		{"assigned for another design", func(f *Facts) {
			f.Event, f.Release.Design = ReleaseAssigned{Insert: "I-0029", Release: "DR-09 A"}, "CV60"
		}, []string{"CV60", "I-0029", "CR40"}},
		{"assigned before a release stands on the insert", func(f *Facts) {
			f.Event, f.Insert.Release = ReleaseAssigned{Insert: "I-0029", Release: "DR-09 A"}, ""
		}, nil},
		{"another design", func(f *Facts) { f.Release.Design = "CV60" }, []string{"CV60", "I-0029", "CR40"}},
		{"another revision", func(f *Facts) { f.Release.Revision = "A" }, []string{"revision A", "I-0029", "revision B"}},
	},
	ProgramHash.Name: {
		{"the released one", asIs, nil},
		{"asked about another act", draws("1", ""), nil},
		{"one digit differs at the end", prints(func(e *PrintStarted) { e.ProgramHash = programHash[:63] + "1" }), []string{"P1", "DR-09 A"}},
		{"another program", prints(func(e *PrintStarted) { e.ProgramHash = "00ff" + programHash[4:] }), []string{"00ffaf21", "5e33af21"}},
	},
	OversizeOfRelease.Name: {
		{"alike", asIs, nil},
		{"asked about another act", draws("1", ""), nil},
		{"alike, one zero more", prints(func(e *PrintStarted) { e.KX = MustReading("1.20190", "1") }), nil},
		{"X differs in the last digit", prints(func(e *PrintStarted) { e.KX = MustReading("1.2018", "1") }), []string{"in X", "1.2018", "DR-09 A", "1.2019"}},
		{"Y differs", prints(func(e *PrintStarted) { e.KY = MustReading("1.2019", "1") }), []string{"in Y", "1.2020"}},
		{"Z set to the factor of X", prints(func(e *PrintStarted) { e.KZ = MustReading("1.2019", "1") }), []string{"in Z", "1.2180", "1.2019 is the factor of lot L2509-A in X. In Z it is 1.2180."}},
		{"the lot's own, and the release mistyped", func(f *Facts) { f.Release.KX = times("1.2109") }, []string{"in X on the machine is 1.2019", "DR-09 A says 1.2109", "The machine has the factor of lot L2509-A in force"}},
		{"digits swapped, and nothing known of the lot", func(f *Facts) {
			prints(func(e *PrintStarted) { e.KX = MustReading("1.2109", "1") })(f)
			f.Factors = nil
		}, []string{"in X on the machine is 1.2109", "1.2109 has two digits of 1.2019 swapped."}},
	},
}

func superseded(by string, at time.Time) func(*Facts) {
	return func(f *Facts) { f.Release.SupersededBy, f.Release.SupersededAt = by, at }
}
