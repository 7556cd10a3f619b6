package pool

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"testing/quick"
)

// trials are the counts of thirteen trials of the BCG vaccine, treated and not,
// ill and well (Colditz et al. 1994, from memory, as are the answers below).
var trials = [][4]float64{
	{4, 119, 11, 128}, {6, 300, 29, 274}, {3, 228, 11, 209}, {62, 13536, 248, 12619}, {33, 5036, 47, 5761},
	{180, 1361, 372, 1079}, {8, 2537, 10, 619}, {505, 87886, 499, 87892}, {29, 7470, 45, 7232}, {17, 1699, 65, 1600},
	{186, 50448, 141, 27197}, {5, 2493, 3, 2338}, {27, 16886, 29, 17825},
}

// TestBetweenPublished is the standard example of a random-effects mean with
// known variances within: log risk ratios, REML variance between trials 0.3132
// with standard error 0.1664, mean -0.7145 with 0.1798. The figures are those
// that are commonly printed for it; from memory.
func TestBetweenPublished(t *testing.T) {
	t.Parallel()
	var of []Estimate
	for _, c := range trials {
		a, b := c[0]+c[1], c[2]+c[3]
		of = append(of, Estimate{S: math.Log(c[0] / a / (c[2] / b)), Var: 1/c[0] - 1/a + 1/c[2] - 1/b})
	}
	mean, varMean, tau2, err := Between(of)
	if err != nil {
		t.Fatal(err)
	}
	se := math.Sqrt(1 / lots(of).at(tau2).information())
	for name, pair := range map[string][2]float64{
		"mean": {mean, -0.7145}, "its standard error": {math.Sqrt(varMean), 0.1798},
		"between": {tau2, 0.3132}, "its standard error too": {se, 0.1664},
	} {
		if math.Abs(pair[0]-pair[1]) > 0.00005 {
			t.Errorf("%s = %.5f, printed %.4f", name, pair[0], pair[1])
		}
	}
}

// schools are the coaching effects of eight schools with their standard errors
// (Rubin 1981, as in Gelman et al., Bayesian Data Analysis; from memory).
var schools = []Estimate{
	{S: 28, Var: 225}, {S: 8, Var: 100}, {S: -3, Var: 256}, {S: 7, Var: 121},
	{S: -1, Var: 81}, {S: 1, Var: 121}, {S: 18, Var: 100}, {S: 12, Var: 324},
}

// TestTowardsPublished: posterior means and standard deviations of the eight
// schools under the same assumptions, as others print them of simulations
// (from memory, hence to half a unit).
func TestTowardsPublished(t *testing.T) {
	t.Parallel()
	printed := [][2]float64{{11.5, 8.4}, {7.9, 6.3}, {6.1, 7.8}, {7.6, 6.6}, {5.1, 6.4}, {6.1, 6.8}, {10.7, 6.9}, {8.5, 7.9}}
	for i, own := range schools {
		p, err := Towards(own, leaveOut(schools, i))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.S-printed[i][0]) > 0.5 || math.Abs(math.Sqrt(p.Var)-printed[i][1]) > 0.5 {
			t.Errorf("school %d: %.2f ± %.2f, printed %v", i, p.S, math.Sqrt(p.Var), printed[i])
		}
	}
}

// TestTowardsByBruteForce integrates over mean and standard deviation between
// lots as they stand in the model, without any of the algebra of Towards.
func TestTowardsByBruteForce(t *testing.T) {
	t.Parallel()
	of := []Estimate{{S: 1.2, Var: 0.5}, {S: -0.4, Var: 0.3}, {S: 0.3, Var: 0.2}, {S: 2.1, Var: 1}, {S: 0.1, Var: 0.4}, {S: 1, Var: 0.6}}
	own := of[0]
	var total, first, second float64
	const n = 600
	for i := range n {
		u := (float64(i) + 0.5) / n
		tau := u / (1 - u)
		for j := range n {
			mean := -14 + 30*(float64(j)+0.5)/n
			w := 1 / ((1 - u) * (1 - u))
			for _, e := range of {
				v := e.Var + tau*tau
				w *= math.Exp(-(e.S-mean)*(e.S-mean)/2/v) / math.Sqrt(v)
			}
			v := 1 / (1/own.Var + 1/(tau*tau))
			s := v * (own.S/own.Var + mean/(tau*tau))
			total, first, second = total+w, first+w*s, second+w*(s*s+v)
		}
	}
	s := first / total
	p, err := Towards(own, of[1:])
	if err != nil || math.Abs(p.S-s) > 1e-3 || math.Abs(p.Var-(second/total-s*s)) > 1e-3 {
		t.Errorf("Towards = %v with %v, %v; integrated %v with %v", p.S, p.Var, err, s, second/total-s*s)
	}
	if !near(p.S, p.Weight*own.S+(1-p.Weight)*p.Mean, 1e-12) {
		t.Errorf("S = %v is not what weight %v and mean %v say", p.S, p.Weight, p.Mean)
	}
}

