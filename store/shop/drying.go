package shop

import "fmt"

// DryingStarted puts a green insert into the oven.
type DryingStarted struct {
	Insert string  `json:"insert"`
	Oven   string  `json:"oven"`
	Shelf  string  `json:"shelf"`
	Air    Reading `json:"air" quantity:"temperature"`
	Wet    Reading `json:"wet" quantity:"mass"` // mass before

	// Constant is the largest change, in percent, between two weighings an hour
	// apart at which the part counts as dry.
	Constant Reading `json:"constant_mass" quantity:"percentage"`
}

func (DryingStarted) Kind() string { return "drying-started" }
func (e DryingStarted) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("oven", e.Oven)}
}

// Valid refuses drying without oven, mass or a plausible air temperature.
func (e DryingStarted) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Number("oven", e.Oven, "The oven")
	f.needPositive("wet", e.Wet, "The mass before drying")
	f.needPositive("constant_mass", e.Constant, "The change at which it counts as dry")
	if e.Constant.Value() > 1 {
		f.Say("constant_mass", "The change at which it counts as dry is %s: usual are 0.05 to 0.1 %%, and more than 1 %% is no constant mass.", e.Constant)
	}
	if !e.Air.Taken() {
		f.Say("air", "The air temperature is missing.")
	} else if e.Air.Value() < 10 || e.Air.Value() > 110 {
		f.Say("air", "The air temperature is %s: final drying runs from 10 to 110 °C.", e.Air)
	}
	return f.Err()
}

func (DryingStarted) Operation() string  { return OpDry }
func (e DryingStarted) InsertNo() string { return e.Insert }
func (DryingStarted) Phase() Phase       { return Begin }

// Gates of putting an insert into the oven.
func (DryingStarted) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, NonconformanceClosed}
}

// DryingFinished takes an insert out of the oven.
type DryingFinished struct {
	Insert string  `json:"insert"`
	Dry    Reading `json:"dry" quantity:"mass"`        // mass after
	Loss   Reading `json:"loss" quantity:"percentage"` // share of the wet mass, percent, as decided then
}

func (DryingFinished) Kind() string         { return "drying-finished" }
func (e DryingFinished) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses drying without a mass after it.
func (e DryingFinished) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.needPositive("dry", e.Dry, "The mass after drying")
	f.notNegative("loss", e.Loss, "The drying loss")
	return f.Err()
}

func (DryingFinished) Operation() string  { return OpDry }
func (e DryingFinished) InsertNo() string { return e.Insert }
func (DryingFinished) Phase() Phase       { return End }

// Gates of taking an insert out of the oven.
func (DryingFinished) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, ConstantMass, LossInBand}
}

// DryingLoss is the drying loss in percent of the wet mass, to two decimals
// as the shop writes it. A part that gained mass is refused.
func DryingLoss(wet, dry Reading) (Reading, error) {
	if wet.Value() <= 0 || dry.Value() > wet.Value() {
		return Reading{}, Wrong("dry", "The mass after drying is %s, more than the %s before: weigh again.", dry, wet)
	}
	return ParseReading(fmt.Sprintf("%.2f", 100*(wet.Value()-dry.Value())/wet.Value()), "%", Percentage)
}
