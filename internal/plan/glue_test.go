package plan

import (
	"math"
	"testing"

	"ringtrue/internal/casetest"

	"pgregory.net/rapid"
)

// TestGlue_capillary is CAP-S1 to -S7 and CAP-02: slits by Poiseuille and
// Young-Laplace, and the reach of a glue that thickens.
func TestGlue_capillary(t *testing.T) {
	casetest.Checked(t, map[string]float64{
		"CAP-S1": SlitFillS(0.002, 0.033, 0.05, 25, 0, 0), "CAP-S2": SlitFillS(0.003, 0.033, 0.05, 25, 20, 20),
		"CAP-S3": SlitFillS(0.003, 0.033, 0.02, 25, 20, 20), "CAP-S4": SlitFillS(0.003, 0.033, 0.05, 25, 20, 40),
		"CAP-S5": SlitFillS(0.1, 0.033, 0.05, 25, 20, 20), "CAP-S6": SlitFillS(1.5, 0.033, 0.05, 25, 20, 20),
		"CAP-S7": SlitFillS(0.001002, 0.0728, 0.01, 10, 0, 0),
		"CAP-02": SlitReachMM(0.003, 0.033, 0.05, 10, 20, 20),
	})
	rapid.Check(t, func(t *rapid.T) {
		mu, gap := rapid.Float64Range(1e-3, 3).Draw(t, "mu"), rapid.Float64Range(0.01, 0.4).Draw(t, "gap")
		s := rapid.Float64Range(1, 4000).Draw(t, "s")
		reach := SlitReachMM(mu, 0.033, gap, s, 20, 35)
		if back := SlitFillS(mu, 0.033, gap, reach, 20, 35); math.Abs(back/s-1) > 1e-12 {
			t.Fatalf("%g s reach %g mm, which take %g s", s, reach, back)
		}
	})
}

// TestGlue_capillaryGrid is every slit of the published grid, with its reach
// after a second.
func TestGlue_capillaryGrid(t *testing.T) {
	n := 0
	for _, row := range casetest.Published(t, "capillary_checks") {
		if row["kind"] != "slit" {
			continue
		}
		n++
		of := func(column string) float64 { return casetest.Number(t, row[column]) }
		mu, gamma, gapMM, theta1, theta2 := of("mu_Pa_s"), of("gamma_N_per_m"), of("gap_or_radius_m")*1e3, of("theta1_deg"), of("theta2_deg")
		want := of("time_s")
		casetest.Near(t, row["id"]+", s", SlitFillS(mu, gamma, gapMM, of("length_m")*1e3, theta1, theta2), want, 1e-6*want+1e-6)
		casetest.Near(t, row["id"]+", mm after 1 s", SlitReachMM(mu, gamma, gapMM, 1, theta1, theta2), 1e3*of("length_at_1s_m"), 1e-5)
	}
	if n != 8 {
		t.Errorf("%d slits, want 8", n)
	}
}
