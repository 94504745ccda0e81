package tune

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/stringset"
)

// TestMovesFor_ItsOwnCents: cents as the model gives them ask for the setbacks that its
// own least squares find, and for none once these are made.
func TestMovesFor_ItsOwnCents(t *testing.T) {
	l := g3(t, stringset.Mixed)
	var frets []int
	for _, f := range l.Frets {
		frets = append(frets, f.Number)
	}
	for _, nut := range []bool{true, false} {
		want, err := l.LeastSquares(nut)
		if err != nil {
			t.Fatal(err)
		}
		got, err := l.MovesFor(frets, l.Cents(Setback{}), nut)
		if err != nil || math.Abs(got.SaddleMM-want.SaddleMM) > 0.06 || math.Abs(got.NutMM-want.NutMM) > 0.02 || got.LeftCents > want.RMSCents+0.1 {
			t.Errorf("nut %t: %+v, %v; want %+v", nut, got, err, want.Setback)
		}
		if !nut && got.UNutMM != 0 || nut && !(got.UNutMM > 0) || !(got.USaddleMM > 0.02 && got.USaddleMM < 1) {
			t.Errorf("nut %t: uncertainties of %+v", nut, got)
		}
		if done, err := l.MovesFor(frets, l.Cents(want.Setback), nut); err != nil || math.Abs(done.SaddleMM) > 1e-2 {
			t.Errorf("nut %t, moved: %+v, %v", nut, done, err)
		}
	}
	if _, err := l.MovesFor([]int{1, 90}, []float64{0, 0}, true); !errors.Is(err, ErrNoFret) {
		t.Errorf("fret 90: %v", err)
	}
	for _, nut := range []bool{true, false} {
		if _, err := l.MovesFor([]int{12}, []float64{3}, nut); !errors.Is(err, ErrNoSetback) {
			t.Errorf("one fret: %v", err)
		}
	}
}

// TestMovesFor_DoubtBySimulation: cents heard with an error of 1 cent each, the open
// string's too, scatter the moves as the uncertainties say.
func TestMovesFor_DoubtBySimulation(t *testing.T) {
	l := e4(t, stringset.Mixed)
	var frets []int
	for _, f := range l.Frets {
		frets = append(frets, f.Number)
	}
	r := rand.New(rand.NewPCG(8, 9))
	var s, n, us, un float64
	const draws = 4000
	for range draws {
		open, cents := r.NormFloat64(), make([]float64, len(frets))
		for i := range cents {
			cents[i] = r.NormFloat64() - open
		}
		m, err := l.MovesFor(frets, cents, true)
		if err != nil {
			t.Fatal(err)
		}
		s, n = s+m.SaddleMM*m.SaddleMM/draws, n+m.NutMM*m.NutMM/draws
		us, un = us+m.USaddleMM*m.USaddleMM/draws, un+m.UNutMM*m.UNutMM/draws
	}
	// Never taken for better than 1 cent: a little too wide on the average.
	if a, b := us/s, un/n; a < 0.95 || a > 1.45 || b < 0.95 || b > 1.45 {
		t.Errorf("variances said over found: saddle %.2f, nut %.2f", a, b)
	}
}
