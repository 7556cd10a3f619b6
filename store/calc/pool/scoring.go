package pool

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

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
	p.criterion = chol.LogDet() + mat.Dot(c.z, p.wz) + float64(m)*math.Log(2*math.Pi) + c.logXX
	return p, !math.IsNaN(p.criterion)
}

// slopes are the derivatives of the log likelihood and the expected
// information, half the traces of W*A*W*B. With A = T*T' they are squares of
// T'*W*U, which are as small as the groups are few.
func (c *contrasts) slopes(p point) (score []float64, info *mat.SymDense) {
	n := len(c.a)
	score, info = make([]float64, n), mat.NewSymDense(n, nil)
	w := mat.DenseCopyOf(p.w)
	for i, t := range c.t {
		var wt mat.Dense
		var tz mat.VecDense
		wt.Mul(w, t)
		tz.MulVec(t.T(), p.wz)
		score[i] = (mat.Dot(&tz, &tz) - inner(t, &wt)) / 2
		for j, u := range c.t[:i+1] {
			var both mat.Dense
			both.Mul(u.T(), &wt)
			info.SetSym(i, j, inner(&both, &both)/2)
		}
		info.SetSym(i, n-1, inner(&wt, &wt)/2)
	}
	score[n-1] = (mat.Dot(p.wz, p.wz) - mat.Trace(w)) / 2
	info.SetSym(n-1, n-1, inner(w, w)/2)
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
