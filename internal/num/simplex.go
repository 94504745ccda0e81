package num

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// simplex is a program on its way: n active rows, held as equations, give the
// point v = near + M·far, M an infinite number that only the far bounds bring in.
type simplex struct {
	*Program
	n      int
	cost   []float64   // nudged at first
	active []int       // rows; −1−i is the far bound of variable i
	held   []bool      // by row
	inv    [][]float64 // inv[k] is column k of the active rows' inverse
	weight []float64   // multipliers of the active rows: cost = Σ weight·row
	near   []float64
	far    []float64
	sign   []float64 // of the far bounds: sign·v ≥ −M
	y      []float64
	since  int // steps since the inverse was renewed
}

func newSimplex(p *Program) *simplex {
	n := len(p.cost)
	s := &simplex{Program: p, n: n, cost: p.perturbed(), held: make([]bool, len(p.rows))}
	s.near, s.far, s.y = make([]float64, n), make([]float64, n), make([]float64, n)
	s.inv = make([][]float64, n)
	for i, c := range s.cost {
		sign := 1.0
		if c < 0 {
			sign = -1
		}
		s.sign = append(s.sign, sign)
		s.active = append(s.active, -1-i)
		s.inv[i] = make([]float64, n)
		s.inv[i][i] = sign
		s.weight = append(s.weight, math.Abs(c))
		s.far[i] = -sign
	}
	return s
}

// row gives the active row k.
func (s *simplex) row(k int) row {
	if r := s.active[k]; r >= 0 {
		return s.rows[r]
	}
	i := -1 - s.active[k]
	return row{at: []int{i}, coef: []float64{s.sign[i]}}
}

// dualStep lets the worst missed row in; done when none is missed.
func (s *simplex) dualStep() (done bool, err error) {
	in := s.worst()
	if in < 0 {
		if s.since == 0 {
			return true, nil
		}
		return false, s.renew() // and look again with a fresh point
	}
	r := s.rows[in]
	out, least := -1, math.Inf(1)
	for k, col := range s.inv {
		s.y[k] = r.times(col)
		if s.y[k] <= pivotLeast {
			continue
		}
		ratio := s.weight[k] / s.y[k]
		if ratio < least || ratio == least && s.y[k] > s.y[out] {
			out, least = k, ratio
		}
	}
	if out < 0 {
		if s.since > 0 {
			return false, s.renew()
		}
		return false, ErrInfeasible
	}
	return false, s.swap(in, out)
}

// worst is the row that the point misses by most, or −1.
func (s *simplex) worst() int {
	worst, infinite, by := -1, false, 0.0
	for i, r := range s.rows {
		if s.held[i] {
			continue
		}
		if f := r.times(s.far); f < -pivotLeast {
			if !infinite || f < by {
				worst, infinite, by = i, true, f
			}
			continue
		} else if infinite || f > pivotLeast {
			continue
		}
		if m := r.times(s.near) - r.bound; m < by && m < -feasible*(1+math.Abs(r.bound)) {
			worst, by = i, m
		}
	}
	return worst
}

// swap makes row in active in place of the active row out; s.y holds row in by
// the active rows.
func (s *simplex) swap(in, out int) error {
	r := s.rows[in]
	col := s.inv[out]
	scale := 1 / s.y[out]
	for i := range col {
		col[i] *= scale
	}
	t := s.weight[out] * scale
	for k := range s.inv {
		if y := s.y[k]; k != out && y != 0 {
			axpy(-y, col, s.inv[k])
			s.weight[k] -= t * y
		}
	}
	s.weight[out] = t
	axpy(r.bound-r.times(s.near), col, s.near)
	axpy(-r.times(s.far), col, s.far)
	if a := s.active[out]; a >= 0 {
		s.held[a] = false
	}
	s.active[out], s.held[in] = in, true
	if s.since++; s.since >= renewAfter {
		return s.renew()
	}
	return nil
}

// axpy adds a·x to y.
func axpy(a float64, x, y []float64) {
	y = y[:len(x)]
	for i, v := range x {
		y[i] += a * v
	}
}

// useTrueCost drops the nudges.
func (s *simplex) useTrueCost() {
	s.cost = s.Program.cost
	s.weigh()
}

// weigh finds the multipliers of the active rows.
func (s *simplex) weigh() {
	for k, col := range s.inv {
		s.weight[k] = 0
		for i, c := range s.cost {
			s.weight[k] += c * col[i]
		}
	}
}

// primalStep leaves the active row with the most negative multiplier and walks
// until another row stops it; done when none is negative.
func (s *simplex) primalStep() (done bool, err error) {
	size := 0.0
	for _, c := range s.cost {
		size = math.Max(size, math.Abs(c))
	}
	out, least := -1, -pivotLeast*size
	for k, w := range s.weight {
		if w < least {
			out, least = k, w
		}
	}
	if out < 0 {
		return true, nil
	}
	col := s.inv[out]
	in, reach := -1, math.Inf(1)
	for i, r := range s.rows {
		if s.held[i] {
			continue
		}
		down := -r.times(col)
		if down <= pivotLeast || r.times(s.far) > pivotLeast {
			continue
		}
		if t := (r.times(s.near) - r.bound) / down; t < reach {
			in, reach = i, t
		}
	}
	if in < 0 {
		return false, ErrUnbounded
	}
	for k, c := range s.inv {
		s.y[k] = s.rows[in].times(c)
	}
	return false, s.swap(in, out)
}

// renew works the inverse, the point and the multipliers out afresh.
func (s *simplex) renew() error {
	a := mat.NewDense(s.n, s.n, nil)
	bound, infinite := mat.NewVecDense(s.n, nil), mat.NewVecDense(s.n, nil)
	for k := range s.n {
		r := s.row(k)
		for j, i := range r.at {
			a.Set(k, i, r.coef[j])
		}
		bound.SetVec(k, r.bound)
		if s.active[k] < 0 {
			infinite.SetVec(k, -1)
		}
	}
	var lu mat.LU
	lu.Factorize(a)
	ident := mat.NewDense(s.n, s.n, nil)
	for i := range s.n {
		ident.Set(i, i, 1)
	}
	var inverse mat.Dense
	var near, far mat.VecDense
	for _, err := range []error{
		lu.SolveTo(&inverse, false, ident),
		lu.SolveVecTo(&near, false, bound),
		lu.SolveVecTo(&far, false, infinite),
	} {
		if _, poor := err.(mat.Condition); err != nil && !poor {
			return ErrStalled
		}
	}
	for k := range s.n {
		mat.Col(s.inv[k], k, &inverse)
	}
	mat.Col(s.near, 0, &near)
	mat.Col(s.far, 0, &far)
	for i, f := range s.far {
		if math.Abs(f) < pivotLeast {
			s.far[i] = 0
		}
	}
	s.since = 0
	s.weigh()
	return nil
}

// point is the point found, the infinite number made as small as the rows
// allow. A cost that still falls with it has no least value.
func (s *simplex) point() ([]float64, error) {
	if err := s.renew(); err != nil {
		return nil, err
	}
	v := slices.Clone(s.near)
	fall, m := 0.0, 0.0
	for i, f := range s.far {
		fall += s.cost[i] * f
	}
	if fall < -pivotLeast {
		return nil, ErrUnbounded
	}
	for _, r := range s.rows {
		if f := r.times(s.far); f > pivotLeast {
			m = math.Max(m, (r.bound-r.times(s.near))/f)
		}
	}
	axpy(m, s.far, v)
	return v, nil
}
