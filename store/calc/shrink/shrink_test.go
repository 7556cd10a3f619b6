package shrink

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// bars are five coupons that shrink by exactly 0.2.
var bars = []Point{{10, 8, 1}, {20, 16, 1}, {30, 24, 1}, {40, 32, 1}, {50, 40, 1}}

func TestOversize(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		s    float64
		k    float64
		err  error
	}{
		{"nothing", 0, 1, nil},
		{"a fifth", 0.2, 1.25, nil},
		// 1.2019 is the worked figure of the trade notes for 16.8 %; 1 + s is 1.168.
		{"a usual paste", 0.168, 1 / 0.832, nil},
		{"all of it", 1, 0, ErrOutside},
		{"grown", -0.01, 0, ErrOutside},
		{"percent for a share", 16.8, 0, ErrOutside},
		{"no number", math.NaN(), 0, ErrOutside},
	} {
		t.Run(tt.name, func(t *testing.T) {
			k, err := Oversize(tt.s)
			if math.Abs(k-tt.k) > 1e-15 || !errors.Is(err, tt.err) {
				t.Errorf("Oversize(%v) = %v, %v; want %v, %v", tt.s, k, err, tt.k, tt.err)
			}
		})
	}
	for _, k := range []float64{0, 0.99, -1, math.NaN(), math.Inf(1)} {
		if s, err := Shrinkage(k); !errors.Is(err, ErrOutside) {
			t.Errorf("Shrinkage(%v) = %v, %v; want ErrOutside", k, s, err)
		}
	}
}

func TestFitRefuses(t *testing.T) {
	t.Parallel()
	same := []Point{{40, 33, 1}, {40, 33.1, 1}, {40, 33.2, 1}}
	with := func(p Point) []Point { return append(slices.Clone(bars), p) }
	for _, tt := range []struct {
		name         string
		of           []Point
		line, origin error
	}{
		{"nothing", nil, ErrFewPoints, ErrFewPoints},
		{"one piece", bars[:1], ErrFewPoints, nil},
		{"two pieces", bars[:2], nil, nil},
		{"two pieces, one without weight", []Point{{10, 8, 1}, {20, 16, 0}}, ErrFewPoints, nil},
		{"only pieces without weight", []Point{{10, 8, 0}, {20, 16, 0}}, ErrFewPoints, ErrFewPoints},
		{"a single length", same, ErrSameLength, nil},
		{"a single length but for rounding", []Point{{40, 33, 1}, {math.Nextafter(40, 41), 33.1, 1}}, ErrSameLength, nil},
		{"zero green", with(Point{0, 0, 1}), ErrNotPositive, ErrNotPositive},
		{"zero sintered", with(Point{60, 0, 1}), ErrNotPositive, ErrNotPositive},
		{"negative", with(Point{-60, -48, 1}), ErrNotPositive, ErrNotPositive},
		{"negative weight", with(Point{60, 48, -1}), ErrNotPositive, ErrNotPositive},
		{"sintered as large as green", with(Point{60, 60, 1}), ErrNotShrunk, ErrNotShrunk},
		{"columns exchanged", with(Point{48, 60, 1}), ErrNotShrunk, ErrNotShrunk},
		{"wrong, and without weight", with(Point{48, 60, 0}), ErrNotShrunk, ErrNotShrunk},
		{"no number", with(Point{60, math.NaN(), 1}), ErrNotFinite, ErrNotFinite},
		{"infinite weight", with(Point{60, 48, math.Inf(1)}), ErrNotFinite, ErrNotFinite},
		{"the longer the smaller", []Point{{40, 35, 1}, {50, 34, 1}, {60, 33, 1}}, ErrNotGrowing, nil},
		{"grows faster than green", []Point{{40, 20, 1}, {50, 31, 1}, {60, 42, 1}}, ErrNotGrowing, nil},
		{"out of range", []Point{{1e300, 1e299, 1}, {2e300, 2e299, 1}}, ErrNotFinite, ErrNotFinite},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if l, err := Fit(tt.of); !errors.Is(err, tt.line) || err != nil && l != (Line{}) {
				t.Errorf("Fit = %+v, %v; want %v", l, err, tt.line)
			}
			if l, err := FitOrigin(tt.of); !errors.Is(err, tt.origin) || err != nil && l != (Line{}) {
				t.Errorf("FitOrigin = %+v, %v; want %v", l, err, tt.origin)
			}
		})
	}
}

// TestTwoPieces have a line and say nothing of how well it is known.
func TestTwoPieces(t *testing.T) {
	t.Parallel()
	l, err := Fit(bars[:2])
	if err != nil || l.DF != 0 || math.Abs(l.S()-0.2) > 1e-12 || math.Abs(l.K()-1.25) > 1e-12 {
		t.Fatalf("Fit = %+v, %v", l, err)
	}
	for name, ask := range map[string]func() error{
		"Interval":  func() error { _, _, err := l.Interval(0.95); return err },
		"KInterval": func() error { _, _, err := l.KInterval(0.95); return err },
		"Predict":   func() error { _, _, _, err := l.Predict(40, 1, 0.95); return err },
		"GreenFor":  func() error { _, _, _, err := l.GreenFor(40, 0.95); return err },
		"Advise":    func() error { _, err := Advise(1.25, 0.002, l, 0.95); return err },
		"Factor":    func() error { _, err := l.Factor(); return err },
	} {
		if err := ask(); !errors.Is(err, ErrFewPoints) {
			t.Errorf("%s: %v, want ErrFewPoints", name, err)
		}
	}
	if off := l.Outliers(bars[:2], 0.95); off != nil {
		t.Errorf("Outliers = %v of two points", off)
	}
}

func TestAskedAmiss(t *testing.T) {
	t.Parallel()
	l, err := Fit([]Point{{10, 8.01, 1}, {20, 15.98, 1}, {30, 24.02, 1}, {40, 31.99, 1}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []float64{0, 1, -0.5, 95, math.NaN()} {
		if _, _, err := l.Interval(c); !errors.Is(err, ErrConfidence) {
			t.Errorf("Interval(%v): %v", c, err)
		}
		if off := l.Outliers(bars, c); off != nil {
			t.Errorf("Outliers(%v) = %v", c, off)
		}
	}
	for _, tt := range []struct {
		green, weight float64
		want          error
	}{
		{0, 1, ErrNotPositive}, {40, 0, ErrNotPositive}, {40, -1, ErrNotPositive},
		{math.NaN(), 1, ErrNotFinite}, {40, math.Inf(1), ErrNotFinite},
	} {
		if _, _, _, err := l.Predict(tt.green, tt.weight, 0.95); !errors.Is(err, tt.want) {
			t.Errorf("Predict(%v, %v): %v, want %v", tt.green, tt.weight, err, tt.want)
		}
	}
	for length, want := range map[float64]error{0: ErrNotPositive, -1: ErrNotPositive, math.Inf(1): ErrNotFinite} {
		if _, _, _, err := l.GreenFor(length, 0.95); !errors.Is(err, want) {
			t.Errorf("GreenFor(%v): %v, want %v", length, err, want)
		}
	}
}

// TestNoEnd: where the slope is not told from zero, no length can be given
// for a wanted one.
func TestNoEnd(t *testing.T) {
	t.Parallel()
	l, err := Fit([]Point{{40, 33, 1}, {41, 32, 1}, {42, 34.4, 1}})
	if err != nil {
		t.Fatal(err)
	}
	if lo, hi, err := l.KInterval(0.95); !errors.Is(err, ErrUnbounded) {
		t.Errorf("KInterval = %v, %v, %v", lo, hi, err)
	}
	if _, lo, hi, err := l.GreenFor(34, 0.95); !errors.Is(err, ErrUnbounded) {
		t.Errorf("GreenFor = %v, %v, %v", lo, hi, err)
	}
}
