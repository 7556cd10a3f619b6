package shrink

import (
	"errors"
	"math"
	"testing"

	"sinterbook/store/calc/reference"
)

// TestScaleOrConstantNIST: the certified line of Norris, read as errors.
func TestScaleOrConstantNIST(t *testing.T) {
	ref := reference.Open(t, "nist_strd")
	var of []Deviation
	for _, row := range ref.Rows("norris.csv") {
		of = append(of, Deviation{reference.Number(t, row["x"]), reference.Number(t, row["y"]), 1})
	}
	c, err := ScaleOrConstant(of, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	limit, err := student(0.95, float64(c.DF))
	if err != nil {
		t.Fatal(err)
	}
	ref.Equal("strd.norris.coef", c.Constant.Value, c.Scale.Value)
	ref.Equal("strd.norris.se", (c.Constant.Hi-c.Constant.Lo)/2/limit, (c.Scale.Hi-c.Scale.Lo)/2/limit)
	ref.Equal("strd.norris.resid_sd", c.SD)
}

// wobble are errors of reading that add up to nothing.
var wobble = []float64{0.004, -0.003, -0.004, 0.003, 0.002, -0.002}

// deviations of lengths by a scale and a constant.
func deviations(lengths []float64, scale, constant float64) (of []Deviation) {
	for i, l := range lengths {
		of = append(of, Deviation{l, constant + scale*l + wobble[i], 1})
	}
	return of
}

func TestScaleOrConstant(t *testing.T) {
	t.Parallel()
	wide := []float64{10, 20, 40, 60, 80, 100}
	alike := []float64{39, 39.5, 40, 40.5, 41, 41.5}
	for _, tt := range []struct {
		name                 string
		of                   []Deviation
		scale, constant, off bool
	}{
		{"nothing", deviations(wide, 0, 0), false, false, false},
		{"a factor", deviations(wide, 0.001, 0), true, false, true},
		{"a gauge", deviations(wide, 0, -0.03), false, true, true},
		{"both", deviations(wide, 0.001, -0.03), true, true, true},
		{"lengths too much alike to tell", deviations(alike, 0.001, 0), false, false, true},
	} {
		c, err := ScaleOrConstant(tt.of, 0.95)
		if err != nil || c.ScaleTold != tt.scale || c.ConstantTold != tt.constant || c.Off != tt.off {
			t.Errorf("%s: %+v, %v", tt.name, c, err)
		}
		// The tail of F with 2 and d degrees of freedom has a closed form:
		// the share of squares that is left, to the power d/2.
		all := 0.0
		for _, d := range tt.of {
			all += d.Error * d.Error
		}
		if p := math.Pow(c.SD*c.SD*float64(c.DF)/all, float64(c.DF)/2); !near(c.P, p, 1e-9) {
			t.Errorf("%s: P = %v, want %v", tt.name, c.P, p)
		}
	}
	exact, err := ScaleOrConstant([]Deviation{{10, 0.01, 1}, {20, 0.02, 1}, {40, 0.04, 1}}, 0.95)
	if err != nil || !near(exact.Scale.Value, 0.001, 1e-12) || !exact.Off {
		t.Errorf("a thousandth: %+v, %v", exact, err)
	}
	none, err := ScaleOrConstant([]Deviation{{10, 0, 1}, {20, 0, 1}, {40, 0, 1}}, 0.95)
	if err != nil || none.Off || none.P != 1 {
		t.Errorf("no error at all: %+v, %v", none, err)
	}
}

func TestScaleOrConstantRefuses(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		of   []Deviation
		want error
	}{
		{"nothing", nil, ErrFewPoints},
		{"one", []Deviation{{10, 0, 1}}, ErrFewPoints},
		{"two", []Deviation{{10, 0, 1}, {20, 0.01, 1}}, ErrFewPoints},
		{"one length", []Deviation{{10, 0, 1}, {10, 0.01, 1}, {10, 0.02, 1}}, ErrSameLength},
		{"no length", []Deviation{{0, 0, 1}, {20, 0.01, 1}, {30, 0, 1}}, ErrNotPositive},
		{"no number", []Deviation{{10, math.NaN(), 1}, {20, 0.01, 1}, {30, 0, 1}}, ErrNotFinite},
		{"negative weight", []Deviation{{10, 0, -1}, {20, 0.01, 1}, {30, 0, 1}}, ErrNotPositive},
	} {
		if c, err := ScaleOrConstant(tt.of, 0.95); !errors.Is(err, tt.want) {
			t.Errorf("%s: %+v, %v; want %v", tt.name, c, err, tt.want)
		}
	}
}
