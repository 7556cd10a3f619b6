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

// Fitted is what REML makes of values with several groupings, nested or
// crossed.
type Fitted struct {
	Components []float64 // one for each grouping, and the residual last
	SE         []float64 // standard errors; NaN at a component of zero
	Criterion  float64   // -2 log restricted likelihood, constants included

	// By generalised least squares at these components: the mean first, or the
	// intercept, and then a coefficient for each column. DF are those of each
	// one's variance, by Satterthwaite.
	Coef, DF []float64
	Cov      [][]float64

	Effects []map[string]float64 // predicted for each group, by grouping
}

// Mean is that of the values, or the intercept where there are columns.
func (f Fitted) Mean() float64 { return f.Coef[0] }

// VarMean is its variance.
func (f Fitted) VarMean() float64 { return f.Cov[0][0] }

// contrasts are the values free of their mean and columns: z = K'y for an
// orthonormal K to which X is at right angles. Each grouping has t = K'Z and
// a = t*t'; the residual's a is the identity and stands last.
type contrasts struct {
	y, z  *mat.VecDense
	x, k  *mat.Dense
	logXX float64 // logarithm of the determinant of X'X
	t     []*mat.Dense
	a     []*mat.SymDense
	codes [][]int
	names [][]string
}

// REML finds the components of values that have one mean, may depend on the
// columns x, and have several groupings. It costs the cube of the number of
// values: it is for some hundred of them, and OneWay for many. Where the
// groupings go together so that the components cannot be told from each
// other, it is ErrNotSeparable; a solver left alone would return one split of
// many as if it were the answer.
func REML(y []float64, x [][]float64, groupings ...Grouping) (Fitted, error) {
	c, err := contrast(y, x, groupings)
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
	c, err := contrast(make([]float64, n), nil, groupings)
	if err != nil {
		return 0, 0, err
	}
	return c.rank(), len(c.a), nil
}

func contrast(y []float64, x [][]float64, groupings []Grouping) (*contrasts, error) {
	c := &contrasts{}
	if err := c.columns(y, x); err != nil {
		return nil, err
	}
	for _, g := range groupings {
		if len(g.Of) != len(y) {
			return nil, ErrLength
		}
		codes, names := coded(g.Of)
		if len(names) < 2 {
			return nil, ErrFewGroups
		}
		c.codes, c.names = append(c.codes, codes), append(c.names, names)
		c.group(codes, len(names))
	}
	one := mat.NewSymDense(c.z.Len(), nil)
	for i := range c.z.Len() {
		one.SetSym(i, i, 1)
	}
	c.a = append(c.a, one)
	return c, nil
}

// columns makes X of the mean and the columns, and the contrasts of the rest
// of the orthonormal matrix that its QR decomposition brings.
func (c *contrasts) columns(y []float64, x [][]float64) error {
	n, p := len(y), 1+len(x)
	if n < p+2 {
		return ErrFewGroups
	}
	if !finite(y...) {
		return ErrNotFinite
	}
	c.y, c.x = mat.NewVecDense(n, y), mat.NewDense(n, p, nil)
	for i := range n {
		c.x.Set(i, 0, 1)
	}
	for j, column := range x {
		switch {
		case len(column) != n:
			return ErrLength
		case !finite(column...):
			return ErrNotFinite
		}
		c.x.SetCol(j+1, column)
	}
	return c.decompose(n, p)
}

func (c *contrasts) decompose(n, p int) error {
	var qr mat.QR
	var q, r mat.Dense
	qr.Factorize(c.x)
	qr.QTo(&q)
	qr.RTo(&r)
	for j := range p {
		d := math.Abs(r.At(j, j))
		if d <= 1e-12*mat.Norm(c.x.ColView(j), 2) {
			return ErrColumns
		}
		c.logXX += 2 * math.Log(d)
	}
	c.k = mat.DenseCopyOf(q.Slice(0, n, p, n))
	c.z = mat.NewVecDense(n-p, nil)
	c.z.MulVec(c.k.T(), c.y)
	return nil
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

// group adds a grouping.
func (c *contrasts) group(codes []int, groups int) {
	n, m := c.k.Dims()
	z := mat.NewDense(n, groups, nil)
	for i, g := range codes {
		z.Set(i, g, 1)
	}
	t, a := mat.NewDense(m, groups, nil), mat.NewSymDense(m, nil)
	t.Mul(c.k.T(), z)
	a.SymOuterK(1, t)
	c.t, c.a = append(c.t, t), append(c.a, a)
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
