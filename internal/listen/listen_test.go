package listen

import (
	"context"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"
	"testing"

	"ringtrue/internal/neck"
	"ringtrue/internal/necktest"
	"ringtrue/internal/recording"
	"ringtrue/internal/tune"
)

const rate = 22050

// heron is the example neck, and the request to hear some of it.
func heron(t *testing.T, to int, strings ...int) Request {
	t.Helper()
	m, l := necktest.Heron(t)
	return Request{Model: m, Layout: l, Strings: strings, To: to}
}

// pluck is a stiff string in closed form.
type pluck struct{ hz, b, base, square float64 }

// player makes a recording of plucks.
type player struct {
	r *rand.Rand
	x []float64
}

func newPlayer(seed uint64) *player {
	return &player{r: rand.New(rand.NewPCG(seed, 1)), x: make([]float64, rate/2)}
}

func (p *player) pluck(s pluck, seconds float64) {
	note := make([]float64, int(seconds*rate))
	for n := 1.0; ; n++ {
		f := n * s.hz * math.Sqrt((1+s.b*n*n)/(1+s.b))
		if f > 9000 {
			break
		}
		z := complex(math.Sin(math.Pi*n*0.17)/n, 0)
		step := cmplx.Exp(complex(-(s.base+s.square*f*f)/rate, 2*math.Pi*f/rate))
		for i := range note {
			note[i] += imag(z)
			z *= step
		}
	}
	p.x = append(p.x, note...)
}

// end adds a room's noise, 45 dB below, and gives the recording.
func (p *player) end() recording.Sound {
	p.x = append(p.x, make([]float64, rate/2)...)
	peak := 0.0
	for i := range p.x {
		p.x[i] += 0.004 * p.r.NormFloat64()
		peak = math.Max(peak, math.Abs(p.x[i]))
	}
	for i := range p.x {
		p.x[i] *= 0.9 / peak
	}
	return recording.Sound{Samples: p.x, RateHz: rate}
}

// strung are the plucks of a string, its saddle and nut away from where they should be.
func strung(t *testing.T, r Request, number int, off tune.Setback) (frets []pluck, best tune.Best) {
	t.Helper()
	l, err := tune.OfNeck(r.Model, r.Layout, number, 440)
	if err != nil {
		t.Fatal(err)
	}
	if best, err = l.LeastSquares(true); err != nil {
		t.Fatal(err)
	}
	cents := append([]float64{0}, l.Cents(tune.Setback{SaddleMM: best.SaddleMM + off.SaddleMM, NutMM: best.NutMM + off.NutMM})...)
	for f := 0; f <= r.To; f++ {
		hz := l.String.PitchHz * math.Exp2(float64(f)/12+cents[f]/1200)
		frets = append(frets, pluck{hz, l.String.Inharmonicity(lengthOf(l, f)), 3, 3e-7})
	}
	return frets, best
}

