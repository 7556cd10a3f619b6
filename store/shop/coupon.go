package shop

import (
	"slices"
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
	Machine   string   `json:"machine"`
	With      string   `json:"with"`    // insert in whose print job it was made, "" for a job of its own
	Release   string   `json:"release"` // "" where it was printed by the insert's
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
	return subjects
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
	f.needPositive("drawn", e.Drawn, "The mass drawn")
	f.notNegative("purged", e.Purged, "The mass purged")
	needCode(f, e.Code)
	return f.Err()
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
}

// The stages at which a coupon is measured.
var CouponStages = []string{"green", "sintered"}

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
	return f.Err()
}
