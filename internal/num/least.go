package num

import "math"

// Least is where f is least between a and b, to within tol, by golden sections: f
// must fall to there and rise after it, else it is a place where f is low.
func Least(f func(float64) float64, a, b, tol float64) float64 {
	const part = 1 / math.Phi
	x1, x2 := b-part*(b-a), a+part*(b-a)
	f1, f2 := f(x1), f(x2)
	for range 200 {
		if b-a <= tol {
			break
		}
		if f1 < f2 {
			b, x2, f2 = x2, x1, f1
			x1 = b - part*(b-a)
			f1 = f(x1)
		} else {
			a, x1, f1 = x1, x2, f2
			x2 = a + part*(b-a)
			f2 = f(x2)
		}
	}
	return (a + b) / 2
}
