package play

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/stringset"
)

// TestToward_fits: the triangle pressed towards the board lies on no crown or
// just touches one, and is the pluck's wherever that fits.
func TestToward_fits(t *testing.T) {
	m, err := NewModes(Span{LengthMM: 640, TensionN: 70, MassGPerM: 0.4, StiffnessNMM2: 40, Decay: stringset.Law{Base: 0.5, Square: 5e-8}})
	if err != nil {
		t.Fatal(err)
	}
	barrier := NewBarrier(m, []float64{36, 150, 320, 500})
	rapid.Check(t, func(t *rapid.T) {
		unit := m.Triangle(rapid.Float64Range(100, 600).Draw(t, "x0"))
		gaps := make([]float64, 4)
		for k := range gaps {
			gaps[k] = rapid.Float64Range(0.01, 2).Draw(t, "gap")
		}
		want := rapid.Float64Range(0.05, 2).Draw(t, "height")
		h := barrier.Toward(unit, want, gaps)
		spare := math.Inf(1)
		for k := range gaps {
			spare = math.Min(spare, gaps[k]-h*dot(barrier.at[k], unit))
		}
		if !(h > 0 && h <= want) || spare < -1e-12 || h < want && spare > 1e-12 {
			t.Fatalf("height %g of %g leaves %g mm", h, want, spare)
		}
	})
}
