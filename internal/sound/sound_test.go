package sound

import (
	"context"
	"errors"
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"pgregory.net/rapid"

	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
)

// issanchou is the string of Issanchou et al., JSV 393 (2017) 229, cases S4 and
// S5: its parameters and its damping law.
func issanchou() play.Span {
	s := play.Span{LengthMM: 1002, TensionN: 180.5, MassGPerM: 1.17}
	s.StiffnessNMM2 = 1.78e-5 * s.TensionN * s.LengthMM * s.LengthMM / (math.Pi * math.Pi)
	s.Decay = stringset.Losses{TensionN: 180.5, MassKGPerM: 1.17e-3, StiffnessNM2: 3.26838e-4, DiameterM: 0.43e-3,
		AirPaS: 1.8e-5, AirKGPerM3: 1.2, Bending: 4.5e-3, Rest: 2.03e-4}
	return s
}

// plucked is a barrier and a shape released over it.
func plucked(t testing.TB, s play.Span, x []float64, pluck play.Pluck) (*play.Barrier, []float64) {
	t.Helper()
	m, err := play.NewModes(s)
	if err != nil {
		t.Fatal(err)
	}
	start := m.Triangle(pluck.AtMM)
	for n := range start {
		start[n] *= pluck.HeightMM
	}
	return play.NewBarrier(m, x), start
}

// file is a note as a WAV file, and the note.
func file(t testing.TB, s play.Span, x, floor []float64, pluck play.Pluck, p Place, seconds float64) ([]byte, []float64) {
	t.Helper()
	barrier, start := plucked(t, s, x, pluck)
	heard, err := Note(context.Background(), barrier, start, floor, p, seconds)
	if err != nil {
		t.Fatal(err)
	}
	full := p.FullScale(s, pluck)
	scaled := make([]float64, len(heard))
	for i, v := range heard {
		scaled[i] = v / full
	}
	data, err := WAV(scaled)
	if err != nil {
		t.Fatal(err)
	}
	return data, heard
}

// TestNote_closedForm: without contact each mode is e^(−σt)(cos ω_d t + σ/ω_d
// sin ω_d t), seen through the low-pass.
func TestNote_closedForm(t *testing.T) {
	s := issanchou()
	s.Decay = stringset.Law{Base: 0.5, Square: 5e-8}
	pluck := play.Pluck{AtMM: 800, HeightMM: 1.5}
	barrier, start := plucked(t, s, []float64{100, 300}, pluck)
	taps := lowPass(passHz/96000, 0.25)
	for _, p := range []Place{{}, {FromSaddleMM: 130}} {
		heard, err := Note(context.Background(), barrier, start, []float64{-5, -5}, p, 0.2)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range []int{200, 1000, 3000, 7999} {
			want, at := 0.0, float64(i)/RateHz
			for n, q := range start {
				w, sigma := barrier.Omega[n], barrier.Sigma[n]
				wd := math.Sqrt(w*w - sigma*sigma)
				z := complex(q, -q*sigma/wd) * cmplx.Exp(complex(-sigma*at, wd*at)) // Re z is the height
				k := float64(n+1) * math.Pi / s.LengthMM
				if p.FromSaddleMM == 0 {
					z *= complex(-math.Cos(float64(n+1)*math.Pi)*k*(s.TensionN+s.StiffnessNMM2*k*k), 0)
				} else {
					z *= complex(-sigma, wd) * complex(math.Sin(k*(s.LengthMM-130)), 0)
				}
				gain := complex(0, 0)
				for j, tap := range taps {
					gain += complex(tap, 0) * cmplx.Exp(complex(-sigma, wd)*complex(float64(j-len(taps)/2)/96000, 0))
				}
				want += real(z * gain)
			}
			if full := p.FullScale(s, pluck); math.Abs(heard[i]-want) > 1e-6*full {
				t.Errorf("%v at sample %d: %g, closed form %g of %g", p, i, heard[i], want, full)
			}
		}
	}
}

