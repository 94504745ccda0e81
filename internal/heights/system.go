package heights

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/reading"
)

// row is one equation of the adjustment: Σ w·state = y ± u.
type row struct {
	at    []int
	w     []float64
	y, u  float64
	obs   int // place in the observations; −1 for a bend
	fret  int
	bound bound
	on    bool // takes part: always, save a one-sided reading that is satisfied
	crown int  // the middle crown of a bend
	bend  bend
}

// system is the adjustment: the state's estimate and covariance, kept up to
// date as rows are switched on and off and unknowns are added.
//
// The state runs lane by lane, crowns then set-ups; then the lines of the inner
// lanes that let bends compare lanes; then a beam's own shape; then the added
// unknowns of snoop.go.
type system struct {
	c       *crowns
	obs     []observation
	bends   [][]bend
	crownAt []int // state index of each crown
	lineAt  []int // state index of each lane's line, −1 for the outer lanes
	coneAt  int   // state index of how much of the intended board's surface the bends show, −1 without bends
	setups  map[passKey]int
	centre  map[passKey]float64 // taken off a pass's readings, so that digits serve the crowns
	shapeAt map[reading.Method]int
	blocks  []laneBlock
	slopes  [][]float64 // of each lane, see datumShare
	rows    []row
	n       int // size of the state
	stride  int
	cov     []float64 // stride × stride, symmetric
	x       []float64
	tau     float64
	arena   arena
}

// laneBlock is a lane's run in the state.
type laneBlock struct{ from, to int }

// arena hands out the small slices of rows from two large ones.
type arena struct {
	at []int
	w  []float64
}

func (a *arena) close(at0, w0 int) ([]int, []float64) {
	return a.at[at0:len(a.at):len(a.at)], a.w[w0:len(a.w):len(a.w)]
}

// mostAdded is how many unknowns may be added to a system: misreads, pits,
// burrs and bent frets together.
const mostAdded = 64

// datumWeight holds each lane's mean and slope at zero: far above what the
// readings weigh (1/u² is about 1e5), far below where digits are lost. Its own
// share is taken off the covariance again.
const datumWeight = 1e7

// lineRidge keeps the line of an inner lane from being free where no bend
// touches it: 0 ± 100 mm.
const lineRidge = 1e-4

// The share of the intended surface in the bends is 1 on a true board; the
// readings may say otherwise, the prior is 1 ± 2.
const (
	coneShare = 1.0
	coneRidge = 1 / (2.0 * 2.0)
)

var errSingular = errors.New("the readings do not determine the crowns")

func newSystem(c *crowns, obs []observation) *system {
	s := &system{
		c: c, obs: obs, bends: bendsOf(c),
		setups: map[passKey]int{}, centre: map[passKey]float64{}, shapeAt: map[reading.Method]int{},
	}
	s.layState()
	s.laySlopes()
	size := 6*len(obs) + 9*len(c.list)
	s.arena = arena{at: make([]int, 0, size), w: make([]float64, 0, size)}
	s.rows = make([]row, 0, len(obs)+len(c.list))
	for i := range obs {
		s.addReading(i)
	}
	return s
}

// layState gives every unknown its place.
func (s *system) layState() {
	passes := map[float64][]passKey{}
	sums, counts := map[passKey]float64{}, map[passKey]float64{}
	for _, o := range s.obs {
		if o.pass == (passKey{}) {
			continue
		}
		if counts[o.pass] == 0 {
			passes[o.lane] = append(passes[o.lane], o.pass)
		}
		sums[o.pass] += o.value
		counts[o.pass]++
	}
	s.crownAt = make([]int, len(s.c.list))
	for _, span := range s.c.lanes {
		b := laneBlock{from: s.n}
		for i := span.from; i < span.to; i++ {
			s.crownAt[i] = s.n
			s.n++
		}
		for _, k := range passes[span.lane] {
			s.setups[k] = s.n
			s.centre[k] = sums[k] / counts[k]
			s.n += 2
		}
		b.to = s.n
		s.blocks = append(s.blocks, b)
	}
	for i := range s.c.lanes {
		at := -1
		if i > 0 && i+1 < len(s.c.lanes) && len(s.bends) > 0 {
			at = s.n
			s.n += 2
		}
		s.lineAt = append(s.lineAt, at)
	}
	s.coneAt = -1
	if len(s.bends) > 0 {
		s.coneAt = s.n
		s.n++
	}
	s.layShapes()
	s.stride = s.n + mostAdded
}

