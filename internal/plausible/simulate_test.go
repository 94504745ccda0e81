package plausible

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

const lanes, frets = 6, 22

func model() neck.Model {
	return neck.Model{
		Scale:   neck.Scale{Bass: 640, Treble: 640, Frets: frets, Divisions: 12},
		Board:   neck.Board{Radius: neck.Pair{300, 400}, Width: neck.Pair{43, 56.5}},
		Strings: neck.Strings{Spread: neck.Pair{35, 51}, Set: make([]neck.String, lanes)},
		Wire:    neck.Wire{CrownHeight: 1.2},
		Level:   neck.Level{Zone: 0.03},
	}
}

func layout(t testing.TB, m neck.Model) *geometry.Layout {
	t.Helper()
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// simulated is a neck whose crowns are known, in mm above the shape.
type simulated struct {
	l     *geometry.Layout
	rnd   *rand.Rand
	crown [frets + 1][lanes + 1]float64
}

// The kinds of necks that the rules are tried on.
const (
	sound  = "sound"  // as pressed: frets scatter by 8 µm, tilt by 8 µm
	played = "played" // grooves of 20 to 110 µm under four strings in frets 1 to 9
	mixed  = "mixed"  // an end up, frets high and low, a dent, a hump
	blind  = "blind"  // three or four frets, or a treble end of them, 50 to 140 µm off
)

func simulate(t testing.TB, kind string, seed uint64) *simulated {
	s := &simulated{l: layout(t, model()), rnd: rand.New(rand.NewPCG(seed, 5))}
	r := s.rnd
	bow := 0.03 * r.NormFloat64()
	for f := 1; f <= frets; f++ {
		whole, tilt, end := 0.008*r.NormFloat64(), 0.008*r.NormFloat64(), 0.0
		switch {
		case kind == mixed && r.IntN(12) == 0:
			whole += 0.04 + 0.03*r.Float64()
		case kind == mixed && r.IntN(12) == 0:
			whole -= 0.04 + 0.02*r.Float64()
		case kind == mixed && r.IntN(10) == 0:
			tilt += 0.05 + 0.05*r.Float64()
		case kind == blind && r.IntN(12) == 0:
			whole += (0.05 + 0.09*r.Float64()) * float64(1-2*r.IntN(2))
		case kind == blind && r.IntN(12) == 0:
			end = 0.05 + 0.09*r.Float64()
		}
		for lane := 1; lane <= lanes; lane++ {
			p := float64(lane-1)/(lanes-1) - 0.5
			s.crown[f][lane] = whole + tilt*p + 0.001*r.NormFloat64() + bow*s.l.Bow(f, frets, float64(lane)) + end*max(0, 1-2.5*(p+0.5))
		}
	}
	switch kind {
	case played:
		for lane := 1; lane <= 4; lane++ {
			deep := 0.02 + 0.09*r.Float64()
			for f := 1; f <= 9; f++ {
				s.crown[f][lane] -= deep * (0.6 + 0.4*r.Float64()) * math.Exp(-float64((f-3)*(f-3))/20)
			}
		}
	case mixed:
		s.crown[1+r.IntN(frets)][1+r.IntN(lanes)] -= 0.03 + 0.05*r.Float64()
	}
	return s
}

// beams reads every lane, once in each of so many passes, lane after lane: each
// reading of a lane with an offset and a tilt of the beam's own.
func (s *simulated) beams(passes int, u float64) []reading.Reading {
	var out []reading.Reading
	for pass := range passes {
		for lane := 1; lane <= lanes; lane++ {
			out = append(out, s.beam(lane, fmt.Sprint(pass+1), u)...)
		}
	}
	return out
}

func (s *simulated) beam(lane int, pass string, u float64) []reading.Reading {
	a, b := 0.4+0.1*s.rnd.NormFloat64(), 0.0005*s.rnd.NormFloat64()
	var out []reading.Reading
	for f := 1; f <= frets; f++ {
		out = append(out, reading.Reading{Method: reading.Beam, Lane: float64(lane), Frets: []int{f}, U: u, Pass: pass,
			Value: round(s.crown[f][lane] + a + b*s.l.LaneX(f, float64(lane)) + u*s.rnd.NormFloat64())})
	}
	return out
}

func round(mm float64) float64 { return math.Round(mm*1000) / 1000 }

// asked takes readings one by one and lists those that were asked of, each at
// the reading after which it was.
func asked(l *geometry.Layout, readings []reading.Reading) map[int]int {
	w := New(l, 1.2)
	out := map[int]int{}
	for i, r := range readings {
		w.Take(r)
		for _, o := range w.Odd() {
			if _, seen := out[o.Reading]; !seen {
				out[o.Reading] = i
			}
		}
	}
	return out
}
