package straight

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// drawPoints are points of small whole numbers, each once: many lie in line.
func drawPoints(t *rapid.T) [][2]float64 {
	var out [][2]float64
	for range rapid.IntRange(2, 9).Draw(t, "points") {
		p := [2]float64{float64(rapid.IntRange(-3, 3).Draw(t, "a")), float64(rapid.IntRange(-3, 3).Draw(t, "b"))}
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}

// TestNearest_AllPairsAndTriangles: the point of a hull nearest to the origin is
// the origin where a triangle of the points holds it, else the nearest point of
// any segment between two of them.
func TestNearest_AllPairsAndTriangles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := drawPoints(t)
		want := math.Inf(1)
		for _, p := range points {
			for _, q := range points {
				c := onSegment(p, q)
				want = math.Min(want, math.Hypot(c[0], c[1]))
				for _, r := range points {
					cross := func(a, b [2]float64) float64 { return a[0]*b[1] - a[1]*b[0] }
					if cross(p, q) > 0 && cross(q, r) > 0 && cross(r, p) > 0 {
						want = 0
					}
				}
			}
		}
		got := nearest(slices.Clone(points))
		if math.Abs(math.Hypot(got[0], got[1])-want) > 1e-12 {
			t.Fatalf("points %v: %v, %v from the origin, want %v", points, got, math.Hypot(got[0], got[1]), want)
		}
	})
}

// TestRing_TurnsLeft: every corner of the ring turns left, and no point lies
// outside an edge.
func TestRing_TurnsLeft(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := drawPoints(t)
		around := ring(slices.Clone(points))
		turn := func(p, q, r [2]float64) float64 {
			return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0])
		}
		n := len(around)
		for i, p := range around {
			q := around[(i+1)%n]
			if n > 2 && turn(p, q, around[(i+2)%n]) <= 0 {
				t.Fatalf("points %v: ring %v does not turn left at %v", points, around, q)
			}
			for _, r := range points {
				if turn(p, q, r) < 0 {
					t.Fatalf("points %v: %v lies outside the edge %v to %v", points, r, p, q)
				}
			}
		}
	})
}

// TestAppendNew: a corner found twice, with rounding of its own, is one; the
// origin too.
func TestAppendNew(t *testing.T) {
	points := appendNew(nil, [2]float64{3, 4})
	points = appendNew(points, [2]float64{3 + 1e-8, 4 - 1e-8})
	points = appendNew(points, [2]float64{0, 0})
	points = appendNew(points, [2]float64{0, 0})
	points = appendNew(points, [2]float64{-3, -4})
	points = appendNew(points, [2]float64{3, 4 + 1e-6})
	points = appendNew(points, [2]float64{3 + 1e-6, 4})
	if want := [][2]float64{{3, 4}, {0, 0}, {-3, -4}, {3, 4 + 1e-6}, {3 + 1e-6, 4}}; !slices.Equal(points, want) {
		t.Errorf("%v, want %v", points, want)
	}
}

// TestZone_ExactlyStraight: crowns on one line have a zone of no width, held by
// three crowns in order, and lie on its line.
func TestZone_ExactlyStraight(t *testing.T) {
	for n := 3; n <= 25; n++ {
		x, z := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], z[i] = float64(i), 2-0.5*float64(i)
		}
		r, err := Zone(x, z)
		if err != nil || r.WidthMM != 0 || r.I != 0 || r.K <= r.I || r.J <= r.K || r.J != n-1 || r.Slope != -0.5 || r.LowMM != 2 {
			t.Errorf("%d crowns: %+v, %v", n, r, err)
		}
	}
}

// TestLaneVerdict_LimitOfNothing: a limit of 0 may be asked for, less may not;
// no lane whose errors are not 0 is level to it.
func TestLaneVerdict_LimitOfNothing(t *testing.T) {
	x, z := []float64{0, 1, 2, 3}, []float64{0, 0, 0, 0}
	cov := mat.NewSymDense(4, nil)
	if j, err := LaneVerdict(x, z, cov, 0, 1); err != nil || j.Verdict != Level {
		t.Errorf("straight without errors: %+v, %v", j, err)
	}
	for i := range 4 {
		cov.SetSym(i, i, 1e-6)
	}
	if j, err := LaneVerdict(x, z, cov, 0, 1); err != nil || j.Verdict == Level {
		t.Errorf("straight with errors: %+v, %v", j, err)
	}
	if _, err := LaneVerdict(x, z, cov, -1e-9, 1); !errors.Is(err, ErrNotFinite) {
		t.Errorf("a limit below 0: %v", err)
	}
}

// TestNoise_Faults names the crown; a variance of 0, or below it by no more than
// rounding beside the largest, is none, at any scale.
func TestNoise_Faults(t *testing.T) {
	with := func(scale, last float64) *mat.SymDense {
		cov := mat.NewSymDense(3, nil)
		cov.SetSym(0, 0, scale)
		cov.SetSym(1, 1, scale)
		cov.SetSym(2, 2, last)
		return cov
	}
	for _, scale := range []float64{1, 1e-5, 1e5} {
		for _, last := range []float64{0, -0.5 * rankShare * scale} {
			if _, err := newNoise(with(scale, last), 3); err != nil {
				t.Errorf("variances %v, %v: %v", scale, last, err)
			}
		}
		if _, err := newNoise(with(scale, -2*rankShare*scale), 3); !errors.Is(err, ErrCovariance) || !strings.Contains(fmt.Sprint(err), "crown 3 ") {
			t.Errorf("variances %v, %v: %v", scale, -2*rankShare*scale, err)
		}
		e, err := newNoise(with(scale, 1e-3*scale), 3)
		if err != nil {
			t.Fatal(err)
		}
		if rank, _ := e.root.Dims(); rank != 3 {
			t.Errorf("variances %v: a crown a thousandth as uncertain was dropped, rank %d", scale, rank)
		}
	}
	cov := with(1, 1)
	cov.SetSym(1, 0, math.NaN())
	if _, err := newNoise(cov, 3); !errors.Is(err, ErrCovariance) || !strings.Contains(fmt.Sprint(err), "at crown 2") {
		t.Errorf("no number: %v", err)
	}
}