// scaled is a crown's x in its lane, −1 to 1 over the lane's crowns.
func (s *system) scaled(lane int, i int) float64 {
	span := s.c.lanes[lane]
	a, b := s.c.list[span.from].x, s.c.list[span.to-1].x
	return (2*s.c.list[i].x - a - b) / (b - a)
}

func (s *system) laneOf(i int) int {
	for k, span := range s.c.lanes {
		if i < span.to {
			return k
		}
	}
	return len(s.c.lanes) - 1
}

// addReading makes a row of an observation.
func (s *system) addReading(k int) {
	o := s.obs[k]
	at0, w0 := len(s.arena.at), len(s.arena.w)
	r := row{y: o.value, u: o.u, obs: k, fret: o.reportedAt(), bound: o.bound, on: o.bound == exact}
	var first int
	for j, f := range o.frets {
		i := s.c.index[place{f, o.lane}]
		if j == 0 {
			first = i
		}
		s.arena.at = append(s.arena.at, s.crownAt[i])
		s.arena.w = append(s.arena.w, o.weights[j])
	}
	if at, known := s.setups[o.pass]; known {
		r.y -= s.centre[o.pass]
		x := s.scaled(s.laneOf(first), first)
		s.arena.at = append(s.arena.at, at, at+1)
		s.arena.w = append(s.arena.w, 1, x)
		s.addShape(o, x)
	}
	r.at, r.w = s.arena.close(at0, w0)
	s.rows = append(s.rows, r)
}

// addBends makes the rows that let neighbouring lanes inform each other.
func (s *system) addBends(tau float64) {
	s.tau = tau
	for _, fret := range s.bends {
		for _, b := range fret {
			at0, w0 := len(s.arena.at), len(s.arena.w)
			s.arena.at, s.arena.w = append(s.arena.at, s.coneAt), append(s.arena.w, -b.surface(s.c))
			for k, i := range b.crowns {
				s.arena.at = append(s.arena.at, s.crownAt[i])
				s.arena.w = append(s.arena.w, b.weights[k])
				lane := s.laneOf(i)
				if at := s.lineAt[lane]; at >= 0 {
					s.arena.at = append(s.arena.at, at, at+1)
					s.arena.w = append(s.arena.w, -b.weights[k], -b.weights[k]*s.scaled(lane, i))
				}
			}
			r := row{u: tau * math.Sqrt(b.spacing), obs: -1, fret: s.c.list[b.crowns[1]].fret, on: true, crown: b.crowns[1], bend: b}
			r.at, r.w = s.arena.close(at0, w0)
			s.rows = append(s.rows, r)
		}
	}
}

// datum adds weight·G·Gᵀ over a lane's crowns.
func (s *system) datum(cov []float64, stride, origin, lane int, weight float64) {
	span := s.c.lanes[lane]
	for i := span.from; i < span.to; i++ {
		for j := span.from; j < span.to; j++ {
			cov[(s.crownAt[i]-origin)*stride+s.crownAt[j]-origin] += weight * s.datumShare(lane, i, j)
		}
	}
}

// accumulate adds a row to the normal equations of state from:to.
func accumulate(a, rhs []float64, stride, from, to int, r row) {
	p := 1 / (r.u * r.u)
	for i, at := range r.at {
		if at >= to {
			continue
		}
		base := (at - from) * stride
		for j, at2 := range r.at {
			if at2 < to {
				a[base+at2-from] += p * r.w[i] * r.w[j]
			}
		}
		rhs[at-from] += p * r.w[i] * r.y
	}
}

