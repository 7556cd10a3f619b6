package shop

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// A Factor is what the shop believes of a lot's shrinkage along one axis of
// the build, in force from a moment until the next one of that lot and axis.
type Factor struct {
	Seq   int64
	Lot   string
	Axis  string
	S     Reading // shrinkage, percent of green length
	K     Reading // oversize factor, green over sintered, 1/(1-s)
	Basis string
	From  time.Time
	By    string
}

// Axes are those of the build: X and Y in the layer, Z along the build.
var Axes = []string{"X", "Y", "Z"}

// FactorSet puts a lot's factor along an axis into force; the one before it
// stays in the record.
type FactorSet struct {
	Lot   string  `json:"lot"`
	Axis  string  `json:"axis"`
	S     Reading `json:"s" quantity:"percentage"`
	K     Reading `json:"k" quantity:"factor"`
	Basis string  `json:"basis"`
}

func (FactorSet) Kind() string         { return "factor-set" }
func (e FactorSet) Subjects() []string { return []string{Subject("lot", e.Lot)} }

// Valid refuses a factor that rests on nothing, one outside 1.10 to 1.30, and
// a pair of shrinkage and factor of which one does not follow from the other.
func (e FactorSet) Valid() error {
	f := Fields{}
	f.Need("lot", e.Lot, "The lot")
	if !slices.Contains(Axes, e.Axis) {
		f.Say("axis", "The axis is %q: it must be X, Y or Z.", e.Axis)
	}
	f.needPositive("s", e.S, "The shrinkage")
	f.needOversize("k", e.K, "this axis")
	f.Need("basis", e.Basis, "What the factor rests on")
	if f["s"] == "" && f["k"] == "" {
		f.sameShrinkage(e.S, e.K)
	}
	return f.Err()
}

// sameShrinkage refuses a factor that is not 1/(1-s), as far as the decimals
// of both can tell, and names the usual slip.
func (f Fields) sameShrinkage(s, k Reading) {
	share := s.Value() / 100
	want := 1 / (1 - share)
	// A half of the last decimal of s moves k by k² times as much.
	slack := half(k) + want*want*half(s)/100
	switch {
	case math.Abs(k.Value()-want) <= slack+1e-12:
	case math.Abs(k.Value()-(1+share)) <= half(k)+1e-12:
		f.Say("k", "The factor %s is 1 + s. It must be 1 / (1 − s), which is %.4f for %s.", k, want, s)
	default:
		f.Say("k", "The factor is %s, and 1 / (1 − s) is %.4f for a shrinkage of %s: one of the two is a slip.", k, want, s)
	}
}

// half is half of a reading's last decimal.
func half(r Reading) float64 { return 0.5 * math.Pow10(-r.Decimals()) }

// FactorAt is the factor in force along an axis of a lot at a time.
func FactorAt(factors []Factor, lot, axis string, at time.Time) (Factor, bool) {
	var found Factor
	for _, f := range factors {
		if f.Lot == lot && f.Axis == axis && !f.From.After(at) && !f.From.Before(found.From) {
			found = f
		}
	}
	return found, found.Seq != 0
}

// factorBand is how far a release's factor may be from the one in force for
// the lot (trade.md 2.1, common practice, no source).
const factorBand = 0.0020

// CompensationOfLot asks that each factor of the release is the lot's own.
var CompensationOfLot = Gate{"compensation equals lot factor", "the process engineer, by a release with the lot's factors", askCompensation}

func askCompensation(f Facts) string {
	if f.Insert.Insert == "" {
		return ""
	}
	for _, lot := range f.Release.Lots() {
		for _, k := range f.Release.Oversize() {
			in, ok := FactorAt(f.Factors, lot, k.Axis, f.AsOf())
			switch off := math.Abs(k.K.Value() - in.K.Value()); {
			case !ok:
				return fmt.Sprintf("No factor of lot %s in %s is in force.", lot, k.Axis)
			case off > factorBand+1e-9:
				return fmt.Sprintf("Release %s has %s in %s; the factor of lot %s in force is %s. They differ by %.4f, and %.4f is allowed.", f.Release.Release, k.K, k.Axis, lot, in.K, off, factorBand)
			}
		}
	}
	return ""
}

// An AxisFactor is the oversize along one axis.
type AxisFactor struct {
	Axis string
	K    Reading
}

// Oversize lists the release's factors in X, Y and Z.
func (r Release) Oversize() []AxisFactor {
	return []AxisFactor{{"X", r.KX}, {"Y", r.KY}, {"Z", r.KZ}}
}
