package readplan

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Lane is one lane's crowns in order of fret.
type Lane struct {
	Lane  float64
	Frets []int
	XMM   []float64 // along the lane, ascending
}

// Known is how well a neck's crowns are known: their joint covariance.
type Known struct {
	Lanes []Lane
	// Cov is the covariance of all crowns in mm², lane after lane in the order of
	// Lanes. It may be singular, as that of a free datum is.
	Cov *mat.SymDense

	from []int // where each lane begins in Cov
}

// ErrReadings says that readings do not fit the crowns they are to narrow.
var ErrReadings = errors.New("readings do not fit the crowns")

// NewKnown joins lanes and their covariance. ErrReadings: cov has another size.
func NewKnown(lanes []Lane, cov *mat.SymDense) (*Known, error) {
	k := &Known{Lanes: lanes, Cov: cov}
	n := 0
	for _, l := range lanes {
		k.from = append(k.from, n)
		n += len(l.Frets)
	}
	if cov.SymmetricDim() != n {
		return nil, fmt.Errorf("%w: a covariance of %d for %d crowns", ErrReadings, cov.SymmetricDim(), n)
	}
	return k, nil
}

// gain is what sets of readings do to the estimate. With B their rows, of unit
// noise, and L·Lᵀ = B·Cov·Bᵀ + 1, moves is L⁻¹·B·Cov: the covariance falls by
// movesᵀ·moves, and readings that stand r above what the estimate says move it by
// movesᵀ·L⁻¹·r.
type gain struct {
	blocks []block
	from   []int // of each lane in the crowns
	lower  mat.TriDense
	moves  *mat.Dense
}

// gainOf works out what sets do; nil where they have no reading.
//
// Cost: of the order of n·m², n crowns and m readings, less two a set-up.
func (k *Known) gainOf(sets []Set) (*gain, error) {
	blocks, m, err := k.blocks(sets)
	if err != nil || m == 0 {
		return nil, err
	}
	n := k.Cov.SymmetricDim()
	g := &gain{blocks: blocks, from: k.from, moves: mat.NewDense(m, n, nil)}
	at := 0
	for _, b := range blocks { // B·Cov
		r, c := b.rows.Dims()
		g.moves.Slice(at, at+r, 0, n).(*mat.Dense).Mul(b.rows, k.rowsOf(k.from[b.lane], c))
		at += r
	}
	seen := g.apply(g.moves)
	both := mat.NewSymDense(m, nil)
	for i := range m {
		for j := i; j < m; j++ {
			both.SetSym(i, j, (seen.At(i, j)+seen.At(j, i))/2)
		}
		both.SetSym(i, i, both.At(i, i)+1)
	}
	var chol mat.Cholesky
	if !chol.Factorize(both) {
		return nil, fmt.Errorf("%w: what they should narrow is not a covariance", ErrReadings)
	}
	chol.LTo(&g.lower)
	if err := g.lower.SolveTo(g.moves, false, g.moves); err != nil {
		return nil, fmt.Errorf("%w: %v", ErrReadings, err)
	}
	return g, nil
}

// apply is z·Bᵀ: what the readings see of heights, one row of z each.
func (g *gain) apply(z *mat.Dense) *mat.Dense {
	count, _ := z.Dims()
	rows, _ := g.moves.Dims()
	out := mat.NewDense(count, rows, nil)
	at := 0
	for _, b := range g.blocks {
		r, c := b.rows.Dims()
		from := g.from[b.lane]
		out.Slice(0, count, at, at+r).(*mat.Dense).Mul(z.Slice(0, count, from, from+c), b.rows.T())
		at += r
	}
	return out
}

// rowsOf are some rows of the covariance.
func (k *Known) rowsOf(from, count int) *mat.Dense {
	n := k.Cov.SymmetricDim()
	d := mat.NewDense(count, n, nil)
	for i := range count {
		for j := range n {
			d.Set(i, j, k.Cov.At(from+i, j))
		}
	}
	return d
}

// laneAfter is a lane's covariance less what readings take off it.
func (k *Known) laneAfter(l int, g *gain) *mat.SymDense {
	from, n := k.from[l], len(k.Lanes[l].Frets)
	cov := mat.NewSymDense(n, nil)
	cov.CopySym(k.Cov.SliceSym(from, from+n))
	if g == nil {
		return cov
	}
	rows, _ := g.moves.Dims()
	part := g.moves.Slice(0, rows, from, from+n).(*mat.Dense)
	var less mat.SymDense
	less.SymOuterK(1, part.T())
	for i := range n {
		for j := i; j < n; j++ {
			cov.SetSym(i, j, cov.At(i, j)-less.At(i, j))
		}
		cov.SetSym(i, i, math.Max(0, cov.At(i, i))) // rounding
	}
	return cov
}

// slopeOf is a straight slope over x of unit length, square to a constant.
func slopeOf(x []float64) []float64 {
	g := make([]float64, len(x))
	mean, norm := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for i, v := range x {
		g[i] = v - mean
		norm += g[i] * g[i]
	}
	for i := range g {
		if norm > 0 {
			g[i] /= math.Sqrt(norm)
		}
	}
	return g
}
