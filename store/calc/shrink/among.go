package shrink

import "math"

// A RunShare is how much of a variance between furnace runs goes into the
// variances of a line's coefficients. Its F is 1 for pieces of one run: twenty
// of them do not make their run any less odd. It is 1/n for n runs of the same
// pieces.
type RunShare struct{ F, A, FA float64 }

// RunShares is that of the line through the pieces of some runs, by their
// weights; through says that it goes through the origin. A run adds its own
// shrinkage to each of its pieces, and the coefficients are sums of the
// sintered lengths: what a run adds to a coefficient is the sum over its pieces
// of coefficient times length.
func RunShares(runs [][]Point, through bool) RunShare {
	var all []Point
	for _, run := range runs {
		all = append(all, run...)
	}
	_, weight, x, _ := middle(all)
	if through {
		x = 0
	}
	sxx, _ := about(all, x, 0)
	var share RunShare
	for _, run := range runs {
		var f, a float64
		for _, p := range run {
			c := p.Weight * (p.Green - x) / sxx
			f += c * p.Green
			if !through {
				a += (p.Weight/weight - x*c) * p.Green
			}
		}
		share.F, share.A, share.FA = share.F+f*f, share.A+a*a, share.FA+f*a
	}
	return share
}

// Among is a line whose variances leave the runs out, as Fit's do, with them in:
// within and between are the variances of the shrinkage between pieces of a run
// and between runs. The degrees of freedom of the sum are Satterthwaite's (1946;
// JCGM 100:2008, GUM, G.4.1), rounded down. A line of SD 0 is left as it is.
func (l Line) Among(share RunShare, within, between Part) Line {
	if !(l.SD > 0) {
		return l
	}
	scale := within.Var / (l.SD * l.SD)
	sum, df := together(Part{scale * l.VarF, within.DF}, Part{share.F * between.Var, between.DF})
	l.VarF = sum
	l.VarA = scale*l.VarA + share.A*between.Var
	l.CovFA = scale*l.CovFA + share.FA*between.Var
	l.SD = math.Sqrt(within.Var + between.Var)
	l.DF = int(min(df, 1e6) + 1e-6)
	return l
}

// Half is half of the interval of what has these independent variances.
func Half(confidence float64, parts ...Part) (float64, error) {
	sum, df := together(parts...)
	t, err := student(confidence, df)
	return t * math.Sqrt(sum), err
}
