package shop

import (
	"fmt"
	"math"
	"slices"
	"strings"
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
	By    string // who put it into force

	Low, High  Reading // of the 95 % interval of S; not taken where nobody said
	N          int     // measurements that it rests on
	Method     string  // "" where nobody said
	TakenFrom  string  // axis that it was taken from, "" where it was measured
	Proposal   string  // by which it came into force, "" for what one person set
	ProposedBy string
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
		f.sameShrinkage("k", e.S, e.K)
	}
	return f.Err()
}

func (FactorSet) Operation() string { return OpPrint }

// Gates of putting a factor into force alone.
func (FactorSet) Gates() []Gate { return []Gate{FactorByTwo} }

// FactorByTwo asks for a second person.
var FactorByTwo = Gate{"factor approved by a second person", "a proposal that a second person approves", askByTwo}

func askByTwo(f Facts) string {
	if e, ok := f.Event.(FactorSet); ok {
		return fmt.Sprintf("The factor of lot %s in %s was put into force by one person: it is proposed by one and approved by another.", e.Lot, e.Axis)
	}
	return ""
}

// sameShrinkage refuses a factor that is not 1/(1-s), as far as the decimals
// of both can tell, and names the usual slip.
func (f Fields) sameShrinkage(field string, s, k Reading) {
	if no := slipOfShrinkage(s); no != "" {
		f.Say(strings.TrimSuffix(field, "k")+"s", "%s", no)
		return
	}
	want := 1 / (1 - s.Value()/100)
	// A half of the last decimal of s moves k by k² times as much.
	slack := half(k) + want*want*half(s)/100
	if math.Abs(k.Value()-want) <= slack+1e-12 {
		return
	}
	slip := SlipOf(k, Wanted{K: factorOf(s), S: s})
	if slip == "" {
		slip = fmt.Sprintf("1 / (1 − s) is %s for a shrinkage of %s: one of the two is wrong.", factorOf(s), s)
	}
	f.Say(field, "The factor is %s. %s", k, slip)
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

// FactorBand is how far a release's factor may be from the one in force for
// the lot (trade.md 2.1, common practice, no source).
const FactorBand = 0.0020

// CompensationOfLot asks that each factor of the release, and each that the
// machine was given, is the lot's own; of a green part, each that it was printed
// with.
var CompensationOfLot = Gate{"compensation equals lot factor", "the process engineer, by a release with the lot's factors", askCompensation}

func askCompensation(f Facts) string {
	if f.Insert.Insert == "" {
		return ""
	}
	switch e := f.Event.(type) {
	case LotChanged: // the layers to come are printed by what the machine has
		return strings.Join(f.notTheLots(fmt.Sprintf("Machine %s was given", f.Given.Machine), f.given(), f.slip), " ")
	case LoadPlaced, LoadClosed:
		return f.printedOff()
	case PrintStarted:
		given := f.Release
		given.KX, given.KY, given.KZ = e.KX, e.KY, e.KZ
		for i, k := range given.Oversize() {
			if k.K.Value() == f.Release.Oversize()[i].K.Value() {
				given.Set(k.Axis, Reading{}) // the release has it, and is asked
			}
		}
		return spaced(f.releaseOff(), strings.Join(f.notTheLots(fmt.Sprintf("Machine %s was given", e.Machine), given, unnamed), " "))
	}
	return f.releaseOff()
}

func (f Facts) releaseOff() string {
	return strings.Join(f.notTheLots(fmt.Sprintf("Release %s has", f.Release.Release), f.Release, f.slip), " ")
}

// given is the release by what the machine has been given in its place.
func (f Facts) given() Release {
	r := f.Release
	r.KX, r.KY, r.KZ = f.Given.KX, f.Given.KY, f.Given.KZ
	return r
}

// printedOff says where a green part was printed with a factor too far from that
// of a lot in force. What lies within the band is as good as the lot's own by
// now, whatever it was taken for.
func (f Facts) printedOff() string {
	r := f.given()
	var said []string
	for _, lot := range r.Lots() {
		who := f.printedOf(lot)
		if who == "" {
			continue
		}
		for _, k := range r.Oversize() {
			if in, ok := FactorAt(f.Factors, lot, k.Axis, f.AsOf()); k.K.Taken() && (!ok || beyond(k.K, in.K)) {
				said = append(said, offLot(who, lot, k, in, f.slip))
			}
		}
	}
	return strings.Join(said, " ")
}

// printedOf begins a sentence about what of the insert was printed of a lot; ""
// where nothing was.
func (f Facts) printedOf(lot string) string {
	if len(f.Release.Further) == 0 {
		return f.Insert.Insert + " was printed with"
	}
	switch runs := f.Release.LayersOf(lot, f.Layers); {
	case len(runs) == 0:
		return ""
	case len(runs) == 1 && runs[0].FromLayer == runs[0].ToLayer:
		return sentenceCase(LayerWords(runs)) + " of " + f.Insert.Insert + " was printed with"
	default:
		return sentenceCase(LayerWords(runs)) + " of " + f.Insert.Insert + " were printed with"
	}
}

// unnamed names no slip: the gate before it, of machine and release, has.
func unnamed(Reading, Factor) string { return "" }

// notTheLots says for each axis where a factor is not one that the lots of a
// release may be printed with.
func (f Facts) notTheLots(who string, r Release, slip func(Reading, Factor) string) []string {
	var said []string
	for _, lot := range r.Lots() {
		for _, k := range r.Oversize() {
			if in, ok := FactorAt(f.Factors, lot, k.Axis, f.AsOf()); k.K.Taken() && (!ok || !f.agrees(r, k, in)) {
				said = append(said, offLot(who, lot, k, in, slip))
			}
		}
	}
	return said
}

// offLot says that a factor is not that of a lot: a sentence that begins with who
// has it, and what the slip was.
func offLot(who, lot string, k AxisFactor, in Factor, slip func(Reading, Factor) string) string {
	if in.Seq == 0 {
		return fmt.Sprintf("No factor of lot %s in %s is in force.", lot, k.Axis)
	}
	said := fmt.Sprintf("%s %s in %s; the factor of lot %s in force is %s.", who, k.K, k.Axis, lot, in.K)
	if beyond(k.K, in.K) {
		return spaced(fmt.Sprintf("%s They differ by %.4f, and %.4f is allowed.", said, math.Abs(k.K.Value()-in.K.Value()), FactorBand), slip(k.K, in))
	}
	if meant := slip(k.K, in); meant != "" {
		return spaced(said, meant)
	}
	return fmt.Sprintf("%s %s was never a factor of that lot in %s.", said, k.K, k.Axis)
}

// beyond reports whether a factor is too far from the one in force.
func beyond(k, in Reading) bool { return math.Abs(k.Value()-in.Value()) > FactorBand+1e-9 }

// agrees reports whether a lot may be printed with a factor of a release where
// another is in force for it: it was the lot's own once, and lies within the band
// yet. One that never was is a slip or a wish, however close by.
func (f Facts) agrees(r Release, k AxisFactor, in Factor) bool {
	return !beyond(k.K, in.K) && f.own(r, k)
}

// own reports whether a factor was ever that of a lot of the release along its
// own axis.
func (f Facts) own(r Release, k AxisFactor) bool {
	lots := r.Lots()
	if _, ok := f.Event.(LotChanged); ok { // the machine was given that of a lot before
		lots = append(lots, f.Given.Lots()...)
	}
	return slices.ContainsFunc(f.known(), func(o Factor) bool {
		return slices.Contains(lots, o.Lot) && o.Axis == k.Axis && o.K.Value() == k.K.Value() && !o.From.After(f.AsOf())
	})
}

// known are all factors that the facts have.
func (f Facts) known() []Factor { return append(slices.Clone(f.Others), f.Factors...) }

// slip names what was probably done where k was given and in is in force.
func (f Facts) slip(k Reading, in Factor) string {
	return SlipOf(k, Wanted{Lot: in.Lot, Axis: in.Axis, K: in.K, S: in.S, Others: InForce(f.known(), f.AsOf())})
}

// spaced joins sentences, those that say nothing left out.
func spaced(sentences ...string) string {
	return strings.Join(slices.DeleteFunc(sentences, func(s string) bool { return s == "" }), " ")
}

// InForce are the factors that are in force at a time, one of each lot and
// axis.
func InForce(factors []Factor, at time.Time) []Factor {
	var in []Factor
	for _, f := range factors {
		if now, ok := FactorAt(factors, f.Lot, f.Axis, at); ok && !slices.ContainsFunc(in, func(have Factor) bool { return have.Lot == now.Lot && have.Axis == now.Axis }) {
			in = append(in, now)
		}
	}
	return in
}

// ReleaseAsLot asks, when a release is drafted or signed, that its factors are
// those of its lots: that none is far off, none has digits swapped, and none is
// another axis's or another lot's. What a lot on test is printed by rests on
// nothing yet: of its releases the start of a print asks once more.
var ReleaseAsLot = Gate{"release has the lot's factors", "the lot's factors in the release", askReleaseAsLot}

func askReleaseAsLot(f Facts) string {
	r := f.Release
	var said []string
	for _, lot := range r.Lots() {
		for _, k := range r.Oversize() {
			if in, ok := FactorAt(f.Factors, lot, k.Axis, f.AsOf()); ok && f.released(lot) && !f.agrees(r, k, in) {
				said = append(said, offLot(fmt.Sprintf("Release %s has", r.Release), lot, k, in, f.slip))
			}
		}
	}
	return strings.Join(said, " ")
}

// released reports whether a lot of the release was released for printing.
func (f Facts) released(lot string) bool {
	return slices.ContainsFunc(append([]Lot{f.Lot}, f.FurtherLots...), func(l Lot) bool { return l.Lot == lot && l.Released() && !l.ReleasedAt.After(f.AsOf()) })
}

// AxesMeasured asks that a lot was measured along every axis, before anything
// of it is released and printed: a coupon or an insert of it, green and
// sintered. A release of a lot on test is signed without: its receipt coupons are
// printed by it, to be measured. An insert is not.
var AxesMeasured = Gate{"lot measured in every axis", "coupons of the lot, measured green and sintered along the axis", askAxesMeasured}

func askAxesMeasured(f Facts) string {
	_, signs := f.Event.(ReleaseSigned)
	var said []string
	for _, lot := range f.Release.Lots() {
		if no := UnmeasuredAxes(lot, f.AxesOf[lot]); no != "" && (!signs || f.released(lot)) {
			said = append(said, no)
		}
	}
	return strings.Join(said, " ")
}

// UnmeasuredAxes says along which axes a lot was not measured; "" where it was
// along all.
func UnmeasuredAxes(lot string, measured []string) string {
	var none, some []string
	for _, axis := range Axes {
		if slices.Contains(measured, axis) {
			some = append(some, axis)
		} else {
			none = append(none, axis)
		}
	}
	rest := "rest"
	if len(none) == 1 {
		rest = "rests"
	}
	switch {
	case len(none) == 0:
		return ""
	case len(some) == 0:
		return fmt.Sprintf("Lot %s was never measured: X, Y and Z rest on no measurement.", lot)
	}
	return fmt.Sprintf("Lot %s was measured in %s only: %s %s on no measurement.", lot, Listed(some), Listed(none), rest)
}

// A Compared is one factor as each has it: the machine, the release, and the
// lot by what is in force.
type Compared struct {
	Axis    string `json:"axis"`
	Machine string `json:"machine,omitempty"` // "" where no machine was asked
	Release string `json:"release"`
	Lot     string `json:"lot"`
	Factor  string `json:"factor,omitempty"` // "" where none is in force
	Differs bool   `json:"differs,omitempty"`
}

// comparing are the gates whose no is shown as a table.
var comparing = []string{OversizeOfRelease.Name, CompensationOfLot.Name, ReleaseAsLot.Name}

// compare puts the factors of an act side by side, for every axis and lot.
func compare(f Facts) []Compared {
	var rows []Compared
	for _, lot := range f.Release.Lots() {
		for i, k := range f.Release.Oversize() {
			in, ok := FactorAt(f.Factors, lot, k.Axis, f.AsOf())
			row := Compared{Axis: k.Axis, Release: k.K.Text, Lot: lot, Factor: in.K.Text, Differs: !ok || !f.agrees(f.Release, k, in)}
			given := f.given().Oversize()[i]
			switch e := f.Event.(type) {
			case PrintStarted:
				given.K = (Release{KX: e.KX, KY: e.KY, KZ: e.KZ}).Oversize()[i].K
				row.Machine, row.Differs = given.K.Text, row.Differs || given.K.Value() != k.K.Value()
			case LotChanged:
				row.Machine, row.Differs = given.K.Text, !ok || !f.agrees(f.given(), given, in)
			case LoadPlaced, LoadClosed:
				row.Machine, row.Differs = given.K.Text, !ok || beyond(given.K, in.K)
			}
			rows = append(rows, row)
		}
	}
	return rows
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

// Set sets the factor along an axis.
func (r *Release) Set(axis string, k Reading) {
	*map[string]*Reading{"X": &r.KX, "Y": &r.KY, "Z": &r.KZ}[axis] = k
}
