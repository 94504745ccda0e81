package glue

import (
	"math"
	"testing"

	"ringtrue/internal/casetest"
)

// TestSetSeconds_HandbookOfAdhesiveTechnology: the published times stand, and
// between them those worked out by hand on logarithmic scales (exponents 2.52 and
// 1.63): 16 and 57 s, 5.5, 21 and 41 min.
func TestSetSeconds_HandbookOfAdhesiveTechnology(t *testing.T) {
	for gap, want := range map[float64]float64{0: 10, 0.01: 10, 0.025: 10, 0.127: 600, 0.38: 3600, 1: 3600} {
		casetest.Near(t, "published", SetSeconds(gap), want, 1e-9)
	}
	for _, c := range []struct{ gap, want, within float64 }{
		{0.03, 16, 0.5}, {0.05, 57, 0.5}, {0.10, 5.5 * 60, 3}, {0.20, 21 * 60, 30}, {0.30, 41 * 60, 30},
	} {
		casetest.Near(t, "between", SetSeconds(c.gap), c.want, c.within)
	}
	for gap, want := range map[float64]float64{0: 1, 0.025: 1, 0.127: 50, 0.38: 300} {
		casetest.Near(t, "activated", ActivatedSeconds(gap), want, 1e-9)
	}
	for gap := 0.0; gap < 0.5; gap += 0.01 {
		if a, b := ActivatedSeconds(gap), SetSeconds(gap); !(a < b/9) || SetSeconds(gap+0.01) < b || ActivatedSeconds(gap+0.01) < a {
			t.Errorf("%g mm: %g s with activator, %g without", gap, a, b)
		}
	}
	if WidestMM() != 0.38 || math.IsNaN(SetSeconds(0)) {
		t.Error(WidestMM())
	}
}
