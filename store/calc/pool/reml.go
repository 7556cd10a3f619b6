package pool

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// A Grouping says to which group each value belongs. Names of groups need only
// differ within a grouping; a container of a lot must not share its name with
// one of another lot.
type Grouping struct {
	Name string
	Of   []string
}

// Fitted is what REML makes of values with several groupings, nested or crossed.
type Fitted struct {
	Components    []float64 // one for each grouping, and the residual last
	SE            []float64 // standard errors; NaN at a component of zero
	Mean, VarMean float64
	Criterion     float64              // -2 log restricted likelihood, constants included
	Effects       []map[string]float64 // predicted for each group, by grouping
}

// contrasts are the values free of their mean: z = K'y for an orthonormal K
// whose columns sum to zero, and a[i] = K'ZZ'K of each grouping; the residual's
// is the identity and stands last.
type contrasts struct {
	y     []float64
	z     *mat.VecDense
	k     *mat.Dense
	a     []*mat.SymDense
	codes [][]int
	names [][]string
}

// REML finds the components of values that have one mean and several
// groupings. It costs the cube of the number of values: it is for some hundred
// of them, and OneWay for many. Where the groupings go together so that the
// components cannot be told from each other, it is ErrNotSeparable; a solver
// left alone would return one split of many as if it were the answer.
func REML(y []float64, groupings ...Grouping) (Fitted, error) {
	c, err := contrast(y, groupings)
	switch {
	case err != nil:
		return Fitted{}, err
	case slices.Min(y) == slices.Max(y):
		return Fitted{}, ErrNoSpread
	case c.rank() < len(c.a):
		return Fitted{}, ErrNotSeparable
	}
	theta, last, err := c.scoring()
	if err != nil {
		return Fitted{}, err
	}
	return c.fitted(theta, last)
}

// Rank is how many components the groupings let tell apart, of as many as
// there are groupings and one for the residual.
func Rank(n int, groupings ...Grouping) (rank, of int, err error) {
	c, err := contrast(make([]float64, n), groupings)
	if err != nil {
		return 0, 0, err
	}
	return c.rank(), len(c.a), nil
}

func contrast(y []float64, groupings []Grouping) (*contrasts, error) {
	if len(y) < 3 {
		return nil, ErrFewGroups
	}
	if !finite(y...) {
		return nil, ErrNotFinite
	}
	c := &contrasts{y: y, k: helmert(len(y))}
	c.z = mat.NewVecDense(len(y)-1, nil)
	c.z.MulVec(c.k.T(), mat.NewVecDense(len(y), y))
	for _, g := range groupings {
		if len(g.Of) != len(y) {
			return nil, ErrLength
		}
		codes, names := coded(g.Of)
		if len(names) < 2 {
			return nil, ErrFewGroups
		}
		c.codes, c.names = append(c.codes, codes), append(c.names, names)
		c.a = append(c.a, c.outer(codes, len(names)))
	}
	one := mat.NewSymDense(len(y)-1, nil)
	for i := range len(y) - 1 {
		one.SetSym(i, i, 1)
	}
	c.a = append(c.a, one)
	return c, nil
}

// helmert has n-1 orthonormal columns that sum to zero.
func helmert(n int) *mat.Dense {
	k := mat.NewDense(n, n-1, nil)
	for j := 1; j < n; j++ {
		norm := math.Sqrt(float64(j) * float64(j+1))
		for i := range j {
			k.Set(i, j-1, 1/norm)
		}
		k.Set(j, j-1, -float64(j)/norm)
	}
	return k
}

// coded numbers the groups in the order in which they come.
func coded(of []string) (codes []int, names []string) {
	known := map[string]int{}
	for _, name := range of {
		i, ok := known[name]
		if !ok {
			i = len(names)
			known[name] = i
			names = append(names, name)
		}
		codes = append(codes, i)
	}
	return codes, names
}

// outer is K'ZZ'K of a grouping.
func (c *contrasts) outer(codes []int, groups int) *mat.SymDense {
	_, m := c.k.Dims()
	sums := mat.NewDense(groups, m, nil) // Z'K
	for i, g := range codes {
		for j := range m {
			sums.Set(g, j, sums.At(g, j)+c.k.At(i, j))
		}
	}
	var a mat.SymDense
	a.SymOuterK(1, sums.T())
	return &a
}

// rank of the matrices a as vectors: by the eigenvalues of their correlations.
func (c *contrasts) rank() int {
	n := len(c.a)
	gram := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			gram.SetSym(i, j, inner(c.a[i], c.a[j])/math.Sqrt(inner(c.a[i], c.a[i])*inner(c.a[j], c.a[j])))
		}
	}
	var eigen mat.EigenSym
	eigen.Factorize(gram, false)
	rank := 0
	for _, v := range eigen.Values(nil) {
		if v > 1e-10 {
			rank++
		}
	}
	return rank
}

// inner is the sum of the products of two matrices' elements.
func inner(a, b mat.Matrix) float64 {
	m, n := a.Dims()
	sum := 0.0
	for i := range m {
		for j := range n {
			sum += a.At(i, j) * b.At(i, j)
		}
	}
	return sum
}

// point is the likelihood at some components, with what its derivatives need:
// the inverse W of the contrasts' variance, and W*z.
type point struct {
	criterion float64
	w         *mat.SymDense
	wz        *mat.VecDense
}

