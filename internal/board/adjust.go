package board

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/heights"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
)

var errSingular = errors.New("the readings of the board do not fix its places")

// laneHeights are the determined places of one lane in the free datum: zero mean and
// slope over the lane.
type laneHeights struct {
	at   []int // places, ascending
	x, z []float64
	cov  *mat.SymDense
	rows []*row
}

// adjust estimates the heights of lanes from their rows. Lanes are coupled only
// by the shape of a beam or an edge that was read both ways round.
func (j *job) adjust(byLane map[float64][]*row) (map[float64]*laneHeights, error) {
	lanes := make([]*laneHeights, 0, len(j.places.lanes))
	out := map[float64]*laneHeights{}
	for _, s := range j.places.lanes {
		rows := byLane[s.lane]
		fixed := tied(rows)
		if len(fixed) < minOfPass {
			continue
		}
		h := &laneHeights{rows: useful(rows, fixed)}
		for p := s.from; p < s.to; p++ {
			if fixed[p] {
				h.at, h.x = append(h.at, p), append(h.x, j.places.list[p].x)
			}
		}
		lanes, out[s.lane] = append(lanes, h), h
	}
	var laid []heights.Laid
	for _, h := range lanes {
		for _, r := range h.rows {
			laid = append(laid, heights.Laid{Method: r.method, Lane: r.lane, Turned: r.setup.Turned, Fret: r.at[0]})
		}
	}
	if shaped := heights.BothWays(laid); len(shaped) > 0 {
		return out, j.solve(lanes, shaped)
	}
	for _, h := range lanes {
		if err := j.solve([]*laneHeights{h}, nil); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// net is the normal equations of some lanes.
type net struct {
	n      *mat.SymDense
	rhs    *mat.VecDense
	column map[int]int // of a place
	setups map[reading.Setup]int
	shapes map[reading.Method]int
	size   int
}

// solve estimates lanes together.
func (j *job) solve(lanes []*laneHeights, shaped []reading.Method) error {
	w := &net{column: map[int]int{}, setups: map[reading.Setup]int{}, shapes: map[reading.Method]int{}}
	for _, h := range lanes {
		for _, p := range h.at {
			w.column[p] = w.size
			w.size++
		}
		for _, r := range h.rows {
			if _, known := w.setups[r.setup]; !known && r.setup != (reading.Setup{}) {
				w.setups[r.setup] = w.size
				w.size += 2
			}
		}
	}
	for _, m := range shaped {
		w.shapes[m] = w.size
		w.size += heights.ShapeTerms
	}
	w.n, w.rhs = mat.NewSymDense(w.size, nil), mat.NewVecDense(w.size, nil)
	rows := 0
	for _, h := range lanes {
		for _, r := range h.rows {
			at, coef := w.equation(r, h, j.places.list[r.at[0]].x)
			w.add(at, coef, r.value, r.u)
			rows++
		}
		w.datum(h)
	}
	var chol mat.Cholesky
	if !chol.Factorize(w.n) {
		return errSingular
	}
	var x mat.VecDense
	var cov mat.SymDense
	if err := chol.SolveVecTo(&x, w.rhs); err != nil {
		return errSingular
	}
	if err := chol.InverseTo(&cov); err != nil {
		return errSingular
	}
	scale := w.scatter(j, lanes, &x, rows)
	for _, h := range lanes {
		h.free(w, &x, &cov, scale)
	}
	return nil
}

// span is the middle and the half of a lane's length.
func (h *laneHeights) span() (middle, half float64) {
	first, last := h.x[0], h.x[len(h.x)-1]
	return (first + last) / 2, (last - first) / 2
}

// equation lists a row's unknowns and their weights.
func (w *net) equation(r *row, h *laneHeights, x float64) (at []int, coef []float64) {
	for k, p := range r.at {
		at, coef = append(at, w.column[p]), append(coef, r.weights[k])
	}
	k, known := w.setups[r.setup]
	if !known {
		return at, coef
	}
	middle, half := h.span()
	t := (x - middle) / half
	at, coef = append(at, k, k+1), append(coef, 1, t)
	s, known := w.shapes[r.method]
	if !known {
		return at, coef
	}
	for k, v := range heights.OwnShape(t) {
		if r.setup.Turned {
			v = -v
		}
		at, coef = append(at, s+k), append(coef, v)
	}
	return at, coef
}

func (w *net) add(at []int, coef []float64, value, u float64) { addTo(w.n, w.rhs, at, coef, value, u) }

// addTo adds the equation Σ coef·unknown = value ± u to normal equations; no
// unknown stands in it twice.
func addTo(n *mat.SymDense, rhs *mat.VecDense, at []int, coef []float64, value, u float64) {
	weight := 1 / (u * u)
	for i, a := range at {
		rhs.SetVec(a, rhs.AtVec(a)+weight*coef[i]*value)
		for k := i; k < len(at); k++ {
			n.SetSym(a, at[k], n.At(a, at[k])+weight*coef[i]*coef[k])
		}
	}
}

// datum fixes a lane's mean and slope, which no reading sees, as surely as a reading
// of it would; the result is projected, so that matters for rounding only.
func (w *net) datum(h *laneHeights) {
	middle, half := h.span()
	u := h.rows[0].u
	n := math.Sqrt(float64(len(h.at)))
	at, mean, slope := make([]int, len(h.at)), make([]float64, len(h.at)), make([]float64, len(h.at))
	for i, p := range h.at {
		at[i], mean[i], slope[i] = w.column[p], 1/n, (h.x[i]-middle)/half/n
	}
	w.add(at, mean, 0, u)
	w.add(at, slope, 0, u)
}

// Scatter of the readings against what they state: with fewer to spare than
// enough it is not judged; below much it is let be.
const (
	scatterEnough = 10
	scatterMuch   = 1.3
)

// scatter is the factor by which the readings of some lanes scatter more than
// they state, 1 where they do not.
func (w *net) scatter(j *job, lanes []*laneHeights, x *mat.VecDense, rows int) float64 {
	spare := rows - w.size + 2*len(lanes)
	if spare < scatterEnough {
		return 1
	}
	sum := 0.0
	for _, h := range lanes {
		for _, r := range h.rows {
			at, coef := w.equation(r, h, j.places.list[r.at[0]].x)
			residual := r.value
			for k, a := range at {
				residual -= coef[k] * x.AtVec(a)
			}
			sum += residual * residual / (r.u * r.u)
		}
	}
	if f := math.Sqrt(sum / float64(spare)); f > scatterMuch {
		return f
	}
	return 1
}

// free takes a lane's heights out of a solved net into the free datum.
func (h *laneHeights) free(w *net, x *mat.VecDense, cov *mat.SymDense, scale float64) {
	n := len(h.at)
	middle, half := h.span()
	block, t := mat.NewDense(n, n, nil), make([]float64, n)
	h.z = make([]float64, n)
	for i, p := range h.at {
		h.z[i], t[i] = x.AtVec(w.column[p]), (h.x[i]-middle)/half
		for k, q := range h.at {
			block.Set(i, k, cov.At(w.column[p], w.column[q])*scale*scale)
		}
	}
	num.Detrend(t, h.z)
	for range 2 { // its rows, then its columns
		for i := range n {
			num.Detrend(t, block.RawRowView(i))
		}
		block = mat.DenseCopyOf(block.T())
	}
	h.cov = mat.NewSymDense(n, nil)
	for i := range n {
		for k := i; k < n; k++ {
			h.cov.SetSym(i, k, (block.At(i, k)+block.At(k, i))/2)
		}
	}
}
