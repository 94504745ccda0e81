package wood

// What tests alone measure.

import "math"

// CentreFraction is the same in the middle of the slab. Source: Eq 4.17 there.
func CentreFraction(fo float64) float64 {
	if fo <= 0 {
		return 0
	}
	if fo < shortTime {
		return 2 * math.Erfc(1/(2*math.Sqrt(fo)))
	}
	sum, sign := 0.0, 1.0
	for n := 0; ; n++ {
		m := float64(2*n + 1)
		term := math.Exp(-m*m*math.Pi*math.Pi*fo/4) / m
		sum += sign * term
		sign = -sign
		if term <= 1e-18 {
			return 1 - 4/math.Pi*sum
		}
	}
}

// Coefficient is the coefficient of ChangeLinear that goes with a total
// shrinkage: Change at 10 % moisture. It gives 29 of the handbook's 30 printed
// ones of Table 13-5 to the last digit.
func Coefficient(shrinkPct, saturationPct float64) float64 {
	return Change(1, shrinkPct, saturationPct, 10, 11)
}
