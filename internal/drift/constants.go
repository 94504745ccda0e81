package drift

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// MovingRangeD2 turns a mean moving range of two neighbours into a standard
// deviation. It is 2/√π to the three decimals that every published
// individuals chart uses; unrounded it would be 0.03 % larger.
const MovingRangeD2 = 1.128

// Where the integrals over a standard normal sample are cut off, and how many
// nodes they take: the tails beyond 9 hold less than 1e-18.
const (
	tailCut   = 9.0
	meanNodes = 160
	areaNodes = 96
)

// D2 is the mean range of n values drawn from a normal distribution of
// standard deviation 1. n < 2 panics.
//
// Source: Tippett, Biometrika 17 (1925) 364, d2 = ∫(1 − Φⁿ − (1−Φ)ⁿ)dx.
// Accuracy: 1e-9, shown by TestConstants_Published.
func D2(n int) float64 {
	mustBeSample(n)
	if n == 2 {
		return 2 / math.Sqrt(math.Pi)
	}
	f := func(x float64) float64 {
		p := phi(x)
		return 1 - math.Pow(p, float64(n)) - math.Pow(1-p, float64(n))
	}
	return quad.Fixed(f, -tailCut, tailCut, meanNodes, quad.Legendre{}, 0)
}

// D3 is the standard deviation of that range. n < 2 panics.
//
// Source: Tippett 1925; the second moment is the double integral over x < y of
// 2(1 − Φ(y)ⁿ − (1−Φ(x))ⁿ + (Φ(y)−Φ(x))ⁿ). Accuracy: 1e-8.
func D3(n int) float64 {
	mustBeSample(n)
	if n == 2 {
		return math.Sqrt(2 - 4/math.Pi)
	}
	m := float64(n)
	outer := func(x float64) float64 {
		px := phi(x)
		below := math.Pow(1-px, m)
		return quad.Fixed(func(y float64) float64 {
			py := phi(y)
			return 1 - math.Pow(py, m) - below + math.Pow(math.Max(py-px, 0), m)
		}, x, tailCut, areaNodes, quad.Legendre{}, 0)
	}
	square := 2 * quad.Fixed(outer, -tailCut, tailCut, areaNodes, quad.Legendre{}, 0)
	d2 := D2(n)
	return math.Sqrt(square - d2*d2)
}

// C4 is the mean sample standard deviation of n values drawn from a normal
// distribution of standard deviation 1. n < 2 panics.
//
// Source: √(2/(n−1)) Γ(n/2)/Γ((n−1)/2), textbook.
func C4(n int) float64 {
	mustBeSample(n)
	a, _ := math.Lgamma(float64(n) / 2)
	b, _ := math.Lgamma(float64(n-1) / 2)
	return math.Sqrt(2/float64(n-1)) * math.Exp(a-b)
}

func mustBeSample(n int) {
	if n < 2 {
		panic("drift: a sample of fewer than two values has no spread")
	}
}

// phi is the standard normal distribution function.
func phi(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// density is the standard normal density.
func density(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }
