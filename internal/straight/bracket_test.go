package straight

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ringtrue/internal/casetest"

	"pgregory.net/rapid"
)

// box is brackets of one width on the x of the cases worked by hand, in µm.
func box(width float64, lo ...float64) Brackets {
	b := Brackets{X: []float64{0, 10, 25, 45, 70, 100}, Lo: lo, Hi: make([]float64, len(lo)), U: make([]float64, len(lo))}
	for i := range lo {
		b.Hi[i] = lo[i] + width
	}
	return b
}

// mustRange is what a lane's Contrasts say of brackets alone.
func mustRange(t rapid.TB, passes ...Brackets) Range {
	t.Helper()
	c, err := NewContrasts(passes[0].X)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range passes {
		if err := c.AddBrackets(b, everyCrown(len(b.X))); err != nil {
			t.Fatal(err)
		}
	}
	return c.Range()
}

// Cases worked out before this package was written, by another program that
// searched all three crowns of all corners.
func TestBrackets_WorkedCases(t *testing.T) {
	steps := box(10, 0, 10, 0, 20, 0, 10)
	r, err := steps.Range()
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "steps: least", r.LeastMM, 10, 1e-12)
	casetest.Near(t, "steps: largest", r.LargestMM, 30, 1e-12)
	middle, half, _, err := steps.Offs()
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "off of crown 1, least", middle[0]-half[0], -2.880, 5e-4)
	casetest.Near(t, "off of crown 1, largest", middle[0]+half[0], 12.373, 5e-4)
	casetest.Near(t, "off of crown 4, least", middle[3]-half[3], -21.498, 5e-4)
	casetest.Near(t, "off of crown 4, largest", middle[3]+half[3], -4.862, 5e-4)

	steps.U = []float64{1, 1, 1, 1, 1, 1}
	casetest.Near(t, "steps felt with u 1: largest", mustRange(t, steps).LargestMM, 32.042, 5e-4)
	steps.U, steps.Rests = nil, true
	if r, err = steps.Range(); err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "steps, resting: least", r.LeastMM, 20, 1e-12)
	casetest.Near(t, "steps, resting: largest", r.LargestMM, 30, 1e-12)

	hollow := box(40, 0, 0, 0, 0, 0, 0)
	for _, rests := range []bool{false, true} {
		hollow.Rests = rests
		r := mustRange(t, hollow)
		casetest.Near(t, "all under a leaf of 40: least", r.LeastMM, 0, 0)
		casetest.Near(t, "all under a leaf of 40: largest", r.LargestMM, 40, 1e-12)
		if v := r.Verdict(30); v != InDoubt {
			t.Errorf("all under a leaf of 40, limit 30: %s", v)
		}
	}

	low := box(10, 0, 20, 0, 60, 0, 0)
	if r, err = low.Range(); err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "one low: least", r.LeastMM, 50, 1e-12)
	casetest.Near(t, "one low: largest", r.LargestMM, 70, 1e-12)
	low.U = []float64{1, 1, 1, 1, 1, 1}
	r = mustRange(t, low)
	// Widened by Φ⁻¹(1 − 0.05/12) = 2.6383 (normal tables, from memory) at hi of
	// two crowns and lo of one; gaps of 0 are not widened below 0.
	casetest.Near(t, "one low, felt with u 1: least", r.LeastMM, 50-2*2.6383, 1e-3)
	if v := r.Verdict(30); v != NotLevel {
		t.Errorf("one low, limit 30: %s", v)
	}
}

// JCGM 100:2008, 4.3.7: a² /3, with its example 1, the expansion of copper,
// 16.52 ± 0.40 in 1e-6/°C: u = 0.23. From memory.
func TestRange_JCGM100(t *testing.T) {
	r := Range{16.12, 16.92}
	casetest.Near(t, "middle", r.MiddleMM(), 16.52, 1e-12)
	casetest.Near(t, "u", r.UMM(), 0.40/math.Sqrt(3), 1e-15)
	casetest.Near(t, "u as printed", r.UMM(), 0.23, 5e-3)
	if 2*r.UMM() < 0.40 {
		t.Error("two standard uncertainties do not cover the range")
	}
	for _, c := range []struct {
		r    Range
		want Verdict
	}{{Range{0, 30}, Level}, {Range{0, 30.1}, InDoubt}, {Range{30, 40}, InDoubt}, {Range{30.1, 40}, NotLevel},
		{Range{5, math.Inf(1)}, InDoubt}, {Range{31, math.Inf(1)}, NotLevel}, {Range{35, 25}, InDoubt}} {
		if got := c.r.Verdict(30); got != c.want {
			t.Errorf("%v at 30: %s, want %s", c.r, got, c.want)
		}
	}
}

