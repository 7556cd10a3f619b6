package store

import (
	"strconv"
	"testing"
	"time"

	"sinterbook/store/calc/shrink"
	"sinterbook/store/crowd"
	"sinterbook/store/shop"
	"sinterbook/store/yardstick"
)

// BenchmarkLotFit is what a page needs to say of a lot of 500 inserts (1,500
// lengths), pooled towards the shop's other lots, against the bare reading of
// that lot's lengths by the same driver.
func BenchmarkLotFit(b *testing.B) {
	s := grow(b, liteAddress(b), *grownTo)
	at := time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC)
	yardstick.SideBySide(b, 5,
		func(n int) {
			for range n {
				if fit, err := s.LotFit(b.Context(), crowd.Lot(0), at); err != nil || fit.Axes[0].Count() == 0 {
					b.Fatal(err, fit.Axes[0].Count())
				}
			}
		},
		func(n int) {
			for range n {
				rows, err := s.db.QueryContext(b.Context(), insertPairs, crowd.Lot(0))
				if err != nil {
					b.Fatal(err)
				}
				for rows.Next() {
				}
				if err := rows.Close(); err != nil {
					b.Fatal(err)
				}
			}
		})
}

// BenchmarkFactorUpdate is what one more result of a lot of 10,000 lengths
// costs, all that the book says of the axis, against its bare least squares.
func BenchmarkFactorUpdate(b *testing.B) {
	pairs := make([]shop.LengthPair, 10_000)
	for i := range pairs {
		green := 12 + float64(i%7)*12
		pairs[i] = shop.LengthPair{Piece: "I", Axis: "Z", Nominal: mm("40"), KUsed: times("1.2000"), Green: mm(milli(green)), Sintered: mm(milli(green*0.832 + float64(i*7919%41-20)/1000)),
			GreenU: 0.004, SinteredU: 0.002, Load: "F1-" + milli(float64(i/6)), At: day}
	}
	in := shop.Factor{Seq: 1, K: times("1.2019")}
	points := shop.FitAxis("Z", pairs, in).Points()
	yardstick.SideBySide(b, 20,
		func(n int) {
			for range n {
				if f := shop.FitAxis("Z", pairs, in); f.Advice() == "" || !f.Bounded() {
					b.Fatal(f.NoNumber)
				}
			}
		},
		func(n int) {
			for range n {
				if s := bareLine(points); s <= 0 {
					b.Fatal(s)
				}
			}
		})
}

// bareLine is a weighted least squares of two coefficients, as a textbook has
// it.
func bareLine(points []shrink.Point) float64 {
	var w, x, y, xx, xy float64
	for _, p := range points {
		w += p.Weight
		x += p.Weight * p.Green
		y += p.Weight * p.Sintered
		xx += p.Weight * p.Green * p.Green
		xy += p.Weight * p.Green * p.Sintered
	}
	return (w*xy - x*y) / (w*xx - x*x)
}

func milli(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }
