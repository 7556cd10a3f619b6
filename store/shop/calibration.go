package shop

import (
	"fmt"
	"math"
	"time"
)

// A Calibration is what was found when a gauge was compared with a standard,
// and until when it may measure.
type Calibration struct {
	Seq         int64
	Gauge       string
	At          time.Time
	By          string
	Points      []CalibrationPoint
	Certificate string
	Verdict     string // pass or fail, as the certificate says
	Due         Date   // last day on which the gauge may measure; "" after one that failed
}

// A CalibrationPoint is one size at which a gauge was compared: what it read
// too much, before and after it was set.
type CalibrationPoint struct {
	Point   Reading `json:"point" quantity:"its kind"`
	AsFound Reading `json:"as_found" quantity:"its kind"` // reading minus standard
	AsLeft  Reading `json:"as_left" quantity:"its kind"`  // not taken where it was not set
}

// GaugeCalibrated records a calibration. An older one stays: a reading is
// judged by the one that counted when it was taken.
type GaugeCalibrated struct {
	Gauge       string             `json:"gauge"`
	Points      []CalibrationPoint `json:"points"`
	Certificate string             `json:"certificate"`
	Verdict     string             `json:"verdict"`
	Due         Date               `json:"due"` // last day on which the gauge may measure
}

func (GaugeCalibrated) Kind() string         { return "gauge-calibrated" }
func (e GaugeCalibrated) Subjects() []string { return []string{Subject("gauge", e.Gauge)} }

// Valid refuses a calibration without points, certificate or verdict, and one
// that passed without a day on which the next is due.
func (e GaugeCalibrated) Valid() error {
	f := Fields{}
	f.Need("gauge", e.Gauge, "The gauge")
	f.Need("certificate", e.Certificate, "The number of the certificate")
	if len(e.Points) == 0 {
		f.Say("points", "A point is missing: say what the gauge read too much, and where.")
	}
	for i, p := range e.Points {
		f.needPoint(fmt.Sprintf("points.%d", i+1), p)
	}
	switch {
	case e.Verdict != "pass" && e.Verdict != "fail":
		f.Say("verdict", "The verdict is %q: choose pass or fail, as the certificate says.", e.Verdict)
	case e.Verdict == "pass" && e.Due == "":
		f.Say("due", "The day on which the next calibration is due is missing.")
	}
	if e.Due != "" {
		f.needDate("due", e.Due, "The day on which the next calibration is due")
	}
	return f.Err()
}

func (f Fields) needPoint(field string, p CalibrationPoint) {
	switch {
	case !p.Point.Taken():
		f.Say(field, "The size at which it was compared is missing.")
	case !p.AsFound.Taken():
		f.Say(field, "What the gauge read too much at %s is missing: type 0 where it read true.", p.Point)
	case QuantityOf(p.Point.Unit) != QuantityOf(p.AsFound.Unit), p.AsLeft.Taken() && QuantityOf(p.AsLeft.Unit) != QuantityOf(p.AsFound.Unit):
		f.Say(field, "At %s the gauge read %s too much: that is another quantity.", p.Point, p.AsFound)
	}
}

// A GaugeCheck is a reading of a block of known size, taken to see whether a
// gauge still reads true.
type GaugeCheck struct {
	Seq     int64
	Gauge   string
	At      time.Time
	By      string
	Block   Reading
	Read    Reading
	Limit   Reading // as it was typed then
	Verdict string  // pass or fail, by that limit
}

// GaugeChecked records a check. The verdict is decided when it is recorded, by
// the limit that was typed.
type GaugeChecked struct {
	Gauge   string  `json:"gauge"`
	Block   Reading `json:"block" quantity:"length"`
	Read    Reading `json:"read" quantity:"length"`
	Limit   Reading `json:"limit" quantity:"length"`
	Verdict string  `json:"verdict"`
}

func (GaugeChecked) Kind() string         { return "gauge-checked" }
func (e GaugeChecked) Subjects() []string { return []string{Subject("gauge", e.Gauge)} }

