package shop

import (
	"fmt"
	"slices"
)

// A Design is one revision of a part: what is to be made.
type Design struct {
	ID                  int64
	Design              string // part number
	Revision            string
	Name                string
	Material            string
	DrawingUnit         string // mm or in: shown first
	X, Y, Z             Reading
	Volume              Reading // of the sintered part; not taken where nobody said
	Layer               Reading // layer height
	LayersBetweenPasses int
	Orientation         string // ISO/ASTM 52921 or plain words
	Superseded          bool   // a later revision is in force
	Characteristics     []Characteristic
}

// A Characteristic is one numbered requirement on the drawing.
type Characteristic struct {
	Number  string   `json:"number"` // as CR40.1
	Name    string   `json:"name"`
	Axis    string   `json:"axis"` // X, Y, Z or ""
	Kind    Quantity `json:"kind"`
	Nominal Reading  `json:"nominal" quantity:"its kind"` // not taken: none
	Lower   Reading  `json:"lower" quantity:"its kind"`   // not taken: no lower limit
	Upper   Reading  `json:"upper" quantity:"its kind"`   // not taken: no upper limit
	Key     bool     `json:"key"`
	How     string   `json:"how"` // kind of gauge
}

// Verdict judges a reading by the limits as read: inside or on them passes.
// It is "" where the characteristic has no limits.
func (c Characteristic) Verdict(r Reading) string {
	switch {
	case !c.Lower.Taken() && !c.Upper.Taken():
		return ""
	case c.Lower.Taken() && r.Value() < c.Lower.Value()-exactness(c.Lower, r),
		c.Upper.Taken() && r.Value() > c.Upper.Value()+exactness(c.Upper, r):
		return "fail"
	}
	return "pass"
}

// exactness is the rounding of a double at the size of the two, so that a
// reading on its limit in another unit is not failed by the conversion.
func exactness(a, b Reading) float64 { return 1e-12 * max(1, a.Value(), b.Value()) }

// Limits is the characteristic's limits in words.
func (c Characteristic) Limits() string {
	switch {
	case c.Lower.Taken() && c.Upper.Taken() && c.Lower.Unit == c.Upper.Unit:
		return fmt.Sprintf("%s to %s", c.Lower.Text, c.Upper)
	case c.Lower.Taken() && c.Upper.Taken():
		return fmt.Sprintf("%s to %s", c.Lower, c.Upper)
	case c.Lower.Taken():
		return fmt.Sprintf("%s or more", c.Lower)
	case c.Upper.Taken():
		return fmt.Sprintf("%s or less", c.Upper)
	}
	return "no limits"
}

// DesignReleased puts a revision of a part in force and supersedes the one before.
type DesignReleased struct {
	Design              string           `json:"design"`
	Revision            string           `json:"revision"`
	Name                string           `json:"name"`
	Material            string           `json:"material"`
	DrawingUnit         string           `json:"drawing_unit"`
	X                   Reading          `json:"x" quantity:"length"`
	Y                   Reading          `json:"y" quantity:"length"`
	Z                   Reading          `json:"z" quantity:"length"`
	Volume              Reading          `json:"volume,omitzero" quantity:"volume"` // of the sintered part; older designs say none
	Layer               Reading          `json:"layer" quantity:"length"`
	LayersBetweenPasses int              `json:"layers_between_passes"`
	Orientation         string           `json:"orientation"`
	Characteristics     []Characteristic `json:"characteristics"`
}

func (DesignReleased) Kind() string         { return "design-released" }
func (e DesignReleased) Subjects() []string { return []string{Subject("design", e.Design)} }

// Valid refuses a design without sizes or with limits that contradict each other.
func (e DesignReleased) Valid() error {
	f := Fields{}
	f.Number("design", e.Design, "The part number")
	f.Number("revision", e.Revision, "The revision")
	f.Need("name", e.Name, "The name of the part")
	f.Need("material", e.Material, "The material")
	if e.DrawingUnit != "mm" && e.DrawingUnit != "in" {
		f.Say("drawing_unit", "The unit of the drawing is not stated: choose mm or in.")
	}
	f.needPositive("x", e.X, "The nominal size in X")
	f.needPositive("y", e.Y, "The nominal size in Y")
	f.needPositive("z", e.Z, "The nominal size in Z")
	f.fits(e)
	f.needPositive("layer", e.Layer, "The layer height")
	if e.LayersBetweenPasses < 1 || e.LayersBetweenPasses > 200 {
		f.sayCount("layers_between_passes", "The number of layers between shaping passes", e.LayersBetweenPasses, 200)
	}
	f.Need("orientation", e.Orientation, "The build orientation")
	if len(e.Characteristics) == 0 {
		f.Say("characteristics", "A characteristic is missing: a part without one cannot be inspected.")
	}
	var seen []string
	for i, c := range e.Characteristics {
		c.valid(f, fmt.Sprintf("characteristics.%d", i+1))
		if slices.Contains(seen, c.Number) {
			f.Say("characteristics", "Characteristic %s stands twice.", c.Number)
		}
		seen = append(seen, c.Number)
	}
	return f.Err()
}

// fits refuses a volume that the block of the part's sizes does not hold, or
// that would leave next to nothing of it: a slip of the unit.
func (f Fields) fits(e DesignReleased) {
	if !e.Volume.Taken() {
		return
	}
	f.needPositive("volume", e.Volume, "The volume of the part")
	block := e.X.Value() * e.Y.Value() * e.Z.Value()
	switch v := e.Volume.Value(); {
	case block <= 0 || v <= 0:
	case v > 1.02*block:
		f.Say("volume", "A volume of %s does not fit into %s by %s by %s, which is %.4g cm³: look at the unit.", e.Volume, e.X, e.Y, e.Z, block/1000)
	case v < 0.01*block:
		f.Say("volume", "A volume of %s is less than a hundredth of %s by %s by %s, which is %.4g cm³: look at the unit.", e.Volume, e.X, e.Y, e.Z, block/1000)
	}
}

func (c Characteristic) valid(f Fields, field string) {
	f.Number(field, c.Number, "The number of the characteristic")
	if c.Name == "" {
		f.Say(field, "The name of characteristic %s is missing.", c.Number)
	}
	if UnitsOf(c.Kind) == nil {
		f.Say(field, "%q is not a quantity that characteristic %s could have.", c.Kind, c.Number)
	}
	for _, r := range []Reading{c.Nominal, c.Lower, c.Upper} {
		if r.Taken() && units[r.Unit].quantity != c.Kind {
			f.Say(field, "Characteristic %s is a %s; %s is not one.", c.Number, c.Kind, r)
		}
	}
	if !slices.Contains([]string{"", "X", "Y", "Z"}, c.Axis) {
		f.Say(field, "The axis of characteristic %s is %q: it must be X, Y, Z or none.", c.Number, c.Axis)
	}
	if c.Lower.Taken() && c.Upper.Taken() && c.Lower.Value() >= c.Upper.Value() {
		f.Say(field, "Characteristic %s has its lower limit %s not below its upper limit %s.", c.Number, c.Lower, c.Upper)
	}
	if c.Nominal.Taken() && (c.Lower.Taken() && c.Nominal.Value() < c.Lower.Value() || c.Upper.Taken() && c.Nominal.Value() > c.Upper.Value()) {
		f.Say(field, "Characteristic %s has its nominal %s outside its own limits.", c.Number, c.Nominal)
	}
}
