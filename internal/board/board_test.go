package board

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

func bench(t *testing.T) (neck.Model, *geometry.Layout) {
	m := neck.Model{
		Scale:   neck.Scale{Bass: 640, Treble: 640, Frets: 22, Divisions: 12},
		Board:   neck.Board{Radius: neck.Pair{300, 400}, Width: neck.Pair{43, 56.5}, Flat: 0.05, RadiusWithin: 5},
		Strings: neck.Strings{Spread: neck.Pair{35, 51}, Set: make([]neck.String, 6)},
		Level:   neck.Level{Zone: 0.03, FallAway: &neck.FallAway{From: 15, Depth: neck.Pair{0.1, 0.1}}},
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	return m, l
}

// TestJudgeArch_Spherometer: u(R) of a 50 mm span on a 254 mm radius read with
// u(s) = u√1.5, u 5 µm, is 1.255 mm. Derived, R = w²/8s + s/2.
func TestJudgeArch_Spherometer(t *testing.T) {
	m, _ := bench(t)
	m.Board.Radius = neck.Pair{254, 254}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	a := judgeArch(m, l, reading.Reading{Frets: []int{5}, Span: 50, Value: 1.233309, U: 0.005 * math.Sqrt(1.5)})
	if math.Abs(a.RadiusMM-254) > 1e-3 || math.Abs(a.UMM-1.255) > 1e-3 || a.Verdict != Round || math.Abs(a.MiddleMM) > 1e-5 {
		t.Errorf("%+v", a)
	}
}

// TestJudge_Board: a straight cone is ready; a dip, a wrong radius and a board
// flat where it should be round are not, and sanding is told.
func TestJudge_Board(t *testing.T) {
	m, l := bench(t)
	read := func(dip, radiusOff float64) []reading.Reading {
		rnd := rand.New(rand.NewPCG(1, 5))
		var out []reading.Reading
		for lane := 1.0; lane <= 6; lane++ {
			for f := 1; f <= 22; f++ {
				v := 0.3 + 0.0002*l.LaneX(f, lane) + 0.003*rnd.NormFloat64()
				if f >= 8 && f <= 10 {
					v -= dip
				}
				out = append(out, reading.Reading{Method: reading.Edge, Lane: lane, Frets: []int{f}, Value: 1 - v, U: 0.003})
			}
		}
		for _, f := range []int{1, 7, 13, 19} {
			r := l.Radius(l.CentreX(f)) + radiusOff
			out = append(out, reading.Reading{Method: reading.Arch, Frets: []int{f}, Span: 40, Value: sag(r, 20), U: 0.002})
		}
		return out
	}
	good, err := Judge(m, l, read(0, 0))
	if err != nil {
		t.Fatal(err)
	}
	if good.Verdict != Ready || len(good.Lanes) != 6 || len(good.Arches) != 4 || good.Cone == nil {
		t.Fatalf("%+v", good)
	}
	if math.Abs(good.Cone.NutMM-300) > 1e-6 || math.Abs(good.Cone.LastMM-400) > 1e-6 {
		t.Errorf("cone %+v", good.Cone)
	}
	dip, err := Judge(m, l, read(0.15, 0))
	if err != nil {
		t.Fatal(err)
	}
	sanded := 0.0
	for _, v := range dip.Lanes[0].SandMM {
		sanded += v
	}
	if dip.Verdict != NotReady || dip.Lanes[0].Verdict != NotStraight || sanded < 0.5 || dip.Lanes[0].SandMM[8] != 0 {
		t.Errorf("%s, %+v", dip.Verdict, dip.Lanes[0])
	}
	flat, err := Judge(m, l, read(0, 40))
	if err != nil {
		t.Fatal(err)
	}
	if flat.Verdict != NotReady || flat.Arches[0].Verdict != NotRound || flat.Arches[0].MiddleMM >= 0 {
		t.Errorf("%+v", flat.Arches)
	}
	if none, err := Judge(m, l, nil); err != nil || none.Verdict != InDoubt {
		t.Errorf("%+v, %v", none, err)
	}
}
