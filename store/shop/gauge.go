package shop

import (
	"fmt"
	"slices"
)

// A Gauge measures; each reading names the one it was taken with.
type Gauge struct {
	ID         int64
	Gauge      string // as M-12
	Type       string // as micrometer
	Range      string
	Resolution Reading
	Error      Reading // permissible error, plus or minus
	Uncertain  Reading // expanded uncertainty of a reading, k = 2; not taken where it is not known
	Code       ScanCode
}

// GaugeAdded enters a gauge in the register.
type GaugeAdded struct {
	Gauge      string   `json:"gauge"`
	Type       string   `json:"type"`
	Range      string   `json:"range"`
	Resolution Reading  `json:"resolution" quantity:"length"`  // not taken where the gauge reads no length
	Error      Reading  `json:"error" quantity:"length"`       // permissible error, plus or minus; same
	Uncertain  Reading  `json:"uncertainty" quantity:"length"` // expanded, k = 2; same
	Code       ScanCode `json:"code"`
}

func (GaugeAdded) Kind() string         { return "gauge-added" }
func (e GaugeAdded) Subjects() []string { return []string{Subject("gauge", e.Gauge)} }

// Valid refuses a gauge of no kind.
func (e GaugeAdded) Valid() error {
	f := Fields{}
	f.Number("gauge", e.Gauge, "The gauge's number")
	f.Need("type", e.Type, "The kind of gauge")
	f.Need("range", e.Range, "The range")
	f.notNegative("resolution", e.Resolution, "The resolution")
	f.notNegative("error", e.Error, "The permissible error")
	f.notNegative("uncertainty", e.Uncertain, "The uncertainty")
	needCode(f, e.Code)
	return f.Err()
}

// byWeighing is what a balance tells: it is calibrated in grams, and a density
// or a share is reckoned from what it reads.
var byWeighing = []Quantity{Mass, Density, Percentage}

// ReadsNo says why a gauge cannot have read a quantity; "" where it can. One
// with a resolution reads lengths, and only those; of others the calibration
// says what they read.
func (g Gauge) ReadsNo(q Quantity, c Calibration) string {
	is := func(p CalibrationPoint) bool {
		in := QuantityOf(p.Point.Unit)
		return in == q || in == Mass && slices.Contains(byWeighing, q)
	}
	switch lengths := g.Resolution.Taken(); {
	case q == Length && !lengths:
		return fmt.Sprintf("Gauge %s, %s, reads no length.", g.Gauge, g.Type)
	case lengths && q != Length:
		return fmt.Sprintf("Gauge %s, %s, reads lengths: it tells no %s.", g.Gauge, g.Type, q)
	case !lengths && len(c.Points) > 0 && !slices.ContainsFunc(c.Points, is):
		return fmt.Sprintf("Gauge %s, %s, was calibrated at %s: it tells no %s.", g.Gauge, g.Type, c.Points[0].Point, q)
	}
	return ""
}
