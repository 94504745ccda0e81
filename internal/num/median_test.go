package num

import "testing"

func TestMedian(t *testing.T) {
	for _, c := range []struct {
		values []float64
		want   float64
	}{{nil, 0}, {[]float64{3}, 3}, {[]float64{9, 1, 4}, 4}, {[]float64{4, 1, 9, 2}, 3}} {
		if got := Median(c.values); got != c.want {
			t.Errorf("%v: %v, want %v", c.values, got, c.want)
		}
	}
}
