package likely

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// What is believed of a lane before its readings, mm.
const (
	seatedMM  = 0.003 // how well frets are seated, and how far a board waves, about: both are learned
	waveMM    = 0.03  // where the learning of the wave starts: rather a hump than five bad frets
	waveOver  = 50.0  // the wave's length along the lane
	badMM     = 0.06  // how far a fret stands off that was not put in well
	badShare  = 0.1
	lineMM    = 1.0 // a line's height, and its rise over lineOver: as good as unknown
	lineOver  = 100.0
	burnIn    = 40 // first draws, left out
	noDoubt   = 1e-18
	rankShare = 1e-12 // beside the largest variance: what is left counts as rounding
	jitter    = 1e-6
)

// ErrLane says that the lane, or its covariance, cannot be one.
var ErrLane = errors.New("no lane of crowns with their covariance")

// Crowns draws a lane's crowns as they may truly stand, mm, each draw up to a
// straight line: draws × crowns. x is where they stand along the lane and offMM how
// far off its line, in mm; cov is the covariance of offMM's errors in mm². Without
// errors every draw is offMM. The same seed gives the same draws.
//
// Cost: draws times the cube of the number of crowns.
func Crowns(x, offMM []float64, cov mat.Symmetric, draws int, seed uint64) ([][]float64, error) {
	n := len(x)
	if len(offMM) != n || cov == nil || cov.SymmetricDim() != n {
		return nil, fmt.Errorf("%w: %d places, %d heights", ErrLane, n, len(offMM))
	}
	most := 0.0
	for i := range n {
		most = math.Max(most, cov.At(i, i))
	}
	out := make([][]float64, draws)
	if !(most > noDoubt) {
		for d := range out {
			out[d] = slices.Clone(offMM)
		}
		return out, nil
	}
	l, err := newLane(x, offMM, cov, most)
	if err != nil {
		return nil, err
	}
	r := rand.New(rand.NewPCG(seed, uint64(n)))
	for d := -burnIn; d < draws; d++ {
		if err := l.draw(r); err != nil {
			return nil, err
		}
		if d >= 0 {
			out[d] = l.crowns()
		}
	}
	return out, nil
}

// lane is a lane with the present draw of all that is not known of it.
type lane struct {
	x, off []float64
	cov    mat.Symmetric
	noise  *mat.Dense    // rank × n: its transpose by itself is cov
	wave   *mat.TriDense // a wave of 1 mm is wave times independent normals
	waves  *mat.SymDense // its covariance
	slow   *mat.VecDense // those normals, mm
	seat   []float64     // each crown off the wave, mm
	bad    []bool        // which of them were not put in well
	seat2  float64       // variance of those that were, mm²
	slow2  float64       // the wave's, mm²
	whole  *mat.SymDense
}

func newLane(x, off []float64, cov mat.Symmetric, most float64) (*lane, error) {
	n := len(x)
	l := &lane{x: x, off: off, cov: cov, waves: mat.NewSymDense(n, nil), slow: mat.NewVecDense(n, nil), seat: make([]float64, n),
		bad: make([]bool, n), seat2: seatedMM * seatedMM, slow2: waveMM * waveMM, whole: mat.NewSymDense(n, nil)}
	for i := range n {
		for j := i; j < n; j++ {
			apart := (x[i] - x[j]) / waveOver
			l.waves.SetSym(i, j, math.Exp(-apart*apart/2))
		}
		l.waves.SetSym(i, i, 1+jitter)
	}
	var root mat.Cholesky
	if !root.Factorize(l.waves) {
		return nil, fmt.Errorf("%w: two crowns in one place", ErrLane)
	}
	l.wave = mat.NewTriDense(n, mat.Lower, nil)
	root.LTo(l.wave)
	var chol mat.PivotedCholesky
	chol.Factorize(cov, rankShare*most) // false only says that it is singular
	var upper mat.TriDense
	chol.UTo(&upper)
	l.noise = mat.NewDense(chol.Rank(), n, nil)
	for col, row := range chol.ColumnPivots(nil) {
		for k := range min(chol.Rank(), col+1) {
			l.noise.Set(k, row, upper.At(k, col))
		}
	}
	return l, nil
}