// drawBrackets draws a lane's brackets, some of them numbers, some of a shape.
func drawBrackets(r *rand.Rand, n int) Brackets {
	b := Brackets{Shape: make([]float64, n)}
	at := 0.0
	for i := range n {
		at += 5 + 30*r.Float64()
		lo := math.Max(0, 10*float64(r.IntN(8)-3))
		b.X, b.Lo, b.Hi = append(b.X, at), append(b.Lo, lo), append(b.Hi, lo+10*float64(r.IntN(4)))
		if r.IntN(2) == 0 {
			b.Shape[i] = -20 * r.Float64()
		}
	}
	return b
}

// corners calls do for every corner of the box of all gaps, in place.
func corners(b Brackets, g []float64, i int, do func()) {
	if i == len(g) {
		do()
		return
	}
	for _, v := range []float64{b.Lo[i], b.Hi[i]} {
		g[i] = v
		corners(b, g, i+1, do)
		if b.Lo[i] == b.Hi[i] {
			return
		}
	}
}

// The zone is convex in the gaps, so it is largest in a corner; so is a crown's
// distance from the least-squares line. All corners of boxes of up to 7 crowns,
// for every pair that may carry the edge.
func TestBrackets_EveryCorner(t *testing.T) {
	carried := 0
	for seed := range uint64(150) {
		r := rand.New(rand.NewPCG(seed, 3))
		b := drawBrackets(r, 3+r.IntN(5))
		b.Rests = seed%2 == 0
		n := len(b.X)
		want := 0.0
		low, high := slices.Repeat([]float64{math.Inf(1)}, n), slices.Repeat([]float64{math.Inf(-1)}, n)
		b.eachPair(0, func(p, q int) {
			c := b
			c.Lo, c.Hi = slices.Clone(b.Lo), slices.Clone(b.Hi)
			if p >= 0 {
				c.Hi[p], c.Hi[q] = 0, 0
				carried++
			}
			g, z := make([]float64, n), make([]float64, n)
			corners(c, g, 0, func() {
				for i := range z {
					z[i] = -g[i] - b.Shape[i]
				}
				want = math.Max(want, mustZone(t, b.X, z).WidthMM)
				for i, v := range centred(b.X, z).z {
					low[i], high[i] = math.Min(low[i], v), math.Max(high[i], v)
				}
			})
		})
		got, err := b.Range()
		if err != nil {
			t.Fatal(err)
		}
		casetest.Near(t, "largest", got.LargestMM, want, 1e-9)
		middle, half, _, err := b.Offs()
		if err != nil {
			t.Fatal(err)
		}
		for i := range low {
			casetest.Near(t, "lowest off", middle[i]-half[i], low[i], 1e-9)
			casetest.Near(t, "highest off", middle[i]+half[i], high[i], 1e-9)
		}
		if t.Failed() {
			t.Fatalf("seed %d: %+v", seed, b)
		}
	}
	if carried == 0 {
		t.Error("no pair carried an edge: the case tests nothing")
	}
}

// The least zone in hull form is the greatest of the three-crown formula.
func TestBrackets_LeastByThreeCrowns(t *testing.T) {
	for seed := range uint64(500) {
		r := rand.New(rand.NewPCG(seed, 4))
		b := drawBrackets(r, 3+r.IntN(34))
		want := 0.0
		eachThree(b.X, func(_, i, k, j int, w float64) {
			s := w*b.Shape[i] + (1-w)*b.Shape[j] - b.Shape[k]
			want = max(want, b.Lo[k]-w*b.Hi[i]-(1-w)*b.Hi[j]-s, w*b.Lo[i]+(1-w)*b.Lo[j]-b.Hi[k]+s)
		})
		got, err := b.Range()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.LeastMM-want) > 1e-9 {
			t.Fatalf("seed %d: %v, three crowns %v", seed, got.LeastMM, want)
		}
	}
}

// laid is the gaps under an edge that rests on crowns z: on the pair on either
// side of its middle whose chord is the highest there.
func laid(x, z []float64, middle float64) []float64 {
	best, base, slope := math.Inf(-1), 0.0, 0.0
	for i := range x {
		for j := range x {
			if x[i] > middle || x[j] <= middle {
				continue
			}
			s := (z[j] - z[i]) / (x[j] - x[i])
			if h := z[i] + s*(middle-x[i]); h > best {
				best, base, slope = h, z[i]-s*x[i], s
			}
		}
	}
	g := make([]float64, len(x))
	for i := range x {
		g[i] = math.Max(0, base+slope*x[i]-z[i])
	}
	return g
}

// felt brackets a gap by leaves, ascending.
func felt(gap float64, leaves []float64) (lo, hi float64) {
	for _, l := range leaves {
		if l > gap {
			return lo, l
		}
		lo = l
	}
	return lo, lo + 1
}

