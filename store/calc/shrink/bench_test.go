package shrink

import (
	"math/rand/v2"
	"testing"

	"sinterbook/store/yardstick"
)

// BenchmarkFit is the factor of a lot with 10,000 measurements against the
// barest least squares that can be written.
func BenchmarkFit(b *testing.B) {
	of := lot(rand.New(rand.NewPCG(6, 4)), 10_000, 0.168, 0.02, 0.0008)
	yardstick.SideBySide(b, 500,
		func(n int) {
			for range n {
				l, err := Fit(of)
				if err != nil {
					b.Fatal(err)
				}
				if _, _, err := l.KInterval(0.95); err != nil {
					b.Fatal(err)
				}
			}
		},
		func(n int) {
			for range n {
				sink = bare(of)
			}
		})
}

var sink float64

// bare is the slope by sums of raw squares and its variance, with nothing
// checked.
func bare(of []Point) float64 {
	var w, x, y, xx, xy float64
	for _, p := range of {
		w += p.Weight
		x += p.Weight * p.Green
		y += p.Weight * p.Sintered
		xx += p.Weight * p.Green * p.Green
		xy += p.Weight * p.Green * p.Sintered
	}
	slope := (w*xy - x*y) / (w*xx - x*x)
	rss := 0.0
	for _, p := range of {
		e := p.Sintered - y/w - slope*(p.Green-x/w)
		rss += p.Weight * e * e
	}
	return rss / float64(len(of)-2) / (xx - x*x/w)
}
