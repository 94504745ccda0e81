package straight

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

func TestCrownVerdict(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		off, u, limit float64
		want          Verdict
	}{
		{0, .004, .03, Level},
		{0, .0077, .03, InDoubt}, // nothing is level beyond u = .03/3.92
		{0, .0076, .03, Level},
		{.015 + 1.645*.004, .004, .03, High},
		{.015 + 1.64*.004, .004, .03, InDoubt},
		{-.015 - 1.645*.004, .004, .03, Low},
		{.015 - 1.645*.004, .004, .03, Level},
		{.015 - 1.64*.004, .004, .03, InDoubt},
		{.015, 0, .03, Level}, {.0151, 0, .03, High}, {-.0151, 0, .03, Low},
		{nan, .004, .03, InDoubt}, {0, nan, .03, InDoubt}, {0, .004, nan, InDoubt}, {nan, 0, .03, InDoubt},
		{0, math.Inf(1), .03, InDoubt},
	} {
		if got := CrownVerdict(c.off, c.u, c.limit); got != c.want {
			t.Errorf("off %v, u %v, limit %v: %q, want %q", c.off, c.u, c.limit, got, c.want)
		}
	}
}

func TestLaneVerdict_NoNoise(t *testing.T) {
	x, z := []float64{0, 1, 2, 3}, []float64{0, .03, .03, 0}
	zero := mat.NewSymDense(4, nil)
	for limit, want := range map[float64]Verdict{.031: Level, .029: NotLevel, .03: Level} {
		j, err := LaneVerdict(x, z, zero, limit, 1)
		if err != nil {
			t.Fatal(err)
		}
		if j.Verdict != want || j.UZoneMM != 0 || j.UnbiasedMM != j.Zone.WidthMM {
			t.Errorf("limit %v: %+v, want %q", limit, j, want)
		}
	}
}

func TestLaneVerdict_Repeats(t *testing.T) {
	x := fretX(22)
	z := make([]float64, 22)
	z[7] = .02
	cov := scaledCov(freeDatum(x, covariances(x)["neighbours"]), 1e-5)
	first, err := LaneVerdict(x, z, cov, .03, 7)
	if err != nil {
		t.Fatal(err)
	}
	second, err := LaneVerdict(x, z, cov, .03, 7)
	if err != nil || first != second {
		t.Errorf("%+v, then %+v, %v", first, second, err)
	}
	if other, _ := LaneVerdict(x, z, cov, .03, 8); other.UnbiasedMM == first.UnbiasedMM {
		t.Error("another seed draws the same")
	}
}

// The draws have the covariance they were asked for, singular or not.
func TestNoise_Covariance(t *testing.T) {
	x := fretX(12)
	for name, cov := range covariances(x) {
		e, err := newNoise(cov, 12)
		if err != nil {
			t.Fatal(err)
		}
		var back mat.Dense
		back.Mul(e.root.T(), e.root)
		if !mat.EqualApprox(&back, cov, 1e-11) {
			t.Errorf("%s: root does not square to the covariance", name)
		}
		if rank, _ := e.root.Dims(); name != "independent" && rank != 10 {
			t.Errorf("%s: rank %d, 10 in the free datum", name, rank)
		}
	}
}

func TestLaneVerdict_BadInput(t *testing.T) {
	x, z := []float64{0, 1, 2}, []float64{0, 0, 0}
	good := mat.NewSymDense(3, []float64{1, 0, 0, 0, 1, 0, 0, 0, 1})
	negative := mat.NewSymDense(3, []float64{1, 0, 0, 0, -1, 0, 0, 0, 1})
	infinite := mat.NewSymDense(3, []float64{1, 0, 0, 0, math.Inf(1), 0, 0, 0, 1})
	for name, c := range map[string]struct {
		x, z  []float64
		cov   mat.Symmetric
		limit float64
		want  error
	}{
		"too few":  {x[:2], z[:2], mat.NewSymDense(2, nil), .03, ErrTooFew},
		"none":     {nil, nil, nil, .03, ErrTooFew},
		"lengths":  {x, z[:2], good, .03, ErrLength},
		"order":    {[]float64{0, 2, 1}, z, good, .03, ErrOrder},
		"NaN":      {x, []float64{0, math.NaN(), 0}, good, .03, ErrNotFinite},
		"Inf":      {[]float64{0, 1, math.Inf(1)}, z, good, .03, ErrNotFinite},
		"limit":    {x, z, good, math.NaN(), ErrNotFinite},
		"no cov":   {x, z, nil, .03, ErrCovariance},
		"size":     {x, z, mat.NewSymDense(2, nil), .03, ErrCovariance},
		"negative": {x, z, negative, .03, ErrCovariance},
		"infinite": {x, z, infinite, .03, ErrCovariance},
	} {
		if _, err := LaneVerdict(c.x, c.z, c.cov, c.limit, 1); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}
