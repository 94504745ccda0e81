package relief

import "gonum.org/v1/gonum/integrate/quad"

// points is the order of the quadrature of a bend: the integrand is smooth but for one
// kink at fret 1, and 32 points hold it to 1e-6 of itself.
const points = 32

// Rise is how far a beam clamped at jointMM rises at x for a curvature in 1/mm along
// it: ∫ from x to the joint of (u − x)·κ(u) du, and 0 beyond the joint.
func Rise(x, jointMM float64, curvature func(u float64) float64) float64 {
	if x >= jointMM {
		return 0
	}
	return quad.Fixed(func(u float64) float64 { return (u - x) * curvature(u) }, x, jointMM, points, quad.Legendre{}, 0)
}
