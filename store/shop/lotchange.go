package shop

import (
	"slices"
	"time"
)

// A LotChange is where another lot took over within one print, although the
// release does not say so.
type LotChange struct {
	Seq       int64
	Insert    string
	FromLayer int
	From, To  string // lots
	Reason    string
	At        time.Time
	By        string      // who signed it
	Factors   []LotFactor // of both lots, as in force then
}

// A LotFactor is a lot's factor along an axis as it was in force.
type LotFactor struct {
	Lot  string  `json:"lot"`
	Axis string  `json:"axis"`
	K    Reading `json:"k" quantity:"factor"`
}

// LotChanged lets another lot take over within a print from a layer on. It is
// signed by somebody who did not start the print; both lots stay on the insert
// by their layers.
type LotChanged struct {
	Insert    string      `json:"insert"`
	FromLayer int         `json:"from_layer"`
	From      string      `json:"from_lot"`
	To        string      `json:"to_lot"`
	Why       string      `json:"why"`
	Factors   []LotFactor `json:"factors"` // of both lots, as in force then; filled by the store
}

func (LotChanged) Kind() string { return "lot-changed" }
func (e LotChanged) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("lot", e.From), Subject("lot", e.To)}
}

// Valid refuses a change at the first layer, to the same lot, or for no reason.
func (e LotChanged) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("from_lot", e.From, "The lot until then")
	f.Need("to_lot", e.To, "The lot that takes over")
	if e.FromLayer < 2 || e.FromLayer > 20000 {
		f.Say("from_layer", "The lot takes over at layer %d: it must be a layer from 2 to 20000.", e.FromLayer)
	}
	if e.From != "" && e.From == e.To {
		f.Say("to_lot", "Lot %s cannot take over from itself.", e.To)
	}
	f.Need("why", e.Why, "The reason")
	return f.Err()
}

func (LotChanged) Operation() string { return OpPrint }

// Gates of another lot within a print: it must be one that may be printed, with
// factors that the machine's agree with.
func (LotChanged) Gates() []Gate {
	return []Gate{NotHeld, LotReleasedInDate, CompensationOfLot, AxesMeasured}
}

// With is the release as an insert was printed by it: with the changes of lot
// that were signed while it was printed.
func (r Release) With(changes []LotChange) Release {
	r.Further = slices.Clone(r.Further)
	for _, c := range changes {
		r.Further = append(r.Further, LayerLot{Lot: c.To, FromLayer: c.FromLayer})
	}
	slices.SortStableFunc(r.Further, func(a, b LayerLot) int { return a.FromLayer - b.FromLayer })
	return r
}

// PrintedSoFar is how far a print got.
type PrintedSoFar struct {
	Layers    int // of the whole print
	DrawnTo   int // layer up to which paste was drawn
	MadeTo    int // layer up to which layers were recorded
	StartedBy string
}

// ChangeOfLot says, as a refusal, why a lot cannot take over in a print that got
// so far; the release is as changed so far.
func (e LotChanged) ChangeOfLot(r Release, p PrintedSoFar, by string) error {
	switch now := r.LotAt(e.FromLayer); {
	case by == p.StartedBy:
		return Conflict("Badge %s started the print of %s: a second person signs the change of lot.", by, e.Insert)
	case e.FromLayer > p.Layers:
		return Wrong("from_layer", "The print of %s has %d layers: the lot cannot take over at layer %d.", e.Insert, p.Layers, e.FromLayer)
	case now == e.To:
		return Conflict("Layer %d of %s is printed of lot %s already.", e.FromLayer, e.Insert, e.To)
	case now != e.From:
		return Conflict("Layer %d of %s is printed of lot %s, not %s.", e.FromLayer, e.Insert, now, e.From)
	case e.FromLayer <= p.DrawnTo:
		return Wrong("from_layer", "Paste of lot %s was drawn up to layer %d: the lot takes over after it.", now, p.DrawnTo)
	case e.FromLayer <= p.MadeTo:
		return Wrong("from_layer", "%s is made up to layer %d: the lot takes over after it.", e.Insert, p.MadeTo)
	case slices.ContainsFunc(r.Further, func(l LayerLot) bool { return l.FromLayer > e.FromLayer }):
		return Conflict("%s has another change of lot at a later layer: %s.", e.Insert, r.LotWords())
	}
	return nil
}

// FactorsOf are a lot's factors in X, Y and Z as they were in force when the
// change was signed; "" for an axis without one.
func (c LotChange) FactorsOf(lot string) [3]string {
	var k [3]string
	for i, axis := range Axes {
		for _, f := range c.Factors {
			if f.Lot == lot && f.Axis == axis {
				k[i] = f.K.Text
			}
		}
	}
	return k
}
