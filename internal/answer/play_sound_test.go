package answer

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"math"
	"runtime"
	"strings"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/floats"

	"ringtrue/internal/casetest"
	"ringtrue/internal/play"
	"ringtrue/internal/sound"
)

// seated asks for a note of the Heron as it was seated.
func seated(t testing.TB, choice play.NoteChoice) SoundRequest {
	t.Helper()
	f := example(t, "heron.toml", "heron-seated.csv")
	return SoundRequest{PlayRequest: PlayRequest{Model: f.Model, Layout: f.Layout, Readings: f.Readings, Read: true}, Note: choice}
}

// perfect asks for a note of the Heron with perfect crowns.
func perfect(t testing.TB, choice play.NoteChoice) SoundRequest {
	t.Helper()
	m, l := exampleNeck(t)
	return SoundRequest{PlayRequest: PlayRequest{Model: m, Layout: l}, Note: choice}
}

// wavSamples are a mono file's samples: what follows its 44 bytes of head.
func wavSamples(t testing.TB, data []byte) []float64 {
	t.Helper()
	if string(data[36:40]) != "data" {
		t.Fatalf("the samples do not follow the head: %q", data[36:40])
	}
	raw := make([]int16, (len(data)-44)/2)
	if err := binary.Read(bytes.NewReader(data[44:]), binary.LittleEndian, raw); err != nil {
		t.Fatal(err)
	}
	out := make([]float64, len(raw))
	for i, v := range raw {
		out[i] = float64(v) / 32767
	}
	return out
}

// energyAbove is the mean square of a sound above a frequency.
func energyAbove(s []float64, hz float64) float64 {
	sum := 0.0
	for i, c := range fourier.NewFFT(len(s)).Coefficients(nil, s) {
		if float64(i)*sound.RateHz/float64(len(s)) > hz {
			sum += real(c)*real(c) + imag(c)*imag(c)
		}
	}
	return 2 * sum / float64(len(s)*len(s))
}

// TestSound_beforeAfter: the Heron's worst note, before and after its plan. Both
// files have one scale and begin alike until the string meets fret 7; the buzz
// is there before and gone after; the comparison holds both, sample for sample.
func TestSound_beforeAfter(t *testing.T) {
	ctx := context.Background()
	r := seated(t, play.NoteChoice{String: 1, Fret: 6})
	r.Seconds = 0.5
	a, before, err := Sound(ctx, r)
	if err != nil {
		t.Fatal(err)
	}
	r.Planned = true
	b, after, err := Sound(ctx, r)
	if err != nil {
		t.Fatal(err)
	}
	was, is := a.Notes[0], b.Notes[0]
	if was.Verdict != "buzzes" || is.Verdict == "buzzes" || was.State != "as read" || is.State != "as planned" {
		t.Errorf("before %s (%s), after %s (%s)", was.Verdict, was.State, is.Verdict, is.State)
	}
	if casetest.Value(was.FullScaleN) != casetest.Value(is.FullScaleN) || math.Abs(casetest.Value(was.FullScaleN)-1.6) > 1e-9 || a.TurnedDownDB != 0 || b.TurnedDownDB != 0 {
		t.Errorf("full scale %g and %g N for a touch of 0.4 N, turned down %g and %g dB", casetest.Value(was.FullScaleN), casetest.Value(is.FullScaleN), a.TurnedDownDB, b.TurnedDownDB)
	}
	x, y := wavSamples(t, before), wavSamples(t, after)
	if len(x) != 24000 || len(y) != 24000 {
		t.Fatalf("%d and %d samples of half a second", len(x), len(y))
	}
	for i := range int(was.Contact.FirstMS*48) - 5 {
		if math.Abs(x[i]-y[i]) > 1e-3 {
			t.Fatalf("they differ at sample %d, before fret 7 is met after %.1f ms", i, was.Contact.FirstMS)
		}
	}
	if u, v := energyAbove(x[:4800], 6000), energyAbove(y[:4800], 6000); !(u > 1.2*v) {
		t.Errorf("above 6 kHz the buzz has %g, the note after the plan %g", u, v)
	}
	r.Planned = false
	c, both, err := SoundCompare(ctx, r)
	if err != nil {
		t.Fatal(err)
	}
	z := wavSamples(t, both)
	if len(z) != 72000 || len(c.Notes) != 2 || c.Notes[1].TimeS != 1 || c.LengthS != 1.5 {
		t.Fatalf("%d samples, %+v", len(z), c)
	}
	for i := range x {
		if z[i] != x[i] || z[48000+i] != y[i] || z[24000+i] != 0 {
			t.Fatalf("the comparison differs at sample %d", i)
		}
	}
}

