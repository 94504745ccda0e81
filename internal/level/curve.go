package level

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// curve is a line with, or without, a bow.
type curve struct {
	middle, reach float64
	c             [3]float64
}

func (k curve) at(x float64) float64 {
	t := (x - k.middle) / k.reach
	return k.c[0] + t*(k.c[1]+t*k.c[2])
}

// bow is what of the curve a line through its ends does not explain.
func (k curve) bow(x float64) float64 {
	t := (x - k.middle) / k.reach
	return k.c[2] * (t*t - 1)
}

// robustRounds and robustFloor steer the fit of least absolute deviations by
// weights: enough rounds that nothing moves, and a distance, in standard
// uncertainties, below which a deviation weighs no more.
const (
	robustRounds = 40
	robustFloor  = 0.1
)

// robust is the curve with the least sum of absolute deviations over u, found by
// weighted least squares again and again: crowns that moved hardly draw it.
func robust(x, y, u []float64, bowFree bool) curve {
	first, last := x[0], x[len(x)-1]
	k := curve{middle: (first + last) / 2, reach: (last - first) / 2}
	terms := 2
	if bowFree {
		terms = 3
	}
	w := make([]float64, len(x))
	for i := range w {
		w[i] = 1 / (u[i] * u[i])
	}
	for range robustRounds {
		normal, right := mat.NewSymDense(terms, nil), mat.NewVecDense(terms, nil)
		for i := range x {
			t := (x[i] - k.middle) / k.reach
			p := [3]float64{1, t, t * t}
			for a := range terms {
				right.SetVec(a, right.AtVec(a)+w[i]*p[a]*y[i])
				for b := a; b < terms; b++ {
					normal.SetSym(a, b, normal.At(a, b)+w[i]*p[a]*p[b])
				}
			}
		}
		var c mat.VecDense
		if err := c.SolveVec(normal, right); err != nil {
			return k // never with crowns at three places or more
		}
		for a := range terms {
			k.c[a] = c.AtVec(a)
		}
		for i := range x {
			w[i] = 1 / (u[i] * math.Max(math.Abs(y[i]-k.at(x[i])), robustFloor*u[i]))
		}
	}
	return k
}
