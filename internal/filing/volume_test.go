package filing

import (
	"math"
	"testing"

	"ringtrue/internal/casetest"
)

// A lone crown by Archard's law (Contact and rubbing of flat surfaces, 1953) in
// closed form, worked out by hand: 30 µm off a crown of radius 1.2 mm at 10 N,
// 5.65e-6 mm³ per N and mm, 120 mm a double stroke.
func TestPerStroke_Archard1953LoneCrown(t *testing.T) {
	h := Usual(1.2, 8)
	h.ForceN = 10
	casetest.Near(t, "double strokes over a strip of 8 mm", StripVolume(1.2, 8, 0.03)/h.PerStroke(), 12.66, 0.06)
	casetest.Near(t, "double strokes of a facet, board radius 300 mm", FacetVolume(1.2, 300, 0.03)/h.PerStroke(), 7.91, 0.005)
}

func TestVolumes_ThereAndBack(t *testing.T) {
	for _, d := range []float64{0.0001, 0.001, 0.01, 0.1, 0.5} {
		for _, r := range []float64{0.8, 1.2, 2} {
			if got := StripDepth(r, 7, StripVolume(r, 7, d)); math.Abs(got-d) > 1e-9 {
				t.Errorf("strip, radius %g: %g comes back as %g", r, d, got)
			}
			if got := FacetDepth(r, 300, FacetVolume(r, 300, d)); math.Abs(got-d) > 1e-12 {
				t.Errorf("facet, radius %g: %g comes back as %g", r, d, got)
			}
		}
	}
	if StripDepth(1.2, 0, 1) != 0 || FacetDepth(1.2, 300, -1) != 0 {
		t.Error("no width or no volume takes metal off")
	}
}
