package arrive

import (
	"fmt"
	"math/rand/v2"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// jitters are what is added to the variances, beside their mean, until a root is
// found: a covariance in the free datum has none in the direction of a line, and
// rounding puts it on either side of 0. None of them shows in a chance.
func jitters() []float64 { return []float64{1e-9, 1e-7, 1e-5, 1e-3} }

// negligible, in mm², is a variance whose products with a jitter are no numbers
// of full length any more: readings that certain have no errors to draw.
const negligible = 1e-280

// errorsOf draws the errors of all crowns together: a row a draw.
func (n Neck) errorsOf(lanes []lane, draws int, r *rand.Rand) (blas64.General, error) {
	m := size(lanes)
	out := blas64.General{Rows: draws, Cols: m, Stride: m, Data: make([]float64, draws*m)}
	cov := n.joint(lanes, m)
	mean := cov.Trace() / float64(m)
	if mean < negligible {
		return out, nil
	}
	var chol mat.Cholesky
	before := 0.0
	for _, j := range jitters() {
		for i := range m {
			cov.SetSym(i, i, cov.At(i, i)+(j-before)*mean)
		}
		before = j
		if !chol.Factorize(cov) {
			continue
		}
		for i := range out.Data {
			out.Data[i] = r.NormFloat64()
		}
		root := chol.RawU()
		blas64.Trmm(blas.Right, blas.NoTrans, 1, root.(*mat.TriDense).RawTriangular(), out)
		return out, nil
	}
	return out, fmt.Errorf("%w: it is not positive", ErrCovariance)
}

// joint is the covariance of all crowns.
func (n Neck) joint(lanes []lane, m int) *mat.SymDense {
	cov := mat.NewSymDense(m, nil)
	for a := range lanes {
		p := &lanes[a]
		for i := range p.x {
			for j := i; j < len(p.x); j++ {
				cov.SetSym(p.from+i, p.from+j, p.cov[i*len(p.x)+j])
			}
		}
		for b := a + 1; b < len(lanes); b++ {
			q := &lanes[b]
			for i, pi := range p.at {
				for j, qj := range q.at {
					cov.SetSym(p.from+i, q.from+j, n.Cov(a, pi, b, qj))
				}
			}
		}
	}
	return cov
}
