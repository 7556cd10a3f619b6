package shrink

import (
	"errors"
	"math"
	"strconv"

	"sinterbook/store/calc/pool"
)

// Why runs are not taken apart.
var (
	ErrFewRuns = errors.New("all pieces are of one furnace run: by how much runs differ is not known")
	ErrTooMany = errors.New("these are more pieces than runs are taken apart for")
)

// MostPieces is how many pieces FitRuns takes: its cost is the cube of them, some
// milliseconds for so many. Of more, Line.Among tells as much.
const MostPieces = 100

// FitRuns is the line of a lot whose pieces were sintered in several runs, and
// the scatter between runs and within them, estimated from the pieces
// themselves by REML. Pieces of one run share its furnace: Fit takes each of
// them for a witness of its own, and where runs differ its intervals are too
// narrow.
//
// The scatter grows with length, so that weights are 1/Green²; those of the
// points are not used, but one of zero leaves the point out. Predict wants the
// weight 1/Green² then, and means a piece of a new run. DF is Satterthwaite's,
// of F or A, whichever is less, rounded down. Gauge is the variance of one
// sintered reading in mm², which is taken out of the scatter of inserts; with 0
// it stays in. Runs of one piece each cannot be told from inserts, and all of
// their scatter is then Insert's.
func FitRuns(runs [][]Point, gauge float64) (Line, Scatter, error) {
	all, of, err := pieces(runs)
	switch {
	case err != nil:
		return Line{}, Scatter{}, err
	case !(gauge >= 0 && gauge <= math.MaxFloat64):
		return Line{}, Scatter{}, ErrNotPositive
	}
	l, by, err := apart(all, of)
	if err != nil {
		return Line{}, Scatter{}, err
	}
	reading := 0.0
	for _, p := range all {
		reading += gauge * p.Weight / float64(len(all))
	}
	by.Insert.Var = max(0, by.Insert.Var-reading)
	return l, by, nil
}

// pieces are those of all runs that have weight, weighted by their length, and
// the run of each.
func pieces(runs [][]Point) (all []Point, of []int, err error) {
	some := map[int]bool{}
	for i, run := range runs {
		for _, p := range run {
			if err := p.check(); err != nil {
				return nil, nil, err
			}
			if p.Weight > 0 {
				all, of = append(all, Point{p.Green, p.Sintered, 1 / (p.Green * p.Green)}), append(of, i)
				some[i] = true
			}
		}
	}
	switch {
	case len(all) < 3:
		return nil, nil, ErrFewPoints
	case oneLength(all):
		return nil, nil, ErrSameLength
	case len(some) < 2:
		return nil, nil, ErrFewRuns
	case len(all) > MostPieces:
		return nil, nil, ErrTooMany
	}
	return all, of, nil
}

// apart fits sintered/green = F + A/green with a component for the runs.
func apart(all []Point, of []int) (Line, Scatter, error) {
	y, inverse := make([]float64, len(all)), make([]float64, len(all))
	run := pool.Grouping{Name: "run", Of: make([]string, len(all))}
	for i, p := range all {
		y[i], inverse[i], run.Of[i] = p.Sintered/p.Green, 1/p.Green, strconv.Itoa(of[i])
	}
	f, err := pool.REML(y, [][]float64{inverse}, run)
	switch {
	case errors.Is(err, pool.ErrNotSeparable): // as many runs as pieces
		l, err := Fit(all)
		return l, Scatter{Insert: Part{l.SD * l.SD, float64(l.DF)}}, err
	case err != nil:
		return Line{}, Scatter{}, err
	case !grows(f.Coef[0]):
		return Line{}, Scatter{}, ErrNotGrowing
	}
	between, within := f.Components[0], f.Components[1]
	l := Line{
		N: len(all), DF: int(min(f.DF[0], f.DF[1], 1e6) + 1e-6), // nine and a bit of rounding is ten
		F: f.Coef[0], VarF: f.Cov[0][0], A: f.Coef[1], VarA: f.Cov[1][1], CovFA: f.Cov[0][1],
		SD: math.Sqrt(between + within),
	}
	return l, Scatter{Run: estimated(between, f.SE[0]), Insert: estimated(within, f.SE[1])}, nil
}

// estimated is a component with the degrees of freedom that its standard error
// says: that of a variance is Var*sqrt(2/DF).
func estimated(component, se float64) Part {
	if component == 0 {
		return Part{}
	}
	return Part{component, 2 * component * component / (se * se)}
}
