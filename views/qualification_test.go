package views

import (
	"testing"

	"sinterbook/store/shop"
)

// TestCouponsMeasured counts the receipt coupons that were measured green and
// sintered along each axis of the plan: a coupon once, whatever it was measured
// at, and neither run coupons nor inserts.
func TestCouponsMeasured(t *testing.T) {
	receipt := func(number string) shop.Coupon {
		return shop.Coupon{Coupon: number, For: shop.ReceiptCoupon, Design: "CP40", Revision: "B"}
	}
	coupons := []shop.Coupon{receipt("CP-0001"), receipt("CP-0002"), receipt("CP-0003"), {Coupon: "CP-0009", For: shop.RunCoupon, Design: "CP40", Revision: "B"}}
	along := func(axis string, pieces ...string) shop.AxisFit {
		a := shop.AxisFit{Axis: axis}
		for _, p := range pieces {
			a.Pairs = append(a.Pairs, &shop.LengthPair{Piece: p, Axis: axis})
		}
		return a
	}
	bar := shop.Design{Design: "CP40", Revision: "B", Orientation: "+Z up, X along the machine X"}
	for _, axis := range shop.Axes {
		nominal, err := shop.ParseReading("40", "mm", shop.Length)
		if err != nil {
			t.Fatal(err)
		}
		bar.Characteristics = append(bar.Characteristics, shop.Characteristic{Number: axis, Axis: axis, Kind: shop.Length, Nominal: nominal})
	}
	plan := func(axes ...string) *shop.Qualification {
		return &shop.Qualification{Kinds: []shop.PlannedCoupons{{Coupons: 2, Design: "CP40", Revision: "B"}}, Axes: axes}
	}
	for _, tt := range []struct {
		name string
		plan *shop.Qualification
		axes []shop.AxisFit
		word string
		far  string
	}{
		{"nothing yet", plan("X", "Y", "Z"), []shop.AxisFit{along("X"), along("Y"), along("Z")}, "not begun", "X 0 of 2, Y 0 of 2, Z 0 of 2"},
		{"one axis done, one not begun", plan("X", "Z"), []shop.AxisFit{along("X", "CP-0001", "CP-0002"), along("Y"), along("Z")}, "under way", "X 2 of 2, Z 0 of 2"},
		{"the axis with the fewest counts", plan("X", "Z"), []shop.AxisFit{along("X", "CP-0001", "CP-0002"), along("Y"), along("Z", "CP-0001")}, "under way", "X 2 of 2, Z 1 of 2"},
		{"an axis that is not planned does not", plan("X", "Z"), []shop.AxisFit{along("X", "CP-0001", "CP-0002"), along("Y"), along("Z", "CP-0002", "CP-0003")}, "measured", "X 2 of 2, Z 2 of 2"},
		{"two lengths of one coupon", plan("X"), []shop.AxisFit{along("X", "CP-0001", "CP-0001"), along("Y"), along("Z")}, "under way", "X 1 of 2"},
		{"run coupons and inserts", plan("X"), []shop.AxisFit{along("X", "CP-0009", "I-0029", "I-0030"), along("Y"), along("Z")}, "not begun", "X 0 of 2"},
		{"more than planned", plan("X"), []shop.AxisFit{along("X", "CP-0001", "CP-0002", "CP-0003"), along("Y"), along("Z")}, "measured", "X 3 of 2"},
		{"no plan", nil, []shop.AxisFit{along("X", "CP-0001"), along("Y", "CP-0001"), along("Z", "CP-0001")}, "under way", "X 1, Y 1, Z 1"},
		{"no plan, all that were made", nil, []shop.AxisFit{along("X", "CP-0001", "CP-0002", "CP-0003"), along("Y", "CP-0001", "CP-0002", "CP-0003"), along("Z", "CP-0001", "CP-0002", "CP-0003")}, "measured", "X 3, Y 3, Z 3"},
		{"no plan, nothing yet", nil, []shop.AxisFit{along("X"), along("Y"), along("Z")}, "not begun", "X 0, Y 0, Z 0"},
		{"no plan, one axis left", nil, []shop.AxisFit{along("X", "CP-0001"), along("Y"), along("Z", "CP-0001")}, "under way", "X 1, Y 0, Z 1"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := Lot{Qualifying: shop.Qualifying{Plan: tt.plan, Coupons: coupons, Designs: []shop.Design{bar}, Fit: shop.LotFit{Axes: tt.axes}}}
			if _, state, far := p.couponsMeasured(); state.Text != tt.word || far.Text != tt.far {
				t.Errorf("it says %q, %q; want %q, %q", state.Text, far.Text, tt.word, tt.far)
			}
		})
	}
}
