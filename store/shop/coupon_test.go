package shop

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// A length of a coupon is asked whether it can be one: each slip has its own
// sentence. The sizes are those of a bar of 40 mm, printed at 1.2.
func TestCouponReadingsArePlausible(t *testing.T) {
	bar := Characteristic{Number: "CP40.1", Name: "length X", Axis: "X", Kind: Length, Nominal: mm("40")}
	carbon := Characteristic{Number: "CP40.4", Name: "carbon", Kind: Percentage}
	for _, tt := range []struct {
		name  string
		of    Characteristic
		stage string
		value Reading
		other Reading // at the other stage
		why   string  // "" where it is taken
	}{
		{"green", bar, GreenStage, mm("48.050"), Reading{}, ""},
		{"green at the least factor", bar, GreenStage, mm("42.0"), Reading{}, ""},
		{"green at the largest factor", bar, GreenStage, mm("54.0"), Reading{}, ""},
		{"green in inches", bar, GreenStage, MustReading("1.8917", "in"), Reading{}, ""},
		{"a digit lost", bar, GreenStage, mm("4.8"), Reading{}, "off by a factor of 10"},
		{"a digit too many", bar, GreenStage, mm("480"), Reading{}, "off by a factor of 10"},
		{"inches typed as millimetres", bar, GreenStage, mm("1.89"), Reading{}, "Was it read in inches?"},
		{"millimetres typed as inches", bar, GreenStage, MustReading("48.05", "in"), Reading{}, "Was it read in millimetres?"},
		{"sintered typed as green", bar, GreenStage, mm("39.9"), Reading{}, "that is a sintered length"},
		{"another length", bar, GreenStage, mm("14.4"), Reading{}, "Is it another length, or another coupon?"},
		{"sintered", bar, SinteredStage, mm("39.925"), mm("48.050"), ""},
		{"sintered without a green one", bar, SinteredStage, mm("39.925"), Reading{}, ""},
		{"green typed as sintered", bar, SinteredStage, mm("48.050"), Reading{}, "that is a green length"},
		{"a digit lost, sintered", bar, SinteredStage, mm("3.99"), Reading{}, "off by a factor of 10"},
		{"another length, sintered", bar, SinteredStage, mm("12.0"), mm("48.050"), "lies within 10 % of it"},
		{"grew in the furnace", bar, SinteredStage, mm("43.1"), mm("42.9"), "the sintered length is the smaller one"},
		{"did not shrink", bar, SinteredStage, mm("43.0"), mm("43.0"), "the sintered length is the smaller one"},
		{"hardly shrank", bar, SinteredStage, mm("43.0"), mm("44.0"), "green over sintered is 1.05 to 1.35"},
		{"green put right below sintered", bar, GreenStage, mm("42.1"), mm("43.0"), "the sintered length is the smaller one"},
		{"no length", carbon, SinteredStage, MustReading("0.39", "%"), Reading{}, ""},
		{"drawn without a size", Characteristic{Number: "CP40.5", Kind: Length}, GreenStage, mm("4.8"), Reading{}, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := CouponMeasured{Coupon: "CP-0001", Stage: tt.stage, Characteristic: tt.of.Number, Value: tt.value, Gauge: "OG-1"}.Plausible(tt.of, tt.other)
			if tt.why == "" && err != nil || tt.why != "" && (!errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), tt.why)) {
				t.Errorf("%v; want %q", err, tt.why)
			}
		})
	}
}

// A coupon is of the lot, design and machine of the release that it names.
func TestCouponByRelease(t *testing.T) {
	release := Release{Release: "DR-01 A", Design: "CP40", Revision: "B", Lot: "L1", Further: []LayerLot{{Lot: "L2", FromLayer: 80}}, Machine: "P1"}
	made := CouponMade{Coupon: "CP-0001", Design: "CP40", Revision: "B", Container: "L1/01", Machine: "P1", Release: "DR-01 A"}
	for _, tt := range []struct {
		name string
		made CouponMade
		lot  string
		why  string
	}{
		{"of its lot", made, "L1", ""},
		{"of the lot that takes over", made, "L2", ""},
		{"of another lot", made, "L3", "A coupon is of one lot"},
		{"of another design", altered(made, func(e *CouponMade) { e.Design = "CR40" }), "L1", "prints CP40 revision B"},
		{"of another revision", altered(made, func(e *CouponMade) { e.Revision = "A" }), "L1", "prints CP40 revision B"},
		{"on another machine", altered(made, func(e *CouponMade) { e.Machine = "P2" }), "L1", "is for machine P1, not P2"},
	} {
		t.Run(tt.name, func(t *testing.T) { saysNo(t, tt.made.ByRelease(release, tt.lot), tt.why) })
	}
}

