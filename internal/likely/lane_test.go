package likely

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// places are n frets 20 mm apart.
func places(n int) (x []float64) {
	for i := range n {
		x = append(x, 20*float64(i))
	}
	return x
}

// alike is the covariance of errors of u mm each, none related.
func alike(n int, u float64) *mat.SymDense {
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		cov.SetSym(i, i, u*u)
	}
	return cov
}

func drawn(t *testing.T, x, off []float64, cov mat.Symmetric, draws int) [][]float64 {
	t.Helper()
	all, err := Crowns(x, off, cov, draws, 412)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != draws {
		t.Fatalf("%d draws of %d", len(all), draws)
	}
	return all
}

// against is how far crown i stands off the line of the last and the first.
func against(x, z []float64, i int) float64 {
	n := len(x) - 1
	return z[i] - z[0] - (z[n]-z[0])*(x[i]-x[0])/(x[n]-x[0])
}

func TestCrowns_WithoutErrorsAreAsRead(t *testing.T) {
	off := []float64{0.001, -0.02, 0.3, 0}
	for _, z := range drawn(t, places(4), off, alike(4, 0), 3) {
		if !slices.Equal(z, off) {
			t.Errorf("drawn %v of %v", z, off)
		}
	}
}

// Necks drawn from the model itself: the truth takes any rank among the draws alike
// often. Source: simulation-based calibration, Cook, Gelman and Rubin (2006), from
// memory.
func TestCrowns_CalibratedByItsOwnModel(t *testing.T) {
	const necks, n, draws, u = 300, 12, 100, 0.005
	r := rand.New(rand.NewPCG(5, 7))
	x := places(n)
	l, err := newLane(x, make([]float64, n), alike(n, u), u*u)
	if err != nil {
		t.Fatal(err)
	}
	const parts = 5
	count := make([]float64, parts)
	for range necks {
		l.seat2, l.slow2 = seatedMM*seatedMM/gamma(1, r), seatedMM*seatedMM/gamma(1, r)
		for i := range n {
			l.bad[i] = r.Float64() < badShare
			l.seat[i] = math.Sqrt(l.seatVar(i)) * r.NormFloat64()
			l.slow.SetVec(i, math.Sqrt(l.slow2)*r.NormFloat64())
		}
		truth := l.crowns()
		off := slices.Clone(truth)
		for i := range off {
			off[i] += u*r.NormFloat64() + 0.3 - 0.001*x[i]
		}
		rank := 0
		for _, z := range drawn(t, x, off, alike(n, u), draws) {
			if against(x, z, n/2) < against(x, truth, n/2) {
				rank++
			}
		}
		count[min(parts-1, rank*parts/draws)]++
	}
	chi := 0.0
	for _, c := range count {
		chi += (c - necks/parts) * (c - necks/parts) / (necks / parts)
	}
	if chi > 13.28 { // the 99 % point with four degrees of freedom
		t.Errorf("ranks of the truth by fifths: %v, chi square %.1f", count, chi)
	}
}

// A line added to what was read changes nothing but that line; the line is as good
// as unknown, not quite, so a little of 1e-7 shows.
func TestCrowns_ALineSaysNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	x, off := places(22), make([]float64, 22)
	for i := range off {
		off[i] = 0.004 * r.NormFloat64()
	}
	tilted := slices.Clone(off)
	for i := range tilted {
		tilted[i] += 0.02 - 5e-5*x[i]
	}
	a, b := drawn(t, x, off, alike(22, 0.003), 50), drawn(t, x, tilted, alike(22, 0.003), 50)
	for d := range a {
		if v, w := against(x, a[d], 9), against(x, b[d], 9); math.Abs(v-w) > 1e-6 {
			t.Fatalf("draw %d: %g, tilted %g", d, v, w)
		}
	}
}

// The noisier the readings, the more draws scatter.
func TestCrowns_DoubtGrowsWithNoise(t *testing.T) {
	x, off := places(22), make([]float64, 22)
	r := rand.New(rand.NewPCG(1, 9))
	for i := range off {
		off[i] = 0.01 * r.NormFloat64()
	}
	before := 0.0
	for _, u := range []float64{1e-5, 1e-4, 1e-3, 3e-3, 1e-2} {
		var z []float64
		for _, d := range drawn(t, x, off, alike(22, u), 300) {
			z = append(z, against(x, d, 10))
		}
		sd := stat.StdDev(z, nil)
		if !(sd > before) {
			t.Errorf("u %g: scatter %g, %g before", u, sd, before)
		}
		before = sd
	}
}

// Good frets read badly: the highest of them is nearer its truth than as read. A bad
// fret among them is not levelled away.
func TestCrowns_HighestIsFreeOfNoise(t *testing.T) {
	const u, necks, n = 0.005, 60, 22
	r := rand.New(rand.NewPCG(2, 4))
	x := places(n)
	read, drawnTo, bad := 0.0, 0.0, 0.0
	for range necks {
		truth, off := make([]float64, n), make([]float64, n)
		for i := range n {
			truth[i] = 0.003 * r.NormFloat64()
			off[i] = truth[i] + u*r.NormFloat64()
		}
		highest := func(z []float64) (most float64) {
			for i := range z {
				most = max(most, against(x, z, i))
			}
			return most
		}
		read += (highest(off) - highest(truth)) / necks
		for _, z := range drawn(t, x, off, alike(n, u), 100) {
			drawnTo += (highest(z) - highest(truth)) / necks / 100
		}
		off[10] += 0.05
		for _, z := range drawn(t, x, off, alike(n, u), 100) {
			bad += (against(x, z, 10) - against(x, truth, 10) - 0.05) / necks / 100
		}
	}
	if read < 0.004 || math.Abs(drawnTo) > 0.002 {
		t.Errorf("highest crown off its truth by %+.4f as read, %+.4f as drawn, in the mean", read, drawnTo)
	}
	if math.Abs(bad) > 0.003 {
		t.Errorf("a fret 0.05 mm high is off its truth by %+.4f in the mean", bad)
	}
}

func TestCrowns_Refuses(t *testing.T) {
	if _, err := Crowns(places(3), []float64{1, 2}, alike(3, 1), 1, 1); !errors.Is(err, ErrLane) {
		t.Errorf("two heights of three crowns: %v", err)
	}
	if _, err := Crowns(places(3), []float64{1, 2, 3}, nil, 1, 1); !errors.Is(err, ErrLane) {
		t.Errorf("without a covariance: %v", err)
	}
	wrong := mat.NewSymDense(3, []float64{1, 9, 0, 9, 1, 0, 0, 0, 1})
	if _, err := Crowns(places(3), []float64{1, 2, 3}, wrong, 1, 1); !errors.Is(err, ErrLane) {
		t.Errorf("with no covariance: %v", err)
	}
}