// TestSound_level: nothing clips, and a note is loud enough to hear, on every
// touch and at a pickup.
func TestSound_level(t *testing.T) {
	choices := []play.NoteChoice{{String: 1, Fret: 6, Touch: "hard"}, {String: 6, Fret: 0, Touch: "hard"}, {String: 6, Fret: 13, Touch: "hard"}, {String: 3, Fret: 22, Touch: "light"}, {String: 1, Fret: 13, Touch: ""}}
	if testing.Short() {
		choices = choices[2:4]
	}
	for _, choice := range choices {
		for _, pickup := range []float64{0, 90} {
			r := perfect(t, choice)
			r.Seconds, r.PickupMM = 0.3, pickup
			a, data, err := Sound(context.Background(), r)
			if err != nil {
				t.Fatal(err)
			}
			most := floats.Norm(wavSamples(t, data), math.Inf(1))
			if got := 20 * math.Log10(most); a.TurnedDownDB != 0 || math.Abs(got-casetest.Value(a.Notes[0].PeakDB)) > 0.01 || !(got > -20 && got < -3) {
				t.Errorf("%+v at %g mm: peak %.1f dB, said %.1f, turned down %g dB", choice, pickup, got, casetest.Value(a.Notes[0].PeakDB), a.TurnedDownDB)
			}
		}
	}
}

// TestSound_chokes: a string that lies on a fret is silent, and told so.
func TestSound_chokes(t *testing.T) {
	m, l := exampleNeck(t, `action = ["1.40 mm", "1.80 mm"]`, `action = ["0.05 mm", "1.80 mm"]`)
	r := SoundRequest{PlayRequest: PlayRequest{Model: m, Layout: l}, Note: play.NoteChoice{String: 1, Fret: 5}, Seconds: 0.2}
	a, data, err := Sound(context.Background(), r)
	if err != nil || a.Notes[0].Verdict != "chokes" || a.Notes[0].PeakDB.Known() || floats.Norm(wavSamples(t, data), math.Inf(1)) != 0 {
		t.Errorf("%v, %+v", err, a)
	}
}

