package scenario

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"

	"sinterbook/store/calc/shrink"
	"sinterbook/store/shop"
)

// A fitted is a fit as expected.json has it.
type fitted struct {
	N         int     `json:"n"`
	S         float64 `json:"s"`
	Lo        float64 `json:"lo"`
	Hi        float64 `json:"hi"`
	Intercept float64 `json:"intercept_mm"`
}

// fitsOfTheFolder are the fits that expected.json has, by lot and axis, with
// the shrinkage that was planted. They were computed outside of this project
// (store/scenario/demo/README.md).
func fitsOfTheFolder(t *testing.T) map[string]map[string]map[string]json.RawMessage {
	t.Helper()
	text, err := os.ReadFile("demo/expected.json")
	if err != nil {
		t.Fatal(err)
	}
	var all struct {
		Fits map[string]map[string]map[string]json.RawMessage `json:"lot_fits"`
	}
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	return all.Fits
}

// TestLotFits holds what the book says of each lot's shrinkage against the fits
// of the folder, to the last digit that those are given with.
func TestLotFits(t *testing.T) {
	t.Parallel()
	st := loaded(t)
	for lot, axes := range fitsOfTheFolder(t) {
		fit, err := st.LotFit(t.Context(), lot, vienna(t, "2025-11-21T09:00:00+01:00"))
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range fit.Axes {
			for method, raw := range axes[a.Axis] {
				if method == "true" {
					holdsTrue(t, lot, a, raw)
					continue
				}
				var want fitted
				if err := json.Unmarshal(raw, &want); err != nil {
					t.Fatal(err)
				}
				if got, said := by(t, method, a); said && got != want {
					t.Errorf("%s %s %s is %+v; want %+v", lot, a.Axis, method, got, want)
				}
			}
		}
	}
}

// holdsTrue asks that the interval covers the shrinkage that was planted.
func holdsTrue(t *testing.T, lot string, a shop.AxisFit, raw json.RawMessage) {
	t.Helper()
	var planted float64
	if err := json.Unmarshal(raw, &planted); err != nil {
		t.Fatal(err)
	}
	if !a.Bounded() || planted < a.Lo || planted > a.Hi {
		t.Errorf("%s %s is [%v, %v]: it does not cover %v", lot, a.Axis, a.Lo, a.Hi, planted)
	}
}

// by is a fit by one of the methods of the folder; false where the folder fits
// what the book does not.
func by(t *testing.T, method string, a shop.AxisFit) (fitted, bool) {
	t.Helper()
	inserts := shop.AxisFit{Pairs: slices.DeleteFunc(slices.Clone(a.Pairs), func(p *shop.LengthPair) bool { return p.Coupon })}
	equal := func(points []shrink.Point) []shrink.Point {
		for i := range points {
			points[i].Weight = 1
		}
		return points
	}
	switch method {
	case "main":
		return of(t, a.Plain, nil), !a.OneLength
	case "by_run":
		return fitted{N: a.ByRun.N, S: digits(a.ByRun.S), Lo: digits(a.ByRun.Lo), Hi: digits(a.ByRun.Hi)}, true
	case "through_origin":
		if a.OneLength {
			return of(t, a.Plain, nil), true
		}
		line, err := shrink.FitOrigin(a.Points())
		return of(t, line, err), true
	case "inserts_only":
		line, err := shrink.Fit(inserts.Points())
		return of(t, line, err), true
	case "inserts_only_equal":
		line, err := shrink.Fit(equal(inserts.Points()))
		return of(t, line, err), true
	case "inserts_only_origin":
		line, err := shrink.FitOrigin(inserts.Points())
		return of(t, line, err), true
	case "equal_weights":
		line, err := shrink.Fit(equal(a.Points()))
		return of(t, line, err), true
	}
	t.Errorf("nobody knows the method %q", method)
	return fitted{}, false
}

func of(t *testing.T, line shrink.Line, err error) fitted {
	t.Helper()
	lo, hi, err2 := line.Interval(0.95)
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	return fitted{line.N, digits(line.S()), digits(lo), digits(hi), math.Round(1e4*line.A) / 1e4}
}

// digits are the five that the folder gives.
func digits(v float64) float64 { return math.Round(1e5*v) / 1e5 }
