package heard

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"
)

// pluckedString is a stiff string plucked at a share of its length, in closed form: its
// partials on f_n = n·f0·√(1 + B·n²), each dying away by base + square·f².
func pluckedString(r *rand.Rand, f0, b, pluck, base, square, rate, seconds, noiseDB float64) []float64 {
	x := make([]float64, int(seconds*rate))
	for n := 1; law(f0, b, n) < min(0.45*rate, 15000); n++ {
		f := law(f0, b, n)
		a := math.Sin(math.Pi*float64(n)*pluck) / float64(n)
		step := cmplx.Exp(complex(-(base+square*f*f)/rate, 2*math.Pi*f/rate))
		z := complex(a, 0)
		for i := range x {
			x[i] += imag(z)
			z *= step
		}
	}
	noise := math.Sqrt(power(x[:min(len(x), int(0.5*rate))])) * math.Pow(10, -noiseDB/20)
	for i := range x {
		x[i] += noise * r.NormFloat64()
	}
	return x
}

// TestListen_StiffString_ClosedForm: of 40 free strings at 25 dB of noise nine in ten come
// out within 0.1 cent, 1 % of B and 3 % of the slowest rate.
func TestListen_StiffString_ClosedForm(t *testing.T) {
	const rate = 44100
	r := rand.New(rand.NewPCG(1, 2))
	var cents, bs, rates []float64
	for range 40 {
		f0 := 82.4 * math.Exp2(3*r.Float64())
		b := 1.2e-5 * math.Exp2(4*r.Float64()) * math.Sqrt(f0/82.4)
		base, square := 0.5+r.Float64(), 5e-8*(1+r.Float64())
		x := pluckedString(r, f0, b, 0.1+0.15*r.Float64(), base, square, rate, 1.0, 25)
		near, ok := Pitch(x, rate)
		n, found := Listen(x, rate, near, 0)
		if !ok || !found || !n.Inharmonicity.Known() || len(n.Decays) == 0 {
			t.Errorf("f0 %.2f, B %.3g: not heard: near %v, %+v", f0, b, near, n)
			continue
		}
		cents = append(cents, math.Abs(1200*math.Log2(n.Hz/(f0*math.Sqrt(1+b)))))
		bs = append(bs, math.Abs(n.Inharmonicity.Or(0)/b-1))
		d := n.Decays[0]
		rates = append(rates, math.Abs(d.RatePerS/(base+square*d.Hz*d.Hz)-1))
	}
	p90 := func(v []float64) float64 { slices.Sort(v); return v[len(v)*9/10] }
	if a, b, c := p90(cents), p90(bs), p90(rates); true {
		t.Logf("p90 %.3f cents, B %.2f %%, rate %.2f %%; worst %.2f, %.1f %%", a, 100*b, 100*c, slices.Max(cents), 100*slices.Max(bs))
		if !(a <= 0.1 && b <= 0.01 && c <= 0.03) || len(cents) != 40 {
			t.Errorf("p90 of %d: %v cents, B %v, rate %v", len(cents), a, b, c)
		}
	}
}

// TestListen_SquareLaw: B of the two plain strings of a real guitar whose notes reach over
// many frets grows as 1/L², a sixth of an octave a fret (Fletcher, JASA 36 (1964) 203).
// Which notes are of one string is seen in B itself.
func TestListen_SquareLaw(t *testing.T) {
	names, _ := pitchNames()
	for _, c := range []struct {
		from, count int // of the notes from E2 on
		growth      float64
		rms         float64
	}{{24, 11, 0.006, 0.015}, {15, 4, 0.012, 0.03}} {
		var frets, logB []float64
		for k, name := range names[c.from : c.from+c.count] {
			s := recorded(t, name)
			x := s.Samples[Onset(s.Samples, s.RateHz):]
			near, _ := Pitch(x, s.RateHz)
			n, _ := Listen(x, s.RateHz, near, 0)
			if b, ok := n.Inharmonicity.Get(); ok {
				frets, logB = append(frets, float64(k)), append(logB, math.Log2(b))
			}
		}
		ones := make([]float64, len(frets))
		for i := range ones {
			ones[i] = 1
		}
		at, growth, _ := line(frets, logB, ones, ones)
		sum := 0.0
		for i := range frets {
			off := (logB[i] - at - growth*frets[i]) * math.Ln2
			sum += off * off
		}
		rms := math.Sqrt(sum / float64(len(frets)))
		if t.Logf("%s and up: %d notes, %.3f octaves a fret, rms %.1f %%", names[c.from], len(frets), growth, 100*rms); len(frets) < c.count-1 ||
			math.Abs(growth-1.0/6) > c.growth || rms > c.rms {
			t.Errorf("%s: %d notes grow by %.4f octaves a fret, rms %.3f", names[c.from], len(frets), growth, rms)
		}
	}
}

