package answer

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/play"
	"ringtrue/internal/recording"
	"ringtrue/internal/sound"
	"ringtrue/internal/stringset"
)

// readBack writes every note of the Heron, as `play --all-notes` does, adds noise so many
// dB below and asks what is heard.
func readBack(t *testing.T, noiseDB float64) (ListenRequest, *ListenAnswer) {
	t.Helper()
	q := perfect(t, play.NoteChoice{})
	q.Seconds = 0.8
	_, data, err := SoundAll(context.Background(), q, nil)
	if err != nil {
		t.Fatal(err)
	}
	c, err := recording.Channels(data)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(1, 1))
	x, sum := c[1].Samples, 0.0
	for _, v := range x {
		sum += v * v
	}
	noise := math.Sqrt(sum/float64(len(x))) * math.Pow(10, -noiseDB/20)
	for i := range x {
		x[i] = 0.8 * math.Max(-1, math.Min(1, x[i]+noise*r.NormFloat64()))
	}
	var ask ListenRequest
	ask.Model, ask.Layout, ask.Strings, ask.To = q.Model, q.Layout, []int{1, 2, 3, 4, 5, 6}, -1
	if ask.WAV, err = sound.WAV(x); err != nil {
		t.Fatal(err)
	}
	a, err := Listen(context.Background(), ask, nil)
	if err != nil {
		t.Fatal(err)
	}
	return ask, a
}

// TestListen_OwnSoundReadBack: of the 138 notes that `play --all-notes` makes all are found
// and named under noise 25 dB below, and their pitch and B are those of the strings' data.
func TestListen_OwnSoundReadBack(t *testing.T) {
	r, a := readBack(t, 25)
	if a.Heard != 138 || len(a.Missing) != 0 || len(a.Notes) != 138 || len(a.Unnamed) != 0 || len(a.Warnings) != 0 {
		t.Fatalf("%d heard in %d notes, missing %v, unnamed %v, %q", a.Heard, len(a.Notes), a.Missing, a.Unnamed, a.Warnings)
	}
	var cents, bs []float64
	for i, n := range a.Notes {
		if n.String != i/23+1 || n.Fret != i%23 {
			t.Fatalf("note %d is string %d fret %d", i, n.String, n.Fret)
		}
		s, err := stringset.Tune(r.Model.Strings.Set[n.String-1], r.Layout.LaneScale(float64(n.String)), 440)
		if err != nil {
			t.Fatal(err)
		}
		b := s.Inharmonicity(n.LengthMM)
		cents = append(cents, math.Abs(1200*math.Log2(n.Hz/(s.PitchHz*s.ScaleMM/n.LengthMM*math.Sqrt(1+b)))))
		if heard, ok := n.Inharmonicity.Get(); ok {
			bs = append(bs, math.Abs(heard/b-1))
		}
	}
	slices.Sort(cents)
	slices.Sort(bs)
	p95, p90 := cents[len(cents)*95/100], bs[len(bs)*90/100]
	if t.Logf("cents p95 %.3f, B of %d notes p90 %.2f %%", p95, len(bs), 100*p90); p95 > 0.2 || len(bs) < 80 || p90 > 0.01 {
		t.Errorf("cents p95 %v, B of %d notes p90 %v", p95, len(bs), p90)
	}
	data, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	for _, field := range []string{"string", "fret", "at_s", "cents", "cents_at_s", "glide_cents", "inharmonicity", "ring_s", "dies_early", "missing", "unnamed", "notes"} {
		if !strings.Contains(string(data), `"`+field+`":`) {
			t.Errorf("JSON has no %s", field)
		}
	}
	for _, s := range a.Strings {
		if s.Doubt != "" || s.TunedBy != 0 {
			t.Errorf("string %d: %q, tuned by %d", s.String, s.Doubt, s.TunedBy)
		}
	}
}

// TestListen_Faults: a file that is no recording, and a silent one.
func TestListen_Faults(t *testing.T) {
	var r ListenRequest
	r.Model, r.Layout = exampleNeck(t)
	r.To = -1
	silence, err := sound.WAV(make([]float64, 48000))
	if err != nil {
		t.Fatal(err)
	}
	for want, data := range map[string][]byte{"an MP3": []byte("ID3\x04\x00\x00\x00\x00\x00\x00\x00\x00\x00"), "silent": silence} {
		r.WAV = data
		_, err := Listen(context.Background(), r, nil)
		var file ErrRecording
		if !errors.As(err, &file) || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}
