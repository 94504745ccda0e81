package straight

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Sum is a quantity that is a weighted sum of a lane's crowns.
type Sum struct {
	MM      float64   // its value
	Weights []float64 // one a crown
}

// U is the sum's standard uncertainty in mm, √(wᵀΣw); cov is the covariance of
// the lane's crowns in mm². The weights of this package see no straight line,
// so any datum gives the same.
func (s Sum) U(cov mat.Symmetric) float64 {
	w := mat.NewVecDense(len(s.Weights), s.Weights)
	return math.Sqrt(math.Max(0, mat.Inner(w, cov, w)))
}

// Bow is the depth in mm, hollow positive, of the parabola that fits the lane
// best by least squares together with a straight line: 0 at the lane's first
// and last crown, −1 half-way between for a depth of 1.
//
// x and z are in mm, of one length n ≥ 3, x strictly ascending; errors as Zone.
func Bow(x, z []float64) (Sum, error) {
	if err := check(x, z, 3); err != nil {
		return Sum{}, err
	}
	// What of the parabola a line does not explain is square to all lines, so
	// the depth is the crowns' share of it.
	rest := make([]float64, len(x))
	first, span := x[0], x[len(x)-1]-x[0]
	for i, xi := range x {
		t := (xi - first) / span
		rest[i] = -4 * t * (1 - t)
	}
	f := centred(x, rest)
	var s Sum
	s.Weights = f.z
	size := 0.0
	for _, v := range f.z {
		size += v * v
	}
	heights := centred(x, z) // the same sum, with less rounding
	for i := range f.z {
		f.z[i] /= size
		s.MM += f.z[i] * heights.z[i]
	}
	return s, nil
}

// StepResult is the crown that stands farthest off the chord of its neighbours.
type StepResult struct {
	MM     float64 // how far it stands above (below: negative) the chord
	At     int     // its index in the lane; its neighbours are At−1 and At+1
	Weight float64 // of crown At−1 in the chord; At+1 has the rest
}

// Step returns the crown that stands farthest off the line between its two
// neighbours; the first of them where two are equal.
//
// x and z are in mm, of one length n ≥ 3, x strictly ascending; errors as Zone.
func Step(x, z []float64) (StepResult, error) {
	if err := check(x, z, 3); err != nil {
		return StepResult{}, err
	}
	best := StepResult{At: -1}
	for k := 1; k+1 < len(x); k++ {
		w := (x[k+1] - x[k]) / (x[k+1] - x[k-1])
		off := (z[k] - z[k-1]) + (1-w)*(z[k-1]-z[k+1])
		if best.At < 0 || math.Abs(off) > math.Abs(best.MM) {
			best = StepResult{MM: off, At: k, Weight: w}
		}
	}
	return best, nil
}

// U is the step's standard uncertainty in mm; cov is the covariance of the
// lane's crowns in mm².
func (s StepResult) U(cov mat.Symmetric) float64 {
	r := ZoneResult{I: s.At - 1, K: s.At, J: s.At + 1, Weight: s.Weight}
	return r.U(cov)
}
