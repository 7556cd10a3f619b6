package pool

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Pooled is a lot's own shrinkage moved towards that of the other lots:
// S = Weight*own + (1-Weight)*Mean.
type Pooled struct {
	S, Var        float64
	Weight        float64 // of the lot's own estimate, from 0 to 1
	Mean, VarMean float64 // of the other lots
	Tau2          float64 // variance between lots, by REML of the others
	Lots          int     // how many others there are
	DF            float64 // of Var, by Welch and Satterthwaite; may be infinite
}

// Towards moves a lot's own estimate towards the mean of the others, by
// empirical Bayes: the lot is believed in so far as its own variance is small
// against that between lots. The others are all lots but this one: an estimate
// of the same group as own is left out, for a lot is no witness of itself.
//
// Var holds the variance of the mean and, after Prasad and Rao (1990), twice
// what the uncertainty of the variance between lots adds. The tempting mistake
// is to leave both out, and to be surest of the lots with the fewest
// measurements. It needs two other lots, and is worth little with so few.
func Towards(own Estimate, others []Estimate) (Pooled, error) {
	if _, err := grouped([]Estimate{own}); err != nil {
		return Pooled{}, err
	}
	of, err := grouped(others)
	if err != nil {
		return Pooled{}, err
	}
	p, spread, err := of.without(own.Group).prior()
	if err != nil {
		return Pooled{}, err
	}
	prior := p.Var
	p.Weight = prior / (prior + own.Var)
	p.S = p.Weight*own.S + (1-p.Weight)*p.Mean
	fromOwn := p.Weight * p.Weight * own.Var
	fromPrior := (1-p.Weight)*(1-p.Weight)*prior + 2*own.Var*own.Var/math.Pow(prior+own.Var, 3)*spread
	p.Var = fromOwn + fromPrior
	p.DF = satterthwaite(fromOwn, own.DF, fromPrior, p.DF)
	return p, nil
}

// Untried is what the other lots say of one that was not measured at all:
// their mean, with the variance of a lot about it.
func Untried(others []Estimate) (Pooled, error) {
	of, err := grouped(others)
	if err != nil {
		return Pooled{}, err
	}
	p, _, err := of.prior()
	return p, err
}

// without leaves a group out.
func (l lots) without(group string) lots {
	var rest lots
	for _, e := range l {
		if group == "" || e.Group != group {
			rest = append(rest, e)
		}
	}
	return rest
}

// prior is what the lots say of another one, and the variance of the variance
// between them.
func (l lots) prior() (p Pooled, varTau2 float64, err error) {
	if len(l) < 2 {
		return Pooled{}, 0, ErrFewGroups
	}
	tau2 := l.reml()
	at := l.at(tau2)
	p = Pooled{
		S: at.mean, Mean: at.mean, VarMean: 1 / at.w, Tau2: tau2, Lots: len(l),
		Var: tau2 + 1/at.w, DF: float64(len(l) - 1),
	}
	return p, 1 / at.information(), nil
}

// Interval is where the lot's shrinkage lies.
func (p Pooled) Interval(confidence float64) (lo, hi float64, err error) {
	if _, _, err := tails(confidence); err != nil {
		return 0, 0, err
	}
	t := distuv.UnitNormal.Quantile((1 + confidence) / 2)
	if !math.IsInf(p.DF, 1) {
		t = distuv.StudentsT{Sigma: 1, Nu: p.DF}.Quantile((1 + confidence) / 2)
	}
	half := t * math.Sqrt(p.Var)
	return p.S - half, p.S + half, nil
}
