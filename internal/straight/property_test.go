package straight

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/casetest"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"
)

// drawLane draws a lane; sometimes of whole numbers, where lines tie.
func drawLane(t *rapid.T, least, most int) (x, z []float64) {
	n := rapid.IntRange(least, most).Draw(t, "n")
	whole := rapid.Bool().Draw(t, "whole numbers")
	at := 0.0
	for range n {
		if whole {
			at += float64(rapid.IntRange(1, 2).Draw(t, "dx"))
			z = append(z, float64(rapid.IntRange(-4, 4).Draw(t, "z")))
		} else {
			at += rapid.Float64Range(1, 40).Draw(t, "dx")
			z = append(z, 1e-5*float64(rapid.IntRange(-5000, 5000).Draw(t, "z")))
		}
		x = append(x, at)
	}
	return x, z
}

// spread is how wide the lane is at one slope.
func spread(x, z []float64, b float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range x {
		v := z[i] - b*x[i]
		low, high = math.Min(low, v), math.Max(high, v)
	}
	return high - low
}

// All lines through two crowns, and the certificate read back.
func TestZone_AllLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, z := drawLane(t, 3, 20)
		r, err := Zone(x, z)
		if err != nil {
			t.Fatal(err)
		}
		best := math.Inf(1)
		for i := range x {
			for j := range i {
				best = math.Min(best, spread(x, z, (z[i]-z[j])/(x[i]-x[j])))
			}
		}
		if math.Abs(r.WidthMM-best) > 1e-12*(1+best) {
			t.Fatalf("zone %v, all lines %v", r.WidthMM, best)
		}
		if !(0 <= r.I && r.I < r.K && r.K < r.J && r.J < len(x)) {
			t.Fatalf("certificate %+v", r)
		}
		off := z[r.K] - r.Weight*z[r.I] - (1-r.Weight)*z[r.J]
		if math.Abs(math.Abs(off)-r.WidthMM) > 1e-12*(1+best) {
			t.Fatalf("the three crowns hold %v open, zone %v", off, r.WidthMM)
		}
		for i := range x {
			h := z[i] - r.LowMM - r.Slope*x[i]
			if h < -1e-11 || h > r.WidthMM+1e-11 {
				t.Fatalf("crown %d lies %v above the lower line of a zone of %v", i, h, r.WidthMM)
			}
		}
	})
}

// ISO 1101's minimum zone as a linear program, by gonum's simplex: least w with
// 0 ≤ z − a − bx ≤ w, in its dual form Σ(p − q)·z with Σp = Σq = 1, Σ(p−q)x = 0.
func TestZone_ISO1101ByGonum(t *testing.T) {
	tried, solved := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		tried++
		x, z := drawLane(t, 3, 12)
		n := len(x)
		c, a := make([]float64, 2*n), mat.NewDense(3, 2*n, nil)
		for i := range n {
			c[i], c[n+i] = -z[i], z[i]
			a.Set(0, i, 1)
			a.Set(1, n+i, 1)
			a.Set(2, i, x[i]/x[n-1])
			a.Set(2, n+i, -x[i]/x[n-1])
		}
		value, _, err := lp.Simplex(c, a, []float64{1, 1, 0}, 1e-13, nil)
		if err != nil {
			return // gonum's simplex gives up on some degenerate programs
		}
		solved++
		r, err := Zone(x, z)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.WidthMM+value) > 1e-10 {
			t.Fatalf("zone %v, program %v", r.WidthMM, -value)
		}
	})
	if 10*solved < 3*tried { // rapid draws fewer under -short
		t.Errorf("gonum solved %d of %d only", solved, tried)
	}
}

