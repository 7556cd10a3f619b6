package shrink

import (
	"cmp"
	"math"
	"slices"
)

// Outliers lists which of the points that l was fitted to lie off it by more
// than chance explains at that confidence: externally studentized residuals
// beyond the limit of Bonferroni, so that one clean lot in twenty shows one at
// 0.95, however many points it has. They are to be shown and asked about, never
// to be dropped: a furnace run that went wrong is a fact about the lot.
//
// It lists none where too few points are left to tell, and none for a
// confidence that is no confidence.
func (l Line) Outliers(points []Point, confidence float64) []int {
	limit, err := student(1-(1-confidence)/float64(max(l.N, 1)), float64(l.DF-1))
	if err != nil || !(confidence > 0) {
		return nil
	}
	var off []int
	for i, p := range points {
		if p.Weight > 0 && math.Abs(l.studentized(p)) > limit {
			off = append(off, i)
		}
	}
	return off
}

// studentized is a point's residual over its standard deviation, which is
// taken from the other points: its own would hide it.
func (l Line) studentized(p Point) float64 {
	e := p.Sintered - l.at(p.Green)
	// No gauge tells a billionth of a length, but rounding does.
	least := p.Weight * math.Pow(1e-9*p.Sintered, 2)
	leverage := 0.0
	if l.SD > 0 {
		leverage = p.Weight * l.varAt(p.Green) / (l.SD * l.SD)
	}
	free := 1 - leverage
	if free < 1e-9 {
		return 0 // the line goes through it, wherever it is
	}
	others := (l.SD*l.SD*float64(l.DF) - p.Weight*e*e/free) / float64(l.DF-1)
	return e * math.Sqrt(p.Weight/(free*max(others, least)))
}

// Crossed lists the points that another one contradicts outright: green it is
// longer by more than a hundredth, and sintered it is not longer. Parts of one
// paste scatter by a few thousandths of their length (as-sintered tolerance,
// trade practice for moulded powder parts), so this is a line read wrongly or
// two pieces exchanged. Both are listed. Points that Fit refuses are passed over.
func Crossed(points []Point) []int {
	var byGreen []int
	for i, p := range points {
		if p.check() == nil {
			byGreen = append(byGreen, i)
		}
	}
	slices.SortFunc(byGreen, func(i, j int) int { return cmp.Compare(points[i].Green, points[j].Green) })
	var crossed []int
	clear, longest := 0, -1 // of the points clearly shorter green, the longest sintered
	for _, j := range byGreen {
		for ; points[byGreen[clear]].Green*1.01 < points[j].Green; clear++ {
			if i := byGreen[clear]; longest < 0 || points[i].Sintered > points[longest].Sintered {
				longest = i
			}
		}
		if longest >= 0 && points[longest].Sintered >= points[j].Sintered {
			crossed = append(crossed, longest, j)
		}
	}
	slices.Sort(crossed)
	return slices.Compact(crossed)
}