// TestSoundAll_Heron: every note in order, each where the list says, those that
// are not clear on the right only; the same file on one processor and on many.
func TestSoundAll_Heron(t *testing.T) {
	r := seated(t, play.NoteChoice{})
	r.Seconds = 0.1
	if testing.Short() {
		r.Capo = 13
	}
	each := 23 - r.Capo
	told := 0
	a, data, err := SoundAll(context.Background(), r, func(done, of int) {
		if told++; done != told || of != 6*each {
			t.Errorf("told %d of %d as call %d", done, of, told)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Notes) != 6*each || told != 6*each || a.Channels != 2 || !a.AllNotes {
		t.Fatalf("%d notes, %d told, %d channels", len(a.Notes), told, a.Channels)
	}
	s := wavSamples(t, data) // left and right by turns
	seen := map[play.Verdict]int{}
	for i, n := range a.Notes {
		if n.String != i/each+1 || n.Fret != r.Capo+i%each {
			t.Fatalf("note %d is string %d fret %d", i, n.String, n.Fret)
		}
		seen[n.Verdict]++
		from := int(math.Round(n.TimeS * sound.RateHz))
		left, right := 0.0, 0.0
		for k := from; k < from+2400; k++ {
			left, right = math.Max(left, math.Abs(s[2*k])), math.Max(right, math.Abs(s[2*k+1]))
		}
		if clear := n.Verdict == "clear"; right < 0.1 || clear != (left > 0.1) || clear != (n.Ticks == 0) {
			t.Errorf("string %d fret %d %s: left %g, right %g, %d ticks", n.String, n.Fret, n.Verdict, left, right, n.Ticks)
		}
	}
	if seen["grazes"] == 0 || seen["clear"] < 30 {
		t.Errorf("verdicts %v: too few to tell apart", seen)
	}
	if testing.Short() {
		return
	}
	if seen["buzzes"] < 2 || seen["grazes"] < 5 {
		t.Errorf("verdicts %v: too few to tell apart", seen)
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if _, one, err := SoundAll(context.Background(), r, nil); err != nil || !bytes.Equal(one, data) {
		t.Errorf("%v, or the file hangs on the number of processors", err)
	}
}

func TestSound_faults(t *testing.T) {
	ctx := context.Background()
	for want, change := range map[string]func(*SoundRequest){
		"string 9: name one of 1 to 6":                          func(r *SoundRequest) { r.Note.String = 9 },
		"fret 40: name one of 0, the open string, to 22":        func(r *SoundRequest) { r.Note.Fret = 40 },
		`this neck has no touch "soft"; it has "light", "firm"`: func(r *SoundRequest) { r.Note.Touch = "soft" },
		"a note of 1000 s; it may last 0.1 to 30 s":             func(r *SoundRequest) { r.Seconds = 1000 },
		"a note of NaN s": func(r *SoundRequest) { r.Seconds = math.NaN() },
		"the pickup is 200 mm from the saddle, but the": func(r *SoundRequest) { r.Note.Fret, r.PickupMM = 22, 200 },
		"fret 6 lies behind the capo at fret 7":         func(r *SoundRequest) { r.Capo = 7 },
		"a neck as planned needs readings":              func(r *SoundRequest) { r.Planned = true },
		"string 1 cannot be heard: no crown in lane 1 is known": func(r *SoundRequest) {
			for _, x := range seated(t, r.Note).Readings {
				if x.Lane != 1 {
					r.Readings, r.Read = append(r.Readings, x), true
				}
			}
		},
	} {
		r := perfect(t, play.NoteChoice{String: 1, Fret: 6})
		change(&r)
		if _, data, err := Sound(ctx, r); err == nil || data != nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
	r := perfect(t, play.NoteChoice{})
	r.PickupMM = 300
	if _, _, err := SoundAll(ctx, r, nil); err == nil || !strings.Contains(err.Error(), "string 1 at fret 14: the pickup is 300 mm") {
		t.Errorf("all notes: %v", err)
	}
	r = perfect(t, play.NoteChoice{String: 1, Fret: 6})
	if _, _, err := SoundCompare(ctx, r); err == nil || !strings.Contains(err.Error(), "needs readings") {
		t.Errorf("comparison: %v", err)
	}
	off, cancel := context.WithCancel(ctx)
	cancel()
	for name, run := range map[string]func() ([]byte, error){
		"one": func() ([]byte, error) {
			_, data, err := Sound(off, perfect(t, play.NoteChoice{String: 1, Fret: 6}))
			return data, err
		},
		"both": func() ([]byte, error) {
			_, data, err := SoundCompare(off, seated(t, play.NoteChoice{String: 1, Fret: 6}))
			return data, err
		},
		"all": func() ([]byte, error) {
			_, data, err := SoundAll(off, perfect(t, play.NoteChoice{}), nil)
			return data, err
		},
	} {
		if data, err := run(); !errors.Is(err, context.Canceled) || data != nil {
			t.Errorf("%s, called off: %v, %d bytes", name, err, len(data))
		}
	}
}

// BenchmarkSound is one note of 3 s before and after, as a page asks for them.
func BenchmarkSound(b *testing.B) {
	r := seated(b, play.NoteChoice{String: 6, Fret: 0, Touch: "hard"})
	for b.Loop() {
		if _, _, err := Sound(context.Background(), r); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSoundAll is every note of a neck.
func BenchmarkSoundAll(b *testing.B) {
	r := seated(b, play.NoteChoice{})
	for b.Loop() {
		if _, _, err := SoundAll(context.Background(), r, nil); err != nil {
			b.Fatal(err)
		}
	}
}
