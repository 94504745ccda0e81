package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// series that are hard on a search: many steps, of little scatter, far from 0, or with
// long rows of equal values.
func hardSeries(kind int, seed uint64, n int) []float64 {
	x := noise(seed, n)
	r := rand.New(rand.NewPCG(seed, 9))
	level, k := 0.0, 1+r.IntN(n)
	for i := range x {
		switch kind {
		case 1: // a step now and then
			if r.IntN(k) == 0 {
				level += 4 * r.NormFloat64()
			}
			x[i] += level
		case 2:
			x[i] += 6 * float64(i) / float64(n)
		case 3: // a gauge's steps, far from 0
			x[i] = 650 + 0.01*math.Round(x[i]+float64(i/k%2))
		case 4: // to and fro
			x[i] = 0.1*x[i] + float64(i/(1+k/8)%2)
		case 5:
			x[i] = float64(i / k)
		}
	}
	return x
}

// The quick search finds what looking at every place finds.
func TestSearch_PlainOne(t *testing.T) {
	long := 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(6, 1500).Draw(t, "n")
		x := hardSeries(rapid.IntRange(0, 5).Draw(t, "kind"), rapid.Uint64().Draw(t, "seed"), n)
		var w []float64
		if rapid.Bool().Draw(t, "weighted") {
			r := rand.New(rand.NewPCG(uint64(n), 3))
			for range x {
				w = append(w, float64(1+r.IntN(30)))
			}
		}
		plain, quick := newSearch(x, w, n), newSearch(x, w, 2*evenEnd+2*minStretch)
		stretches := [][2]int{{0, n}}
		for len(stretches) > 0 {
			s := stretches[0]
			stretches = stretches[1:]
			a, ok := plain.step(s[0], s[1], 0.95, shiftLevel)
			b, found := quick.step(s[0], s[1], 0.95, shiftLevel)
			if ok != found {
				t.Fatalf("%v: step %v %+v, quick %v %+v", s, ok, a, found, b)
			}
			if !ok {
				continue
			}
			if s[1]-s[0] > quick.plain {
				long++
			}
			sameStep(t, plain, s, a, b)
			at := s[0] + a.First - 1
			stretches = append(stretches, [2]int{s[0], at}, [2]int{at, s[1]})
		}
	})
	if long == 0 { // some 40 of a hundred draws, 8 of the twenty of a short run
		t.Errorf("only %d long stretches with a step", long)
	}
}

// sameStep allows for rounding, and for the part of p that neighbours share.
func sameStep(t *rapid.T, h *search, s [2]int, a, b Shift) {
	t.Helper()
	size := math.Abs(a.Before) + math.Abs(a.After) + 1e-300
	near := func(x, y float64) bool { return math.Abs(x-y) <= 1e-8*size } // the scatter of bare steps is rounding: a root of 1e-16
	if a.First != b.First {                                               // as good to the last digits
		w := h.w
		if w == nil {
			w = make([]float64, len(h.x))
			for i := range w {
				w[i] = 1
			}
		}
		sums := newSplit(h.x[s[0]:s[1]], w[s[0]:s[1]])
		if one, other := sums.betweenSS(a.First-1), sums.betweenSS(b.First-1); math.Abs(one-other) > 1e-9*one {
			t.Fatalf("%v: at %d explains %g, at %d %g", s, a.First, one, b.First, other)
		}
		return
	}
	if a.Earliest != b.Earliest || a.Latest != b.Latest {
		t.Fatalf("%v: between %d and %d, quick %d and %d", s, a.Earliest, a.Latest, b.Earliest, b.Latest)
	}
	if !near(a.Before, b.Before) || !near(a.After, b.After) || !near(a.UBefore, b.UBefore) || !near(a.UAfter, b.UAfter) || math.Abs(a.P-b.P) > 3e-4*a.P+1e-300 {
		t.Fatalf("%v: %+v, quick %+v", s, a, b)
	}
}

// The integral over neighbouring places is their sum, one by one.
func TestSearch_EvenWeights(t *testing.T) {
	for _, n := range []int{2*evenEnd + 7, 1000, 20_000} {
		for _, c := range []float64{1, 2.5, 4, 8, 20} {
			over := newCrossing(c)
			want := 0.0
			for k := minStretch; k < n-minStretch; k++ {
				want += over.exactly(float64(n) / (float64(k+1) * float64(n-k)))
			}
			if got := over.even(float64(n)); math.Abs(got-want) > 1e-6*want {
				t.Errorf("n %d, c %g: %g, one by one %g", n, c, got, want)
			}
		}
	}
}
