package num

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// chordBelow says whether some chord of two other points passes under or
// through point i, by whole numbers: no rounding.
func chordBelow(x, z []int64, i int) bool {
	for p := range i {
		for q := i + 1; q < len(x); q++ {
			if (z[i]-z[p])*(x[q]-x[p]) >= (z[q]-z[p])*(x[i]-x[p]) {
				return true
			}
		}
	}
	return false
}

// TestHull_EveryChord: a point is a vertex of the lower hull where every chord
// that spans it passes above it. Points of whole numbers, many on one line.
func TestHull_EveryChord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 14).Draw(t, "n")
		x, z := make([]int64, n), make([]int64, n)
		fx, up, down := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range n {
			x[i] = rapid.Int64Range(1, 3).Draw(t, "dx")
			if i > 0 {
				x[i] += x[i-1]
			}
			z[i] = rapid.Int64Range(-4, 4).Draw(t, "z")
			fx[i], up[i], down[i] = float64(x[i]), float64(z[i]), -float64(z[i])
		}
		var want []int
		for i := range n {
			if !chordBelow(x, z, i) {
				want = append(want, i)
			}
		}
		if got := LowerHull(fx, up, nil); !slices.Equal(got, want) {
			t.Fatalf("x %v, z %v: lower hull %v, want %v", x, z, got, want)
		}
		room := make([]int, 3, 20)
		got := UpperHull(fx, down, room)
		if !slices.Equal(got, want) {
			t.Fatalf("x %v, z %v: upper hull of −z %v, want %v", x, z, got, want)
		}
		if len(got) > 0 && &got[0] != &room[0] {
			t.Fatal("room for the hull was not used")
		}
	})
}

// TestHull_RealHeights: between neighbouring vertices no point lies below, and
// the edges turn left.
func TestHull_RealHeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.SliceOfN(rapid.Float64Range(-1, 1), 3, 60).Draw(t, "z")
		x := make([]float64, len(z))
		for i := range x {
			x[i] = 35.6 * float64(i)
		}
		h := LowerHull(x, z, nil)
		if h[0] != 0 || h[len(h)-1] != len(x)-1 {
			t.Fatalf("hull %v of %d points", h, len(x))
		}
		at := func(i int) [2]float64 { return [2]float64{x[i], z[i]} }
		for k, q := range h[1:] {
			p := h[k]
			for i := p + 1; i < q; i++ {
				if Turn(at(p), at(q), at(i)) < -1e-10 {
					t.Fatalf("point %d lies below the edge %d to %d", i, p, q)
				}
			}
			if k > 0 && Turn(at(h[k-1]), at(p), at(q)) <= -1e-10 {
				t.Fatalf("the hull turns right at %d", p)
			}
		}
	})
}

// A triangle of base 4 and height 3, both ways round, and one of no area.
func TestTurn(t *testing.T) {
	p, q, r := [2]float64{1, 1}, [2]float64{5, 1}, [2]float64{2, 4}
	if left, right := Turn(p, q, r), Turn(q, p, r); left != 12 || right != -12 {
		t.Errorf("%v and %v, want 12 and −12", left, right)
	}
	if flat := Turn(p, [2]float64{2, 3}, [2]float64{4, 7}); math.Abs(flat) > 0 {
		t.Errorf("three points on a line: %v", flat)
	}
}
