package heights

import (
	"math"

	"gonum.org/v1/gonum/blas/blas64"
)

// ownEstimate is each crown's height and variance from its own lane alone,
// without the rows in wrong. A crown that no other row touches has an infinite
// variance.
func (s *system) ownEstimate(wrong map[int]bool) (z, variance []float64, err error) {
	z, variance = make([]float64, len(s.c.list)), make([]float64, len(s.c.list))
	for k, b := range s.blocks {
		n := b.to - b.from
		a, rhs := make([]float64, n*n), make([]float64, n)
		for i, r := range s.rows {
			if r.obs >= 0 && r.bound == exact && !wrong[i] && r.at[0] >= b.from && r.at[0] < b.to {
				accumulate(a, rhs, n, b.from, b.to, r)
			}
		}
		s.datum(a, n, b.from, k, datumWeight)
		for i := range n {
			a[i*n+i] += ownRidge
		}
		if !invert(a, n, n) {
			return nil, nil, errSingular
		}
		for i := s.c.lanes[k].from; i < s.c.lanes[k].to; i++ {
			p := s.crownAt[i] - b.from
			z[i] = blas64.Dot(blas64.Vector{N: n, Data: a[p*n:], Inc: 1}, blas64.Vector{N: n, Data: rhs, Inc: 1})
		}
		s.datum(a, n, b.from, k, -1/datumWeight)
		for i := s.c.lanes[k].from; i < s.c.lanes[k].to; i++ {
			p := s.crownAt[i] - b.from
			variance[i] = a[p*n+p]
			if variance[i] > ownUnknown {
				variance[i] = math.Inf(1)
			}
		}
	}
	return z, variance, nil
}

// A crown whose only row is left out keeps a place in its lane's own estimate
// by a ridge of 0 ± 30 mm, and is then known by its variance.
const (
	ownRidge   = 1e-3
	ownUnknown = 1.0 // mm²: no reading is so poor
)
