package shop

import (
	"fmt"
	"math"
)

// Sentence says what will become of it, and what can be done; least is the
// chance that is asked.
func (f Forecast) Sentence(insert string, least Limit) string {
	if f.Why != "" {
		return f.Why
	}
	will := fmt.Sprintf("%s in %s is %s green and will be about %.3f mm", insert, f.Of.Axis, f.Green.Size, f.Size)
	if f.Layers != "" {
		will += fmt.Sprintf(" in the layers of lot %s, where it comes out worst", f.Layers)
	}
	limits := fmt.Sprintf("the limits of %s are %s.", f.Of.Number, f.Of.Limits())
	if f.Unsure != "" {
		return spaced(will+"; "+limits, "The chance that it comes out right is not known: "+f.Unsure, f.remedy(insert, least))
	}
	return spaced(fmt.Sprintf("%s, with 95 %% from %.3f to %.3f mm; %s", will, f.Lo, f.Hi, limits),
		fmt.Sprintf("The chance that it comes out right is %s, and %s is asked.", Chance(f.Chance), least.Value), f.remedy(insert, least))
}

// Chance writes a probability so that it never says more than it is.
func Chance(p float64) string {
	switch {
	case p < 0.01:
		return "below 1 %"
	case p > 0.99:
		return "above 99 %"
	}
	return fmt.Sprintf("%.0f %%", math.Floor(100*p+1e-9))
}

// remedy says what can still be done with a green part of which the gate says
// no; nothing where it does not.
func (f Forecast) remedy(insert string, least Limit) string {
	asked := least.Value.Value()
	switch {
	case f.Good(asked):
		return ""
	case f.Unsure == "" && !enough(f.Best, asked):
		return spaced(f.dryOn(), f.scatters(least), f.gains(), f.decision(insert))
	}
	return spaced(f.dryOn(), f.shape())
}

// dryOn asks for drying where the record says that the part is not dry through:
// it gets smaller yet.
func (f Forecast) dryOn() string {
	if f.Wet == "" {
		return ""
	}
	return f.Wet + " It gets smaller yet: dry it on, by a nonconformance that sends it back to final drying where that was finished, and measure it again."
}

// shape says by how much a green part is too large, or that it is too small.
func (f Forecast) shape() string {
	off, then := f.off(), ""
	if f.Unsure == "" {
		then = fmt.Sprintf(" The chance is %s then.", Chance(f.Best))
	}
	if off > 0 {
		return fmt.Sprintf("It can be shaped again while it is green: take %.3f mm off, to %.3f mm, and measure it again.%s", off, f.Aim, then)
	}
	if f.Wet == "" {
		return fmt.Sprintf("It is %.3f mm too small, and nothing can be put on; drying on does not help either. Measure it again, else make it anew, %.3f mm green.%s", -off, f.Aim, then)
	}
	return fmt.Sprintf("It is %.3f mm too small already, and nothing can be put on. Make it anew, %.3f mm green.%s", -off, f.Aim, then)
}

// off is by how many mm the green size is larger than the best one.
func (f Forecast) off() float64 { return math.Round(1000*(f.Green.Size.Value()-f.Aim)) / 1000 }

// scatters says that no green size reaches the chance that is asked, and
// whether the lot could be known better.
func (f Forecast) scatters(least Limit) string {
	lots := fmt.Sprintf("Lot %s scatters too much", f.Lots)
	if f.Layers != "" {
		lots = fmt.Sprintf("Lots %s, one above the other, differ or scatter too much", f.Lots)
	}
	said := fmt.Sprintf("%s for these limits: at %.3f mm green, the best there is, the chance is %s. Neither shaping it again nor making it anew of the same paste reaches %s.", lots, f.Aim, Chance(f.Best), least.Value)
	if enough(f.Known, least.Value.Value()) {
		return said + fmt.Sprintf(" More measured runs can: were the shrinkage known exactly, the chance would be %s. So can another lot.", Chance(f.Known))
	}
	return said + " More measured runs hardly help; another lot can."
}

// gains says what shaping still brings where it does not bring enough; nothing
// where that is less than one in a hundred.
func (f Forecast) gains() string {
	if f.off() <= 0 || f.Best < f.Chance+0.01 {
		return ""
	}
	return fmt.Sprintf("Shaping it gains all the same: take %.3f mm off, to %.3f mm, and the chance is %s instead of %s.", f.off(), f.Aim, Chance(f.Best), Chance(f.Chance))
}

// decision says who can let it go on as it is: these stand in the book.
func (f Forecast) decision(insert string) string {
	return fmt.Sprintf("For %s as it is the quality manager decides: by a deviation permit for it, or by another limit for the chance.", insert)
}
