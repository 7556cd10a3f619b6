package shop

import (
	"fmt"
	"math"
	"slices"

	"sinterbook/store/calc/paste"
)

// Expected is the paste that an insert should take: worked out from the volume
// of the part, the oversize it is printed with and the density of the paste;
// where nobody knows these, what earlier inserts of its design took.
type Expected struct {
	Whole float64 // g for the whole insert, without purge; by volume without chips too; 0 where it is not known
	Share float64 // of it that a draw is for, by its layers; 0 where they are not known

	Inserts   int     // earlier ones that it is the mean of; 0 where it is by volume
	SD        float64 // of those, g
	Low, High float64 // of those, g
	Layers    int     // that the newest of those has
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

// A Took is the paste that was drawn for an insert that was printed whole.
type Took struct {
	Drawn  float64 // g, without purge
	Purged float64 // g
	Layers int     // it has
	For    int     // layers that this was drawn for
}

// whole is what all of its layers took, g.
func (t Took) whole() float64 { return t.Drawn * float64(t.Layers) / float64(t.For) }

// fewTook are too few earlier inserts to say what one takes (ours).
const fewTook = 3

// ExpectedLike is what an insert should take by what earlier ones of its design
// took, the newest first. One that took less than half of the middle one, or
// more than twice as much, does not count: it was drawn for something else, or
// typed wrongly.
func ExpectedLike(earlier []Took) Expected {
	var masses []float64
	for _, t := range alikeTook(earlier) {
		masses = append(masses, t.whole())
	}
	if len(masses) < fewTook {
		return Expected{}
	}
	mean, squares := meanTook(masses), 0.0
	for _, g := range masses {
		squares += sq(g - mean)
	}
	return Expected{Whole: mean, Inserts: len(masses), SD: math.Sqrt(squares / float64(len(masses)-1)), Low: slices.Min(masses), High: slices.Max(masses), Layers: earlier[0].Layers}
}

// MeanTaken is what earlier inserts took in the mean with what was purged, g,
// and how many they are.
func MeanTaken(earlier []Took) (g float64, inserts int) {
	alike := alikeTook(earlier)
	var masses []float64
	for _, t := range alike {
		masses = append(masses, t.whole()+t.Purged)
	}
	return meanTook(masses), len(masses)
}

func meanTook(masses []float64) float64 {
	sum := 0.0
	for _, g := range masses {
		sum += g
	}
	return sum / float64(max(1, len(masses)))
}

// alikeTook leaves out those that are far from the middle one.
func alikeTook(earlier []Took) []Took {
	known := slices.DeleteFunc(slices.Clone(earlier), func(t Took) bool { return t.For < 1 || t.Drawn <= 0 })
	if len(known) == 0 {
		return nil
	}
	masses := make([]float64, len(known))
	for i, t := range known {
		masses[i] = t.whole()
	}
	slices.Sort(masses)
	middle := masses[len(masses)/2]
	return slices.DeleteFunc(known, func(t Took) bool { return t.whole() < middle/2 || t.whole() > 2*middle })
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
	layers := sentenceCase(LayerRun{e.FromLayer, e.ToLayer}.String())
	should := fmt.Sprintf("%s of %s should take about %.1f g by the volume of the part; %s was drawn.", layers, e.Insert, want, e.Drawn)
	if x := f.Expected; x.Inserts > 0 {
		should = fmt.Sprintf("%s of %s should take about %.1f g: the last %d %s took %s for all layers; %s was drawn.", layers, e.Insert, want, x.Inserts, f.Insert.Design, x.took(), e.Drawn)
	}
	if slip := massSlip(got, want); slip != "" {
		return should + " " + slip
	}
	switch off := math.Abs(got - want); {
	case 100*off <= f.Limit.Value.Value()*want:
		return ""
	case off <= wide*f.Expected.SD*f.Expected.Share:
		return "" // the design takes now more and now less
	}
	return should + fmt.Sprintf(" The limit is %s.", f.Limit.Words())
}

// wide is how many standard deviations of earlier inserts a draw may be off,
// where that is more than the limit.
const wide = 3

// took says what earlier inserts took.
func (x Expected) took() string {
	return fmt.Sprintf("%.1f g in the mean (%.1f to %.1f g)", x.Whole, x.Low, x.High)
}

// Words say what all layers should take and by what; "" where it is not known.
func (x Expected) Words(design string) string {
	switch {
	case x.Whole <= 0:
		return ""
	case x.Inserts > 0:
		return fmt.Sprintf("All layers should take about %.1f\u00a0g: the last %d %s took %s, without purge.", x.Whole, x.Inserts, design, x.took())
	}
	return fmt.Sprintf("All layers should take about %.1f\u00a0g by the volume of the part, without chips and purge.", x.Whole)
}

func askWeighing(f Facts) string {
	switch e := f.Event.(type) {
	case ContainerWeighed:
		return e.AskWeighed(f.Container.In, f.Container.Left, f.Book, f.Limit)
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
		return fmt.Sprintf("%s looks like kilograms typed as grams: %s kg are %s g.", InGrams(g)+" g", InGrams(g), InGrams(g*1000))
	case near(g / 1000):
		return fmt.Sprintf("%s looks like grams typed as kilograms: %s g were expected.", InGrams(g)+" g", InGrams(expected))
	}
	return ""
}
