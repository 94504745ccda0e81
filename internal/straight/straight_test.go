package straight

import (
	"math"
	"testing"
)

func TestZoneAndLine_SmallProfile(t *testing.T) {
	x := []float64{0, 10, 25, 45, 70, 100}
	z := []float64{0, .012, .004, .021, -.006, .010}
	r, err := Zone(x, z)
	if err != nil || math.Abs(r.WidthMM-.024857143) > 1e-9 {
		t.Fatal(r, err)
	}
	a, b, err := ReferenceLine(x, z)
	if err != nil || math.Abs(a-.002) > 1e-12 || math.Abs(b-.00008) > 1e-12 {
		t.Fatal(a, b, err)
	}
}