// Offset, tilt, mirror, scale.
func TestZoneAndLine_Invariant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, z := drawLane(t, 3, 20)
		r, err := Zone(x, z)
		if err != nil {
			t.Fatal(err)
		}
		a0, b0, err := ReferenceLine(x, z)
		if err != nil {
			t.Fatal(err)
		}
		a, b := rapid.Float64Range(-5, 5).Draw(t, "a"), rapid.Float64Range(-.01, .01).Draw(t, "b")
		scale := rapid.SampledFrom([]float64{-25.4, -1, .04, 1, 25.4}).Draw(t, "scale")
		n := len(x)
		mx, mz := make([]float64, n), make([]float64, n)
		for i := range x {
			mx[i] = 900 - x[n-1-i]
			mz[i] = a + b*mx[i] + scale*z[n-1-i]
		}
		q, err := Zone(mx, mz)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(q.WidthMM-math.Abs(scale)*r.WidthMM) > 1e-10 {
			t.Fatalf("zone %v, want %v", q.WidthMM, math.Abs(scale)*r.WidthMM)
		}
		a1, b1, err := ReferenceLine(mx, mz)
		if err != nil {
			t.Fatal(err)
		}
		for i := range x {
			got := mz[n-1-i] - a1 - b1*mx[n-1-i]
			want := scale * (z[i] - a0 - b0*x[i])
			if math.Abs(got-want) > 1e-8 {
				t.Fatalf("crown %d off by %v, want %v", i, got, want)
			}
		}
	})
}

// All lines through two crowns have no smaller sum; and among the lines that tie
// (their corners are such lines) none leads to fewer squares: the slope of the
// sum of squares from the answer towards each corner is not negative.
func TestReferenceLine_AllLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, z := drawLane(t, 2, 14)
		a, b, err := ReferenceLine(x, z)
		if err != nil {
			t.Fatal(err)
		}
		best := math.Inf(1)
		type pair struct{ a, b, sum float64 }
		var lines []pair
		for i := range x {
			for j := range i {
				s := (z[i] - z[j]) / (x[i] - x[j])
				l := pair{z[i] - s*x[i], s, 0}
				l.sum = sumOff(x, z, l.a, l.b)
				best = math.Min(best, l.sum)
				lines = append(lines, l)
			}
		}
		if sum := sumOff(x, z, a, b); sum > best*(1+2e-10)+1e-12 {
			t.Fatalf("sum %v, all lines %v", sum, best)
		}
		for _, l := range lines {
			if l.sum > best*(1+1e-11) {
				continue
			}
			toward, size := 0.0, 0.0
			for i := range x {
				r, step := z[i]-a-b*x[i], (l.a-a)+(l.b-b)*x[i]
				toward -= r * step
				size += r*r + step*step
			}
			if toward < -1e-9*(size+1e-12) {
				t.Fatalf("line %v %v also has the least sum and leads to fewer squares than %v %v", l.a, l.b, a, b)
			}
		}
	})
}

func TestBow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, noise := drawLane(t, 3, 20)
		depth := rapid.Float64Range(-1, 1).Draw(t, "depth")
		n := len(x)
		z := make([]float64, n)
		a := mat.NewDense(n, 3, nil)
		for i, xi := range x {
			s := (xi - x[0]) / (x[n-1] - x[0])
			p := -4 * s * (1 - s)
			z[i] = 3 - .01*xi + depth*p
			a.SetRow(i, []float64{1, s, p})
		}
		r, err := Bow(x, z)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.MM-depth) > 1e-10 {
			t.Fatalf("depth %v, want %v", r.MM, depth)
		}
		for i := range z {
			z[i] += noise[i]
		}
		if r, err = Bow(x, z); err != nil {
			t.Fatal(err)
		}
		var fit mat.VecDense
		if err := fit.SolveVec(a, mat.NewVecDense(n, z)); err != nil {
			t.Skip("too few places for a parabola")
		}
		if math.Abs(fit.AtVec(2)-r.MM) > 1e-9 {
			t.Fatalf("depth %v, least squares %v", r.MM, fit.AtVec(2))
		}
		sum := 0.0
		for i, w := range r.Weights {
			sum += w * z[i]
		}
		if math.Abs(sum-r.MM) > 1e-9 {
			t.Fatalf("weights give %v, value %v", sum, r.MM)
		}
	})
}

func TestStep(t *testing.T) {
	x, z := []float64{0, 1, 3, 4}, []float64{0, 0, .06, .03}
	s, err := Step(x, z)
	if err != nil || s.At != 2 {
		t.Fatalf("%+v, %v", s, err)
	}
	casetest.Near(t, "step", s.MM, .06-(.03*2./3), 1e-15)
	casetest.Near(t, "weight", s.Weight, 1./3, 1e-15)
	z[2] = -.06
	if s, _ = Step(x, z); s.MM >= 0 {
		t.Errorf("a low crown steps %v", s.MM)
	}
	if s, err = Step(x[:3], []float64{0, 1, 3}); err != nil || s.MM != 0 || s.At != 1 {
		t.Errorf("a straight lane: %+v, %v", s, err)
	}
	casetest.Near(t, "weight on a straight lane", s.Weight, 2./3, 1e-15)
	if s, _ = Step([]float64{0, 1, 2, 3, 4}, []float64{0, 1, 0, 1, 0}); s.At != 1 || s.MM != 1 {
		t.Errorf("of equal steps the first counts: %+v", s)
	}
}