// Whatever the crowns, the leaves and where the edge's middle lies: what is
// true lies in the range; where a pass more is read, or it is known that the
// edge rests on crowns, the range only narrows.
func TestBrackets_HoldTheTruth(t *testing.T) {
	narrower := 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 24).Draw(t, "n")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5))
		step := rapid.SampledFrom([]float64{0.005, 0.01, 0.03, 0.06}).Draw(t, "step")
		first := rapid.SampledFrom([]float64{0, 0.02, 0.04}).Draw(t, "first")
		var leaves []float64
		for k := 1; k < 100; k++ {
			leaves = append(leaves, first+step*float64(k))
		}
		var x, z, shape []float64
		hollow := 0.1 * r.Float64()
		for i := range n {
			x = append(x, 640*(1-math.Exp2(-float64(i+1)/12)))
			u := float64(i) / float64(n-1)
			shape = append(shape, -0.1*u*u)
			z = append(z, shape[i]-4*hollow*u*(1-u)+0.01*r.NormFloat64())
		}
		d := make([]float64, n)
		for i := range d {
			d[i] = z[i] - shape[i]
		}
		zone, err := Zone(x, d)
		if err != nil {
			t.Fatal(err)
		}
		pass := func() Brackets {
			b := Brackets{X: x, Shape: shape, Rests: true}
			span := x[n-1] - x[0]
			for _, g := range laid(x, z, x[0]+span*(0.5+0.09*(r.Float64()-0.5))) {
				lo, hi := felt(g, leaves)
				b.Lo, b.Hi = append(b.Lo, lo), append(b.Hi, hi)
			}
			return b
		}
		// As another pass: the crowns are the same, the edge lies on them otherwise.
		free, one, two := pass(), pass(), pass()
		free.Lo, free.Hi, free.Rests = one.Lo, one.Hi, false
		wide, alone, both := mustRange(t, free), mustRange(t, one), mustRange(t, one, two)
		const tiny = 1e-12
		for _, q := range []Range{wide, alone, both} {
			if zone.WidthMM < q.LeastMM-tiny || zone.WidthMM > q.LargestMM+tiny {
				t.Fatalf("zone %v outside %v", zone.WidthMM, q)
			}
		}
		for _, q := range [][2]Range{{wide, alone}, {alone, both}} {
			if q[1].LeastMM < q[0].LeastMM-tiny || q[1].LargestMM > q[0].LargestMM+tiny {
				t.Fatalf("%v widens to %v", q[0], q[1])
			}
		}
		if alone.UMM() < wide.UMM()-tiny {
			narrower++
		}
		middle, half, _, err := one.Offs()
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range centred(x, d).z {
			if math.Abs(v-middle[i]) > half[i]+tiny {
				t.Fatalf("crown %d is %v off, stated %v ± %v", i, v, middle[i], half[i])
			}
		}
	})
	if narrower == 0 {
		t.Error("resting on crowns never narrowed the range")
	}
}

func TestBrackets_Refused(t *testing.T) {
	good := box(10, 0, 0, 0, 0, 0, 0)
	for name, c := range map[string]struct {
		spoil func(b *Brackets)
		want  error
	}{
		"below 0":     {func(b *Brackets) { b.Lo[1] = -1 }, ErrBracket},
		"wrong way":   {func(b *Brackets) { b.Lo[2] = 11 }, ErrBracket},
		"u below 0":   {func(b *Brackets) { b.U[0] = -1 }, ErrBracket},
		"too few":     {func(b *Brackets) { b.X, b.Lo = b.X[:2], b.Lo[:2] }, ErrTooFew},
		"lengths":     {func(b *Brackets) { b.Hi = b.Hi[:4] }, ErrLength},
		"no hi":       {func(b *Brackets) { b.Hi = nil }, ErrLength},
		"shape":       {func(b *Brackets) { b.Shape = []float64{1} }, ErrLength},
		"order":       {func(b *Brackets) { b.X[2] = 5 }, ErrOrder},
		"not a width": {func(b *Brackets) { b.Hi[2] = math.Inf(1) }, ErrNotFinite},
	} {
		b := good
		b.X, b.Lo, b.Hi, b.U = slices.Clone(b.X), slices.Clone(b.Lo), slices.Clone(b.Hi), slices.Clone(b.U)
		c.spoil(&b)
		if _, err := b.Range(); !errors.Is(err, c.want) {
			t.Errorf("%s: range: %v", name, err)
		}
		if _, _, _, err := b.Offs(); !errors.Is(err, c.want) {
			t.Errorf("%s: offs: %v", name, err)
		}
		lane, err := NewContrasts(good.X)
		if err != nil {
			t.Fatal(err)
		}
		if err := lane.AddBrackets(b, everyCrown(6)); !errors.Is(err, c.want) {
			t.Errorf("%s: contrasts: %v", name, err)
		}
	}
	lane, err := NewContrasts(good.X)
	if err != nil {
		t.Fatal(err)
	}
	if err := lane.AddBrackets(good, []int{0, 1}); !errors.Is(err, ErrLength) {
		t.Errorf("places: %v", err)
	}
	if err := lane.AddEstimates(Estimate{Z: good.Lo}); !errors.Is(err, ErrLength) {
		t.Errorf("no covariance: %v", err)
	}
	if _, err := NewContrasts(good.X[:2]); !errors.Is(err, ErrTooFew) {
		t.Errorf("two crowns: %v", err)
	}
}