// TestNote_stepwise: over frets that it strikes, the note is what the plain
// stepwise run gives when it is listened to at every step.
func TestNote_stepwise(t *testing.T) {
	s := issanchou()
	s.Decay = stringset.Law{Base: 0.5, Square: 5e-8}
	pluck := play.Pluck{AtMM: 750, HeightMM: 3}
	x, floor := []float64{56, 110, 160, 207}, []float64{-0.4, -0.6, -0.8, -1.0}
	barrier, start := plucked(t, s, x, pluck)
	for _, p := range []Place{{}, {FromSaddleMM: 150}} {
		heard, err := Note(context.Background(), barrier, start, floor, p, 0.15)
		if err != nil {
			t.Fatal(err)
		}
		now, before := p.weights(barrier.Modes)
		raw := []float64{0}
		for n, q := range start {
			if p.FromSaddleMM == 0 {
				raw[0] += now[n] * q
			}
		}
		met, err := barrier.SimulateStepwise(context.Background(), start, floor, 14400, func(_ int, q, b, _ []float64) {
			sum := 0.0
			for n := range q {
				sum += now[n] * q[n]
				if p.FromSaddleMM > 0 {
					sum += before[n] * b[n]
				}
			}
			raw = append(raw, sum)
		})
		if err != nil || !met.Touched() {
			t.Fatalf("%v, touched nothing or failed", err)
		}
		want := resample(raw, 96000)
		for i := 0; i < 4800; i++ { // the contact's order grows sensitive later
			if math.Abs(heard[i]-want[i]) > 1e-5*p.FullScale(s, pluck) {
				t.Fatalf("%v at sample %d: %g, stepwise %g", p, i, heard[i], want[i])
			}
		}
	}
}

// TestNote_level: the first swing of a free note is the pluck's, by statics: the
// force on the saddle T·h/(L − x0) falls to −T·h/x0, and the file has 12 dB to
// spare.
func TestNote_level(t *testing.T) {
	s := issanchou()
	s.StiffnessNMM2 = 1e-3
	pluck := play.Pluck{AtMM: 800, HeightMM: 1.5}
	_, heard := file(t, s, nil, nil, pluck, Place{}, 0.1)
	up, down := s.TensionN*1.5/202, -s.TensionN*1.5/800
	mean := func(from, to float64) float64 {
		a, b := int(from*RateHz), int(to*RateHz)
		sum := 0.0
		for _, v := range heard[a:b] {
			sum += v
		}
		return sum / float64(b-a)
	}
	period := s.PeriodS()
	// The kink reaches the saddle after (L − x0)/c and comes back from the nut.
	if got := mean(0.2*0.1008*period, 0.8*0.1008*period); math.Abs(got/up-1) > 0.02 {
		t.Errorf("at first the saddle feels %g N, statics say %g", got, up)
	}
	if got := mean(0.3*period, 0.7*period); math.Abs(got/down-1) > 0.02 {
		t.Errorf("then it feels %g N, statics say %g", got, down)
	}
	if full := (Place{}).FullScale(s, pluck); math.Abs(full/(4*(up-down))-1) > 1e-12 {
		t.Errorf("full scale %g N, four times the pluck's force is %g", full, 4*(up-down))
	}
}

// TestNote_buzz: a note that strikes the frets has more of its energy high up, in
// its first 100 ms, than the same note without frets.
func TestNote_buzz(t *testing.T) {
	s := issanchou()
	s.Decay = stringset.Law{Base: 0.5, Square: 5e-8}
	pluck := play.Pluck{AtMM: 501, HeightMM: 2}
	high := func(x, floor []float64) float64 {
		data, _ := file(t, s, x, floor, pluck, Place{}, 0.2)
		_, _, _, heard := chunks(t, data)
		return above(heard[:4800], 2000)
	}
	free, buzzing := high(nil, nil), high([]float64{56, 110, 160, 207}, []float64{-0.1, -0.2, -0.3, -0.4})
	if !(buzzing > 1.5*free) {
		t.Errorf("share above 2 kHz: %g with frets, %g without", buzzing, free)
	}
}

// above is the share of a sound's energy above a frequency.
func above(s []float64, hz float64) float64 {
	var all, high float64
	for i, c := range fourier.NewFFT(len(s)).Coefficients(nil, s) {
		e := real(c)*real(c) + imag(c)*imag(c)
		all += e
		if float64(i)*RateHz/float64(len(s)) > hz {
			high += e
		}
	}
	return high / all
}