// crowns are the present draw's.
func (l *lane) crowns() []float64 {
	var wave mat.VecDense
	wave.MulVec(l.wave, l.slow)
	out := slices.Clone(l.seat)
	for i := range out {
		out[i] += wave.AtVec(i)
	}
	return out
}

// draw draws wave and seats given the scatters, then the scatters given these.
func (l *lane) draw(r *rand.Rand) error {
	if err := l.drawCrowns(r); err != nil {
		return err
	}
	l.drawScatter(r)
	return nil
}

// seatVar is the variance of a crown's seat.
func (l *lane) seatVar(i int) float64 {
	if l.bad[i] {
		return badMM * badMM
	}
	return l.seat2
}

// drawCrowns draws crowns and readings without regard to what was read, and then
// moves the crowns by what the drawn readings miss it by.
func (l *lane) drawCrowns(r *rand.Rand) error {
	n := len(l.x)
	for i := range n {
		for j := i; j < n; j++ {
			l.whole.SetSym(i, j, l.cov.At(i, j)+lineMM*lineMM*(1+l.x[i]*l.x[j]/lineOver/lineOver)+l.slow2*l.waves.At(i, j))
		}
		l.whole.SetSym(i, i, l.whole.At(i, i)+l.seatVar(i))
	}
	chol, positive := lapack64.Potrf(l.whole.RawSymmetric()) // mat.Cholesky's condition takes as long again
	if !positive {
		return fmt.Errorf("%w: it is not positive", ErrLane)
	}
	for i := range n {
		l.seat[i] = math.Sqrt(l.seatVar(i)) * r.NormFloat64()
		l.slow.SetVec(i, math.Sqrt(l.slow2)*r.NormFloat64())
	}
	a, b := lineMM*r.NormFloat64(), lineMM*r.NormFloat64()/lineOver
	by, drawn := mat.NewVecDense(n, nil), l.crowns()
	rank, _ := l.noise.Dims()
	for k := range rank {
		g := r.NormFloat64()
		for i, v := range l.noise.RawRowView(k) {
			drawn[i] += g * v
		}
	}
	for i, v := range drawn {
		by.SetVec(i, l.off[i]-v-a-b*l.x[i])
	}
	lapack64.Potrs(chol, blas64.General{Rows: n, Cols: 1, Stride: 1, Data: by.RawVector().Data})
	var slow mat.VecDense
	slow.MulVec(l.wave.T(), by)
	for i := range n {
		l.seat[i] += l.seatVar(i) * by.AtVec(i)
		l.slow.SetVec(i, l.slow.AtVec(i)+l.slow2*slow.AtVec(i))
	}
	return nil
}

// drawScatter draws which frets were not put in well, and both scatters.
func (l *lane) drawScatter(r *rand.Rand) {
	seats, good := 0.0, 0
	for i, s := range l.seat {
		well := (1 - badShare) * density(s, l.seat2)
		if l.bad[i] = r.Float64() >= well/(well+badShare*density(s, badMM*badMM)); !l.bad[i] {
			seats += s * s
			good++
		}
	}
	l.seat2 = variance(seats, good, r)
	waves := mat.Dot(l.slow, l.slow)
	l.slow2 = variance(waves, l.slow.Len(), r)
}

// density is a normal's, but for a common factor.
func density(v, variance float64) float64 { return math.Exp(-v*v/2/variance) / math.Sqrt(variance) }

// variance draws a variance given n numbers of it by the sum of their squares:
// inverse gamma, with the weight of two more numbers for seatedMM.
func variance(squares float64, n int, r *rand.Rand) float64 {
	return (squares/2 + seatedMM*seatedMM) / gamma(float64(n)/2+1, r)
}

// gamma draws a gamma number of a shape of 1 or more and scale 1. Source: Marsaglia
// and Tsang, ACM Trans. Math. Software 26 (2000) 363 (from memory).
func gamma(shape float64, r *rand.Rand) float64 {
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := r.NormFloat64()
		v := 1 + c*x
		v *= v * v
		if v > 0 && math.Log(r.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}
