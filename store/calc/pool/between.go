package pool

import "math"

// An Estimate is what one lot says of its shrinkage, with the variance of that.
// Group is the lot: estimates of one group are put together first, by their
// weights; those without a group are each one of its own. DF is how many
// degrees of freedom Var has, 0 or infinity where it is as good as known.
type Estimate struct {
	S, Var float64
	Group  string
	DF     float64
}

// Between is the mean shrinkage of the lots, its variance, and the variance
// between lots by REML, the variances within being known. It is exactly zero
// where the lots do not differ more than their own variances explain.
func Between(of []Estimate) (mean, varMean, tau2 float64, err error) {
	lots, err := grouped(of)
	switch {
	case err != nil:
		return 0, 0, 0, err
	case len(lots) < 2:
		return 0, 0, 0, ErrFewGroups
	}
	tau2 = lots.reml()
	at := lots.at(tau2)
	return at.mean, 1 / at.w, tau2, nil
}

type lots []Estimate

// grouped checks the estimates and puts those of one group together.
func grouped(of []Estimate) (lots, error) {
	var all lots
	at := map[string]int{}
	for _, e := range of {
		switch {
		case !finite(e.S, e.Var) || math.IsNaN(e.DF):
			return nil, ErrNotFinite
		case e.Var <= 0 || e.DF < 0:
			return nil, ErrNotPositive
		}
		i, known := at[e.Group]
		if e.Group == "" || !known {
			at[e.Group] = len(all)
			all = append(all, e)
			continue
		}
		all[i] = joined(all[i], e)
	}
	return all, nil
}

// joined is the mean of two estimates by their weights.
func joined(a, b Estimate) Estimate {
	share := b.Var / (a.Var + b.Var)
	df := satterthwaite(share*share*a.Var, a.DF, (1-share)*(1-share)*b.Var, b.DF)
	return Estimate{share*a.S + (1-share)*b.S, share * a.Var, a.Group, df}
}

// satterthwaite is how many degrees of freedom the sum of two variances has.
func satterthwaite(a, dfA, b, dfB float64) float64 {
	lost := 0.0
	if dfA > 0 {
		lost += math.Pow(a/(a+b), 2) / dfA
	}
	if dfB > 0 {
		lost += math.Pow(b/(a+b), 2) / dfB
	}
	return 1 / lost
}

// fit is what the lots say for one variance between them: weights are
// 1/(Var + tau2), w their sum, w2 and w3 those of their powers, q the weighted
// squares about the mean, q2 those with squared weights.
type fit struct{ mean, w, w2, w3, q, q2, logs float64 }

func (l lots) at(tau2 float64) fit {
	var f fit
	for _, e := range l {
		w := 1 / (e.Var + tau2)
		f.w += w
		f.w2 += w * w
		f.w3 += w * w * w
		f.mean += w * e.S
		f.logs -= math.Log(w)
	}
	f.mean /= f.w
	for _, e := range l {
		w := 1 / (e.Var + tau2)
		d := e.S - f.mean
		f.q += w * d * d
		f.q2 += w * w * d * d
	}
	return f
}

// logLikelihood is the restricted one, without constants.
func (f fit) logLikelihood() float64 { return -(f.logs + math.Log(f.w) + f.q) / 2 }

// slope is its derivative by tau2.
func (f fit) slope() float64 { return (f.q2 - f.w + f.w2/f.w) / 2 }

// information is what is expected of its curvature: one over the variance of
// the estimated tau2.
func (f fit) information() float64 {
	return (f.w2 - 2*f.w3/f.w + f.w2*f.w2/(f.w*f.w)) / 2
}

// reml is the variance between lots at which the likelihood is highest.
func (l lots) reml() float64 {
	scale := 0.0
	for _, e := range l {
		d := e.S - l[0].S
		scale = max(scale, d*d, e.Var)
	}
	return highest(scale,
		func(tau2 float64) float64 { return l.at(tau2).logLikelihood() },
		func(tau2 float64) float64 { return l.at(tau2).slope() })
}