// The step is the largest distance from the neighbours' chord, which is worked
// out here as a line through two points.
func TestStep_Chords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, z := drawLane(t, 3, 20)
		s, err := Step(x, z)
		if err != nil {
			t.Fatal(err)
		}
		for k := 1; k+1 < len(x); k++ {
			slope := (z[k+1] - z[k-1]) / (x[k+1] - x[k-1])
			off := z[k] - (z[k-1] + slope*(x[k]-x[k-1]))
			if math.Abs(off) > math.Abs(s.MM)+1e-9 {
				t.Fatalf("crown %d is %v off its chord, the step is %+v", k, off, s)
			}
			if k == s.At && math.Abs(off-s.MM) > 1e-9 {
				t.Fatalf("crown %d is %v off its chord, the step says %v", k, off, s.MM)
			}
		}
	})
}

// A fault names the crown as a maker counts it, from 1, and equal places are no
// order.
func TestZone_FaultNamesCrown(t *testing.T) {
	for _, c := range []struct {
		x, z []float64
		want error
		says string
	}{
		{[]float64{0, 1, 1, 2}, []float64{0, 0, 0, 0}, ErrOrder, "crown 3 "},
		{[]float64{0, 1, 3, 2}, []float64{0, 0, 0, 0}, ErrOrder, "crown 4 "},
		{[]float64{0, 1, 2, 3}, []float64{0, math.NaN(), 0, 0}, ErrNotFinite, "crown 2 "},
		{[]float64{math.Inf(-1), 1, 2, 3}, []float64{0, 0, 0, 0}, ErrNotFinite, "crown 1 "},
	} {
		if _, err := Zone(c.x, c.z); !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v %v: %v, want %v with %q", c.x, c.z, err, c.want, c.says)
		}
	}
}

// u of the zone, of bow and of step against the same sums written out, and free
// of the datum.
func TestU(t *testing.T) {
	x := fretX(22)
	z := make([]float64, 22)
	for i := range z {
		z[i] = .01 * math.Sin(float64(3*i))
	}
	full := mat.NewSymDense(22, nil)
	for i := range 22 {
		for j := i; j < 22; j++ {
			full.SetSym(i, j, 1e-6*math.Pow(.5, float64(j-i))*(1+float64(i*j)/100))
		}
	}
	free := freeDatum(x, full)
	r := mustZone(t, x, z)
	w := make([]float64, 22)
	w[r.K], w[r.I], w[r.J] = 1, -r.Weight, r.Weight-1
	v := mat.NewVecDense(22, w)
	casetest.Near(t, "zone", r.U(full), math.Sqrt(mat.Inner(v, full, v)), 1e-12)
	casetest.Near(t, "zone, free datum", r.U(free), r.U(full), 1e-12)
	bow, err := Bow(x, z)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "bow, free datum", bow.U(free), bow.U(full), 1e-12)
	step, err := Step(x, z)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "step, free datum", step.U(free), step.U(full), 1e-12)
	if step.U(full) <= 0 || bow.U(full) <= 0 {
		t.Error("no uncertainty")
	}
}

func TestZone_LongLanesAndInputUnchanged(t *testing.T) {
	x, z := make([]float64, 500), make([]float64, 500)
	for i := range x {
		x[i], z[i] = float64(i), math.Sin(float64(i)/40)+.1*math.Cos(float64(i*i))
	}
	before := slices.Clone(z)
	r := mustZone(t, x, z)
	if got := spread(x, z, r.Slope); math.Abs(got-r.WidthMM) > 1e-12 {
		t.Errorf("zone %v, spread at its slope %v", r.WidthMM, got)
	}
	if _, _, err := ReferenceLine(x, z); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(z, before) {
		t.Error("the caller's heights changed")
	}
}
