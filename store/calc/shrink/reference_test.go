package shrink

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"sinterbook/store/calc/reference"
)

// TestShrinkageReference holds lines, intervals and predictions against
// testdata/reference/shrinkage: weighted least squares written out in Python
// and again by lm of R, to 1e-8.
func TestShrinkageReference(t *testing.T) {
	ref := reference.Open(t, "shrinkage")
	of := map[string][]Point{}
	for _, row := range ref.Rows("shrinkage.csv") {
		n := func(column string) float64 { return reference.Number(t, row[column]) }
		p := Point{n("green_mm"), n("sintered_mm"), 1 / (n("u_mm") * n("u_mm"))}
		of[row["axis"]] = append(of[row["axis"]], p)
	}
	for axis, points := range of {
		checkOrigin(t, ref, "shrink."+axis+".", points)
		checkLine(t, ref, "shrink."+axis+".", points)
	}
	ref.Rest(nil)
}

// u45 is the standard uncertainty of one new reading of 45 mm green, by the
// rule that the reference folder states.
const u45 = 0.004 + 0.00006*45

func checkOrigin(t *testing.T, ref *reference.Topic, id string, points []Point) {
	l, err := FitOrigin(points)
	if err != nil {
		t.Fatal(id, err)
	}
	id += "origin."
	sLo, sHi := must2(t)(l.Interval(0.95))
	kLo, kHi := must2(t)(l.KInterval(0.95))
	_, lo, hi := must3(t)(l.Predict(45, 1/(u45*u45), 0.95))
	seF := math.Sqrt(l.VarF)
	ref.Equal(id+"f", l.F)
	ref.Equal(id+"se_scaled", seF)
	ref.Equal(id+"se_known_u", seF/l.SD)
	ref.Equal(id+"chi2_red", l.SD*l.SD)
	ref.Equal(id+"ci95_f", 1-sHi, 1-sLo)
	ref.Equal(id+"shrink", l.S())
	ref.Equal(id+"oversize", l.K())
	ref.Equal(id+"oversize_se", seF*l.K()*l.K())
	ref.Equal(id+"oversize_ci95", kLo, kHi)
	ref.Equal(id+"pred_interval45", lo, hi)
}

func checkLine(t *testing.T, ref *reference.Topic, id string, points []Point) {
	l, err := Fit(points)
	if err != nil {
		t.Fatal(id, err)
	}
	o, err := FitOrigin(points)
	if err != nil {
		t.Fatal(id, err)
	}
	size, lo, hi := must3(t)(l.Predict(45, 1/(u45*u45), 0.95))
	green, gLo, gHi := must3(t)(l.GreenFor(50, 0.95))
	through, _, _ := must3(t)(o.GreenFor(50, 0.95))
	tA := l.A / math.Sqrt(l.VarA)
	tDist := distuv.StudentsT{Sigma: 1, Nu: float64(l.DF)}
	ref.Equal(id+"line.coef", l.A, l.F)
	ref.Equal(id+"line.cov", l.VarA, l.CovFA, l.CovFA, l.VarF)
	ref.Equal(id+"line.chi2_red", l.SD*l.SD)
	ref.Equal(id+"line.t_intercept", tA)
	ref.Equal(id+"line.p_intercept", 2*tDist.CDF(-math.Abs(tA)))
	ref.Equal(id+"line.predict45", size, math.Sqrt(l.varAt(45)))
	ref.Equal(id+"line.pred_interval45", lo, hi)
	ref.Equal(id+"green_for_50", through, green)
	ref.Equal(id+"line.fieller_green_for_50", gLo, gHi)
	// The mistake: scaled by 1+s, the green length sinters to f*(1+s)*50.
	ref.Equal(id+"mistake_error_50", o.F*(1+o.S())*50-50)
}

// TestNIST holds the least squares below Fit against the certified values of
// the Statistical Reference Datasets Norris and NoInt1, to ten digits. Their
// data are no paste, so that Fit itself refuses them.
func TestNIST(t *testing.T) {
	ref := reference.Open(t, "nist_strd")
	read := func(name string) (of []Point) {
		for _, row := range ref.Rows(name) {
			of = append(of, Point{reference.Number(t, row["x"]), reference.Number(t, row["y"]), 1})
		}
		return of
	}
	f, err := line(read("norris.csv"))
	if err != nil {
		t.Fatal(err)
	}
	ref.Equal("strd.norris.coef", f.a, f.b)
	ref.Equal("strd.norris.se", math.Sqrt(f.va), math.Sqrt(f.vb))
	ref.Equal("strd.norris.resid_sd", math.Sqrt(f.s2))
	f, err = origin(read("noint1.csv"))
	if err != nil {
		t.Fatal(err)
	}
	ref.Equal("strd.noint1.coef", f.b)
	ref.Equal("strd.noint1.se", math.Sqrt(f.vb))
	ref.Equal("strd.noint1.resid_sd", math.Sqrt(f.s2))
	ref.Equal("strd.noint1.R2", 1-f.rss/f.yy)
	ref.Equal("strd.noint1.F", (f.yy-f.rss)/f.s2)
	ref.Rest(map[string]string{
		"strd.norris.R2": "no page asks for it",
		"strd.norris.F":  "no page asks for it: a slope of zero is no question with paste",
	})
}

func must2(t *testing.T) func(a, b float64, err error) (float64, float64) {
	return func(a, b float64, err error) (float64, float64) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return a, b
	}
}

func must3(t *testing.T) func(a, b, c float64, err error) (float64, float64, float64) {
	return func(a, b, c float64, err error) (float64, float64, float64) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return a, b, c
	}
}
