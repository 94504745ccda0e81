package level

import (
	"math"
	"testing"
)

// A crown that moves strayed on counts with that, one that nothing touched as read.
func TestLevelling_Hand(t *testing.T) {
	touched, numbered, under, ink := Place{1, 1}, Place{2, 1}, Place{3, 1}, Place{4, 1}
	v := Levelling{removed: map[Place]float64{touched: 0.03, numbered: 0.02, under: 0, ink: 0},
		strays: map[Place]float64{touched: 0.009, under: 0.005, ink: untouchedMM / 2}}
	for p, want := range map[Place]float64{touched: 0.009, numbered: HandMM, under: 0.005, ink: 0} {
		if got := v.hand(p); math.Abs(got-want) > 1e-12 {
			t.Errorf("%v: %g, want %g", p, got, want)
		}
	}
}
