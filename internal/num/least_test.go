package num

import (
	"math"
	"testing"
)

// TestLeast: closed forms, inside and at an end.
func TestLeast(t *testing.T) {
	for _, c := range []struct {
		f          func(float64) float64
		a, b, want float64
	}{
		{func(x float64) float64 { return (x - 0.3) * (x - 0.3) }, -1, 2, 0.3},
		{func(x float64) float64 { return math.Abs(x - math.E) }, 0, 10, math.E},
		{math.Exp, -1, 1, -1},
		{func(x float64) float64 { return -x }, -1, 1, 1},
		{func(x float64) float64 { return x*math.Log(x) + 1 }, 0.01, 3, 1 / math.E},
	} {
		if got := Least(c.f, c.a, c.b, 1e-7); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("between %g and %g: %g, want %g", c.a, c.b, got, c.want)
		}
	}
}
