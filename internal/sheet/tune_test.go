package sheet

import (
	"math"
	"ringtrue/internal/answer"
	"ringtrue/internal/tune"
	"testing"
)

// tuneSample is a neck of six strings whose notes go sharp up the neck.
func tuneSample() *answer.TuneAnswer {
	n := &answer.TuneAnswer{Neck: "Heron 22", ExactFret: 12, PerfectCrowns: true, A4Hz: 440}
	for s, pitch := range []string{"E4", "B3", "G3", "D3", "A2", "E2"} {
		x := tune.StringReport{String: s + 1, Pitch: pitch, Both: &tune.Best{}}
		for f := 1; f <= 22; f++ {
			sharp := float64(s+1) * math.Exp2(float64(f)/12)
			x.Frets = append(x.Frets, f)
			x.None.Cents, x.Exact.Cents = append(x.None.Cents, sharp), append(x.Exact.Cents, float64(s+1)*float64(12-f)/11)
			x.Both.Cents = append(x.Both.Cents, 0.1*float64(s+1)*math.Cos(float64(f)/3))
		}
		n.Strings = append(n.Strings, x)
	}
	return n
}

func TestTune_Golden(t *testing.T) {
	n := tuneSample()
	p, err := Tune(n, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
	golden(t, p, "tune.svg")
	for i := range n.Strings { // one fret: nothing to place two things by
		n.Strings[i].Frets, n.Strings[i].Both = []int{1}, nil
		n.Strings[i].None.Cents, n.Strings[i].Exact.Cents = []float64{1}, []float64{0}
	}
	if p, err = Tune(n, Micrometres); err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
}
