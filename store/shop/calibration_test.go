package shop

import (
	"testing"
	"time"
)

// A check passes on its limit, whatever the units, and fails beyond it.
func TestCheckIsJudgedByItsLimit(t *testing.T) {
	for name, tt := range map[string]struct{ block, read, limit, unit, want string }{
		"on the block":        {"25.000", "25.000", "0.004", "mm", "pass"},
		"on the limit, above": {"25.000", "25.004", "0.004", "mm", "pass"},
		"on the limit, below": {"25.000", "24.996", "0.004", "mm", "pass"},
		"beyond it":           {"25.000", "25.005", "0.004", "mm", "fail"},
		"beyond it, below":    {"25.000", "24.995", "0.004", "mm", "fail"},
		"a limit in µm":       {"25.000", "25.004", "4", "um", "pass"},
		"a nought too few":    {"25.000", "25.024", "0.040", "mm", "pass"},
	} {
		t.Run(name, func(t *testing.T) {
			e := GaugeChecked{Gauge: "M-12", Block: mm(tt.block), Read: mm(tt.read), Limit: MustReading(tt.limit, tt.unit)}
			if got := e.Judged(); got != tt.want {
				t.Errorf("%s; want %s", got, tt.want)
			}
		})
	}
}

// calibrationRows are the questions to the gates about gauges, by gate.
var calibrationRows = map[string][]gateRow{
	GaugeInCalibration.Name: {
		{"an act without a gauge", asIs, nil},
		{"the last day", gauged(asIs), nil},
		{"a day late", gauged(func(f *Facts) { f.Calibration.Due = "2025-10-19" }), []string{"M-12", "due on 2025-10-19"}},
		{"it failed", gauged(func(f *Facts) { f.Calibration.Verdict, f.Calibration.Due = "fail", "" }), []string{"M-12 failed", "CAL-25-002"}},
		{"never calibrated", gauged(func(f *Facts) { f.Calibration = Calibration{} }), []string{"M-12", "no calibration"}},
	},
	GaugeCheckPassed.Name: {
		{"an act without a gauge", asIs, nil},
		{"it passed", gauged(asIs), nil},
		{"no length, no block", gauged(func(f *Facts) { f.Gauge.Resolution, f.Check = Reading{}, GaugeCheck{} }), nil},
		{"it failed", gauged(func(f *Facts) { f.Check.Verdict, f.Check.Read = "fail", mm("25.024") }), []string{"M-12 read 25.024 mm on a block of 25.000 mm", "2025-10-20 06:00"}},
		{"never checked", gauged(func(f *Facts) { f.Check = GaugeCheck{} }), []string{"M-12", "never checked"}},
	},
	GaugeCheckLimit.Name: {
		{"an act without a gauge", asIs, nil},
		{"as permitted", gauged(asIs), nil},
		{"tighter", gauged(func(f *Facts) { f.Check.Limit = mm("0.002") }), nil},
		{"as permitted, in micrometres", gauged(func(f *Facts) { f.Check.Limit = MustReading("4", "um") }), nil},
		{"a nought too few", gauged(func(f *Facts) { f.Check.Limit = mm("0.040") }), []string{"M-12", "0.040 mm", "0.004 mm"}},
		{"never checked is another gate's", gauged(func(f *Facts) { f.Check = GaugeCheck{} }), nil},
	},
	GaugeCapable.Name: {
		{"no gauge", asIs, nil},
		{"a quarter of half the tolerance", reads("0.0125"), nil}, // ±0.050
		{"just more", reads("0.0126"), []string{"M-12 reads to ±0.0126 mm", "±0.050 mm", "±0.0125 mm"}},
		{"not known", reads(""), []string{"uncertainty of gauge M-12 is not on record"}},
		{"one limit only", func(f *Facts) {
			reads("0.1")(f)
			f.Measured.Lower = Reading{}
		}, nil},
		{"hardness", func(f *Facts) {
			reads("")(f)
			f.Measured.Kind = Hardness
		}, nil},
	},
}

// gauged is a reading by a micrometer that was calibrated and checked.
func gauged(change func(*Facts)) func(*Facts) {
	return func(f *Facts) {
		f.Gauge = Gauge{Gauge: "M-12", Resolution: mm("0.001"), Error: mm("0.004")}
		f.Calibration = Calibration{Seq: 7, Gauge: "M-12", At: noon.Add(-90 * 24 * time.Hour), Certificate: "CAL-25-002", Verdict: "pass", Due: "2025-10-20"}
		f.Check = GaugeCheck{Seq: 9, Gauge: "M-12", At: noon.Add(-6 * time.Hour), Block: mm("25.000"), Read: mm("25.001"), Limit: mm("0.004"), Verdict: "pass"}
		change(f)
	}
}

func reads(uncertainty string) func(*Facts) {
	return func(f *Facts) {
		f.Gauge, f.Measured = Gauge{Gauge: "M-12"}, f.Characteristics[0]
		if uncertainty != "" {
			f.Gauge.Uncertain = mm(uncertainty)
		}
	}
}
