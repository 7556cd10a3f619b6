package shop

import (
	"math"
	"slices"
	"time"
)

// A GreenSize is the size of a dried green part along one axis.
type GreenSize struct {
	Seq         int64
	Insert      string
	Axis        string
	Size        Reading
	Gauge       string
	At          time.Time
	By          string
	CorrectedBy int64   // entry that replaced it, 0 while it stands
	U           float64 // expanded uncertainty of the gauge, mm, k = 2; 0 where it is not known
}

// GreenMeasured records the size of a dried green part along one axis, before
// it costs a furnace run.
type GreenMeasured struct {
	Insert string  `json:"insert"`
	Axis   string  `json:"axis"`
	Size   Reading `json:"size" quantity:"length"`
	Gauge  string  `json:"gauge"`
}

func (GreenMeasured) Kind() string { return "green-measured" }
func (e GreenMeasured) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("gauge", e.Gauge)}
}

// Valid refuses a size of no axis or gauge.
func (e GreenMeasured) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	if !slices.Contains(Axes, e.Axis) {
		f.Say("axis", "The axis is %q: it must be X, Y or Z.", e.Axis)
	}
	f.needPositive("size", e.Size, "The green size")
	f.Need("gauge", e.Gauge, "The gauge")
	return f.Err()
}

func (GreenMeasured) Operation() string  { return OpDry }
func (e GreenMeasured) InsertNo() string { return e.Insert }
func (GreenMeasured) Phase() Phase       { return Anytime }

// Gates of measuring a green part.
func (GreenMeasured) Gates() []Gate { return []Gate{Authorised, InstructionRead, GaugeInCalibration} }

// LayersOf are the layers that are of a lot in a print of so many, the lowest
// first; none where the print ended before the lot took over.
func (r Release) LayersOf(lot string, layers int) []LayerRun {
	var runs []LayerRun
	from, of := 1, r.Lot
	for _, next := range append(slices.Clone(r.Further), LayerLot{FromLayer: layers + 1}) {
		until := min(next.FromLayer, layers+1)
		if of == lot && until > from {
			runs = append(runs, LayerRun{from, until - 1})
		}
		from, of = max(from, until), next.Lot
	}
	return runs
}

// LotShares are the shares of each lot in a print of so many layers, by height.
func (r Release) LotShares(layers int) map[string]float64 {
	shares := map[string]float64{}
	for _, lot := range r.Lots() {
		for _, run := range r.LayersOf(lot, layers) {
			shares[lot] += float64(run.ToLayer-run.FromLayer+1) / float64(layers)
		}
	}
	return shares
}

// WholeLengths are the characteristics that are the whole size of the part along
// an axis, which is what is measured green: a step in it has no green size of
// its own.
func (d Design) WholeLengths() []Characteristic {
	size := map[string]Reading{"X": d.X, "Y": d.Y, "Z": d.Z}
	return slices.DeleteFunc(slices.Clone(d.Characteristics), func(c Characteristic) bool {
		return c.Kind != Length || c.Axis == "" || math.Abs(c.Nominal.Value()-size[c.Axis].Value()) > 1e-6
	})
}

// PlausibleGreen refuses a green size that no oversize factor makes of the
// nominal: it belongs to another part, another axis or another unit.
func PlausibleGreen(e GreenMeasured, nominal Reading) error {
	if !nominal.Taken() {
		return nil
	}
	k := e.Size.Value() / nominal.Value()
	if k >= leastOversize-0.05 && k <= mostOversize+0.05 {
		return nil
	}
	if meant := UnitSlip(e.Size.Value(), nominal.Value()*1.2); meant != "" {
		return Wrong("size", "The green size in %s is %s where the nominal is %s: off by a factor of 25.4. Was it read in %s?", e.Axis, e.Size, nominal, meantWord[meant])
	}
	return Wrong("size", "The green size in %s is %s, and the nominal is %s: green over sintered is 1.05 to 1.35. Is it another part or another axis?", e.Axis, e.Size, nominal)
}
