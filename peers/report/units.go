package main

import (
	"fmt"
	"math"
	"strconv"
)

// digits are three significant digits, without an exponent; thousands are whole.
func digits(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Sprint(v)
	}
	if v >= 1000 {
		scale := math.Pow(10, math.Floor(math.Log10(v))-2)
		v = math.Round(v/scale) * scale
	}
	after := max(0, 2-int(math.Floor(math.Log10(math.Abs(v)))))
	return strconv.FormatFloat(v, 'f', after, 64)
}

// seconds gives a time in the unit that suits it.
func seconds(s float64) string {
	for _, u := range []struct {
		name string
		size float64
	}{{"s", 1}, {"ms", 1e-3}, {"µs", 1e-6}} {
		if s >= u.size {
			return digits(s/u.size) + " " + u.name
		}
	}
	return digits(s*1e9) + " ns"
}

func megabytes(v float64) string { return digits(v) + " MB" }

func perSecond(what string) func(float64) string {
	return func(v float64) string {
		if v >= 1e6 {
			return digits(v/1e6) + " million " + what + "/s"
		}
		return digits(v) + " " + what + "/s"
	}
}

func times(v float64) string {
	if v >= 10 {
		return fmt.Sprintf("%.0f ×", v)
	}
	return fmt.Sprintf("%.2g ×", v)
}
