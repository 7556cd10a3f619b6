package shop

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// A Coupon is a small bar of a lot's paste that is measured instead of a part:
// a receipt coupon qualifies a lot, a run coupon rides in a load.
type Coupon struct {
	ID        int64
	Coupon    string // as CP-0001
	For       string
	Lot       string
	Container string
	Machine   string
	With      string // insert in whose print job it was made, "" for a job of its own
	Release   string // "" where it has none of its own
	Design    string
	Revision  string
	KX        Reading // oversize that it was made with; not taken where that is its print's, or its release's
	KY        Reading
	KZ        Reading
	Layers    int
	Drawn     Reading
	Purged    Reading
	MadeAt    time.Time
	MadeBy    string
	Load      string // "" before it is laid into one
	Position  string
	Setter    string
	Lying     string
	Loss      Reading // drying loss, percent
	PlacedAt  time.Time
	PlacedBy  string
	Out       bool // scanned out after the run
	Code      ScanCode
}

// Oversize lists the factors that it was made with; those of its print or its
// release are not taken.
func (c Coupon) Oversize() []AxisFactor { return Release{KX: c.KX, KY: c.KY, KZ: c.KZ}.Oversize() }

// What coupons are made for.
const (
	ReceiptCoupon = "receipt" // qualifies a lot
	RunCoupon     = "run"     // rides in a load
)

// CouponMade records a coupon that was printed, and the paste drawn for it.
type CouponMade struct {
	Coupon    string   `json:"coupon"`
	For       string   `json:"for"`
	Design    string   `json:"design"`
	Revision  string   `json:"revision"`
	Container string   `json:"container"`
	Lot       string   `json:"lot,omitempty"` // of the container; filled when it is recorded, "" in books from before that
	Machine   string   `json:"machine"`
	With      string   `json:"with"`                 // insert in whose print job it was made, "" for a job of its own
	Release   string   `json:"release"`              // "" where it was printed by the insert's
	KX        Reading  `json:"kx" quantity:"factor"` // oversize that it was made with; not taken where that is
	KY        Reading  `json:"ky" quantity:"factor"` // the insert's print's, or its release's
	KZ        Reading  `json:"kz" quantity:"factor"`
	Layers    int      `json:"layers"`
	Drawn     Reading  `json:"drawn" quantity:"mass"`
	Purged    Reading  `json:"purged" quantity:"mass"`
	Code      ScanCode `json:"code"`
}

func (CouponMade) Kind() string { return "coupon-made" }
func (e CouponMade) Subjects() []string {
	subjects := []string{Subject("coupon", e.Coupon), Subject("container", e.Container), Subject("machine", e.Machine)}
	if e.Release != "" {
		subjects = append(subjects, Subject("release", e.Release))
	}
	if e.Lot != "" {
		subjects = append(subjects, Subject("lot", e.Lot))
	}
	return subjects
}

func (CouponMade) Operation() string { return OpPrint }

// Gates of its paste, and of its release where it has one of its own. Those of
// the insert beside which it was printed are asked when that print starts.
func (e CouponMade) Gates() []Gate {
	if e.Release == "" {
		return []Gate{ContainerOpenLife}
	}
	return []Gate{ContainerOpenLife, ReleaseInForce, ReleaseSignedTwice}
}

// ByRelease refuses a coupon that its release does not print: of another lot,
// another design or on another machine.
func (e CouponMade) ByRelease(r Release, lot string) error {
	switch {
	case r.Design != e.Design || r.Revision != e.Revision:
		return Wrong("release", "Release %s prints %s revision %s; %s is a coupon of %s revision %s.", r.Release, r.Design, r.Revision, e.Coupon, e.Design, e.Revision)
	case r.Machine != e.Machine:
		return Wrong("machine", "Release %s is for machine %s, not %s.", r.Release, r.Machine, e.Machine)
	case !slices.Contains(r.Lots(), lot):
		return Wrong("container", "Container %s is of lot %s; release %s prints lot %s. A coupon is of one lot: name a release for lot %s, or a container of lot %s.", e.Container, lot, r.Release, r.LotWords(), lot, r.LotWords())
	}
	return nil
}

// A PrintRun says where and when an insert is printed, to tell what can have
// been made beside it: by its release while the print has not begun.
type PrintRun struct {
	Insert  Insert
	Release Release // with the changes of lot so far; zero where it has none
	Machine string
	From    Date // "" while it has not begun
	Until   Date // "" while it runs
}

