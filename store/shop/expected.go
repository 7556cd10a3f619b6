package shop

import (
	"fmt"
	"math"

	"sinterbook/store/calc/paste"
)

// Expected is the paste that an insert should take, worked out from the volume
// of the part, the oversize it is printed with and the density of the paste.
type Expected struct {
	Whole float64 // g for the whole insert, without chips and purge; 0 where it is not known
	Share float64 // of it that a draw is for, by its layers; 0 where they are not known
}

// Draw is the mass that a draw should have, g; 0 where it is not known.
func (x Expected) Draw() float64 { return x.Whole * x.Share }

// ExpectedOf is what an insert of a design should take. The oversize is what
// the machine prints with; what is not taken, or no size, makes the answer
// unknown.
func ExpectedOf(volume Reading, kx, ky, kz Reading, wet Reading) Expected {
	for _, r := range []Reading{volume, kx, ky, kz, wet} {
		if !r.Taken() {
			return Expected{}
		}
	}
	green, err := paste.GreenVolume(volume.Value(), kx.Value(), ky.Value(), kz.Value())
	if err != nil {
		return Expected{}
	}
	whole, err := paste.ExpectedMass(green, wet.Value(), 1)
	if err != nil {
		return Expected{}
	}
	return Expected{Whole: whole}
}

// Of is the share of some layers of all that are planned.
func (x Expected) Of(from, to, planned int) Expected {
	x.Share = 0
	if from > 0 && to >= from && planned >= to {
		x.Share = float64(to-from+1) / float64(planned)
	}
	return x
}

// The gates about masses that look wrong. They ask, unless the shop decides
// otherwise: a strange mass may be a true one.
var (
	DrawAsExpected     = Gate{"draw as expected", "looking at the balance, the container and the layers again", askExpected}
	WeighingAsExpected = Gate{"weighing as expected", "looking at the balance and the container again", askWeighing}
)

func askExpected(f Facts) string {
	e, ok := f.Event.(PasteDrawn)
	want, got := f.Expected.Draw(), e.Drawn.Value()
	if !ok || want <= 0 {
		return ""
	}
	should := fmt.Sprintf("%s of %s should take about %.1f g by the volume of the part; %s was drawn.", sentenceCase(LayerRun{e.FromLayer, e.ToLayer}.String()), e.Insert, want, e.Drawn)
	if slip := massSlip(got, want); slip != "" {
		return should + " " + slip
	}
	if 100*math.Abs(got-want) > f.Limit.Value.Value()*want {
		return should + fmt.Sprintf(" The limit is %s.", f.Limit.Words())
	}
	return ""
}

func askWeighing(f Facts) string {
	switch e := f.Event.(type) {
	case ContainerWeighed:
		return e.AskWeighed(f.Container.In, f.Container.Left, f.Limit)
	case ContainerReceived:
		if slip := massSlip(e.Mass.Value(), f.Container.In); slip != "" {
			return fmt.Sprintf("The containers of lot %s came with %.1f g in the mean. %s", e.Lot, f.Container.In, slip)
		}
	}
	return ""
}

// massSlip names the unit that was probably meant where a mass is off what was
// expected by about the factor between gram and kilogram; "" where it is not.
func massSlip(g, expected float64) string {
	near := func(x float64) bool { return x > 0.8*expected && x < 1.25*expected }
	switch {
	case expected <= 0:
		return ""
	case near(g * 1000):
		return fmt.Sprintf("%s looks like kilograms typed as grams: %s kg are %s g.", inGrams(g)+" g", inGrams(g), inGrams(g*1000))
	case near(g / 1000):
		return fmt.Sprintf("%s looks like grams typed as kilograms: %s g were expected.", inGrams(g)+" g", inGrams(expected))
	}
	return ""
}