func of(t *testing.T, r Request, s recording.Sound) *Report {
	t.Helper()
	out, err := Of(context.Background(), r, s, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestOf_WhatWasPutIn: two strings whose saddle and nut stand off by known ways, one of them
// thicker than the file says, a note that dies early, one left out and one played twice.
func TestOf_WhatWasPutIn(t *testing.T) {
	r := heron(t, 12, 2, 1)
	p := newPlayer(1)
	for _, number := range r.Strings {
		off := tune.Setback{SaddleMM: -0.8, NutMM: 0.3}
		if number == 1 {
			off = tune.Setback{SaddleMM: 0.5}
		}
		frets, _ := strung(t, r, number, off)
		for f, s := range frets {
			switch {
			case number == 1:
				s.b *= math.Pow(0.011/0.010, 2) // at one pitch B goes with the square of the gauge
			case f == 5:
				s.base = 12
			case f == 8:
				continue
			}
			p.pluck(s, 1.3)
			if f == 3 {
				p.pluck(s, 1.3)
			}
		}
	}
	out := of(t, r, p.end())
	if !out.Fits || out.Heard != 25 || len(out.Notes) != 27 || len(out.Missing) != 1 || out.Missing[0] != (Missing{2, 8}) || len(out.Unnamed) != 0 {
		t.Fatalf("fits %t, heard %d in %d notes, missing %v, unnamed %v", out.Fits, out.Heard, len(out.Notes), out.Missing, out.Unnamed)
	}
	for _, n := range out.Notes {
		if n.DiesEarly != (n.String == 2 && n.Fret == 5) {
			t.Errorf("string %d fret %d dies early: %t (%v)", n.String, n.Fret, n.DiesEarly, n.RingShare)
		}
		if n.Fret == 0 && math.Abs(n.Cents) > 0.2 {
			t.Errorf("open string %d: %v cents", n.String, n.Cents)
		}
	}
	for i, want := range []tune.Setback{{SaddleMM: 0.8, NutMM: -0.3}, {SaddleMM: -0.5}} {
		m := out.Strings[i].Both
		if m == nil || math.Abs(m.SaddleMM-want.SaddleMM) > 0.06 || math.Abs(m.NutMM-want.NutMM) > 0.06 || m.LeftCents > 1 {
			t.Errorf("string %d: moves %+v, want %+v", out.Strings[i].String, m, want)
		}
	}
	two, one := out.Strings[0], out.Strings[1]
	if two.Doubt != "" || math.Abs(two.GaugeMM.OrNaN()-0.3302) > 0.004 || math.Abs(two.StiffnessNMM2.OrNaN()/two.FileNMM2-1) > 0.03 {
		t.Errorf("string 2 is as its file says: %+v", two)
	}
	if one.Doubt != WrongGauge || math.Abs(one.GaugeMM.OrNaN()-0.2794) > 0.004 {
		t.Errorf("string 1 is 0.2794 mm: %+v", one)
	}
	learned(t, r, out)
}

// learned reads the table of what was heard as `play --set` does.
func learned(t *testing.T, r Request, out *Report) {
	t.Helper()
	text, err := out.Learn(r.Model)
	if err != nil {
		t.Fatal(err)
	}
	set, _, err := neck.ParseSet("strings.toml", []byte(text))
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	if len(set) != 6 || set[5].Damping != nil || set[5].Stiffness != 0 || math.Abs(set[5].Gauge-r.Model.Strings.Set[5].Gauge) > 1e-4 || !set[5].Wound {
		t.Fatalf("strings not heard: %+v", set)
	}
	if d := set[1].Damping; d == nil || math.Abs(d.Base/3-1) > 0.05 || math.Abs(d.Square/3e-7-1) > 0.1 {
		t.Errorf("damping %+v, want 3 and 3e-7", d)
	}
	if s := set[1].Stiffness; math.Abs(s/out.Strings[0].FileNMM2-1) > 0.03 {
		t.Errorf("stiffness %v", s)
	}
}

// TestOf_TunedAnotherWay: a string two semitones low, and a whole neck three low, keep their
// names and are said to be so; nothing follows of their data.
func TestOf_TunedAnotherWay(t *testing.T) {
	for _, c := range []struct {
		name string
		by   map[int]int
	}{{"one", map[int]int{1: -2}}, {"all", map[int]int{1: -3, 2: -3, 3: -3}}} {
		r := heron(t, 7, 3, 2, 1)
		p := newPlayer(2)
		for _, number := range r.Strings {
			frets, _ := strung(t, r, number, tune.Setback{})
			for _, s := range frets {
				s.hz *= math.Exp2(float64(c.by[number]) / 12)
				p.pluck(s, 0.9)
			}
		}
		out := of(t, r, p.end())
		if !out.Fits || out.Heard != 24 {
			t.Fatalf("%s: %d heard, fits %t", c.name, out.Heard, out.Fits)
		}
		for _, s := range out.Strings {
			if s.TunedBy != c.by[s.String] || (s.TunedBy != 0) != (s.Doubt == WrongPitch && s.Saddle == nil && !s.StiffnessNMM2.Known()) {
				t.Errorf("%s: string %d: %+v", c.name, s.String, s)
			}
		}
	}
}

// speech is syllables whose pitch glides, with vowels and hisses, as somebody who talks.
func speech(r *rand.Rand, seconds float64) recording.Sound {
	var x []float64
	for float64(len(x)) < seconds*rate {
		n := int((0.12 + 0.2*r.Float64()) * rate)
		f, glide, formant := 90+130*r.Float64(), 0.6+0.8*r.Float64(), 400+1500*r.Float64()
		at := 0.0
		for i := range n {
			part := float64(i) / float64(n)
			pitch := f * math.Pow(glide, part)
			at += 2 * math.Pi * pitch / rate
			v := 0.0
			for k := 1.0; k < 20; k++ {
				v += math.Sin(k*at) / (1 + math.Pow((k*pitch-formant)/300, 2))
			}
			x = append(x, 0.2*math.Sin(math.Pi*part)*v+0.001*r.NormFloat64())
		}
		for range int((0.02 + 0.3*r.Float64()*r.Float64()) * rate) {
			x = append(x, 0.001*r.NormFloat64())
		}
	}
	return recording.Sound{Samples: x, RateHz: rate}
}

// TestOf_NothingInvented: speech, hiss, knocks and another neck's strings name no note.
func TestOf_NothingInvented(t *testing.T) {
	r := heron(t, -1)
	rnd := rand.New(rand.NewPCG(4, 4))
	hiss := recording.Sound{Samples: make([]float64, 5*rate), RateHz: rate}
	for i := range hiss.Samples {
		hiss.Samples[i] = 0.1 * rnd.NormFloat64()
	}
	bass := newPlayer(5)
	for k := range 24 {
		bass.pluck(pluck{41.2 * math.Exp2(float64(k)/12), 5e-5, 1, 1e-6}, 0.7)
	}
	for name, s := range map[string]recording.Sound{"speech": speech(rnd, 20), "hiss": hiss, "a bass": bass.end()} {
		out := of(t, r, s)
		if out.Fits || out.Heard > 0 || len(out.Notes) > 0 || len(out.Missing) != 138 || len(out.Strings) > 0 {
			t.Errorf("%s: fits %t, %d heard, %d missing, %d sounds", name, out.Fits, out.Heard, len(out.Missing), len(out.Unnamed))
		}
		if _, err := out.Learn(r.Model); err == nil {
			t.Errorf("%s teaches strings", name)
		}
	}
}

// TestOf_Refuses strings and frets that the neck has not.
func TestOf_Refuses(t *testing.T) {
	for want, change := range map[string]func(*Request){
		"no string 7":       func(r *Request) { r.Strings = []int{6, 7} },
		"string 2 is named": func(r *Request) { r.Strings = []int{2, 1, 2} },
		"frets 3 to 2":      func(r *Request) { r.From, r.To = 3, 2 },
		"frets 0 to 23":     func(r *Request) { r.To = 23 },
		"A4 at 44 Hz":       func(r *Request) { r.A4Hz = 44 },
		"frets -1 to 22":    func(r *Request) { r.From = -1 },
	} {
		r := heron(t, -1)
		change(&r)
		_, err := Of(context.Background(), r, recording.Sound{Samples: make([]float64, 100), RateHz: rate}, nil, nil)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}
