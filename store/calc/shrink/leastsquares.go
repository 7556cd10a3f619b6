package shrink

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// sample is one observation of a straight line.
type sample struct{ x, y, w float64 }

// straight is y = a + b*x by weighted least squares. Variances are scaled by
// the residual variance, which is estimated; with no degrees of freedom they
// are zero and mean nothing.
type straight struct {
	n, df               int
	a, b, va, vb, cov   float64
	rss, s2, yy, weight float64 // sums of w*e*e and w*y*y, rss/df, sum of w
}

// line fits slope and intercept. The sums are taken about the mean, in a
// second pass: those of raw squares lose half of the digits.
func line(of []sample) (straight, error) {
	var f straight
	var x, y float64
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range of {
		if p.w == 0 {
			continue
		}
		f.n++
		f.weight += p.w
		x += p.w * p.x
		y += p.w * p.y
		lo, hi = min(lo, p.x), max(hi, p.x)
	}
	switch {
	case f.n == 0:
		return f, ErrFewPoints
	case hi-lo <= 1e-9*math.Abs(hi):
		return f, sameOrFew(f.n)
	}
	x, y = x/f.weight, y/f.weight
	var sxx, sxy float64
	for _, p := range of {
		sxx += p.w * (p.x - x) * (p.x - x)
		sxy += p.w * (p.x - x) * (p.y - y)
	}
	f.b = sxy / sxx
	f.a = y - f.b*x
	for _, p := range of {
		e := p.y - y - f.b*(p.x-x)
		f.rss += p.w * e * e
		f.yy += p.w * p.y * p.y
	}
	f.spread(2)
	f.vb = f.s2 / sxx
	f.va = f.s2/f.weight + x*x*f.vb
	f.cov = -x * f.vb
	return f, f.check(sxx)
}

// sameOrFew says what is wrong with points that are all of one length.
func sameOrFew(n int) error {
	if n < 2 {
		return ErrFewPoints
	}
	return ErrSameLength
}

// origin fits the slope of a line through the origin.
func origin(of []sample) (straight, error) {
	var f straight
	var sxx, sxy float64
	for _, p := range of {
		if p.w == 0 {
			continue
		}
		f.n++
		f.weight += p.w
		sxx += p.w * p.x * p.x
		sxy += p.w * p.x * p.y
	}
	if f.n == 0 {
		return f, ErrFewPoints
	}
	f.b = sxy / sxx
	for _, p := range of {
		e := p.y - f.b*p.x
		f.rss += p.w * e * e
		f.yy += p.w * p.y * p.y
	}
	f.spread(1)
	f.vb = f.s2 / sxx
	return f, f.check(sxx)
}

// spread fills in what is known of the scatter after estimating so many
// coefficients.
func (f *straight) spread(coefficients int) {
	f.df = f.n - coefficients
	if f.df > 0 {
		f.s2 = f.rss / float64(f.df)
	}
}

// check refuses a fit that ran out of the range of numbers.
func (f *straight) check(sxx float64) error {
	if sxx <= 0 || !finite(f.a, f.b, f.va, f.vb, f.cov, f.s2, f.weight) {
		return ErrNotFinite
	}
	return nil
}

// student is the two-sided quantile of Student's t: so many standard errors
// to either side hold the confidence.
func student(confidence float64, df float64) (float64, error) {
	switch {
	case !(confidence > 0 && confidence < 1):
		return 0, ErrConfidence
	case !(df > 0):
		return 0, ErrFewPoints
	case math.IsInf(df, 1):
		return distuv.UnitNormal.Quantile((1 + confidence) / 2), nil
	}
	return distuv.StudentsT{Sigma: 1, Nu: df}.Quantile((1 + confidence) / 2), nil
}
