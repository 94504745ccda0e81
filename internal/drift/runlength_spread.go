package drift

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// RangeSurvival is the chance that the range of n normal values of standard
// deviation 1 is more than w. n < 2 panics.
//
// Source: Tippett 1925, P(W ≤ w) = n∫φ(x)[Φ(x+w)−Φ(x)]ⁿ⁻¹dx; checked by
// TestRangeSurvival_ClosedForm. Accuracy: 1e-10.
func RangeSurvival(n int, w float64) float64 {
	mustBeSample(n)
	if w <= 0 {
		return 1
	}
	within := quad.Fixed(func(x float64) float64 {
		return density(x) * math.Pow(math.Max(0, phi(x+w)-phi(x)), float64(n-1))
	}, -tailCut, tailCut, meanNodes, quad.Legendre{}, 0)
	return math.Min(1, math.Max(0, 1-float64(n)*within))
}

// SpreadRunLength is how many points a chart of the spreads of groups of n
// values takes on average to signal while nothing changes. Spreads of groups
// are independent: it is one over the chance that one lies beyond the limits.
// For neighbouring moving ranges, which share a value, see MovingRangeRunLength.
func SpreadRunLength(kind Kind, n int) float64 {
	var beyond float64
	switch kind {
	case KindMovingRanges:
		return MovingRangeRunLength()
	case KindDeviations:
		c4 := C4(n)
		sd := math.Sqrt(1 - c4*c4)
		chi := distuv.ChiSquared{K: float64(n - 1)}
		at := func(s float64) float64 { return float64(n-1) * s * s }
		beyond = chi.Survival(at(c4 + 3*sd))
		if low := c4 - 3*sd; low > 0 {
			beyond += chi.CDF(at(low))
		}
	default:
		d2, d3 := D2(n), D3(n)
		beyond = RangeSurvival(n, d2+3*d3)
		if low := d2 - 3*d3; low > 0 {
			beyond += 1 - RangeSurvival(n, low)
		}
	}
	return 1 / beyond
}

// movingStates is how many steps a value is cut into for the chain of moving
// ranges; twice as many change the answer by less than 0.1 %.
const movingStates = 240

// MovingRangeRunLength is the same for the moving ranges of two neighbours,
// whose chain remembers the last value.
//
// Source: the integral equation L(y) = 1 + ∫φ(z)L(z)dz over |z − y| within the
// limit, Crowder, Journal of Quality Technology 19 (1987) 98 (from memory);
// checked by TestMovingRangeRunLength_Simulated.
func MovingRangeRunLength() float64 {
	const reach = 6.0 // sigmas; beyond lies 2e-9
	n, step := movingStates, 2*reach/movingStates
	limit := D2(2) + 3*D3(2)
	edge := func(j int) float64 { return -reach + float64(j)*step }
	l := meanTimes(n, func(i, j int) float64 {
		y := edge(i) + step/2
		from, to := math.Max(edge(j), y-limit), math.Min(edge(j+1), y+limit)
		if from < to {
			return phi(to) - phi(from)
		}
		return 0
	})
	if l == nil {
		return math.Inf(1)
	}
	var mean float64
	for j := range n {
		mean += (phi(edge(j+1)) - phi(edge(j))) * l.AtVec(j)
	}
	return mean
}