// at evaluates it; ok is false where the components make no variance.
func (c *contrasts) at(theta []float64) (p point, ok bool) {
	m := c.z.Len()
	v := mat.NewSymDense(m, nil)
	for i, a := range c.a {
		var part mat.SymDense
		part.ScaleSym(theta[i], a)
		v.AddSym(v, &part)
	}
	var chol mat.Cholesky
	if !chol.Factorize(v) {
		return p, false
	}
	p.w, p.wz = mat.NewSymDense(m, nil), mat.NewVecDense(m, nil)
	if chol.InverseTo(p.w) != nil || chol.SolveVecTo(p.wz, c.z) != nil {
		return p, false
	}
	p.criterion = chol.LogDet() + mat.Dot(c.z, p.wz) + float64(m)*math.Log(2*math.Pi) + math.Log(float64(m+1))
	return p, !math.IsNaN(p.criterion)
}

// slopes are the derivatives of the log likelihood and the expected information.
func (c *contrasts) slopes(p point) (score []float64, info *mat.SymDense) {
	n := len(c.a)
	score, info = make([]float64, n), mat.NewSymDense(n, nil)
	wa := make([]*mat.Dense, n)
	for i, a := range c.a {
		wa[i] = new(mat.Dense)
		wa[i].Mul(p.w, a)
		score[i] = (mat.Inner(p.wz, a, p.wz) - mat.Trace(wa[i])) / 2
		for j := range i + 1 {
			info.SetSym(i, j, inner(wa[i], wa[j].T())/2)
		}
	}
	return score, info
}

// scoring climbs the likelihood by Fisher's scoring from an even split. A
// component at zero whose slope points below stays there; a step that leads
// below zero ends at it, and one that does not climb is halved.
func (c *contrasts) scoring() ([]float64, point, error) {
	n := len(c.a)
	theta := make([]float64, n)
	total := mat.Dot(c.z, c.z) / float64(c.z.Len())
	for i := range theta {
		theta[i] = total / float64(n)
	}
	p, ok := c.at(theta)
	for range 500 {
		if !ok {
			break
		}
		next, moved := c.climb(theta, c.step(theta, p), p)
		if !moved {
			return theta, p, nil
		}
		theta, p = next.theta, next.point
	}
	return nil, point{}, ErrNotConverged
}

// step is that of Fisher's scoring over the components that are free to move.
func (c *contrasts) step(theta []float64, p point) []float64 {
	score, info := c.slopes(p)
	var free []int
	for i := range theta {
		if theta[i] > 0 || score[i] > 0 {
			free = append(free, i)
		}
	}
	step := make([]float64, len(theta))
	part, side := mat.NewSymDense(len(free), nil), mat.NewVecDense(len(free), nil)
	for i, f := range free {
		side.SetVec(i, score[f])
		for j, g := range free {
			part.SetSym(i, j, info.At(f, g))
		}
	}
	var x mat.VecDense
	if x.SolveVec(part, side) != nil {
		return step
	}
	for i, f := range free {
		step[f] = x.AtVec(i)
	}
	return step
}

type reached struct {
	theta []float64
	point
}

// climb goes along the step as far as the likelihood does not fall by more
// than rounding, and says whether that moved any component.
func (c *contrasts) climb(theta, step []float64, from point) (to reached, moved bool) {
	for share := 1.0; share > 1e-9; share /= 2 {
		next, far := make([]float64, len(theta)), 0.0
		for i := range theta {
			next[i] = max(0, theta[i]+share*step[i])
			far = max(far, math.Abs(next[i]-theta[i]))
		}
		if far <= 1e-12*slices.Max(theta) {
			return reached{}, false
		}
		if p, ok := c.at(next); ok && p.criterion <= from.criterion+1e-14*math.Abs(from.criterion) {
			return reached{next, p}, true
		}
	}
	return reached{}, false
}

// fitted puts the answer together from the last point.
func (c *contrasts) fitted(theta []float64, p point) (Fitted, error) {
	f := Fitted{Components: theta, SE: make([]float64, len(theta)), Criterion: p.criterion}
	_, info := c.slopes(p)
	c.standardErrors(&f, info)

	var residual mat.VecDense // V⁻¹(y - mean)
	residual.MulVec(c.k, p.wz)
	for i, codes := range c.codes {
		of := map[string]float64{}
		for j, g := range codes {
			of[c.names[i][g]] += theta[i] * residual.AtVec(j)
		}
		f.Effects = append(f.Effects, of)
	}
	return f, c.mean(&f)
}

// standardErrors inverts the information of the components above zero.
func (c *contrasts) standardErrors(f *Fitted, info *mat.SymDense) {
	var free []int
	for i, v := range f.Components {
		f.SE[i] = math.NaN()
		if v > 0 {
			free = append(free, i)
		}
	}
	part := mat.NewSymDense(len(free), nil)
	for i, a := range free {
		for j, b := range free {
			part.SetSym(i, j, info.At(a, b))
		}
	}
	var inverse mat.Dense
	if inverse.Inverse(part) != nil {
		return
	}
	for i, a := range free {
		f.SE[a] = math.Sqrt(inverse.At(i, i))
	}
}

// mean is by generalised least squares at the components.
func (c *contrasts) mean(f *Fitted) error {
	n := len(c.y)
	v := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v.SetSym(i, j, c.covariance(f.Components, i, j))
		}
	}
	var chol mat.Cholesky
	ones, x := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	for i := range n {
		ones.SetVec(i, 1)
	}
	if !chol.Factorize(v) || chol.SolveVecTo(x, ones) != nil {
		return ErrNotConverged
	}
	f.VarMean = 1 / mat.Sum(x)
	f.Mean = mat.Dot(x, mat.NewVecDense(n, c.y)) * f.VarMean
	return nil
}

// covariance of two values.
func (c *contrasts) covariance(theta []float64, i, j int) float64 {
	sum := 0.0
	for g, codes := range c.codes {
		if codes[i] == codes[j] {
			sum += theta[g]
		}
	}
	if i == j {
		sum += theta[len(theta)-1]
	}
	return sum
}
