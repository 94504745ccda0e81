package board

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

func gaps(lo, hi []float64, u float64) feelers {
	f := feelers{lo: lo, hi: hi, u: make([]float64, len(lo))}
	for i := range f.u {
		f.u[i] = u
	}
	return f
}

// TestZoneOf_Boxes: three cases whose range of zones follows by hand from the
// second differences, in µm: the first's largest zone is 30, at 1.645 standard
// uncertainties 32.042.
func TestZoneOf_Boxes(t *testing.T) {
	x := []float64{0, 10, 25, 45, 70, 100}
	plus := func(v []float64, d float64) (out []float64) {
		for _, k := range v {
			out = append(out, k+d)
		}
		return out
	}
	lo := []float64{0, 10, 0, 20, 0, 10}
	g := gaps(lo, plus(lo, 10), 1).zoneOf(x, 32.042, 0)
	if math.Abs(g.least-10) > 1e-9 || math.Abs(g.most-30) > 1e-9 || math.Abs(g.offChance-0.05) > 1e-4 {
		t.Errorf("%+v, want 10 to 30, at 32.042 a chance of 0.05", g)
	}
	zero := make([]float64, 6)
	if g = gaps(zero, plus(zero, 40), 1).zoneOf(x, 30, 0); g.least != 0 || math.Abs(g.most-40) > 1e-9 || g.surely || g.offChance < 0.999 {
		t.Errorf("%+v, want 0 to 40 and in doubt", g)
	}
	lo = []float64{0, 20, 0, 60, 0, 0}
	if g = gaps(lo, plus(lo, 10), 1).zoneOf(x, 30, 3.05); math.Abs(g.least-50) > 1e-9 || math.Abs(g.most-70) > 1e-9 || !g.surely {
		t.Errorf("%+v, want 50 to 70, surely over 30", g)
	}
}

// TestZoneOf_LinearProgram holds the closed forms against a second route: the
// narrowest zone by a linear program, the widest by every corner of the box.
func TestZoneOf_LinearProgram(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 13))
	for range 60 {
		n := 3 + r.IntN(5)
		x, lo, hi := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range n {
			x[i] = float64(i)*10 + 5*r.Float64()
			lo[i] = float64(r.IntN(4)) * 10
			hi[i] = lo[i] + float64(1+r.IntN(3))*10
		}
		g := gaps(lo, hi, 1).zoneOf(x, 30, 0)
		p := num.NewProgram([]float64{0, 0, 1}) // line a + b·x, width w: lo ≤ line + w/2, hi ≥ line − w/2
		for i := range n {
			p.AtLeast(lo[i], []int{0, 1, 2}, []float64{1, x[i], 0.5})
			p.AtLeast(-hi[i], []int{0, 1, 2}, []float64{-1, -x[i], 0.5})
		}
		p.AtLeast(0, []int{2}, []float64{1})
		_, least, err := p.Solve()
		if err != nil || math.Abs(least-g.least) > 1e-7 {
			t.Errorf("x %v, boxes %v %v: least %v, by the program %v, %v", x, lo, hi, g.least, least, err)
		}
		most := 0.0
		corner := make([]float64, n)
		for bits := range 1 << n {
			for i := range n {
				if corner[i] = lo[i]; bits>>i&1 == 1 {
					corner[i] = hi[i]
				}
			}
			z, err := straight.Zone(x, corner)
			if err != nil {
				t.Fatal(err)
			}
			most = math.Max(most, z.WidthMM)
		}
		if math.Abs(most-g.most) > 1e-9 {
			t.Errorf("x %v, boxes %v %v: most %v, of the corners %v", x, lo, hi, g.most, most)
		}
	}
}
