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
	all := append(slices.Clone(f.Weighings), Weighing{At: f.At, Mass: e.Dry})
	last := len(all) - 1
	if last > 0 && all[last-1].Mass == e.Dry {
		last-- // it was weighed a moment ago, and that is typed again
	}
	for i := last - 1; i >= 0; i-- {
		if all[last].At.Sub(all[i].At) < weighedApart {
			continue
		}
		change := 100 * math.Abs(all[last].Mass.Value()-all[i].Mass.Value()) / all[i].Mass.Value()
		if change <= f.Constant.Value()+1e-9 {
			return ""
		}
		return fmt.Sprintf("%s is not at constant mass: %s at %s and %s at %s, a change of %.3f %% where %s is allowed.", f.Insert.Insert, all[i].Mass, f.clock(all[i].At), all[last].Mass, f.clock(all[last].At), change, f.Constant)
	}
	return fmt.Sprintf("%s was not weighed twice an hour apart: whether it is at constant mass is not known.", f.Insert.Insert)
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
