package pool

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Components are the two of a one-way layout: Between groups and Within them.
type Components struct {
	N, Groups int

	// Analysis of variance. P is the chance of such an F if no group differed.
	// PerGroup is how many values a group counts for in MSBetween, n where all
	// have n.
	MSBetween, MSWithin float64
	DFBetween, DFWithin int
	F, P, PerGroup      float64

	// MomentBetween is (MSBetween - MSWithin)/PerGroup. It is below zero where
	// the groups differ less than chance makes them, and left so.
	MomentBetween float64

	// REML components, never below zero, and their standard errors by the
	// expected information. Mean is that at these components.
	Between, Within     float64
	SEBetween, SEWithin float64
	Mean, VarMean       float64
	Criterion           float64 // -2 log restricted likelihood, constants included
}

// group is all that a group's values say: how many, their mean, and the sum of
// squares about it.
type group struct{ n, mean, ss float64 }

// OneWay takes apart the spread of values in groups. It reads the values once
// and from then on only sums: each step of REML costs the groups, not the
// values. Groups without values are left out.
func OneWay(groups [][]float64) (Components, error) {
	of, err := summed(groups)
	if err != nil {
		return Components{}, err
	}
	var c Components
	c.anova(of)
	switch {
	case c.Groups < 2:
		return Components{}, ErrFewGroups
	case c.DFWithin == 0:
		return Components{}, ErrNoRepeats
	case c.MSBetween == 0 && c.MSWithin == 0:
		return Components{}, ErrNoSpread
	}
	c.reml(of)
	return c, nil
}

// summed reads the values. Squares are taken about each group's mean, in a
// second pass.
func summed(groups [][]float64) ([]group, error) {
	of := make([]group, 0, len(groups))
	for _, values := range groups {
		if len(values) == 0 {
			continue
		}
		g := group{n: float64(len(values))}
		for _, v := range values {
			g.mean += v
		}
		g.mean /= g.n
		for _, v := range values {
			g.ss += (v - g.mean) * (v - g.mean)
		}
		if !finite(g.mean, g.ss) {
			return nil, ErrNotFinite
		}
		of = append(of, g)
	}
	return of, nil
}

// anova fills in mean squares and the moment estimate.
func (c *Components) anova(of []group) {
	var n, n2, mean, within, between float64
	for _, g := range of {
		n += g.n
		n2 += g.n * g.n
		mean += g.n * g.mean
		within += g.ss
	}
	mean /= n
	for _, g := range of {
		between += g.n * (g.mean - mean) * (g.mean - mean)
	}
	c.N, c.Groups = int(n), len(of)
	c.DFBetween, c.DFWithin = len(of)-1, int(n)-len(of)
	if c.DFBetween < 1 || c.DFWithin < 1 {
		return
	}
	c.MSBetween, c.MSWithin = between/float64(c.DFBetween), within/float64(c.DFWithin)
	c.PerGroup = (n - n2/n) / float64(c.DFBetween)
	c.MomentBetween = (c.MSBetween - c.MSWithin) / c.PerGroup
	c.F = c.MSBetween / c.MSWithin // infinite without scatter within
	c.P = distuv.F{D1: float64(c.DFBetween), D2: float64(c.DFWithin)}.Survival(c.F)
}

// profile is the restricted likelihood of a ratio Between/Within, with the
// best Within for it.
type profile struct{ mean, a, within, logs, slope float64 }

// profileAt evaluates it. A group's mean has the variance Within*d/n, where
// d is 1 + n*ratio.
func profileAt(of []group, ss, ratio float64) profile {
	var p profile
	var n, a2, na float64
	for _, g := range of {
		d := 1 + g.n*ratio
		a := g.n / d
		n += g.n
		p.a += a
		a2 += a * a
		na += a
		p.mean += a * g.mean
		p.logs += math.Log(d)
	}
	p.mean /= p.a
	q, q2 := ss, 0.0
	for _, g := range of {
		a := g.n / (1 + g.n*ratio)
		r := (g.mean - p.mean) * (g.mean - p.mean)
		q += a * r
		q2 += a * a * r
	}
	p.within = q / (n - 1)
	p.slope = (q2/p.within - na + a2/p.a) / 2
	return p
}

// reml fills in the components at which the restricted likelihood is highest.
// Without any scatter within groups it grows without end; the groups' means
// are the sample then, and the criterion is minus infinity.
func (c *Components) reml(of []group) {
	if c.MSWithin == 0 {
		c.onlyBetween(of)
		return
	}
	ss, free := c.MSWithin*float64(c.DFWithin), float64(c.N-1)
	height := func(ratio float64) float64 {
		p := profileAt(of, ss, ratio)
		return -(free*math.Log(p.within) + p.logs + math.Log(p.a)) / 2
	}
	slope := func(ratio float64) float64 { return profileAt(of, ss, ratio).slope }
	ratio := highest(max(1, c.F), height, slope)
	p := profileAt(of, ss, ratio)
	c.Mean, c.VarMean = p.mean, p.within/p.a
	c.Within, c.Between = p.within, ratio*p.within
	c.Criterion = free*(math.Log(2*math.Pi*p.within)+1) + p.logs + math.Log(p.a)
	c.standardErrors(of)
}

func (c *Components) onlyBetween(of []group) {
	k := float64(len(of))
	for _, g := range of {
		c.Mean += g.mean / k
	}
	for _, g := range of {
		c.Between += (g.mean - c.Mean) * (g.mean - c.Mean) / (k - 1)
	}
	c.VarMean = c.Between / k
	c.SEBetween = c.Between * math.Sqrt(2/(k-1))
	c.Criterion = math.Inf(-1)
}

// standardErrors inverts the expected information, half the trace of P*A*P*B
// for the two components' matrices A and B; P is V⁻¹ less what the mean takes.
// Within a group V has one eigenvalue Within+n*Between and n-1 times Within,
// so that all of it is sums over groups.
func (c *Components) standardErrors(of []group) {
	var a1, a2, a3, g2, n2, n3, mixed, mixed3 float64
	for _, g := range of {
		e := 1 / (c.Within + g.n*c.Between)
		a := g.n * e
		a1 += a
		a2 += a * a
		a3 += a * a * a
		g2 += (g.n-1)/(c.Within*c.Within) + e*e
		n2 += g.n * e * e
		n3 += g.n * e * e * e
		mixed += a * e
		mixed3 += a * a * e
	}
	bb := a2 - 2*a3/a1 + a2*a2/(a1*a1)
	ww := g2 - 2*n3/a1 + n2*n2/(a1*a1)
	bw := mixed - 2*mixed3/a1 + n2*a2/(a1*a1)
	det := bb*ww - bw*bw
	c.SEBetween, c.SEWithin = math.Sqrt(2*ww/det), math.Sqrt(2*bb/det)
}