// TestLowPass_Kaiser: what is heard passes within 0.01 %, what would fold back is
// 100 dB down, at both rates that are halved most.
func TestLowPass_Kaiser(t *testing.T) {
	for _, rate := range []float64{96000, 192000} {
		taps := lowPass(passHz/rate, 0.5-RateHz/2/rate)
		gain := func(hz float64) float64 {
			sum := 0.0
			for i, tap := range taps {
				sum += tap * math.Cos(2*math.Pi*hz/rate*float64(i-len(taps)/2))
			}
			return math.Abs(sum)
		}
		for hz := 0.0; hz <= rate/2; hz += 50 {
			switch g := gain(hz); {
			case hz <= passHz && math.Abs(g-1) > 1e-4:
				t.Errorf("at %g Hz of %g the filter passes %g", hz, rate, g)
			case hz >= rate/2-RateHz/2 && g > 1e-5:
				t.Errorf("at %g Hz of %g the filter passes %g", hz, rate, g)
			}
		}
	}
}

// TestResample_tone: a tone keeps its height and its place in time, at every
// power of two.
func TestResample_tone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := RateHz * math.Exp2(float64(rapid.IntRange(0, 3).Draw(t, "halvings")))
		hz := rapid.Float64Range(20, 19000).Draw(t, "hz")
		s := make([]float64, int(rate/20))
		for i := range s {
			s[i] = math.Sin(2 * math.Pi * hz * float64(i) / rate)
		}
		out := resample(s, rate)
		if len(out) != RateHz/20 {
			t.Fatalf("%d samples of %g Hz became %d", len(s), rate, len(out))
		}
		for i := 300; i < 2000; i++ {
			if want := math.Sin(2 * math.Pi * hz * float64(i) / RateHz); math.Abs(out[i]-want) > 4e-4 {
				t.Fatalf("sample %d: %g, want %g", i, out[i], want)
			}
		}
	})
}

func TestNote_calledOff(t *testing.T) {
	barrier, start := plucked(t, issanchou(), nil, play.Pluck{AtMM: 500, HeightMM: 1})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Note(ctx, barrier, start, nil, Place{}, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	if err := (Place{FromSaddleMM: 1002}).On(1002); err == nil {
		t.Error("a pickup at the stop passed")
	}
}

func TestRow_ticks(t *testing.T) {
	var r Row
	r.Rest(0.2)
	r.Ticks(2)
	r.Add([]float64{0.5, 0.5}, true)
	peak := func(s []float64) (most float64) {
		for _, v := range s {
			most = math.Max(most, math.Abs(v))
		}
		return most
	}
	n := len(r.Left)
	if n != 9602 || len(r.Right) != n || r.Left[n-1] != 0 || r.Right[n-1] != 0.5 {
		t.Errorf("%d and %d samples, ending %g and %g", n, len(r.Right), r.Left[n-1], r.Right[n-1])
	}
	for _, w := range []struct {
		from, to int
		ticks    bool
	}{{0, 4800, false}, {4800, 5400, true}, {5400, 7200, false}, {7200, 7800, true}, {7800, 9600, false}} {
		if got := peak(r.Left[w.from:w.to]) > 0.1; got != w.ticks {
			t.Errorf("samples %d to %d: a tick is %v", w.from, w.to, got)
		}
	}
}

// BenchmarkNote is three seconds of a low string that buzzes.
func BenchmarkNote(b *testing.B) {
	s := play.Span{LengthMM: 648, TensionN: 87.5, MassGPerM: 7.68, StiffnessNMM2: 260, Decay: stringset.Law{Base: 0.5, Square: 5e-8}}
	var x, floor []float64
	for f := 1; f <= 22; f++ {
		x, floor = append(x, 648*(1-math.Exp2(-float64(f)/12))), append(floor, -0.3-0.06*float64(f))
	}
	barrier, start := plucked(b, s, x, play.Pluck{AtMM: 538, HeightMM: 0.8})
	for b.Loop() {
		if _, err := Note(context.Background(), barrier, start, floor, Place{}, 3); err != nil {
			b.Fatal(err)
		}
	}
}

// What would clip is turned down, all channels alike, and told.
func TestTurnDown(t *testing.T) {
	left, right := []float64{0, 2, -1}, []float64{0.5, 0, 0}
	if dB := TurnDown(left, right); math.Abs(dB-6.0206) > 1e-4 {
		t.Errorf("turned down %g dB", dB)
	}
	if left[1] != 1 || left[2] != -0.5 || right[0] != 0.25 {
		t.Errorf("%v %v", left, right)
	}
	if dB := TurnDown(left, right); dB != 0 || left[1] != 1 {
		t.Errorf("what does not clip is turned down %g dB", dB)
	}
}
