package shop

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// A Weighing is the mass of a part while it dries.
type Weighing struct {
	Seq    int64
	Insert string
	At     time.Time
	By     string
	Gauge  string
	Mass   Reading
}

// InsertWeighed records the mass of a part while it dries.
type InsertWeighed struct {
	Insert string  `json:"insert"`
	Gauge  string  `json:"gauge"`
	Mass   Reading `json:"mass" quantity:"mass"`
}

func (InsertWeighed) Kind() string { return "insert-weighed" }
func (e InsertWeighed) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("gauge", e.Gauge)}
}

// Valid refuses a weighing without mass or balance.
func (e InsertWeighed) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("gauge", e.Gauge, "The balance")
	f.needPositive("mass", e.Mass, "The mass")
	return f.Err()
}

func (InsertWeighed) Operation() string  { return OpDry }
func (e InsertWeighed) InsertNo() string { return e.Insert }
func (InsertWeighed) Phase() Phase       { return During }

// Gates of weighing a part.
func (InsertWeighed) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, GaugeInCalibration}
}

// weighedApart is how long must lie between the two weighings by which a part
// is at constant mass: an hour (common practice, no source), less the minutes
// by which nobody is punctual.
const weighedApart = 55 * time.Minute

// ConstantMass asks that the last two weighings an hour apart differ by no
// more than was set when the drying was started.
var ConstantMass = Gate{"constant mass", "drying on, and another weighing an hour later", askConstant}

func askConstant(f Facts) string {
	e, ok := f.Event.(DryingFinished)
	if !ok {
		return ""
	}
	c, ok := lastChange(append(slices.Clone(f.Weighings), Weighing{At: f.At, Mass: e.Dry}))
	switch {
	case !ok:
		return fmt.Sprintf("%s was not weighed twice an hour apart: whether it is at constant mass is not known.", f.Insert.Insert)
	case c.share <= f.Constant.Value()+1e-9:
		return ""
	}
	return fmt.Sprintf("%s is not at constant mass: %s at %s and %s at %s, a change of %.3f %% where %s is allowed.", f.Insert.Insert, c.before.Mass, f.clock(c.before.At), c.last.Mass, f.clock(c.last.At), c.share, f.Constant)
}

// A massChange is what the mass changed by between two weighings, percent.
type massChange struct {
	before, last Weighing
	share        float64
}

// lastChange is that of the last weighing and the one before it that is far
// enough apart; false where there is none.
func lastChange(all []Weighing) (massChange, bool) {
	last := len(all) - 1
	if last > 0 && all[last-1].Mass == all[last].Mass {
		last-- // it was weighed a moment ago, and that is typed again
	}
	for i := last - 1; i >= 0; i-- {
		if all[last].At.Sub(all[i].At) < weighedApart {
			continue
		}
		return massChange{all[i], all[last], 100 * math.Abs(all[last].Mass.Value()-all[i].Mass.Value()) / all[i].Mass.Value()}, true
	}
	return massChange{}, false
}

// notThrough says why a piece is not dry through by what was recorded of its
// last drying; "" where nothing says so. A piece that was weighed too seldom to
// know is not called wet.
func (f Facts) notThrough() string {
	if step, _ := f.Insert.StepOf(OpDry); step.State == Started {
		return "It is still drying."
	}
	if c, ok := lastChange(f.Weighings); ok && len(f.Weighings) > 2 && f.Constant.Taken() && c.share > f.Constant.Value()+1e-9 {
		return fmt.Sprintf("It was not at constant mass when its drying ended: its last two weighings an hour apart differ by %.3f %%, and %s is allowed.", c.share, f.Constant)
	}
	for _, lot := range append([]Lot{f.Lot}, f.FurtherLots...) {
		if f.Loss.Taken() && lot.DryingLow.Taken() && f.Loss.Value() < lot.DryingLow.Value() {
			return fmt.Sprintf("It lost only %s in drying; the band of lot %s begins at %s.", f.Loss, lot.Lot, lot.DryingLow)
		}
	}
	return ""
}

// LossInBand asks that the drying loss lies in the band of the lot. A piece
// outside of it goes on once the quality manager decided to use it as it is.
var LossInBand = Gate{"drying loss in band", "drying on where it lost too little; else the quality manager, who decides about a nonconformance", askLoss}

func askLoss(f Facts) string {
	e, ok := f.Event.(DryingFinished)
	if !ok || !e.Loss.Taken() {
		return ""
	}
	for _, n := range f.Nonconformances {
		if n.State == NCClosed && n.Disposition == UseAsIs && n.RaisedAt.After(f.DryingSince) {
			return ""
		}
	}
	for _, lot := range append([]Lot{f.Lot}, f.FurtherLots...) {
		if lot.DryingLow.Taken() && e.Loss.Value() < lot.DryingLow.Value() || lot.DryingHigh.Taken() && e.Loss.Value() > lot.DryingHigh.Value() {
			return fmt.Sprintf("%s lost %s in drying; the band of lot %s is %s to %s.", f.Insert.Insert, e.Loss, lot.Lot, lot.DryingLow, lot.DryingHigh)
		}
	}
	return ""
}
