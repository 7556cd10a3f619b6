package pool

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"sinterbook/store/yardstick"
)

// hundredThousand values in 2,000 groups.
func hundredThousand() [][]float64 {
	r := rand.New(rand.NewPCG(6, 11))
	of := make([][]float64, 2000)
	for i := range of {
		shift := r.NormFloat64()
		for range 50 {
			of[i] = append(of[i], shift+r.NormFloat64())
		}
	}
	return of
}

func repeat(b *testing.B, of [][]float64) func(n int) {
	return func(n int) {
		for range n {
			if _, err := OneWay(of); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// BenchmarkOneWay is REML of 100,000 values in 2,000 groups against copying a
// million numbers; the ratio is to be above 1/60.
func BenchmarkOneWay(b *testing.B) {
	from, to := make([]float64, 1_000_000), make([]float64, 1_000_000)
	yardstick.SideBySide(b, 20, repeat(b, hundredThousand()), func(n int) {
		for range n {
			copy(to, from)
		}
	})
}

// BenchmarkOneWayAgainstQR is the same against one least squares of 100,000
// rows and six columns by gonum.
func BenchmarkOneWayAgainstQR(b *testing.B) {
	r := rand.New(rand.NewPCG(6, 12))
	x, y := mat.NewDense(100_000, 6, nil), mat.NewVecDense(100_000, nil)
	for i := range 100_000 {
		for j := range 6 {
			x.Set(i, j, r.NormFloat64())
		}
		y.SetVec(i, r.NormFloat64())
	}
	yardstick.SideBySide(b, 5, repeat(b, hundredThousand()), func(n int) {
		for range n {
			var qr mat.QR
			var beta mat.VecDense
			qr.Factorize(x)
			if err := qr.SolveVecTo(&beta, false, y); err != nil {
				b.Fatal(err)
			}
		}
	})
}
