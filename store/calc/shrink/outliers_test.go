package shrink

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestOutliers(t *testing.T) {
	t.Parallel()
	off := slices.Clone(noisy)
	off[4].Sintered += 0.4
	exact := append(slices.Clone(bars), Point{60, 48.01, 1})
	lone := []Point{{20, 16.6, 1}, {20, 16.61, 1}, {20, 16.59, 1}, {50, 44, 1}}
	for _, tt := range []struct {
		name string
		of   []Point
		want []int
	}{
		{"clean", noisy, nil},
		{"one misread by 0.4 mm", off, []int{4}},
		{"without weight it is nobody's", append(slices.Clone(noisy), Point{40, 30, 0}), nil},
		{"no scatter at all", bars, nil},
		{"a hundredth off where the rest has no scatter", exact, []int{5}},
		{"the line goes through a lone length, wherever it is", lone, nil},
		{"three points cannot tell", off[3:6], nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := fitted(t, tt.of)
			if got := l.Outliers(tt.of, 0.95); !slices.Equal(got, tt.want) {
				t.Errorf("Outliers = %v, want %v", got, tt.want)
			}
		})
	}
}

// TestLoneLength: a line goes through the only piece of a length, however far
// off it is, so that nothing can be said against it.
func TestLoneLength(t *testing.T) {
	t.Parallel()
	some(t, func(r *rand.Rand, of []Point) bool {
		for i := range of {
			of[i].Green = 20
			of[i].Sintered = 16 + 0.1*r.Float64()
		}
		of = append(of, Point{30 + 40*r.Float64(), 21 + 5*r.Float64(), r.Float64() + 0.01})
		return !slices.Contains(fitted(t, of).Outliers(of, 0.5), len(of)-1)
	})
}

// TestStudentized: the residual over its standard deviation in a fit without
// the point, which is what the leverages save.
func TestStudentized(t *testing.T) {
	t.Parallel()
	for _, weighted := range []bool{false, true} {
		of := slices.Clone(noisy)
		for i := range of {
			if weighted {
				of[i].Weight = 1 / (of[i].Green * of[i].Green)
			}
		}
		l := fitted(t, of)
		for i, p := range of {
			without := fitted(t, slices.Delete(slices.Clone(of), i, i+1))
			size, _, hi := must3(t)(without.Predict(p.Green, p.Weight, 0.95))
			limit, err := without.t(0.95)
			if err != nil {
				t.Fatal(err)
			}
			if want := (p.Sintered - size) * limit / (hi - size); !near(l.studentized(p), want, 1e-9) {
				t.Errorf("point %d: %v, want %v", i, l.studentized(p), want)
			}
		}
	}
}

func TestCrossed(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		of   []Point
		want []int
	}{
		{"none", nil, nil},
		{"in order", bars, nil},
		{"scatter at nearly one length", []Point{{40.0, 33.3, 1}, {40.1, 33.2, 1}, {40, 33.25, 1}}, nil},
		{"two pieces exchanged", []Point{{10, 8, 1}, {38, 35.2, 1}, {44, 30.4, 1}, {50, 40, 1}}, []int{1, 2}},
		{"not sorted", []Point{{50, 40, 1}, {44, 30.4, 1}, {10, 8, 1}, {38, 35.2, 1}}, []int{1, 3}},
		{"what is no piece is passed over", []Point{{-26, 1, 1}, {-23, 71, 1}, {20, 30, 1}, {40, 25, 1}}, nil},
		{"one digit lost", []Point{{10, 8, 1}, {20, 16, 1}, {50, 4, 1}}, []int{1, 2}},
	} {
		if got := Crossed(tt.of); !slices.Equal(got, tt.want) {
			t.Errorf("%s: Crossed = %v, want %v", tt.name, got, tt.want)
		}
	}
}
