package straight

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/num"
)

// onStack is the lane length up to which Zone keeps its hulls on the stack.
const onStack = 64

// ZoneResult is the least straight zone that holds every crown of a lane, and
// the three crowns that prove it: K stands WidthMM off the chord of I and J.
type ZoneResult struct {
	WidthMM float64 // vertical width, ≥ 0
	I, K, J int     // I < K < J, indices into the lane
	Weight  float64 // w of crown I: zone = |z_K − w·z_I − (1−w)·z_J|
	Slope   float64 // of the zone, mm per mm
	LowMM   float64 // height of the zone's lower line at x = 0
}

// Zone returns the least vertical width of a straight zone that holds every
// point of a lane: the minimum-zone straightness of ISO 1101.
//
// x and z are in mm, of one length n ≥ 3, x strictly ascending; ErrLength,
// ErrTooFew, ErrOrder and ErrNotFinite say where they are not. By duality the
// width is the greatest distance between the upper and the lower hull, which is
// concave in x, so only hull vertices need looking at. Cost: order n, and no
// allocation up to 64 crowns. Accuracy: 1e-15 of the heights' size.
func Zone(x, z []float64) (ZoneResult, error) {
	if err := check(x, z, 3); err != nil {
		return ZoneResult{}, err
	}
	return zone(x, z), nil
}

// zone is Zone without the checks.
func zone(x, z []float64) ZoneResult {
	var us, ls [onStack]int
	up, lo := us[:0], ls[:0]
	if len(x) > onStack {
		up, lo = make([]int, 0, len(x)), make([]int, 0, len(x))
	}
	up, lo = num.UpperHull(x, z, up), num.LowerHull(x, z, lo)

	// Walk both chains from the left until the distance no longer grows.
	width := -1.0
	var i, k, j int
	a, b := 1, 1
	for a < len(up) && b < len(lo) {
		var p, c, q int
		var w float64
		if up[a] < lo[b] {
			p, c, q = lo[b-1], up[a], lo[b]
			w = z[c] - z[p] - (z[q]-z[p])*(x[c]-x[p])/(x[q]-x[p])
			a++
		} else if lo[b] < up[a] {
			p, c, q = up[a-1], lo[b], up[a]
			w = z[p] - z[c] + (z[q]-z[p])*(x[c]-x[p])/(x[q]-x[p])
			b++
		} else {
			break // both chains end in the last crown, or touch: a straight lane
		}
		if w <= width {
			break
		}
		width, i, k, j = w, p, c, q
	}
	if width < 0 { // all crowns on one line: any three will do
		i, k, j = 0, len(x)/2, len(x)-1
	}
	return certified(x, z, i, k, j)
}

// certified is the zone that the crowns i < k < j hold open.
func certified(x, z []float64, i, k, j int) ZoneResult {
	w := (x[j] - x[k]) / (x[j] - x[i])
	slope := (z[j] - z[i]) / (x[j] - x[i])
	off := (z[k] - z[i]) - slope*(x[k]-x[i])
	return ZoneResult{
		WidthMM: math.Abs(off),
		I:       i, K: k, J: j,
		Weight: w,
		Slope:  slope,
		LowMM:  z[i] - slope*x[i] + math.Min(0, off),
	}
}

// U is the zone's standard uncertainty in mm, √(tᵀΣt) with t = 1 at crown K,
// −w at I and −(1−w) at J; cov is the covariance of the lane's crowns in mm².
func (r ZoneResult) U(cov mat.Symmetric) float64 {
	at := cov.At
	return math.Sqrt(variance(at(r.K, r.K), at(r.I, r.I), at(r.J, r.J), at(r.I, r.J), at(r.I, r.K), at(r.K, r.J), r.Weight))
}