func leaveOut(of []Estimate, i int) (rest []Estimate) {
	rest = append(rest, of[:i]...)
	return append(rest, of[i+1:]...)
}

// near compares to a share of the larger one.
func near(got, want, rel float64) bool {
	return got == want || math.Abs(got-want) <= rel*max(math.Abs(got), math.Abs(want))
}

// TestBetweenEqual: lots that are known equally well have the closed answer
// s² - v, or zero where that is below it.
func TestBetweenEqual(t *testing.T) {
	t.Parallel()
	of := []Estimate{{S: 0.166, Var: 1e-6}, {S: 0.168, Var: 1e-6}, {S: 0.170, Var: 1e-6}, {S: 0.172, Var: 1e-6}}
	s2 := (9.0 + 1 + 1 + 9) * 1e-6 / 3
	mean, varMean, tau2, err := Between(of)
	if err != nil || !near(mean, 0.169, 1e-12) || !near(tau2, s2-1e-6, 1e-9) || !near(varMean, s2/4, 1e-9) {
		t.Errorf("Between = %v, %v, %v, %v", mean, varMean, tau2, err)
	}
	for i := range of {
		of[i].Var = 7e-6
	}
	if _, varMean, tau2, err = Between(of); err != nil || tau2 != 0 || !near(varMean, 7e-6/4, 1e-12) {
		t.Errorf("lots that differ by chance: %v, %v, %v; want exactly 0", varMean, tau2, err)
	}
}

// shop makes lots up, with the variance between them and within.
func shop(r *rand.Rand, n int, tau2 float64) (of []Estimate, truth []float64) {
	for range n {
		v := 0.5 + r.Float64()
		s := math.Sqrt(tau2) * r.NormFloat64()
		of = append(of, Estimate{S: s + math.Sqrt(v)*r.NormFloat64(), Var: v})
		truth = append(truth, s)
	}
	return of, truth
}

// TestBetweenProperties: units and zero are arbitrary, order is nothing, and
// an estimate of no weight changes nothing.
func TestBetweenProperties(t *testing.T) {
	t.Parallel()
	property := func(seed uint64) bool {
		r := rand.New(rand.NewPCG(seed, 6))
		of, _ := shop(r, 3+r.IntN(12), 3*r.Float64())
		mean, varMean, tau2, err := Between(of)
		p, err2 := Towards(of[0], of[1:])
		scaled := make([]Estimate, len(of))
		for i, e := range of {
			scaled[len(of)-1-i] = Estimate{S: 0.17 + 0.001*e.S, Var: 1e-6 * e.Var}
		}
		last := len(of) - 1
		m, v, t2, err3 := Between(scaled)
		q, err4 := Towards(scaled[last], scaled[:last])
		wide, _, t3, err5 := Between(append(of, Estimate{S: 1000, Var: 1e30}))
		return errors.Join(err, err2, err3, err4, err5) == nil &&
			near(m, 0.17+0.001*mean, 1e-9) && near(v, 1e-6*varMean, 1e-6) && math.Abs(t2-1e-6*tau2) < 1e-12 &&
			near(q.S, 0.17+0.001*p.S, 1e-9) && near(q.Var, 1e-6*p.Var, 1e-6) && math.Abs(q.Weight-p.Weight) < 1e-6 &&
			0 < p.Weight && p.Weight < 1 && math.Abs(wide-mean) < 1e-6 && math.Abs(t3-tau2) < 1e-6
	}
	if err := quick.Check(property, nil); err != nil {
		t.Error(err)
	}
}

