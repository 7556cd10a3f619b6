package shrink

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Deviation is how far a finished length is off, in mm: Error is length minus
// nominal, positive when it is long. Weight as in Point; give 1 where nothing
// is known.
type Deviation struct{ Nominal, Error, Weight float64 }

// A Cause splits errors of length into what grows with length and what does
// not: error = Constant + Scale * nominal. Scale is the factor's (a share of
// length; a thousandth is 1 µm/mm), Constant is a cutter's or a gauge's, in mm.
type Cause struct {
	N, DF            int
	Scale, Constant  Ranged
	ScaleTold        bool // told apart from zero
	ConstantTold     bool
	Off              bool    // the errors as a whole are told apart from none
	P                float64 // of such errors or larger if there were no cause
	SD               float64 // residual standard deviation of unit weight, mm
	CovScaleConstant float64
	Confidence       float64
}

// A Ranged is an estimate with its interval.
type Ranged struct{ Value, Lo, Hi float64 }

// TellsZero reports whether the interval leaves zero out.
func (r Ranged) TellsZero() bool { return r.Lo > 0 || r.Hi < 0 }

// ScaleOrConstant fits the errors of several lengths. With lengths that are
// much alike, scale and constant are told apart badly: Off may then be true
// while neither of the two is told, and a longer and a shorter length are what
// is missing. It is ErrSameLength where all are equal.
func ScaleOrConstant(of []Deviation, confidence float64) (Cause, error) {
	from := make([]Point, len(of))
	for i, d := range of {
		switch {
		case !finite(d.Nominal, d.Error, d.Weight):
			return Cause{}, ErrNotFinite
		case d.Nominal <= 0 || d.Weight < 0:
			return Cause{}, ErrNotPositive
		}
		from[i] = Point{d.Nominal, d.Error, d.Weight}
	}
	f, err := line(from)
	if err != nil {
		return Cause{}, err
	}
	t, err := student(confidence, float64(f.df))
	if err != nil {
		return Cause{}, err
	}
	return cause(f, t, confidence), nil
}

// cause words a fitted line of errors. Off asks both coefficients at once, by
// the F test of their being zero.
func cause(f straight, t, confidence float64) Cause {
	about := func(v, variance float64) Ranged {
		half := t * math.Sqrt(variance)
		return Ranged{v, v - half, v + half}
	}
	c := Cause{
		N: f.n, DF: f.df, SD: math.Sqrt(f.s2), CovScaleConstant: f.cov, Confidence: confidence,
		Scale: about(f.b, f.vb), Constant: about(f.a, f.va),
	}
	c.ScaleTold, c.ConstantTold = c.Scale.TellsZero(), c.Constant.TellsZero()
	c.P = pOfNone(f)
	c.Off = c.P < 1-confidence
	return c
}

// pOfNone is the chance of errors as large as these if neither scale nor
// constant had a part in them.
func pOfNone(f straight) float64 {
	explained := max(0, f.yy-f.rss)
	switch {
	case explained == 0:
		return 1
	case f.s2 == 0:
		return 0
	}
	return distuv.F{D1: 2, D2: float64(f.df)}.Survival(explained / 2 / f.s2)
}
