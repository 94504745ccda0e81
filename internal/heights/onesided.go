package heights

import "gonum.org/v1/gonum/blas/blas64"

// settle switches one-sided readings on where they are violated and off where
// they no longer pull, one at a time, until none changes.
func (s *system) settle() {
	for range 20 * (len(s.obs) + 1) {
		worst, at := 1e-9, -1
		for i := range s.rows {
			r := &s.rows[i]
			if r.bound == exact {
				continue
			}
			over := -s.left(r) // how far the state stands above the value
			if r.bound == atLeast {
				over = -over
			}
			if r.on {
				over = -over // a satisfied reading pulls no more
			}
			if over/r.u > worst {
				worst, at = over/r.u, i
			}
		}
		if at < 0 {
			return
		}
		s.toggle(&s.rows[at])
	}
}

// toggle switches a row on or off without solving again.
func (s *system) toggle(r *row) {
	v := s.spreadOf(r)
	sign := 1.0
	if r.on {
		sign = -1
	}
	d := r.u*r.u + sign*s.cross(r, r)
	e := s.left(r)
	blas64.Axpy(sign*e/d, blas64.Vector{N: s.n, Data: v, Inc: 1}, blas64.Vector{N: s.n, Data: s.x[:s.n], Inc: 1})
	s.outer(v, -sign/d)
	r.on = !r.on
}
