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
	Tau2          float64 // variance between the other lots, by REML
	Lots          int     // how many others there are
	DF            float64 // of Var
}

// Towards moves a lot's own estimate towards the mean of the others, by
// empirical Bayes: it is believed in so far as its own variance is small
// against that between lots. The others are all lots but this one: an estimate
// of the same group as own is left out, for a lot is no witness of itself.
//
// Var includes the variance of the mean and what is not known of the variance
// between lots. That one is not put in at its best estimate, which for a few
// lots is zero by mere chance and would then move every lot onto the mean and
// be surest of the lots with the fewest measurements. Weight and Mean are
// averages over all its values instead, by their likelihood with a root that
// is as likely to lie in one place as in another (Gelman 2006; from memory).
// What of Var is not the lot's own has the degrees of freedom of the other lots:
// those of a normal distribution held in 91 of a hundred shops of six lots.
// It needs two other lots.
func Towards(own Estimate, others []Estimate) (Pooled, error) {
	if _, err := grouped([]Estimate{own}); err != nil {
		return Pooled{}, err
	}
	all, err := grouped(others)
	if err != nil {
		return Pooled{}, err
	}
	of := all.without(own.Group)
	p, varTau2, err := of.prior()
	if err != nil {
		return Pooled{}, err
	}
	var sum moved
	of.average(own, math.Sqrt(p.Tau2+math.Sqrt(varTau2)), &sum)
	p.Weight = 1 - sum.left
	p.S = own.S + sum.by
	p.Mean = own.S + sum.by/sum.left
	p.Var = sum.inside + max(0, sum.square-sum.by*sum.by)
	fromOwn := min(p.Var, p.Weight*p.Weight*own.Var)
	p.DF = satterthwaite(fromOwn, own.DF, p.Var-fromOwn, float64(len(of)-1))
	return p, nil
}

// moved sums over the variances between lots what each makes of the lot: the
// weight that is left to the others, by how far its shrinkage is moved, the
// square of that, and the variance at that value.
type moved struct{ left, by, square, inside float64 }

func (m *moved) add(own Estimate, others fit, tau2, share float64) {
	prior := tau2 + 1/others.w
	left := own.Var / (prior + own.Var)
	by := left * (others.mean - own.S)
	m.left += share * left
	m.by += share * by
	m.square += share * by * by
	m.inside += share * left * prior
}

// steps is how finely average looks at the variance between lots.
const steps = 400

// average goes through the standard deviations between lots, t = scale*u/(1-u)
// for u from 0 to 1, each with its likelihood in the light of all lots.
func (l lots) average(own Estimate, scale float64, sum *moved) {
	all := append(lots{own}, l...)
	var tau2, share [steps]float64
	most := math.Inf(-1)
	for i := range steps {
		u := (float64(i) + 0.5) / steps
		t := scale * u / (1 - u)
		tau2[i] = t * t
		share[i] = all.at(tau2[i]).logLikelihood() - 2*math.Log(1-u)
		most = max(most, share[i])
	}
	total := 0.0
	for i := range share {
		share[i] = math.Exp(share[i] - most)
		total += share[i]
	}
	for i := range share {
		sum.add(own, l.at(tau2[i]), tau2[i], share[i]/total)
	}
}

// Untried is what the other lots say of one that was not measured at all:
// their mean, with the variance of a lot about it. The variance between lots
// goes in at its best estimate, so that an interval of 95 % holds in as few as
// 88 of a hundred where lots differ no more than each of them is known.
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
	if !(p.DF > 0) { // of nothing
		return 0, 0, ErrFewGroups
	}
	t := distuv.UnitNormal.Quantile((1 + confidence) / 2)
	if !math.IsInf(p.DF, 1) {
		t = distuv.StudentsT{Sigma: 1, Nu: p.DF}.Quantile((1 + confidence) / 2)
	}
	half := t * math.Sqrt(p.Var)
	return p.S - half, p.S + half, nil
}
