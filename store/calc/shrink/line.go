package shrink

import "math"

// A Line is sintered = A + F * green, in mm. The variances are scaled by the
// residual variance, so that they rest on the scatter that was seen and not on
// what a gauge's certificate promises: the scatter between inserts and between
// furnace runs is several times the gauge's. SD is the residual standard
// deviation of unit weight; a piece of weight w scatters by SD/sqrt(w).
//
// With DF 0 nothing is known of the scatter, the variances are zero, and every
// interval is refused with ErrFewPoints.
type Line struct {
	N, DF             int
	F, A              float64
	VarF, VarA, CovFA float64
	SD                float64
}

// Fit is the weighted least squares line of sintered on green length, with an
// intercept and n-2 degrees of freedom. It needs two different lengths
// (ErrSameLength), because one length says nothing of what grows with length.
func Fit(points []Point) (Line, error) { return fit(points, line) }

// FitOrigin is the line through the origin, with n-1 degrees of freedom: one
// length is enough. Its s has a narrower interval than that of Fit, and a
// wrong one where cutter or gauge add a constant.
func FitOrigin(points []Point) (Line, error) { return fit(points, origin) }

func fit(points []Point, by func([]Point) (straight, error)) (Line, error) {
	for _, p := range points {
		if err := p.check(); err != nil {
			return Line{}, err
		}
	}
	f, err := by(points)
	switch {
	case err != nil:
		return Line{}, err
	case !grows(f.b):
		return Line{}, ErrNotGrowing
	}
	return Line{N: f.n, DF: f.df, F: f.b, A: f.a, VarF: f.vb, VarA: f.va, CovFA: f.cov, SD: math.Sqrt(f.s2)}, nil
}

// grows reports whether a slope can be a paste's: what is left of a length is
// some of it, and not all. Less than a millionth would have no reciprocal in
// the range of numbers.
func grows(slope float64) bool { return slope > 1e-6 && slope < 1 }

// S is the shrinkage, 1 - F.
func (l Line) S() float64 { return 1 - l.F }

// K is the oversize factor, 1/F.
func (l Line) K() float64 { return 1 / l.F }

// Interval is that of the shrinkage.
func (l Line) Interval(confidence float64) (lo, hi float64, err error) {
	half, err := l.half(confidence)
	if err != nil {
		return 0, 0, err
	}
	return l.S() - half, l.S() + half, nil
}

// KInterval is that of the oversize factor: the reciprocals of the ends of F's
// interval, hence not quite symmetric about K.
func (l Line) KInterval(confidence float64) (lo, hi float64, err error) {
	half, err := l.half(confidence)
	switch {
	case err != nil:
		return 0, 0, err
	case half >= l.F:
		return 0, 0, ErrUnbounded
	}
	return 1 / (l.F + half), 1 / (l.F - half), nil
}

// half is half of the width of F's interval.
func (l Line) half(confidence float64) (float64, error) {
	t, err := l.t(confidence)
	return t * math.Sqrt(l.VarF), err
}

// Predict says what one new piece of that green length and weight will be, and
// the interval in which it will lie: wider than that of the line, since the
// piece has its own scatter.
func (l Line) Predict(green, weight, confidence float64) (size, lo, hi float64, err error) {
	t, err := l.t(confidence)
	switch {
	case err != nil:
		return 0, 0, 0, err
	case !finite(green, weight):
		return 0, 0, 0, ErrNotFinite
	case green <= 0 || weight <= 0:
		return 0, 0, 0, ErrNotPositive
	}
	size = l.at(green)
	half := t * math.Sqrt(l.PredictVar(green, weight))
	return size, size - half, size + half, nil
}

// PredictVar is the variance of one new piece about its prediction, in mm²:
// that of the line there and that of the piece. It means nothing for a line of
// DF 0.
func (l Line) PredictVar(green, weight float64) float64 {
	return l.varAt(green) + l.SD*l.SD/weight
}

// GreenFor is the green length that on average sinters to a length, with
// Fieller's interval: all green lengths at which the line does not contradict
// it. Dividing by F and its standard error alone would forget the intercept.
func (l Line) GreenFor(sintered, confidence float64) (green, lo, hi float64, err error) {
	t, err := l.t(confidence)
	switch {
	case err != nil:
		return 0, 0, 0, err
	case !finite(sintered):
		return 0, 0, 0, ErrNotFinite
	case sintered <= 0:
		return 0, 0, 0, ErrNotPositive
	}
	green = (sintered - l.A) / l.F
	// The ends are green + d with (F*d)² = t² * varAt(green + d), which is
	// a*d² - 2*b*d - c = 0.
	t2 := t * t
	a := l.F*l.F - t2*l.VarF
	b := t2 * (l.CovFA + green*l.VarF)
	c := t2 * l.varAt(green)
	if a <= 0 {
		return 0, 0, 0, ErrUnbounded
	}
	root := math.Sqrt(b*b + a*c)
	return green, green + (b-root)/a, green + (b+root)/a, nil
}

// at is the sintered length on the line.
func (l Line) at(green float64) float64 { return l.A + l.F*green }

// varAt is the variance of the line at a green length. A sum of squares about
// the middle cannot come out below zero but by rounding.
func (l Line) varAt(green float64) float64 {
	return max(0, l.VarA+2*green*l.CovFA+green*green*l.VarF)
}

func (l Line) t(confidence float64) (float64, error) { return student(confidence, float64(l.DF)) }
