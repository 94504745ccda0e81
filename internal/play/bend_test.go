package play

import (
	"math"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// boardOf is a neck of 22 frets with perfect crowns, six strings at even
// distances, on a board of the given radius at nut and last fret (0: flat).
func boardOf(t *testing.T, radius neck.Pair, action float64) *Board {
	t.Helper()
	m := neck.Model{Scale: neck.Scale{Bass: 640, Treble: 640, Frets: 22, Divisions: 12},
		Board:   neck.Board{Radius: radius, Width: neck.Pair{43, 56.5}},
		Strings: neck.Strings{Spread: neck.Pair{36, 36}, Set: heronSet}}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	b := &Board{Layout: l}
	for i, s := range heronSet {
		c := heron(t, s, action, nil)
		c.Lane.String = i + 1
		for k := range c.Lane.Crowns {
			c.Lane.Crowns[k].ZMM = 0
		}
		r, err := c.Lane.Rest(c.Setup)
		if err != nil {
			t.Fatal(err)
		}
		b.Cases, b.Rests = append(b.Cases, c), append(b.Rests, r)
		y := l.At(1, float64(i+1)).Y
		b.Lines = append(b.Lines, [2]float64{l.Surface(geometry.Point{X: 1, Y: y}), 0})
	}
	return b
}

func TestPushFor_RaisesThePitch(t *testing.T) {
	s, err := stringset.Tune(heronSet[0], 640, stringset.ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	stop := Stop{XMM: 320, LengthMM: 320}
	y := [3]float64{18, 18, 18}
	for _, semitones := range []float64{0.5, 1, 2, 3} {
		push, tension, ok := PushFor(s, stop, y, -1, semitones)
		if !ok {
			t.Fatal("no push")
		}
		// Half-way along, both halves stretch alike: ΔL/L = √(1 + (p/320)²) − 1.
		stretch := math.Hypot(1, push/320) - 1
		casetest.Near(t, "tension", tension, s.TensionN+s.AxialStiffnessN()*stretch, 1e-9)
		pitch := math.Sqrt(tension/s.TensionN) / math.Hypot(1, push/320)
		casetest.Near(t, "semitones", 12*math.Log2(pitch), semitones, 1e-9)
	}
	if _, _, ok := PushFor(s, stop, y, -1, 60); ok {
		t.Error("a bend of five octaves passed")
	}
}

// On a flat board a bent string lies over its frets as the straight one does.
func TestBends_FlatBoard(t *testing.T) {
	b := boardOf(t, neck.Pair{0, 0}, 1.6)
	bends, err := b.Bends(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, x := range bends {
		if x.Verdict == OffBoard {
			continue
		}
		seen++
		c := b.Cases[x.String-1]
		low, err := c.Lane.at(x.Fret)
		if err != nil {
			t.Fatal(err)
		}
		next, err := c.Lane.at(x.Fret + 1)
		if err != nil {
			t.Fatal(err)
		}
		stop := Stop{XMM: low.XMM, LengthMM: 640 - low.XMM}
		casetest.Near(t, "gap over the next fret", x.gapMM, stop.Gap(next, b.Rests[x.String-1]), 1e-9)
	}
	if seen < 40 {
		t.Errorf("only %d bends were possible", seen)
	}
}

// A tight arch frets bends out; the radius that is said to save one does, and
// one a little tighter does not.
func TestBends_TightBoardFretsOut(t *testing.T) {
	casetest.OneByOne(t)
	b := boardOf(t, neck.Pair{184, 184}, 1.2)
	bends, err := b.Bends(t.Context(), 2)
	if err != nil {
		t.Fatal(err)
	}
	saved := 0
	for _, x := range bends {
		if x.Verdict == OffBoard {
			continue
		}
		if saving, known := x.SaveRadiusMM.Get(); known {
			saved++
			if saving <= 184 {
				t.Errorf("string %d fret %d: radius %g would save it, but the board has 184", x.String, x.Fret, saving)
			}
			dir := -1.0
			from := b.Layout.At(x.Fret, float64(x.String)).Y
			if from < 0 {
				dir = 1
			}
			margin := func(radius float64) float64 {
				r := boardOf(t, neck.Pair{radius, radius}, 1.2)
				p := r.path(x.String-1, x.Fret, from+dir*x.PushMM)
				s := r.Cases[x.String-1].String
				_, tension, _ := PushFor(s, Stop{XMM: b.Layout.LaneX(x.Fret, 1), LengthMM: 640 - b.Layout.LaneX(x.Fret, 1)}, [3]float64{from, from, from}, dir, 2)
				s.TensionN = tension
				_, own, err := p.clearance(t.Context(), &r.Cases[x.String-1], s)
				if err != nil {
					t.Fatal(err)
				}
				mm, _ := p.least(p.gaps(r, 1), own)
				return mm
			}
			if saved < 6 { // each one runs the string anew
				casetest.Near(t, "margin at that radius", margin(saving), 0, 0.003)
				if margin(0.95*saving) >= 0 {
					t.Errorf("string %d fret %d: a radius tighter than %g still clears it", x.String, x.Fret, saving)
				}
			}
		}
	}
	if saved == 0 {
		t.Error("no bend needs saving: the case is too mild")
	}
	// Low enough, the resting string lies on a crown; on a flat board it never does.
	for radius, wanted := range map[float64]bool{184: true, 0: false} {
		bends, err := boardOf(t, neck.Pair{radius, radius}, 0.5).Bends(t.Context(), 2)
		if err != nil {
			t.Fatal(err)
		}
		out := 0
		for _, x := range bends {
			if x.Verdict == FretsOut {
				out++
			}
		}
		if (out > 0) != wanted {
			t.Errorf("radius %g: %d bends fret out", radius, out)
		}
	}
}

// A neck turned over from treble to bass bends the same way.
func TestBends_Mirror(t *testing.T) {
	b := boardOf(t, neck.Pair{250, 350}, 1.4)
	for i := range b.Cases {
		b.Cases[i].String = b.Cases[0].String
	}
	bends, err := b.Bends(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	by := map[[2]int]Bend{}
	for _, x := range bends {
		by[[2]int{x.String, x.Fret}] = x
	}
	for _, x := range bends {
		o := by[[2]int{7 - x.String, x.Fret}]
		if x.Verdict != o.Verdict || math.Abs(x.PushMM-o.PushMM) > 1e-9 || math.Abs(x.ClearMM.Or(0)-o.ClearMM.Or(0)) > 1e-9 || math.Abs(x.AcrossMM.Or(0)+o.AcrossMM.Or(0)) > 1e-9 {
			t.Errorf("%+v against %+v", x, o)
		}
	}
}
