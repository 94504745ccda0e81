package sheet

import (
	"math"
	"testing"
)

func TestTune_Golden(t *testing.T) {
	n := Tune{Neck: "Heron 22", ExactFret: 12, Basis: "perfect crowns; pressed just onto the crown; A4 = 440 Hz"}
	for s, pitch := range []string{"E4", "B3", "G3", "D3", "A2", "E2"} {
		x := TuneString{String: s + 1, Pitch: pitch}
		for f := 1; f <= 22; f++ {
			sharp := float64(s+1) * math.Exp2(float64(f)/12)
			x.Frets = append(x.Frets, f)
			x.None, x.Exact = append(x.None, sharp), append(x.Exact, float64(s+1)*float64(12-f)/11)
			x.Both = append(x.Both, 0.1*float64(s+1)*math.Cos(float64(f)/3))
		}
		n.Strings = append(n.Strings, x)
	}
	p, err := n.Page()
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
	golden(t, p, "tune.svg")
	for i := range n.Strings { // one fret: nothing to place two things by
		n.Strings[i].Frets, n.Strings[i].Both = []int{1}, nil
		n.Strings[i].None, n.Strings[i].Exact = []float64{1}, []float64{0}
	}
	if p, err = n.Page(); err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
}