// TestDifference_deCheveigne2002: the difference function by a Fourier transform is that of
// its own formula, equation 6, summed term by term; so is its relative form, equation 8.
func TestDifference_deCheveigne2002(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const window, lags = 500, 300
	x := make([]float64, window+lags)
	for i := range x {
		x[i] = math.Sin(0.05*float64(i)) + 0.2*r.NormFloat64()
	}
	got := newWorker(8000).difference(x, window, lags)
	want := make([]float64, lags)
	for lag := range want {
		for j := range window {
			want[lag] += (x[j] - x[j+lag]) * (x[j] - x[j+lag])
		}
		if math.Abs(got[lag]-want[lag]) > 1e-9*window {
			t.Fatalf("lag %d: %v, want %v", lag, got[lag], want[lag])
		}
	}
	relative(got)
	sum := 0.0
	for lag := 1; lag < lags; lag++ {
		sum += want[lag]
		if w := want[lag] / (sum / float64(lag)); math.Abs(got[lag]-w) > 1e-9 {
			t.Fatalf("relative, lag %d: %v, want %v", lag, got[lag], w)
		}
	}
}

// TestPitch_Octaves: noise, hum and a missing fundamental move no pitch by an octave.
func TestPitch_Octaves(t *testing.T) {
	const rate = 48000
	r := rand.New(rand.NewPCG(5, 6))
	for f0 := 30.87; f0 < 1480; f0 *= 1.19 {
		x := pluckedString(r, f0, 2e-5, 0.2, 1, 2e-7, rate, 0.4, 20)
		if hz, ok := Pitch(x, rate); !ok || math.Abs(1200*math.Log2(hz/f0)) > 25 {
			t.Errorf("%.2f Hz: heard %.2f, %t", f0, hz, ok)
		}
	}
	for i, x := 0, make([]float64, rate); i < 5; i++ {
		for k := range x {
			x[k] = r.NormFloat64()
		}
		if hz, ok := Pitch(x, rate); ok {
			t.Errorf("noise has the pitch %v", hz)
		}
	}
}

// TestLawOf_Exact: rates on a law give it back, though a third of them are far off.
func TestLawOf_Exact(t *testing.T) {
	var d []Decay
	for n := 1; n <= 24; n++ {
		f := 110 * float64(n)
		rate := 0.7 + 3e-7*f*f
		if n%3 == 0 {
			rate *= 3
		}
		d = append(d, Decay{f, rate})
	}
	if l, ok := LawOf(d); !ok || math.Abs(l.Base-0.7) > 1e-9 || math.Abs(l.Square-3e-7) > 1e-15 {
		t.Errorf("%+v, %t", l, ok)
	}
	if _, ok := LawOf(d[:3]); ok {
		t.Error("three rates make a law")
	}
}

// TestName_LeftOutTwiceAndWrong: each way a player strays, by hand.
func TestName_LeftOutTwiceAndWrong(t *testing.T) {
	wanted := []float64{100, 106, 112, 119, 126}
	for _, c := range []struct {
		what  string
		heard []float64
		open  bool
		names []int
	}{
		{"as wanted", []float64{100.3, 105.8, 112.4, 118.6, 126}, false, []int{0, 1, 2, 3, 4}},
		{"one left out", []float64{100, 112, 119, 126}, false, []int{0, 2, 3, 4}},
		{"one twice", []float64{100, 106, 106, 112, 119, 126}, false, []int{0, 1, 1, 2, 3, 4}},
		{"a wrong one first", []float64{100, 150, 106, 112, 119, 126}, false, []int{0, -1, 1, 2, 3, 4}},
		{"a knock", []float64{100, 0, 106, 112, 119, 126}, false, []int{0, -1, 1, 2, 3, 4}},
		{"half-way", []float64{100, 106}, true, []int{0, 1}},
		{"another neck", []float64{61, 63, 65}, false, []int{-1, -1, -1}},
		{"nothing", nil, false, []int{}},
	} {
		if got := Name(c.heard, wanted, c.open); !slices.Equal(got, c.names) {
			t.Errorf("%s: %v, want %v", c.what, got, c.names)
		}
	}
}
