package geometry

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/neck"
)

// TestSingleString: a neck with one string has its lane in the middle, square
// frets, and the places of equal temperament.
func TestSingleString(t *testing.T) {
	m := model()
	m.Strings.Set = make([]neck.String, 1)
	l := layout(t, m)
	if l.Strings() != 1 {
		t.Fatalf("%d strings", l.Strings())
	}
	casetest.Near(t, "fraction", l.Fraction(1), 0.5, 0)
	casetest.Near(t, "octave", l.LaneX(12, 1), 320, 1e-9)
	casetest.Near(t, "scale", l.LaneScale(1), 640, 0)
	casetest.Near(t, "y", l.At(12, 1).Y, 0, 0)
	casetest.Near(t, "square", l.Squareness(7), 1, 0)
	casetest.Near(t, "across the board", l.FretXAt(12, 20), 320, 1e-9)
	casetest.Near(t, "centre", l.CentreX(12), 320, 1e-9)
	m.Strings.Set[0].At = &neck.Pair{-3, -5}
	casetest.Near(t, "a string that runs askew, at the octave", layout(t, m).At(12, 1).Y, -4, 1e-9)
}

// TestStrings_Fraction: the outer strings are 0 and 1, a lane between is its
// number's share, fret lines cross it where the lane says.
func TestStrings_Fraction(t *testing.T) {
	l := layout(t, model())
	if l.Strings() != 6 || l.LastFret() != 22 || l.FirstFret() != 1 {
		t.Errorf("%d strings, frets %d to %d", l.Strings(), l.FirstFret(), l.LastFret())
	}
	for lane, want := range map[float64]float64{1: 0, 6: 1, 3.5: 0.5, 2: 0.2} {
		casetest.Near(t, "fraction", l.Fraction(lane), want, 1e-15)
	}
}

// TestFretLine: a slanted fret is one straight line through all its lanes, and
// its squareness the cosine of the angle between them.
func TestFretLine(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		m := model()
		m.Scale = neck.Scale{Bass: rapid.Float64Range(640, 720).Draw(r, "bass"), Treble: 640,
			SquareAt: rapid.IntRange(0, 12).Draw(r, "square"), Frets: 22, Divisions: 12}
		l := layout(t, m)
		fret := rapid.IntRange(0, 22).Draw(r, "fret")
		for lane := 1.0; lane <= 6; lane += 0.5 {
			p := l.At(fret, lane)
			if x := l.FretXAt(fret, p.Y); math.Abs(x-p.X) > 1e-9 {
				r.Fatalf("fret %d crosses lane %g at %v; its line is at %v there", fret, lane, p, x)
			}
		}
		a, b := l.At(fret, 1), l.At(fret, 6)
		if cos := math.Cos(math.Atan2(b.X-a.X, a.Y-b.Y)); math.Abs(cos-l.Squareness(fret)) > 1e-12 {
			r.Fatalf("fret %d: squareness %v, cosine %v", fret, l.Squareness(fret), cos)
		}
		if fret == m.Scale.SquareAt && math.Abs(l.Squareness(fret)-1) > 1e-12 {
			r.Fatalf("fret %d should be square, cosine %v", fret, l.Squareness(fret))
		}
	})
}

// TestBow_Ends: deepest in the middle by 1 mm, nothing at its ends, its tangent
// beyond.
func TestBow_Ends(t *testing.T) {
	m := model()
	m.Scale.ZeroFret = true
	l := layout(t, m)
	casetest.Near(t, "first fret", l.Bow(0, 12, 1), 0, 0)
	casetest.Near(t, "its end", l.Bow(12, 12, 1), 0, 1e-15)
	casetest.Near(t, "half-way to the octave of the octave", l.Bow(12, 24, 1), -4*(0.5/0.75)*(0.25/0.75), 1e-12)
	// By hand: fret 24 lies half as far again from fret 0 as fret 12 does, so the
	// slope of 4 mm over the bow's length lifts it by 2 mm.
	casetest.Near(t, "the octave beyond", l.Bow(24, 12, 1), 2, 1e-12)
	for _, c := range []struct{ fret, to int }{{0, 0}, {5, 0}} {
		if b := l.Bow(c.fret, c.to, 1); b != 0 {
			t.Errorf("fret %d of a bow that ends at %d: %v", c.fret, c.to, b)
		}
	}
	for lane := 1.0; lane <= 6; lane += 2.5 {
		slope := func(a, b int) float64 {
			return (l.Bow(b, 16, lane) - l.Bow(a, 16, lane)) / (l.LaneX(b, lane) - l.LaneX(a, lane))
		}
		at := 4 / (l.LaneX(16, lane) - l.LaneX(0, lane))
		for f := 16; f < 22; f++ {
			casetest.Near(t, "slope beyond the joint", slope(f, f+1), at, 1e-13)
		}
		if s := slope(15, 16); !(s > 0.9*at && s < at) {
			t.Errorf("lane %g: slope %g before the joint, %g at it", lane, s, at)
		}
	}
}

// TestStrungBow_End: at setup.relief_to, else at the last fret; the shape that is
// filed keeps the contract's parabola over all frets.
func TestStrungBow_End(t *testing.T) {
	m := model()
	m.Level.Relief, m.Level.FallAway = 0.1, nil
	for _, to := range []int{0, 14, 22, 25} {
		m.Setup.ReliefTo = to
		l, end := layout(t, m), to
		if to == 0 {
			end = 22
		}
		for f := 1; f <= 22; f++ {
			casetest.Near(t, "bow", l.StrungBow(f, 3), l.Bow(f, end, 3), 0)
			casetest.Near(t, "shape", l.Shape(3, []int{f})[0], 0.1*l.Bow(f, 22, 3), 0)
		}
	}
}

// TestShape_NoFallAway: nothing falls where no fret is left to fall.
func TestShape_NoFallAway(t *testing.T) {
	m := model()
	m.Level.FallAway.From = 22 // nothing lies beyond the last fret
	casetest.Near(t, "no fall-away left", layout(t, m).Shape(1, []int{22})[0], 0, 1e-12)
	m.Level.FallAway = nil
	casetest.Near(t, "no fall-away asked", layout(t, m).Shape(1, []int{22})[0], 0, 1e-12)
}

// TestNew_Faults say which sizes cannot be.
func TestNew_Faults(t *testing.T) {
	for says, change := range map[string]func(*neck.Model){
		"the frets have no room": func(m *neck.Model) { m.Scale.Bass, m.Scale.Treble = 0, 0 },
		"string 2 does not lie":  func(m *neck.Model) { m.Strings.Spread = neck.Pair{0, 50} },
		"string 3 does not lie":  func(m *neck.Model) { m.Strings.Set[2].At = &neck.Pair{7, 30} },
	} {
		m := model()
		change(&m)
		if _, err := New(m); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%v, want %q", err, says)
		}
	}
}
