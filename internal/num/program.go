package num

import (
	"errors"
	"math"
	"math/rand/v2"
)

// What a Program can come to besides an answer.
var (
	ErrInfeasible = errors.New("no point satisfies all rows")
	ErrUnbounded  = errors.New("the cost has no least value")
	ErrStalled    = errors.New("the program did not come to an end")
)

// Program is a linear program over free variables:
//
//	least cost·v  with  row·v ≥ bound for every row.
//
// It is made for programs of a hundred variables and a thousand short rows.
type Program struct {
	cost []float64
	rows []row
}

// row is a sparse row, scaled to length 1.
type row struct {
	at    []int
	coef  []float64
	bound float64
}

// NewProgram starts a program with one cost a variable.
func NewProgram(cost []float64) *Program { return &Program{cost: cost} }

// AtLeast adds the row Σ coef[k]·v[at[k]] ≥ bound. The slices are copied. A row
// of zeros is dropped where it holds and kept, never to hold, where it does not.
func (p *Program) AtLeast(bound float64, at []int, coef []float64) {
	norm := 0.0
	for _, c := range coef {
		norm = math.Hypot(norm, c)
	}
	r := row{bound: bound}
	if norm > 0 {
		r.bound /= norm
		for k, c := range coef {
			if c != 0 {
				r.at, r.coef = append(r.at, at[k]), append(r.coef, c/norm)
			}
		}
	} else if bound <= 0 {
		return
	}
	p.rows = append(p.rows, r)
}

// times is row·v.
func (r row) times(v []float64) float64 {
	s := 0.0
	for k, i := range r.at {
		s += r.coef[k] * v[i]
	}
	return s
}

const (
	// feasible is the distance by which a row, scaled to length 1, may be missed,
	// beside the size of its bound.
	feasible = 1e-11
	// pivotLeast is the least coefficient worth dividing by.
	pivotLeast = 1e-9
	// nudge is how much costs are changed, beside the largest, so that no two
	// steps tie; the last steps use the true costs.
	nudge = 1e-7
	// renewAfter is how many steps may build on each other's rounding.
	renewAfter = 60
	// stepsPerSize bounds the steps, beside variables plus rows.
	stepsPerSize = 50
)

// Solve returns a point of least cost and that cost.
//
// Method: dual simplex with an explicit inverse of the active rows, started from
// far bounds on each variable that are kept apart as multiples of one infinite
// number; costs nudged, then primal steps with the true costs. The point keeps
// every row within 1e-11 of its bound's size. ErrInfeasible, ErrUnbounded; and
// ErrStalled rather than a wrong answer. Deterministic.
// Source: G. B. Dantzig, Linear Programming and Extensions (1963), and C. E.
// Lemke, Naval Res. Logist. Q. 1 (1954) 36 (both from memory); checked on Netlib
// programs.
func (p *Program) Solve() (v []float64, value float64, err error) {
	s := newSimplex(p)
	most := stepsPerSize * (len(p.cost) + len(p.rows))
	for step := 0; ; step++ {
		if step > most {
			return nil, 0, ErrStalled
		}
		done, err := s.dualStep()
		if err != nil {
			return nil, 0, err
		}
		if done {
			break
		}
	}
	s.useTrueCost()
	for step := 0; ; step++ {
		if step > most {
			return nil, 0, ErrStalled
		}
		done, err := s.primalStep()
		if err != nil {
			return nil, 0, err
		}
		if done {
			break
		}
	}
	if v, err = s.point(); err != nil {
		return nil, 0, err
	}
	for i, c := range p.cost {
		value += c * v[i]
	}
	return v, value, nil
}

// perturbed is the cost with every term moved away from 0 a little.
func (p *Program) perturbed() []float64 {
	largest := 0.0
	for _, c := range p.cost {
		largest = math.Max(largest, math.Abs(c))
	}
	if largest == 0 {
		largest = 1
	}
	r := rand.New(rand.NewPCG(1, 1))
	out := make([]float64, len(p.cost))
	for i, c := range p.cost {
		e := nudge * largest * (1 + r.Float64())
		if c < 0 {
			e = -e
		}
		out[i] = c + e
	}
	return out
}
