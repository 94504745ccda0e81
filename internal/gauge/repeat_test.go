package gauge

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"ringtrue/internal/casetest"
)

func TestOutliers_Rosner1983(t *testing.T) {
	y := casetest.Numbers(t, casetest.Columns(t, "metro_outlier_rosner1983")["y"])
	steps, n := Outliers(y, 10, 0.05)
	r := []float64{3.118, 2.942, 3.179, 2.810, 2.815, 2.848, 2.279, 2.310, 2.101, 2.067}
	lambda := []float64{3.158, 3.151, 3.143, 3.136, 3.128, 3.120, 3.111, 3.103, 3.094, 3.085}
	if len(steps) != 10 {
		t.Fatalf("%d steps, want 10", len(steps))
	}
	for i, s := range steps {
		casetest.Near(t, "R", s.Distance, r[i], 1e-3)
		casetest.Near(t, "lambda", s.Critical, lambda[i], 1e-3) // printed cut, not rounded
	}
	if n != 3 {
		t.Errorf("%d outliers, want 3, although the first step alone finds none", n)
	}
}

// NIST/SEMATECH e-Handbook 1.3.5.17.1: 245.57 stands out of eight readings.
func TestOutliers_Grubbs(t *testing.T) {
	y := casetest.Numbers(t, casetest.Columns(t, "metro_outlier_grubbs_nist")["y"])
	steps, n := Outliers(y, 1, 0.05)
	casetest.Near(t, "G", steps[0].Distance, 2.4687, 1e-4)
	casetest.Near(t, "two-sided limit", steps[0].Critical, 2.1266, 1e-4)
	casetest.Near(t, "one-sided limit", GrubbsCritical(8, 0.05), 2.032, 1e-3)
	if n != 1 || y[steps[0].Index] != 245.57 {
		t.Errorf("%d outliers, farthest %g; want 245.57", n, y[steps[0].Index])
	}
}

func TestGrubbsCritical_Published(t *testing.T) {
	c := casetest.Columns(t, "metro_outlier_grubbs_critical")
	levels := map[string]float64{"one05": 0.05, "one025": 0.025, "one01": 0.01, "two05": 0.025, "two01": 0.005}
	for column, alpha := range levels {
		for i, want := range casetest.Numbers(t, c[column]) {
			casetest.Near(t, column, GrubbsCritical(int(casetest.Numbers(t, c["n"])[i]), alpha), want, 1e-5)
		}
	}
	// As printed by Grubbs & Beck 1972 for n = 8.
	casetest.Near(t, "5 % one-sided", GrubbsCritical(8, 0.05), 2.032, 1e-3)
	casetest.Near(t, "2.5 % one-sided", GrubbsCritical(8, 0.025), 2.126, 1e-3)
	casetest.Near(t, "1 % one-sided", GrubbsCritical(8, 0.01), 2.221, 1e-3)
}

func TestAnalyseRepeat_Figures(t *testing.T) {
	r, err := AnalyseRepeat([]float64{0.010, 0.012, 0.014, 0.012, 0.010, 0.014}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "mean", r.Mean, 0.012, 1e-12)
	casetest.Near(t, "sd", r.SD, math.Sqrt(16e-6/5), 1e-12)
	casetest.Near(t, "step", r.Step, 0.002, 1e-12)
	casetest.Near(t, "from moving ranges", r.FromMR, (0.012/5)/1.128, 1e-12)
	casetest.Near(t, "sd at most", r.SDLimits.Upper.OrNaN(), r.SD*math.Sqrt(5/0.831211613), 1e-7) // χ² of 5 at 2.5 %, tables
	if Real(r.CreepP) || len(r.Odd) != 0 || r.StepHides() {
		t.Errorf("creeps %v, odd %v, step hides %v; want none", Real(r.CreepP), r.Odd, r.StepHides())
	}
}

func TestAnalyseRepeat_Warnings(t *testing.T) {
	creeping := []float64{1, 2.1, 2.9, 4.2, 5, 5.9, 7.1, 8}
	r, err := AnalyseRepeat(creeping, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if !Real(r.CreepP) || math.Abs(r.Creep-1) > 0.05 {
		t.Errorf("creep %g, p %v; want about 1", r.Creep, r.CreepP)
	}
	odd := []float64{1, 2, 1, 2, 1, 2, 1, 40, 2, 1, 2, 1}
	if r, err = AnalyseRepeat(odd, 0.95); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(r.Odd, []int{8}) {
		t.Errorf("odd readings %v, want the 8th", r.Odd)
	}
	same := []float64{0.1, 0.1, 0.1}
	if r, err = AnalyseRepeat(same, 0.95); err != nil {
		t.Fatal(err)
	}
	if !r.StepHides() || r.SD != 0 || len(r.Odd) != 0 {
		t.Errorf("equal readings: %+v", r)
	}
	if r, err = AnalyseRepeat([]float64{1, 1, 1, 1, 1, 1, 1, 1, 2, 1}, 0.95); err != nil {
		t.Fatal(err)
	}
	if !r.StepHides() {
		t.Errorf("one step in ten readings: sd %g, step %g", r.SD, r.Step)
	}
}

func TestAnalyseRepeat_Refuses(t *testing.T) {
	if _, err := AnalyseRepeat([]float64{1}, 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("one reading: %v", err)
	}
	if _, err := AnalyseRepeat([]float64{1, math.Inf(1)}, 0.95); !errors.Is(err, ErrNotFinite) {
		t.Errorf("infinite: %v", err)
	}
	if r, err := AnalyseRepeat([]float64{1, 2}, 0.95); err != nil || r.CreepP.Known() {
		t.Errorf("two readings: %+v, %v", r, err)
	}
}
