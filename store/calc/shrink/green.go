package shrink

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Good is P(lower <= size <= upper) of a size that is known as mean and
// standard deviation, by Student's t with df degrees of freedom, or by the
// normal distribution where df is infinite. Either limit may be infinite.
//
// It is 0 for what makes no sense (NaN, a negative sd, limits that are
// exchanged, no degrees of freedom), so that no gate lets it pass.
func Good(mean, sd, df, lower, upper float64) float64 {
	if !finite(mean, sd) || sd < 0 || !(df > 0) || !(lower <= upper) {
		return 0
	}
	if sd == 0 {
		if lower <= mean && mean <= upper {
			return 1
		}
		return 0
	}
	cdf := distuv.UnitNormal.CDF
	if !math.IsInf(df, 1) {
		cdf = distuv.StudentsT{Sigma: 1, Nu: df}.CDF
	}
	a, b := (lower-mean)/sd, (upper-mean)/sd
	if a > 0 { // both in the upper tail, where 1 - cdf has no digits left
		a, b = -b, -a
	}
	return max(0, below(cdf, b)-below(cdf, a))
}

// below is a distribution function that knows its ends.
func below(cdf func(float64) float64, x float64) float64 {
	switch {
	case math.IsInf(x, -1):
		return 0
	case math.IsInf(x, 1):
		return 1
	}
	return cdf(x)
}

// A Part is one share of a variance and how many degrees of freedom it was
// estimated with. DF 0 or infinity is as good as known: a gauge's, from its
// certificate.
type Part struct{ Var, DF float64 }

// A Factor is what is known of a lot's shrinkage along an axis: that of its
// own line, or one pooled with other lots (then A is 0). Sintered is
// A + (1-S) * green.
type Factor struct {
	S, VarS float64
	A, VarA float64 // mm, mm²
	CovSA   float64 // of S and A; it has the opposite sign of a Line's CovFA
	DF      float64 // of the variances; 0 or infinity is as good as known
}

// Factor is the line's, for PredictGreen.
func (l Line) Factor() (Factor, error) {
	if l.DF < 1 {
		return Factor{}, ErrFewPoints
	}
	return Factor{S: l.S(), VarS: l.VarF, A: l.A, VarA: l.VarA, CovSA: -l.CovFA, DF: float64(l.DF)}, nil
}

// A Scatter is what makes one insert differ from what its lot promises. Insert
// and Run are variances of the shrinkage between inserts of a run and between
// runs, as shares of length squared: the scatter grows with length. The gauges'
// are in mm²: Green of the green size that was measured, Sintered of the size
// that will be measured. Leave the latter out to ask for the true size.
type Scatter struct{ Insert, Run, Green, Sintered Part }

// A Prediction is the size an insert will have and how well that is known.
type Prediction struct {
	Size float64 // mm
	Var  float64 // mm², all in
	DF   float64 // of Var, by Welch and Satterthwaite; may be infinite

	// What Var is made of, mm².
	Factor, Insert, Run, Green, Sintered float64
}

// PredictGreen puts together the size that a green length will have. The
// tempting mistake is to take the factor's variance alone, which shrinks with
// every coupon: an insert scatters about its factor as much as ever.
func PredictGreen(green float64, f Factor, by Scatter) (Prediction, error) {
	if err := checkGreen(green, f, by); err != nil {
		return Prediction{}, err
	}
	share := 1 - f.S
	p := Prediction{
		Size:     f.A + share*green,
		Factor:   max(0, f.VarA-2*green*f.CovSA+green*green*f.VarS),
		Insert:   green * green * by.Insert.Var,
		Run:      green * green * by.Run.Var,
		Green:    share * share * by.Green.Var,
		Sintered: by.Sintered.Var,
	}
	p.Var, p.DF = together(
		Part{p.Factor, f.DF}, Part{p.Insert, by.Insert.DF}, Part{p.Run, by.Run.DF},
		Part{p.Green, by.Green.DF}, Part{p.Sintered, by.Sintered.DF})
	return p, nil
}

func checkGreen(green float64, f Factor, by Scatter) error {
	parts := []Part{{f.VarS, f.DF}, {f.VarA, f.DF}, by.Insert, by.Run, by.Green, by.Sintered}
	for _, p := range parts {
		switch {
		case !finite(p.Var) || math.IsNaN(p.DF):
			return ErrNotFinite
		case p.Var < 0 || p.DF < 0:
			return ErrNotPositive
		}
	}
	switch {
	case !finite(green, f.S, f.A, f.CovSA):
		return ErrNotFinite
	case green <= 0:
		return ErrNotPositive
	case !(0 <= f.S && f.S < 1):
		return ErrOutside
	}
	return nil
}

// together adds independent variances. The degrees of freedom are those of
// Welch and Satterthwaite: a share that is known does not lessen them.
func together(parts ...Part) (sum, df float64) {
	var lost float64
	for _, p := range parts {
		sum += p.Var
	}
	for _, p := range parts {
		if p.DF > 0 && p.Var > 0 {
			lost += (p.Var / sum) * (p.Var / sum) / p.DF
		}
	}
	return sum, 1 / lost // infinite where nothing was estimated
}

// Shared is what pieces of several sources scatter together, each variance by
// its share. Its degrees of freedom are those of Welch and Satterthwaite; 0 where
// every variance is known.
func Shared(shares []float64, parts []Part) Part {
	by := make([]Part, len(parts))
	for i, p := range parts {
		by[i] = Part{Var: shares[i] * p.Var, DF: p.DF}
	}
	sum, df := together(by...)
	if math.IsInf(df, 1) {
		df = 0
	}
	return Part{Var: sum, DF: df}
}

// Good is the chance that the insert comes out within its limits.
func (p Prediction) Good(lower, upper float64) float64 {
	return Good(p.Size, math.Sqrt(p.Var), p.DF, lower, upper)
}

// Interval is where its size will lie.
func (p Prediction) Interval(confidence float64) (lo, hi float64, err error) {
	t, err := student(confidence, p.DF)
	if err != nil {
		return 0, 0, err
	}
	half := t * math.Sqrt(p.Var)
	return p.Size - half, p.Size + half, nil
}

// Mixed is the factor of an insert of several lots, each with its share of the
// height: shrinkages add up by share, and each lot is known independently of
// the others. Shares must add up to 1.
func Mixed(shares []float64, of []Factor) (Factor, error) {
	if err := checkShares(shares, of); err != nil {
		return Factor{}, err
	}
	var m Factor
	parts := make([]Part, len(of))
	for i, p := range shares {
		f := of[i]
		m.S += p * f.S
		m.A += p * f.A
		m.VarA += p * p * f.VarA
		m.CovSA += p * p * f.CovSA
		parts[i] = Part{p * p * f.VarS, f.DF}
	}
	m.VarS, m.DF = together(parts...)
	return m, nil
}

func checkShares(shares []float64, of []Factor) error {
	if len(shares) != len(of) || len(of) == 0 {
		return ErrShares
	}
	sum := 0.0
	for i, p := range shares {
		if p < 0 {
			return ErrNotPositive
		}
		if err := checkGreen(1, of[i], Scatter{}); err != nil {
			return err
		}
		sum += p
	}
	if !(math.Abs(sum-1) <= 1e-6) {
		return ErrShares
	}
	return nil
}
