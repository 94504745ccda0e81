package relief

import (
	"math"
	"testing"
)

// Board and half ellipse: a case worked out by quadrature elsewhere, EI 309.230 N m².
func TestSection_BoardOnHalfEllipse(t *testing.T) {
	s := SectionOf(Rectangle(0, 45, 6, 12270), HalfEllipse(6, 45, 15, 12600))
	if got := s.StiffnessNMM2 / 1e6; math.Abs(got-309.230) > 0.001 {
		t.Errorf("EI %.4f N m²", got)
	}
	// 10 N in the middle of 400 mm: 43.15 µm by F·a³/48EI.
	if bend := 10 * math.Pow(400, 3) / (48 * s.StiffnessNMM2); math.Abs(bend-0.04312) > 5e-5 {
		t.Errorf("bend %.5f mm", bend)
	}
}
