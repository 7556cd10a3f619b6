package shrink

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// straight is y = a + b*x by weighted least squares, with x the Green and y the
// Sintered of points, which need not be lengths here. Variances are scaled by
// the residual variance, which is estimated; with no degrees of freedom they
// are zero and mean nothing.
type straight struct {
	n, df               int
	a, b, va, vb, cov   float64
	rss, s2, yy, weight float64 // sums of w*e*e and w*y*y, rss/df, sum of w
}

// line fits slope and intercept. The sums are taken about the mean, in a
// second pass: those of raw squares lose half of the digits.
func line(of []Point) (straight, error) {
	var f straight
	var x, y float64
	f.n, f.weight, x, y = middle(of)
	switch {
	case f.n == 0:
		return f, ErrFewPoints
	case oneLength(of):
		return f, sameOrFew(f.n)
	}
	sxx, sxy := about(of, x, y)
	f.b = sxy / sxx
	f.a = y - f.b*x
	f.rss, f.yy = residuals(of, x, y, f.b)
	f.spread(2)
	f.vb = f.s2 / sxx
	f.va = f.s2/f.weight + x*x*f.vb
	f.cov = -x * f.vb
	return f, f.check(sxx)
}

// origin fits the slope of a line through the origin.
func origin(of []Point) (straight, error) {
	var f straight
	f.n, f.weight, _, _ = middle(of)
	if f.n == 0 {
		return f, ErrFewPoints
	}
	sxx, sxy := about(of, 0, 0)
	f.b = sxy / sxx
	f.rss, f.yy = residuals(of, 0, 0, f.b)
	f.spread(1)
	f.vb = f.s2 / sxx
	return f, f.check(sxx)
}

// middle counts the points that have weight, and is the mean of both.
func middle(of []Point) (n int, weight, x, y float64) {
	for _, p := range of {
		if p.Weight == 0 {
			continue
		}
		n++
		weight += p.Weight
		x += p.Weight * p.Green
		y += p.Weight * p.Sintered
	}
	return n, weight, x / weight, y / weight
}

// about is the sums of squares and products about a point.
func about(of []Point, x, y float64) (sxx, sxy float64) {
	for _, p := range of {
		d := p.Weight * (p.Green - x)
		sxx += d * (p.Green - x)
		sxy += d * (p.Sintered - y)
	}
	return sxx, sxy
}

// residuals is the sum of squares about a line through a point, and about zero.
func residuals(of []Point, x, y, b float64) (rss, yy float64) {
	for _, p := range of {
		e := p.Sintered - y - b*(p.Green-x)
		rss += p.Weight * e * e
		yy += p.Weight * p.Sintered * p.Sintered
	}
	return rss, yy
}

// oneLength reports whether all points that have weight are of one length, but
// for rounding.
func oneLength(of []Point) bool {
	first := -1
	for i, p := range of {
		switch {
		case p.Weight == 0:
		case first < 0:
			first = i
		case math.Abs(p.Green-of[first].Green) > 1e-9*math.Abs(p.Green):
			return false
		}
	}
	return true
}

// sameOrFew says what is wrong with points that are all of one length.
func sameOrFew(n int) error {
	if n < 2 {
		return ErrFewPoints
	}
	return ErrSameLength
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
