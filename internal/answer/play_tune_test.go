package answer

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// TestTune_Plan: on every example neck the plan's setbacks and cents are those
// of `play --tune`.
func TestTune_Plan(t *testing.T) {
	files, err := filepath.Glob("../../examples/heron*.toml")
	if err != nil || len(files) < 5 {
		t.Fatalf("%d example necks, %v", len(files), err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		m, err := neck.Parse(file, data)
		if err != nil {
			t.Fatal(err)
		}
		l, err := geometry.New(m)
		if err != nil {
			t.Fatal(err)
		}
		planned, err := TuneStrings(context.Background(), m, l)
		if err != nil {
			t.Fatal(err)
		}
		a, err := Tune(context.Background(), TuneRequest{PlayRequest: PlayRequest{Model: m, Layout: l}})
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Strings) != len(planned) || len(planned) == 0 {
			t.Fatalf("%s: %d strings, the plan has %d", file, len(a.Strings), len(planned))
		}
		for i, p := range planned {
			s := a.Strings[i]
			if math.Abs(s.SetbackMM-p.SetbackMM) > 1e-9 || math.Abs(s.Both.NutMM-p.Best.NutMM) > 1e-6 || len(s.LeftOver) != len(p.LeftOver) {
				t.Fatalf("%s, string %d: %g, the plan says %g", file, i+1, s.SetbackMM, p.SetbackMM)
			}
			for k := range p.LeftOver {
				if math.Abs(s.LeftOver[k]-p.LeftOver[k]) > 1e-7 {
					t.Errorf("%s, string %d, fret %d: %g cents, the plan says %g", file, i+1, s.Frets[k], s.LeftOver[k], p.LeftOver[k])
				}
			}
			if !(s.RangeMM[0] < s.SetbackMM && s.SetbackMM < s.RangeMM[1]) {
				t.Errorf("%s, string %d: %g mm lies outside its own range %v", file, i+1, s.SetbackMM, *s.RangeMM)
			}
			if !(s.Both.RMSCents <= s.Saddle.RMSCents && s.Saddle.RMSCents <= s.Exact.RMSCents && s.Exact.RMSCents < s.None.RMSCents) {
				t.Errorf("%s, string %d: rms %g, %g, %g, %g do not rise from the freest choice on", file, i+1,
					s.Both.RMSCents, s.Saddle.RMSCents, s.Exact.RMSCents, s.None.RMSCents)
			}
		}
	}
}

// tunedHeron asks the Heron.
func tunedHeron(t *testing.T, r TuneRequest) (*TuneAnswer, error) {
	t.Helper()
	r.Model, r.Layout = exampleNeck(t)
	return Tune(context.Background(), r)
}

func TestTune_finger(t *testing.T) {
	just, err := tunedHeron(t, TuneRequest{})
	if err != nil {
		t.Fatal(err)
	}
	deep, err := tunedHeron(t, TuneRequest{FingerMM: 0.3})
	if err != nil {
		t.Fatal(err)
	}
	for i := range just.Strings {
		a, b := just.Strings[i], deep.Strings[i]
		if add := b.None.Cents[0] - a.None.Cents[0]; math.Abs(add-a.Deeper.FirstFretCents) > 1e-9 || !(add > 1) {
			t.Errorf("string %d: 0.3 mm adds %g cents at fret 1, foretold %g", a.String, add, a.Deeper.FirstFretCents)
		}
	}
	sharp, err := tunedHeron(t, TuneRequest{PlayRequest: PlayRequest{A4Hz: 466}})
	if err != nil {
		t.Fatal(err)
	}
	if !(sharp.Strings[0].SetbackMM < just.Strings[0].SetbackMM) {
		t.Errorf("tuned up, string 1 wants %g mm, no less than %g: a tighter string stretches less", sharp.Strings[0].SetbackMM, just.Strings[0].SetbackMM)
	}
	for want, r := range map[string]TuneRequest{
		"presses into the board":                               {FingerMM: 2},
		"less than 10.68 mm, the room between frets 21 and 22": {BehindMM: 30},
		"a neck as planned needs readings":                     {PlayRequest: PlayRequest{Planned: true}},
		"a finger -1 mm behind the fret must be more than 0":   {BehindMM: -1},
	} {
		if _, err := tunedHeron(t, r); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	m, l := exampleNeck(t)
	if _, err := Tune(ctx, TuneRequest{PlayRequest: PlayRequest{Model: m, Layout: l}}); err != context.Canceled {
		t.Errorf("called off: %v", err)
	}
}

// TestTune_read: crowns as read move the cents by what their heights ask for, and
// a lane without its fret 12 is not judged.
func TestTune_read(t *testing.T) {
	f := example(t, "heron.toml", "heron-seated.csv")
	r := TuneRequest{PlayRequest: PlayRequest{Model: f.Model, Layout: f.Layout, Readings: f.Readings, Read: true}}
	a, err := Tune(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	perfect, err := tunedHeron(t, TuneRequest{})
	if err != nil {
		t.Fatal(err)
	}
	// Fret 14 stands 62 µm high under string 1: pressed there the string bends
	// less, so that its note is flatter than on a perfect crown.
	if d := a.Strings[0].None.Cents[13] - perfect.Strings[0].None.Cents[13]; !(d < -0.01 && d > -1) {
		t.Errorf("fret 14 is %g cents off its perfect note", d)
	}
	r.Readings = nil
	for _, x := range f.Readings {
		if x.Lane != 2 {
			r.Readings = append(r.Readings, x)
		}
	}
	if a, err = Tune(context.Background(), r); err != nil {
		t.Fatal(err)
	}
	if len(a.Strings) != 5 || len(a.NotJudged) != 1 || a.NotJudged[0].String != 2 {
		t.Errorf("%d strings, not judged %+v", len(a.Strings), a.NotJudged)
	}
}

func BenchmarkTune(b *testing.B) {
	m, l := exampleNeck(b)
	for b.Loop() {
		if _, err := Tune(context.Background(), TuneRequest{PlayRequest: PlayRequest{Model: m, Layout: l}}); err != nil {
			b.Fatal(err)
		}
	}
}
