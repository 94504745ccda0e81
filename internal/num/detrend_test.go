package num

import (
	"math"
	"testing"
)

// TestDetrend: what is left of a parabola at whole places is x² − 2 by hand, and
// what is left of a line nothing.
func TestDetrend(t *testing.T) {
	x := []float64{-2, -1, 0, 1, 2}
	for _, c := range []struct{ values, want []float64 }{
		{[]float64{4 + 7, 1 + 7, 7, 1 + 7, 4 + 7}, []float64{2, -1, -2, -1, 2}},
		{[]float64{1, 4, 7, 10, 13}, make([]float64, 5)},
	} {
		Detrend(x, c.values)
		for i, v := range c.values {
			if math.Abs(v-c.want[i]) > 1e-14 {
				t.Errorf("%v, want %v", c.values, c.want)
				break
			}
		}
	}
}
