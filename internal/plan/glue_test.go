package plan

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// TestGlue_capillary is CAP-S1 to -S7 and CAP-02: slits by Poiseuille and
// Young-Laplace, and the reach of a glue that thickens.
func TestGlue_capillary(t *testing.T) {
	check(t, map[string]float64{
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
	f, err := os.Open("../../testdata/published/capillary_checks.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, rec := range records[1:] {
		if rec[1] != "slit" {
			continue
		}
		n++
		v := make([]float64, 8)
		for i := range v {
			if v[i], err = strconv.ParseFloat(rec[2+i], 64); err != nil {
				t.Fatal(err)
			}
		}
		if s := SlitFillS(v[4], v[0], v[1]*1e3, v[5]*1e3, v[2], v[3]); math.Abs(s-v[6]) > 1e-6*v[6]+1e-6 {
			t.Errorf("%s: %g s, want %g", rec[0], s, v[6])
		}
		if mm := SlitReachMM(v[4], v[0], v[1]*1e3, 1, v[2], v[3]); math.Abs(mm-1e3*v[7]) > 1e-5 {
			t.Errorf("%s: %g mm after 1 s, want %g", rec[0], mm, 1e3*v[7])
		}
	}
	if n != 8 {
		t.Errorf("%d slits, want 8", n)
	}
}

// TestSetSeconds: the published times stand, and wider gaps set later.
func TestSetSeconds(t *testing.T) {
	for gap, want := range map[float64]float64{0.01: 10, 0.025: 10, 0.127: 600, 0.38: 3600, 1: 3600} {
		if got := SetSeconds(gap); math.Abs(got-want) > 1e-9 {
			t.Errorf("%g mm: %g s, want %g", gap, got, want)
		}
	}
	if a, b := SetSeconds(0.05), SetSeconds(0.1); !(10 < a && a < b && b < 600) {
		t.Errorf("%g and %g s between", a, b)
	}
}
