package drift

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// runLengthNodes is how many nodes an integral equation of a run length takes;
// a smooth kernel converges long before (TestCusumRunLength_LucasCrosier).
const runLengthNodes = 64

// CusumRunLength is how many points a cumulative sum takes on average to
// signal, from its start on, where the values' mean stands shift standard
// deviations above the target: the false alarm's distance for shift 0, the
// delay until a change is found otherwise. Both sums run.
//
// k >= 0, h > 0, 0 <= headStart < h, else it panics.
// Source: the integral equation of Page 1954, L(u) = 1 + L(0)Φ(k−u−δ) +
// ∫₀ʰ L(y)φ(y+k−u−δ)dy, by Gauss-Legendre nodes; two sides combined as in
// Lucas & Crosier, Technometrics 24 (1982) 199. Accuracy: 1e-9 relative, shown
// by TestCusumRunLength_LucasCrosier.
func CusumRunLength(k, h, headStart, shift float64) float64 {
	up0, upStart := OneSidedCusumRunLength(k, h, headStart, shift)
	down0, downStart := OneSidedCusumRunLength(k, h, headStart, -shift)
	if math.IsInf(down0, 1) { // the other sum never signals
		return upStart
	}
	if math.IsInf(up0, 1) {
		return downStart
	}
	return (upStart*down0 + downStart*up0 - up0*down0) / (up0 + down0)
}

// OneSidedCusumRunLength is the same for the upper sum alone: from 0, and from
// the head start. It is +Inf where the sum is too far from signalling to tell.
func OneSidedCusumRunLength(k, h, headStart, shift float64) (fromZero, fromStart float64) {
	if !(k >= 0) || !(h > 0) || !(headStart >= 0 && headStart < h) {
		panic("drift: a cumulative sum needs k >= 0, h > 0 and a head start below h")
	}
	n := runLengthNodes
	y, w := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(y, w, 0, h)
	kernel := func(from, to float64) float64 { return density(to + k - from - shift) }
	stay := func(from float64) float64 { return phi(k - from - shift) }
	// Unknowns: L at 0, then at the nodes.
	l := meanTimes(n+1, func(i, j int) float64 {
		from := 0.0
		if i > 0 {
			from = y[i-1]
		}
		if j == 0 {
			return stay(from)
		}
		return w[j-1] * kernel(from, y[j-1])
	})
	if l == nil || !(l.AtVec(0) > 0) {
		return math.Inf(1), math.Inf(1)
	}
	fromStart = 1 + l.AtVec(0)*stay(headStart)
	for j := range n {
		fromStart += w[j] * kernel(headStart, y[j]) * l.AtVec(j+1)
	}
	return l.AtVec(0), fromStart
}

// EWMARunLength is how many points an EWMA chart takes on average to signal,
// where the values' mean stands shift standard deviations off. Its limits are
// those that a long run settles to, and it starts from the centre.
//
// lambda in (0, 1], width > 0, else it panics.
// Source: the integral equation L(u) = 1 + (1/λ)∫ L(y)φ((y−(1−λ)u)/λ − δ)dy of
// Crowder, Technometrics 29 (1987) 401, which gives what Lucas & Saccucci,
// Technometrics 32 (1990) 1, tabulate. Accuracy: as
// TestEWMARunLength_LucasSaccucci shows.
func EWMARunLength(lambda, width, shift float64) float64 {
	if !(lambda > 0 && lambda <= 1) || !(width > 0) {
		panic("drift: an EWMA needs a weight in (0, 1] and a width above 0")
	}
	limit := width * math.Sqrt(lambda/(2-lambda))
	// The kernel is lambda wide: a small weight needs more nodes across it.
	n := max(runLengthNodes, int(math.Ceil(8*limit/lambda)))
	y, w := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(y, w, -limit, limit)
	kernel := func(from, to float64) float64 {
		return density((to-(1-lambda)*from)/lambda-shift) / lambda
	}
	l := meanTimes(n, func(i, j int) float64 { return w[j] * kernel(y[i], y[j]) })
	if l == nil {
		return math.Inf(1)
	}
	sum := 1.0
	for j := range n {
		sum += w[j] * kernel(0, y[j]) * l.AtVec(j)
	}
	if !(sum >= 1) {
		return math.Inf(1)
	}
	return sum
}