// TestGroups: two estimates of one lot are one lot, and a lot is no witness of
// itself.
func TestGroups(t *testing.T) {
	t.Parallel()
	a, b, c := Estimate{S: 0.166, Var: 1e-6, Group: "A"}, Estimate{S: 0.170, Var: 1e-6, Group: "B"}, Estimate{S: 0.171, Var: 2e-6, Group: "C"}
	halves := []Estimate{a, {S: 0.168, Var: 2e-6, Group: "B"}, {S: 0.172, Var: 2e-6, Group: "B"}, c}
	m1, v1, t1, err1 := Between([]Estimate{a, b, c})
	m2, v2, t2, err2 := Between(halves)
	if err1 != nil || err2 != nil || !near(m1, m2, 1e-12) || !near(v1, v2, 1e-9) || !near(t1, t2, 1e-9) {
		t.Errorf("halves: %v %v %v %v, whole: %v %v %v %v", m2, v2, t2, err2, m1, v1, t1, err1)
	}
	own := Estimate{S: 0.168, Var: 4e-6, Group: "D"}
	p, err1 := Towards(own, []Estimate{a, b, c})
	q, err2 := Towards(own, []Estimate{a, own, b, c})
	if err1 != nil || err2 != nil || p != q || q.Lots != 3 {
		t.Errorf("with itself among the others: %+v, %v; without: %+v, %v", q, err2, p, err1)
	}
}

func TestTowardsHowFar(t *testing.T) {
	t.Parallel()
	others := []Estimate{{S: 0.166, Var: 1e-8}, {S: 0.168, Var: 1e-8}, {S: 0.170, Var: 1e-8}, {S: 0.172, Var: 1e-8}}
	sure, err1 := Towards(Estimate{S: 0.18, Var: 1e-12}, others)
	unsure, err2 := Towards(Estimate{S: 0.18, Var: 1}, others)
	untried, err3 := Untried(others)
	if err := errors.Join(err1, err2, err3); err != nil {
		t.Fatal(err)
	}
	if math.Abs(sure.S-0.18) > 1e-6 || sure.Weight < 0.9999 || !near(sure.Var, 1e-12, 0.01) {
		t.Errorf("well known: %+v", sure)
	}
	if math.Abs(unsure.S-untried.S) > 1e-4 || unsure.Weight > 0.01 || math.Abs(untried.S-0.169) > 1e-6 {
		t.Errorf("hardly known: %+v; untried %+v", unsure, untried)
	}
	if few, err := Towards(Estimate{S: 0.18, Var: 1e-6, DF: 2}, others); err != nil || few.DF > 10 || few.DF < 2 {
		t.Errorf("variance with two degrees of freedom: %+v, %v", few, err)
	}
}

func TestBetweenRefuses(t *testing.T) {
	t.Parallel()
	good := Estimate{S: 0.17, Var: 1e-6}
	for _, tt := range []struct {
		name string
		of   []Estimate
		want error
	}{
		{"none", nil, ErrFewGroups},
		{"one lot", []Estimate{good}, ErrFewGroups},
		{"one lot twice", []Estimate{{0.17, 1e-6, "A", 0}, {0.18, 1e-6, "A", 0}}, ErrFewGroups},
		{"no variance", []Estimate{good, {S: 0.18}}, ErrNotPositive},
		{"negative variance", []Estimate{good, {S: 0.18, Var: -1}}, ErrNotPositive},
		{"negative df", []Estimate{good, {S: 0.18, Var: 1, DF: -1}}, ErrNotPositive},
		{"no number", []Estimate{good, {S: math.NaN(), Var: 1}}, ErrNotFinite},
		{"infinite variance", []Estimate{good, {S: 0.18, Var: math.Inf(1)}}, ErrNotFinite},
	} {
		if _, _, _, err := Between(tt.of); !errors.Is(err, tt.want) {
			t.Errorf("Between, %s: %v, want %v", tt.name, err, tt.want)
		}
		if p, err := Towards(good, tt.of); !errors.Is(err, tt.want) {
			t.Errorf("Towards, %s: %+v, %v; want %v", tt.name, p, err, tt.want)
		}
		if p, err := Untried(tt.of); !errors.Is(err, tt.want) {
			t.Errorf("Untried, %s: %+v, %v; want %v", tt.name, p, err, tt.want)
		}
	}
	if _, err := Towards(Estimate{S: math.NaN(), Var: 1}, []Estimate{good, good}); !errors.Is(err, ErrNotFinite) {
		t.Errorf("own no number: %v", err)
	}
	p, err := Untried([]Estimate{good, good})
	if _, _, err2 := p.Interval(95); err != nil || !errors.Is(err2, ErrConfidence) {
		t.Errorf("Interval(95): %v, %v", err, err2)
	}
}
