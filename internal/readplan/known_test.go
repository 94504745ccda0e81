package readplan

import (
	"math"
	"testing"

	"ringtrue/internal/reading"
)

// six lanes of 22 frets on a 640 mm scale.
func sixLanes() (lanes []Lane, t []float64) {
	for l := range 6 {
		lane := Lane{Lane: float64(l + 1)}
		for f := 1; f <= 22; f++ {
			lane.Frets = append(lane.Frets, f)
			lane.XMM = append(lane.XMM, 640*(1-math.Exp2(-float64(f)/12)))
		}
		lanes = append(lanes, lane)
	}
	return lanes, []float64{1, 0.6, 0.2, -0.2, -0.6, -1}
}

func run(from, to, step int) (out []int) {
	for f := from; f <= to; f += step {
		out = append(out, f)
	}
	return out
}

// TestAfter_TableL1 is the table of what a further set of readings leaves of the
// uncertainty of a neck read with a bridge alone: 22 frets, 640 mm, bridge u 3.
// Figures by an independent program (dense normal equations); micrometres.
func TestAfter_TableL1(t *testing.T) {
	lanes, across := sixLanes()
	all := []float64{1, 2, 3, 4, 5, 6}
	bridge := Set{Method: reading.Bridge, Lanes: all, Frets: run(1, 22, 1), UMM: 0.003}
	wide := bridge
	wide.Reach = 3
	edge := func(lanes []float64, step int) Set {
		return Set{Method: reading.Edge, Lanes: lanes, Frets: run(1, 22, step), UMM: 0.006}
	}
	beam := edge([]float64{1, 6}, 1)
	beam.Method, beam.UMM = reading.Beam, 0.005
	read, err := Prior(lanes, across, Shape{OffsetMM: 0.150, TiltMM: 0.060, KinkMM: 0.0007}).FreeDatum().After(bridge)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what                  string
		sets                  []Set
		largest, rms, minutes float64
	}{
		{"nothing", nil, 29.7, 14.2, 0},
		{"bridge once more", []Set{bridge}, 23.0, 10.8, 16},
		{"bridge over three frets each side", []Set{wide}, 5.0, 2.3, 13},
		{"edge along lane 3", []Set{edge([]float64{3}, 1)}, 25.1, 8.8, 3},
		{"edge along 1 and 6, every third", []Set{edge([]float64{1, 6}, 3)}, 5.4, 3.6, 3},
		{"edge along 1 and 6", []Set{edge([]float64{1, 6}, 1)}, 4.5, 2.7, 7},
		{"beam along 1 and 6", []Set{beam}, 3.9, 2.4, 7},
		{"edge along all six", []Set{edge(all, 1)}, 3.5, 2.1, 20},
	} {
		after, err := read.After(c.sets...)
		if err != nil {
			t.Fatal(err)
		}
		largest, rms := after.Uncertainty()
		minutes := 0.0
		for _, s := range c.sets {
			minutes += s.Minutes(Times{})
		}
		if math.Abs(largest*1e3-c.largest) > 0.051 || math.Abs(rms*1e3-c.rms) > 0.051 || math.Abs(minutes-c.minutes) > 0.5 {
			t.Errorf("%s: largest %.2f, rms %.2f µm, %.1f min; want %v, %v, %v", c.what, largest*1e3, rms*1e3, minutes, c.largest, c.rms, c.minutes)
		}
	}
}
