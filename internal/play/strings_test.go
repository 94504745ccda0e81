package play

import (
	"math"
	"os"
	"strings"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// strungHeron is the example's neck, prepared, with changes of its text.
func strungHeron(t *testing.T, ask func(*Request), edit ...string) *Neck {
	t.Helper()
	data, err := os.ReadFile("../../examples/heron.toml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for i := 0; i < len(edit); i += 2 {
		if strings.Count(text, edit[i]) != 1 {
			t.Fatalf("%q stands %d times", edit[i], strings.Count(text, edit[i]))
		}
		text = strings.Replace(text, edit[i], edit[i+1], 1)
	}
	r := Request{}
	if r.Model, err = neck.Parse("heron.toml", []byte(text)); err != nil {
		t.Fatal(err)
	}
	if r.Layout, err = geometry.New(r.Model); err != nil {
		t.Fatal(err)
	}
	if ask != nil {
		ask(&r)
	}
	n, err := NewNeck(r)
	if err != nil {
		t.Fatal(err)
	}
	if err := n.Prepare(); err != nil {
		t.Fatal(err)
	}
	return n
}

// A stopped note dies away sooner, by the finger's part of each period; an open one
// and one that a zero fret holds do not.
func TestSpan_FingersLoss(t *testing.T) {
	for _, c := range []*Neck{strungHeron(t, nil), strungHeron(t, nil, "frets = 22", "frets = 22\nzero_fret = true", `nut = "0.35 mm"`, `nut = "0 mm"`)} {
		k := c.Cases[5]
		rest, err := k.Lane.Rest(k.Setup)
		if err != nil {
			t.Fatal(err)
		}
		for _, stop := range k.Lane.Stops(k.Setup, rest) {
			for _, f := range []float64{82.4, 1000, 7000} {
				want := 0.2 + math.Pi*f/1500 + 5e-8*f*f
				if stop.Fret > 0 {
					want += 0.002 * f
				}
				if got := k.Span(stop).Decay.RatePerS(f); math.Abs(got-want) > 1e-12*want {
					t.Fatalf("fret %d, %g Hz: %g /s, want %g", stop.Fret, f, got, want)
				}
			}
		}
	}
}

// A string's own damping goes before its set's, the set's before the neck's; a
// string of a set that is the neck's own at another pitch keeps its own.
func TestDampingOf_Order(t *testing.T) {
	own := neck.Damping{Base: 3}
	common, set := neck.Damping{Base: 2}, neck.Damping{Base: 4}
	ask := func(r *Request) {
		r.Model.Strings.Damping = common
		r.Model.Strings.Set[1].Damping = &own
	}
	n := strungHeron(t, ask)
	for i, want := range []float64{2, 3, 2} {
		if got, common := n.dampingOf(i + 1); got.Base != want || common != (want == 2) {
			t.Errorf("string %d: %g, common %v, want %g", i+1, got.Base, common, want)
		}
	}
	tried := strungHeron(t, func(r *Request) {
		ask(r)
		for _, s := range r.Model.Strings.Set {
			r.Set = append(r.Set, neck.String{Pitch: s.Pitch})
		}
		r.Set[2] = neck.String{Pitch: "G3", Gauge: 0.43, Damping: &set}
		r.Set[3] = neck.String{Pitch: "D3", Gauge: 0.66, Wound: true}
	})
	for i, want := range []float64{2, 3, 4, 2} {
		if got, common := tried.dampingOf(i + 1); got.Base != want || common != (want == 2) {
			t.Errorf("of a set, string %d: %g, common %v, want %g", i+1, got.Base, common, want)
		}
	}
	tried.Damping = &set
	for number := 1; number <= 2; number++ {
		if got, common := tried.dampingOf(number); got.Base != 4 || common {
			t.Errorf("a set's damping, string %d: %g, common %v", number, got.Base, common)
		}
	}
}

// A set's wound string without a wrap is wound as the neck's own.
func TestRetune_Wrap(t *testing.T) {
	ask := func(r *Request) {
		for i := range r.Model.Strings.Set {
			r.Set = append(r.Set, neck.String{Pitch: r.Model.Strings.Set[i].Pitch})
		}
		r.Set[5] = neck.String{Pitch: "E2", Gauge: 1.2, Wound: true}
	}
	bronze := strungHeron(t, ask, `gauge = "0.046 in", kind = "wound"`, `gauge = "0.046 in", kind = "wound", wrap = "phosphor bronze"`)
	if s := bronze.Strings[5]; s.Wrap != neck.PhosphorBronze || s.WrapTaken {
		t.Errorf("wound with %q, taken %v", s.Wrap, s.WrapTaken)
	}
	if s := bronze.Strings[4]; s.Wrap != stringset.UsualWrap || !s.WrapTaken {
		t.Errorf("string 5, the neck's own: %q, taken %v", s.Wrap, s.WrapTaken)
	}
	plain := strungHeron(t, ask)
	if ratio := bronze.Strings[5].TensionN / plain.Strings[5].TensionN; !(ratio > 1.08 && ratio < 8.86/7.86) {
		t.Errorf("bronze pulls %g times as hard", ratio)
	}
}

// Forces one a string reach the strings, a string's own goes before, and under one
// touch alone every string is plucked as before.
func TestTouches_ReachTheString(t *testing.T) {
	n := strungHeron(t, nil, `force = "0.4 N"`, `force = ["0.32 N", "0.34 N", "0.36 N", "0.4 N", "0.44 N", "0.48 N"]`,
		`gauge = "0.036 in", kind = "wound"`, `gauge = "0.036 in", kind = "wound", force = "0.66 N"`)
	for i, want := range []float64{0.32, 0.34, 0.36, 0.4, 0.66, 0.48} {
		c := n.Cases[i]
		pluck, err := PluckOf(c.Touches[n.judge], c.String.TensionN, 640)
		if err != nil {
			t.Fatal(err)
		}
		if h := want * 530 * 110 / (c.String.TensionN * 640); math.Abs(pluck.HeightMM/h-1) > 1e-12 {
			t.Errorf("string %d: lifted %g mm, want %g", i+1, pluck.HeightMM, h)
		}
	}
	for k, name := range []string{"light", "firm", "hard"} {
		alone := strungHeron(t, func(r *Request) { *r = n.Under(name) })
		for i, c := range alone.Cases {
			if got, want := c.Touches[0], n.Cases[i].Touches[k]; len(c.Touches) != 1 || math.Abs(got.Force-want.Force) > 1e-12 || got.FromSaddle != want.FromSaddle {
				t.Errorf("%s alone plucks string %d with %+v, among others %+v", name, i+1, got, want)
			}
		}
	}
	lift := strungHeron(t, func(r *Request) { *r = r.Under("firm") }, `force = "0.4 N"`, `lift = "1 mm"`)
	if got := lift.Cases[3].Touches[0]; got.Lift != 1 || got.Force != 0 {
		t.Errorf("a lift became %+v", got)
	}
}