// Valid refuses a check without block, reading or limit.
func (e GaugeChecked) Valid() error {
	f := Fields{}
	f.Need("gauge", e.Gauge, "The gauge")
	f.needPositive("block", e.Block, "The size of the block")
	f.needPositive("read", e.Read, "The reading of the block")
	f.needPositive("limit", e.Limit, "The limit of the check")
	if e.Block.Taken() && e.Read.Taken() {
		if meant := UnitSlip(e.Read.Value(), e.Block.Value()); meant != "" {
			f.Say("read", "The gauge reads %s where the block is %s: off by a factor of 25.4. Was it read in %s?", e.Read, e.Block, meantWord[meant])
		}
	}
	return f.Err()
}

// Judged is the verdict of the check: it passes when the reading is off the
// block by no more than the limit.
func (e GaugeChecked) Judged() string {
	off := math.Abs(e.Read.Value() - e.Block.Value())
	if off <= e.Limit.Value()+exactness(e.Read, e.Block) {
		return "pass"
	}
	return "fail"
}

// The gates of a gauge. They have nothing to ask while no gauge was named.
var (
	GaugeInCalibration = Gate{"gauge in calibration", "another gauge, or its calibration", askCalibrated}
	GaugeCheckPassed   = Gate{"gauge check passed", "another gauge, or a check that it passes", askChecked}
	GaugeCheckLimit    = Gate{"gauge check limit equals permissible error", "a check by the permissible error", askCheckLimit}
)

// GaugeCapable asks that the gauge can tell inside from outside: its expanded
// uncertainty is at most a quarter of half the tolerance (a common practice,
// no source).
var GaugeCapable = Gate{"gauge capable", "a gauge of less uncertainty", askCapable}

func askCapable(f Facts) string {
	g, c := f.Gauge, f.Measured
	if g.Gauge == "" || c.Kind != Length || !c.Lower.Taken() || !c.Upper.Taken() {
		return ""
	}
	half := (c.Upper.Value() - c.Lower.Value()) / 2
	switch {
	case !g.Uncertain.Taken():
		return fmt.Sprintf("The uncertainty of gauge %s is not on record: whether it can judge %s is not known.", g.Gauge, c.Number)
	case g.Uncertain.Value() > half/4+1e-9:
		return fmt.Sprintf("Gauge %s reads to ±%s; %s has a tolerance of ±%.3f mm, for which at most ±%.4f mm will do.", g.Gauge, g.Uncertain, c.Number, half, half/4)
	}
	return ""
}

func askCalibrated(f Facts) string {
	c, gauge := f.Calibration, f.Gauge.Gauge
	switch {
	case gauge == "":
		return ""
	case c.Seq == 0:
		return fmt.Sprintf("Gauge %s has no calibration on record.", gauge)
	case c.Verdict == "fail":
		return fmt.Sprintf("Gauge %s failed its calibration of %s, certificate %s.", gauge, DayOf(c.At, f.Zone), c.Certificate)
	case DayOf(f.At, f.Zone) > c.Due:
		return fmt.Sprintf("The calibration of gauge %s was due on %s.", gauge, c.Due)
	}
	return ""
}

// askChecked asks for the last check of a gauge that reads lengths; others
// have no block to read.
func askChecked(f Facts) string {
	c, gauge := f.Check, f.Gauge
	switch {
	case gauge.Gauge == "" || !gauge.Resolution.Taken():
		return ""
	case c.Seq == 0:
		return fmt.Sprintf("Gauge %s was never checked on a block.", gauge.Gauge)
	case c.Verdict == "fail":
		return fmt.Sprintf("Gauge %s read %s on a block of %s at its check of %s, limit ±%s.", gauge.Gauge, c.Read, c.Block, f.clock(c.At), c.Limit)
	}
	return ""
}

func askCheckLimit(f Facts) string {
	c, gauge := f.Check, f.Gauge
	if gauge.Gauge == "" || !gauge.Error.Taken() || c.Seq == 0 || c.Limit.Value() <= gauge.Error.Value()+exactness(c.Limit, gauge.Error) {
		return ""
	}
	return fmt.Sprintf("The last check of gauge %s was judged by a limit of %s; its permissible error is %s.", gauge.Gauge, c.Limit, gauge.Error)
}
