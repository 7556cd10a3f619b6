package pool

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// fitted puts the answer together from the last point.
func (c *contrasts) fitted(theta []float64, p point) (Fitted, error) {
	f := Fitted{Components: theta, SE: make([]float64, len(theta)), Criterion: p.criterion}
	_, info := c.slopes(p)
	cov := inverseOf(theta, info)
	for i := range f.SE {
		f.SE[i] = math.NaN()
		if theta[i] > 0 {
			f.SE[i] = math.Sqrt(cov.At(i, i))
		}
	}
	var residual mat.VecDense // V⁻¹(y - Xb)
	residual.MulVec(c.k, p.wz)
	for i, codes := range c.codes {
		of := map[string]float64{}
		for j, g := range codes {
			of[c.names[i][g]] += theta[i] * residual.AtVec(j)
		}
		f.Effects = append(f.Effects, of)
	}
	return f, c.coefficients(&f, cov)
}

// inverseOf is the covariance of the components: the inverse of the
// information of those above zero, and zero for the others.
func inverseOf(theta []float64, info *mat.SymDense) *mat.Dense {
	var free []int
	for i, v := range theta {
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
	cov := mat.NewDense(len(theta), len(theta), nil)
	var inverse mat.Dense
	if inverse.Inverse(part) != nil {
		return cov
	}
	for i, a := range free {
		for j, b := range free {
			cov.Set(a, b, inverse.At(i, j))
		}
	}
	return cov
}

// coefficients are by generalised least squares at the components.
func (c *contrasts) coefficients(f *Fitted, cov *mat.Dense) error {
	n, p := c.x.Dims()
	v := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v.SetSym(i, j, c.covariance(f.Components, i, j))
		}
	}
	var chol mat.Cholesky
	var vx, xvx, inverse, u mat.Dense
	var xvy, b mat.VecDense
	if !chol.Factorize(v) || chol.SolveTo(&vx, c.x) != nil {
		return ErrNotConverged
	}
	xvx.Mul(c.x.T(), &vx)
	if inverse.Inverse(&xvx) != nil {
		return ErrColumns
	}
	xvy.MulVec(vx.T(), c.y)
	b.MulVec(&inverse, &xvy)
	u.Mul(&vx, &inverse)
	for j := range p {
		f.Coef = append(f.Coef, b.AtVec(j))
		f.Cov = append(f.Cov, mat.Row(nil, j, &inverse))
		f.DF = append(f.DF, c.freedom(inverse.At(j, j), mat.Col(nil, j, &u), cov))
	}
	return nil
}

// freedom is Satterthwaite's, of a coefficient's variance: twice its square
// over the variance of it, which follows from those of the components by its
// derivatives. They are sums over groups of u, the column of V⁻¹X(X'V⁻¹X)⁻¹.
func (c *contrasts) freedom(variance float64, u []float64, cov *mat.Dense) float64 {
	slope := mat.NewVecDense(len(c.a), nil)
	for i, codes := range c.codes {
		sums := make([]float64, len(c.names[i]))
		for r, g := range codes {
			sums[g] += u[r]
		}
		slope.SetVec(i, squares(sums))
	}
	slope.SetVec(len(c.codes), squares(u))
	return 2 * variance * variance / mat.Inner(slope, cov, slope)
}

func squares(of []float64) (sum float64) {
	for _, v := range of {
		sum += v * v
	}
	return sum
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