// invert replaces a symmetric positive definite matrix by its inverse.
func invert(a []float64, n, stride int) bool {
	t, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: n, Data: a, Stride: stride})
	if ok {
		_, ok = lapack64.Potri(t)
	}
	if !ok {
		return false
	}
	for i := range n {
		for j := range i {
			a[i*stride+j] = a[j*stride+i]
		}
	}
	return true
}

// solve fills the estimate and the covariance from the rows that are on.
func (s *system) solve() error {
	if s.cov == nil {
		s.cov, s.x = make([]float64, s.stride*s.stride), make([]float64, s.stride)
	} else {
		clear(s.cov)
	}
	rhs := make([]float64, s.n)
	for _, r := range s.rows {
		if r.on {
			accumulate(s.cov, rhs, s.stride, 0, s.n, r)
		}
	}
	for k, at := range s.lineAt {
		s.datum(s.cov, s.stride, 0, k, datumWeight)
		if at >= 0 {
			s.cov[at*s.stride+at] += lineRidge
			s.cov[(at+1)*s.stride+at+1] += lineRidge
		}
	}
	if at := s.coneAt; at >= 0 {
		s.cov[at*s.stride+at] += coneRidge
		rhs[at] += coneRidge * coneShare
	}
	if !invert(s.cov, s.n, s.stride) {
		return errSingular
	}
	for i := range s.n {
		s.x[i] = blas64.Dot(s.covRow(i), blas64.Vector{N: s.n, Data: rhs, Inc: 1})
	}
	return nil
}

// crownCov is the covariance of two crowns in the free datum: what the datum's
// weight leaves of a common line is taken off. Rows need no such care, as no
// row sees a line added to a lane with its set-ups.
func (s *system) crownCov(lane, i, j int) float64 {
	v := s.cov[s.crownAt[i]*s.stride+s.crownAt[j]]
	return v - s.datumShare(lane, i, j)/datumWeight
}

// datumShare is the element i, j of G·Gᵀ, G a lane's orthonormal constant and
// slope.
func (s *system) datumShare(lane, i, j int) float64 {
	g := s.slopes[lane]
	span := s.c.lanes[lane]
	return 1/float64(span.to-span.from) + g[i-span.from]*g[j-span.from]
}

// laySlopes works out each lane's slope of unit length, square to a constant.
func (s *system) laySlopes() {
	for _, span := range s.c.lanes {
		g := make([]float64, span.to-span.from)
		for i := range g {
			g[i] = s.c.list[span.from+i].x
		}
		floats.AddConst(-stat.Mean(g, nil), g)
		floats.Scale(1/floats.Norm(g, 2), g)
		s.slopes = append(s.slopes, g)
	}
}

func (s *system) covRow(i int) blas64.Vector {
	return blas64.Vector{N: s.n, Data: s.cov[i*s.stride : i*s.stride+s.n], Inc: 1}
}

// left is a row's residual: what the reading says less what the state says.
func (s *system) left(r *row) float64 {
	e := r.y
	for i, at := range r.at {
		e -= r.w[i] * s.x[at]
	}
	return e
}

// cross is a·Σ·bᵀ of two rows.
func (s *system) cross(a, b *row) (v float64) {
	for i, p := range a.at {
		base := s.cov[p*s.stride:]
		t := 0.0
		for j, q := range b.at {
			t += b.w[j] * base[q]
		}
		v += a.w[i] * t
	}
	return v
}

// spreadOf is Σ·aᵀ, the covariance of the whole state with a row's quantity.
func (s *system) spreadOf(r *row) []float64 {
	v := make([]float64, s.n)
	for i, p := range r.at {
		blas64.Axpy(r.w[i], s.covRow(p), blas64.Vector{N: s.n, Data: v, Inc: 1})
	}
	return v
}

// outer adds factor·v·vᵀ to the covariance.
func (s *system) outer(v []float64, factor float64) {
	for i, a := range v {
		if a != 0 {
			blas64.Axpy(factor*a, blas64.Vector{N: len(v), Data: v, Inc: 1}, s.covRow(i))
		}
	}
}