// A coupon rode beside an insert where that was printed: on its machine, on a
// day of its print, and of its lot unless it has a release of its own.
func TestCouponBesideAnInsert(t *testing.T) {
	waits := Insert{Insert: "I-0030", Status: "open", Release: "DR-02 A", Steps: []Step{{Operation: OpRelease, State: Finished}, {Operation: OpPrint, State: Todo}}}
	past := Insert{Insert: "I-0030", Status: StatusDried, Release: "DR-02 A", Steps: []Step{{Operation: OpPrint, State: Finished}, {Operation: OpDry, State: Todo}}}
	release := Release{Release: "DR-02 A", Lot: "L1", Machine: "P1"}
	begun := PrintRun{Insert: past, Release: release, Machine: "P1", From: "2025-11-06", Until: "2025-11-07"}
	made := CouponMade{Coupon: "CP-0001", Container: "L1/01", Machine: "P1", With: "I-0030"}
	for _, tt := range []struct {
		name string
		made CouponMade
		run  PrintRun
		lot  string
		day  Date
		why  string
	}{
		{"weighed out before it begins", made, PrintRun{Insert: waits, Release: release, Machine: "P1"}, "L1", "2025-11-06", ""},
		{"while it runs", made, PrintRun{Insert: waits, Release: release, Machine: "P1", From: "2025-11-06"}, "L1", "2025-11-08", ""},
		{"on its last day", made, begun, "L1", "2025-11-07", ""},
		{"three days after it", made, begun, "L1", "2025-11-10", "ended on 2025-11-07"},
		{"the day before it", made, begun, "L1", "2025-11-05", "began on 2025-11-06"},
		{"on another machine", altered(made, func(e *CouponMade) { e.Machine = "P2" }), begun, "L1", "2025-11-06", "printed on P1"},
		{"of another lot", made, begun, "L2", "2025-11-06", "A coupon is of one lot"},
		{"of another lot, by a release of its own", altered(made, func(e *CouponMade) { e.Release = "DR-01 A" }), begun, "L2", "2025-11-06", ""},
		{"of the lot that took over", made, altered(begun, func(r *PrintRun) { r.Release.Further = []LayerLot{{Lot: "L2", FromLayer: 90}} }), "L2", "2025-11-06", ""},
		{"of an insert without a release", made, PrintRun{Insert: waits}, "L1", "2025-11-06", "has no release yet"},
		{"of an insert that was never printed", made, PrintRun{Insert: past, Release: release, Machine: "P1"}, "L1", "2025-11-06", "is not printed"},
	} {
		t.Run(tt.name, func(t *testing.T) { saysNo(t, tt.made.Beside(tt.run, tt.lot, tt.day), tt.why) })
	}
}

// saysNo asks for a no about what was typed that says why; none where why is "".
func saysNo(t *testing.T, err error, why string) {
	t.Helper()
	if why == "" && err != nil || why != "" && (!errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), why)) {
		t.Errorf("%v; want %q", err, why)
	}
}

// A gauge tells only what it reads.
func TestGaugeReadsNo(t *testing.T) {
	at := func(text, unit string) Calibration {
		return Calibration{Points: []CalibrationPoint{{Point: MustReading(text, unit)}}}
	}
	micrometer := Gauge{Gauge: "M-12", Type: "micrometer", Resolution: mm("0.001")}
	balance, tester := Gauge{Gauge: "BAL-1", Type: "balance"}, Gauge{Gauge: "HT-1", Type: "hardness tester"}
	for _, tt := range []struct {
		name  string
		gauge Gauge
		q     Quantity
		by    Calibration
		why   string
	}{
		{"a length by a micrometer", micrometer, Length, at("25", "mm"), ""},
		{"a hardness by a micrometer", micrometer, Hardness, at("25", "mm"), "reads lengths: it tells no hardness"},
		{"a length by a balance", balance, Length, at("1000", "g"), "reads no length"},
		{"a length by a hardness tester", tester, Length, at("48.3", "HRC"), "reads no length"},
		{"a hardness by its tester", tester, Hardness, at("48.3", "HRC"), ""},
		{"a share by a hardness tester", tester, Percentage, at("48.3", "HRC"), "was calibrated at 48.3 HRC: it tells no percentage"},
		{"a density by weighing", balance, Density, at("1000", "g"), ""},
		{"a hardness by weighing", balance, Hardness, at("1000", "g"), "tells no hardness"},
		{"not calibrated yet", tester, Percentage, Calibration{}, ""}, // a gate asks for that
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.gauge.ReadsNo(tt.q, tt.by); (got == "") != (tt.why == "") || !strings.Contains(got, tt.why) {
				t.Errorf("%q; want %q", got, tt.why)
			}
		})
	}
}

// altered is a value that was changed.
func altered[T any](of T, change func(*T)) T {
	change(&of)
	return of
}

// Entries of books from before the lot was filled in are about what they were
// about then: their places in the histories are in their hashes.
func TestOldEntriesKeepTheirSubjects(t *testing.T) {
	for kind, tt := range map[string]struct {
		body string
		want []string
	}{
		"container-opened": {`{"container":"L1/01"}`, []string{"container/L1/01"}},
		"coupon-made": {`{"coupon":"CP-0001","for":"receipt","design":"CP40","revision":"B","container":"L1/01","machine":"P1","with":"","release":"DR-01 A","layers":146,"drawn":{"text":"56.0","unit":"g"},"purged":null,"code":"` + string(testCode) + `"}`,
			[]string{"coupon/CP-0001", "container/L1/01", "machine/P1", "release/DR-01 A"}},
	} {
		e, err := DecodeEvent(kind, []byte(tt.body))
		if err != nil {
			t.Fatal(err)
		}
		if got := e.Subjects(); !slices.Equal(got, tt.want) {
			t.Errorf("%s is about %q; want %q", kind, got, tt.want)
		}
	}
}
