package drift

import "math"

// double is a sum kept to twice the digits of a number, high + low.
//
// Source: T. J. Dekker, Numerische Mathematik 18 (1971) 224; D. E. Knuth, The Art of
// Computer Programming 2, section 4.2.2 (from memory).
type double struct{ high, low float64 }

// twoSum is a + b and what rounding takes off it.
func twoSum(a, b float64) double {
	s := a + b
	t := s - a
	return double{s, (a - (s - t)) + (b - t)}
}

// product is a·b without rounding.
func product(a, b float64) double {
	p := a * b
	return double{p, math.FMA(a, b, -p)}
}

func (d double) plus(o double) double {
	s := twoSum(d.high, o.high)
	return twoSum(s.high, s.low+d.low+o.low)
}

func (d double) minus(o double) double { return d.plus(double{-o.high, -o.low}) }

func (d double) times(v float64) double {
	p := product(d.high, v)
	return twoSum(p.high, p.low+d.low*v)
}

func (d double) value() float64 { return d.high + d.low }