// Beside refuses a coupon that cannot have been made in the print of an insert:
// on another machine, on another day, or, where it has no release of its own,
// of another lot.
func (e CouponMade) Beside(p PrintRun, lot string, day Date) error {
	next, _ := p.Insert.Next()
	waits := p.From == "" && !p.Insert.Done && next.Operation == OpPrint
	switch {
	case p.Release.Release == "":
		return Wrong("with", "%s has no release yet: nothing is printed beside it.", e.With)
	case p.From == "" && !waits:
		return Wrong("with", "%s is %s and is not printed: nothing was made beside it.", e.With, p.Insert.Status)
	case p.Machine != e.Machine:
		return Wrong("with", "%s is printed on %s: a coupon from %s was not made beside it.", e.With, p.Machine, e.Machine)
	case p.From != "" && day < p.From:
		return Wrong("with", "The print of %s began on %s: a coupon of %s was not made beside it.", e.With, p.From, day)
	case p.Until != "" && day > p.Until:
		return Wrong("with", "The print of %s ended on %s: a coupon of %s was not made beside it.", e.With, p.Until, day)
	case e.Release == "" && !slices.Contains(p.Release.Lots(), lot):
		return Wrong("container", "Container %s is of lot %s; %s is printed of lot %s. A coupon is of one lot: name a release of its own for lot %s, or a container of lot %s.", e.Container, lot, e.With, p.Release.LotWords(), lot, p.Release.LotWords())
	}
	return nil
}

// Valid refuses a coupon without paste or machine.
func (e CouponMade) Valid() error {
	f := Fields{}
	f.Number("coupon", e.Coupon, "The coupon's number")
	if e.For != ReceiptCoupon && e.For != RunCoupon {
		f.Say("for", "The coupon is for %q: it must be for receipt or for a run.", e.For)
	}
	f.Need("design", e.Design, "The design of the coupon")
	f.Need("revision", e.Revision, "The revision of its design")
	f.Need("container", e.Container, "The container")
	f.Need("machine", e.Machine, "The machine")
	if e.Layers < 1 || e.Layers > 20000 {
		f.sayCount("layers", "The number of layers", e.Layers, 20000)
	}
	for _, k := range e.Oversize() {
		if k.K.Taken() {
			f.needOversize("k"+strings.ToLower(k.Axis), k.K, k.Axis)
		}
	}
	f.needPositive("drawn", e.Drawn, "The mass drawn")
	f.notNegative("purged", e.Purged, "The mass purged")
	needCode(f, e.Code)
	return f.Err()
}

// Oversize lists the factors that it was made with; those of its print or its
// release are not taken.
func (e CouponMade) Oversize() []AxisFactor {
	return Release{KX: e.KX, KY: e.KY, KZ: e.KZ}.Oversize()
}

// CouponPlaced lays a coupon into a load. Coupons lie side by side: a place
// takes several.
type CouponPlaced struct {
	Load     string  `json:"load"`
	Coupon   string  `json:"coupon"`
	Position string  `json:"position"`
	Setter   string  `json:"setter"`
	Lying    string  `json:"lying"`
	Loss     Reading `json:"loss" quantity:"percentage"` // drying loss, not taken where it was not weighed
}

func (CouponPlaced) Kind() string { return "coupon-placed" }
func (e CouponPlaced) Subjects() []string {
	return []string{Subject("coupon", e.Coupon), Subject("load", e.Load)}
}

// Valid refuses a coupon without place.
func (e CouponPlaced) Valid() error {
	f := Fields{}
	f.Need("load", e.Load, "The load")
	f.Need("coupon", e.Coupon, "The coupon")
	f.Need("position", e.Position, "The position")
	f.notNegative("loss", e.Loss, "The drying loss")
	return f.Err()
}

// A CouponResult is one measured value of a coupon.
type CouponResult struct {
	Seq            int64
	Coupon         string
	Stage          string
	Characteristic string
	Value          Reading
	Gauge          string
	PartTemp       Reading
	At             time.Time
	By             string
	Verdict        string // "" without limits
	CorrectedBy    int64  // entry that replaced it, 0 while it stands
}

// The stages at which a coupon is measured.
var CouponStages = []string{GreenStage, SinteredStage}

const (
	GreenStage    = "green"
	SinteredStage = "sintered"
)

// OtherStage is the stage with which a reading of one makes a length.
func OtherStage(stage string) string {
	if stage == GreenStage {
		return SinteredStage
	}
	return GreenStage
}

// CouponMeasured records a measured value of a coupon. The verdict is decided
// when it is recorded; a green one has none.
type CouponMeasured struct {
	Coupon         string  `json:"coupon"`
	Stage          string  `json:"stage"`
	Characteristic string  `json:"characteristic"`
	Value          Reading `json:"value" quantity:"its kind"`
	Gauge          string  `json:"gauge"`
	PartTemp       Reading `json:"part_temp" quantity:"temperature"`
	Verdict        string  `json:"verdict"`
}

