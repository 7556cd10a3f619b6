package shrink

import "math"

// MeanOfRuns is the shrinkage with the furnace runs as the sample: the mean of
// 1 - sintered/green is taken in each run, and then over the runs. The interval
// is Student's, of 95 %, with n-1 degrees of freedom for n runs: pieces of one
// run share its furnace, so twenty of them are no twenty witnesses. It is the
// shrinkage through the origin; a constant error of cutter or gauge goes into it.
//
// Weights are not used, but a point of weight zero is left out, and so is a run
// without points. Of one run it gives s and n beside ErrFewPoints.
func MeanOfRuns(runs [][]Point) (s, lo, hi float64, n int, err error) {
	var of []float64
	for _, run := range runs {
		m, some, err := meanShrinkage(run)
		if err != nil {
			return 0, 0, 0, 0, err
		}
		if some {
			of = append(of, m)
		}
	}
	n = len(of)
	if n == 0 {
		return 0, 0, 0, 0, ErrFewPoints
	}
	s, sd := meanSD(of)
	t, err := student(0.95, float64(n-1))
	if err != nil {
		return s, 0, 0, n, err
	}
	half := t * sd / math.Sqrt(float64(n))
	return s, s - half, s + half, n, nil
}

// meanShrinkage is the mean shrinkage of a run, if it has any points.
func meanShrinkage(run []Point) (mean float64, some bool, err error) {
	n := 0.0
	for _, p := range run {
		if err := p.check(); err != nil {
			return 0, false, err
		}
		if p.Weight > 0 {
			n++
			mean += (p.Green - p.Sintered) / p.Green
		}
	}
	if n == 0 {
		return 0, false, nil
	}
	return mean / n, true, nil
}

// meanSD is the mean of some values and their standard deviation, which is
// zero for one.
func meanSD(of []float64) (mean, sd float64) {
	for _, v := range of {
		mean += v / float64(len(of))
	}
	if len(of) < 2 {
		return mean, 0
	}
	for _, v := range of {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / float64(len(of)-1))
}

// LineOfRuns is MeanOfRuns as a line through the origin, for runs of one length:
// then the scatter between runs needs no estimate of its own, and the interval
// holds exactly where all runs have as many pieces. SD is that of a piece about
// the mean, runs and all.
func LineOfRuns(runs [][]Point) (Line, error) {
	s, lo, hi, n, err := MeanOfRuns(runs)
	if err != nil {
		return Line{}, err
	}
	t, err := student(0.95, float64(n-1))
	if err != nil {
		return Line{}, err
	}
	l := Line{DF: n - 1, F: 1 - s, VarF: math.Pow((hi-lo)/2/t, 2)}
	sum := 0.0
	for _, run := range runs {
		for _, p := range run {
			if p.Weight > 0 {
				l.N++
				sum += math.Pow(p.Sintered/p.Green-l.F, 2)
			}
		}
	}
	l.SD = math.Sqrt(sum / float64(l.N-1))
	return l, nil
}
