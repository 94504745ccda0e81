package num

import (
	"errors"
	"math"
)

// Errors of Root.
var (
	ErrNoBracket = errors.New("num: the function has one sign at both ends")
	ErrNoRoot    = errors.New("num: no root found in the steps allowed")
)

// rootSteps bounds Root: bisection alone would halve any double interval to
// nothing within about 1100 steps, and Brent's rule needs fewer in practice.
const rootSteps = 1200

// Root returns an x in [a, b] where f crosses zero, to within tol, or as near
// as doubles allow.
//
// f(a) and f(b) must differ in sign or one be 0, else ErrNoBracket; a value
// that is not a number gives ErrNoRoot.
// Source: Brent, Algorithms for Minimization without Derivatives (1973), ch. 4.
func Root(f func(float64) float64, a, b, tol float64) (float64, error) {
	fa, fb := f(a), f(b)
	if math.IsNaN(fa) || math.IsNaN(fb) {
		return 0, ErrNoRoot
	}
	if fa != 0 && fb != 0 && (fa > 0) == (fb > 0) {
		return 0, ErrNoBracket
	}
	c, fc := a, fa
	d, e := b-a, b-a
	for range rootSteps {
		if (fb > 0) == (fc > 0) {
			c, fc = a, fa
			d, e = b-a, b-a
		}
		if math.Abs(fc) < math.Abs(fb) {
			a, b, c = b, c, b
			fa, fb, fc = fb, fc, fb
		}
		eps := 2*0x1p-52*math.Abs(b) + 0.5*tol
		half := 0.5 * (c - b)
		if math.Abs(half) <= eps || fb == 0 {
			return b, nil
		}
		if math.Abs(e) < eps || math.Abs(fa) <= math.Abs(fb) {
			d, e = half, half // bisect
		} else if step, ok := interpolate(a, b, c, fa, fb, fc, e, eps); ok {
			d, e = step, d
		} else {
			d, e = half, half
		}
		a, fa = b, fb
		if math.Abs(d) > eps {
			b += d
		} else {
			b += math.Copysign(eps, half)
		}
		if fb = f(b); math.IsNaN(fb) {
			return 0, ErrNoRoot
		}
	}
	return 0, ErrNoRoot
}

// interpolate is Brent's step from b: secant where two points are at hand, else
// inverse quadratic; not ok where it would leave the bracket or shrink too
// slowly.
func interpolate(a, b, c, fa, fb, fc, e, eps float64) (step float64, ok bool) {
	half, s := 0.5*(c-b), fb/fa
	var p, q float64
	if a == c {
		p, q = 2*half*s, 1-s
	} else {
		u, v := fa/fc, fb/fc
		p = s * (2*half*u*(u-v) - (b-a)*(v-1))
		q = (u - 1) * (v - 1) * (s - 1)
	}
	if p > 0 {
		q = -q
	} else {
		p = -p
	}
	if 2*p < math.Min(3*half*q-math.Abs(eps*q), math.Abs(e*q)) {
		return p / q, true
	}
	return 0, false
}