func (CouponMeasured) Kind() string { return "coupon-measured" }
func (e CouponMeasured) Subjects() []string {
	return []string{Subject("coupon", e.Coupon), Subject("gauge", e.Gauge)}
}

// Operation is that of an insert which is measured at the same stage.
func (e CouponMeasured) Operation() string {
	if e.Stage == GreenStage {
		return OpDry
	}
	return OpInspect
}

// Gates are those of the gauge, as for an insert at the same stage.
func (e CouponMeasured) Gates() []Gate {
	if e.Stage == GreenStage {
		return []Gate{GaugeInCalibration}
	}
	return []Gate{NotHeld, GaugeInCalibration, GaugeCheckPassed, GaugeCheckLimit, GaugeCapable}
}

// How far a sintered length may lie off the drawing before it is another
// length: provisional factors miss by a few percent (common practice, no source).
const farthestSintered = 0.10

// Plausible refuses a length that must be another one, in another unit or of
// another stage. other is what stands of the same length at the other stage.
func (e CouponMeasured) Plausible(c Characteristic, other Reading) error {
	if c.Kind != Length {
		return nil
	}
	if why := e.offDrawing(c.Nominal); why != "" {
		return Wrong("value", "%s of %s reads %s %s where the drawing says %s: %s", c.Number, e.Coupon, e.Value, e.Stage, c.Nominal, why)
	}
	if !other.Taken() {
		return nil
	}
	green, sintered := e.Value, other
	if e.Stage == SinteredStage {
		green, sintered = other, e.Value
	}
	switch k := green.Value() / sintered.Value(); {
	case k <= 1:
		return Wrong("value", "%s of %s reads %s sintered and %s green: paste shrinks in the furnace, so the sintered length is the smaller one.", c.Number, e.Coupon, sintered, green)
	case k < leastOversize-0.05 || k > mostOversize+0.05:
		return Wrong("value", "%s of %s reads %s sintered and %s green: green over sintered is 1.05 to 1.35. Is one of them another length?", c.Number, e.Coupon, sintered, green)
	}
	return nil
}

// offDrawing says what is probably wrong with a length that no coupon of the
// drawing has at its stage; "" where nothing is.
func (e CouponMeasured) offDrawing(nominal Reading) string {
	if !nominal.Taken() || nominal.Value() <= 0 {
		return ""
	}
	const oversize = 1.2 // about what the shop's pastes need
	size, wanted := e.Value.Value(), nominal.Value()
	isSintered := size >= wanted*(1-farthestSintered) && size <= wanted*(1+farthestSintered)
	k := size / wanted
	isGreen := k >= leastOversize-0.05 && k <= mostOversize+0.05
	if e.Stage == GreenStage {
		wanted *= oversize
	}
	tenfold := func(x float64) bool { return x > 0.9*wanted && x < 1.1*wanted }
	switch meant := UnitSlip(size, wanted); {
	case e.Stage == GreenStage && isGreen, e.Stage == SinteredStage && isSintered:
		return ""
	case meant != "":
		return fmt.Sprintf("off by a factor of 25.4. Was it read in %s?", meantWord[meant])
	case tenfold(size*10) || tenfold(size/10):
		return "off by a factor of 10. Is the decimal point in its place?"
	case e.Stage == GreenStage && isSintered:
		return "that is a sintered length. Green over sintered is 1.05 to 1.35."
	case e.Stage == SinteredStage && isGreen:
		return "that is a green length. Sintered it is smaller by what the paste shrinks."
	case e.Stage == GreenStage:
		return "green over sintered is 1.05 to 1.35. Is it another length, or another coupon?"
	}
	return "a sintered length lies within 10 % of it. Is it another length, or another coupon?"
}

// Valid refuses a value of no characteristic or gauge.
func (e CouponMeasured) Valid() error {
	f := Fields{}
	f.Need("coupon", e.Coupon, "The coupon")
	if !slices.Contains(CouponStages, e.Stage) {
		f.Say("stage", "The stage is %q: it must be green or sintered.", e.Stage)
	}
	f.Need("characteristic", e.Characteristic, "The characteristic")
	f.Need("gauge", e.Gauge, "The gauge")
	if !e.Value.Taken() {
		f.Say("value", "The reading is missing. A size that was not measured is left out, never set to nominal.")
	}
	f.partTemp(e.PartTemp)
	return f.Err()
}
