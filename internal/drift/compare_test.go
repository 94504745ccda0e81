package drift

import (
	"math"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
)

// NIST StRD's certified one-way analysis of variance.
func TestANOVA_SiRstv(t *testing.T) {
	d := casetest.Columns(t, "metro_strd_sirstv_anova")
	byInstrument := map[string][]float64{}
	y := casetest.Numbers(t, d["resistance"])
	for i, of := range d["instrument"] {
		byInstrument[of] = append(byInstrument[of], y[i])
	}
	var levels []Level
	for _, v := range byInstrument {
		levels = append(levels, LevelOf(v))
	}
	f, p := ANOVA(levels)
	casetest.Near(t, "F", f, 1.18046237440255, 1e-9)
	if !(p > 0.3 && p < 0.4) { // F(4, 20) of 1.18
		t.Errorf("p = %g", p)
	}
}

// Five lots of 300: NIST/SEMATECH e-Handbook 7.4.4, chi-square 12.131 against
// 9.488 (figures from memory; its squares, 464 over 45 for the faulty, over 255
// for the sound, come to the same).
func TestSharesDiffer_NIST(t *testing.T) {
	bad, outOf := []float64{36, 46, 42, 63, 38}, []float64{300, 300, 300, 300, 300}
	chi2, p := SharesDiffer(bad, outOf)
	casetest.Near(t, "chi-square", chi2, 12.131, 5e-4)
	if !(p > 0.01 && p < 0.02) {
		t.Errorf("p = %g; 12.131 lies between the 2 %% and the 1 %% point of 4 degrees of freedom", p)
	}
	if chi2, _ := SharesDiffer([]float64{0, 0}, []float64{9, 9}); !math.IsNaN(chi2) {
		t.Errorf("no faulty one at all: %g", chi2)
	}
}

func TestCountsDiffer_EqualPieces(t *testing.T) {
	// Rare faults on equal pieces: the same chi-square as shares of a million.
	faults := []float64{36, 46, 42, 63, 38}
	got, p := CountsDiffer(faults, []float64{50, 50, 50, 50, 50})
	casetest.Near(t, "chi-square", got, 464.0/45, 1e-12)
	shares, pShares := SharesDiffer(faults, []float64{1e6, 1e6, 1e6, 1e6, 1e6})
	casetest.Near(t, "as shares", got, shares, 1e-3)
	casetest.Near(t, "p as shares", p, pShares, 1e-4)
	if chi2, _ := CountsDiffer([]float64{3}, []float64{9}); !math.IsNaN(chi2) {
		t.Errorf("one group alone: %g", chi2)
	}
}

func TestANOVA_None(t *testing.T) {
	for _, g := range [][]Level{nil, {{N: 3, Mean: num.Some(1), SD: num.Some(1)}}, {{N: 3, Mean: num.Some(1)}, {N: 3, Mean: num.Some(1)}}, {{N: 1, Mean: num.Some(1)}, {N: 1, Mean: num.Some(2)}}} {
		if f, _ := ANOVA(g); !math.IsNaN(f) {
			t.Errorf("%+v: F %g", g, f)
		}
	}
}
