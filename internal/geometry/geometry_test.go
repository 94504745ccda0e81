package geometry

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/neck"
)

func model() neck.Model {
	return neck.Model{
		Scale:   neck.Scale{Bass: 640, Treble: 640, Frets: 22, Divisions: 12},
		Board:   neck.Board{Radius: neck.Pair{300, 400}, Width: neck.Pair{43, 56.5}},
		Strings: neck.Strings{Spread: neck.Pair{35, 51}, Set: make([]neck.String, 6)},
		Level:   neck.Level{Relief: 0.1, FallAway: &neck.FallAway{From: 15, Depth: neck.Pair{0.2, 0.1}}},
	}
}

func layout(t testing.TB, m neck.Model) *Layout {
	t.Helper()
	l, err := New(m)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestCentreX_EqualTemperament: places are the scale less the lengths that give
// the equal-tempered pitches (closed form), and the octave halves the scale.
func TestCentreX_EqualTemperament(t *testing.T) {
	m := model()
	m.Scale.Bass, m.Scale.Treble = 647.7, 647.7 // 25.5 in, common practice, no source
	l := layout(t, m)
	length := 647.7
	for f := 1; f <= 22; f++ {
		length /= math.Pow(2, 1.0/12)
		casetest.Near(t, "fret", l.CentreX(f), 647.7-length, 1e-9)
	}
	casetest.Near(t, "octave", l.CentreX(12), 647.7/2, 1e-9)
	m.Scale.Divisions, m.Scale.Frets = 19, 38
	casetest.Near(t, "octave of 19", layout(t, m).CentreX(19), 647.7/2, 1e-9)
}

// TestSurface_Sagitta: the middle of a 50 mm chord stands R − √(R² − 25²) over
// its ends. Derived values (R = w²/8s + s/2).
func TestSurface_Sagitta(t *testing.T) {
	for r, want := range map[float64]float64{184.15: 1.704878, 241.3: 1.298563, 254: 1.233309, 304.8: 1.026993, 355.6: .879885, 406.4: .769676, 508: .615530} {
		m := model()
		m.Board.Radius = neck.Pair{r, r}
		casetest.Near(t, "sagitta", -layout(t, m).Surface(Point{100, 25}), want, 1e-6)
	}
	m := model()
	m.Board.Radius = neck.Pair{}
	casetest.Near(t, "flat", layout(t, m).Surface(Point{100, 25}), 0, 0)
}

// TestBoard_Cone: radius and width are linear from the nut to the last fret.
func TestBoard_Cone(t *testing.T) {
	l := layout(t, model())
	last := l.CentreX(22)
	casetest.Near(t, "radius at fret 1", l.Radius(l.CentreX(1)), 300+100*l.CentreX(1)/last, 1e-9)
	casetest.Near(t, "width at the last fret", l.Width(last), 56.5, 1e-9)
}

// TestSlanted_Construction: places on the outer lanes by their own scales, the
// square fret square, and the frets between crossed by ruler: the intersection
// of two lines worked out by cross products.
func TestSlanted_Construction(t *testing.T) {
	m := model()
	m.Scale = neck.Scale{Bass: 686, Treble: 648, Slanted: true, SquareAt: 7, Frets: 24, Divisions: 12}
	l := layout(t, m)
	casetest.Near(t, "square fret", l.At(7, 1).X, l.At(7, 6).X, 1e-9)
	casetest.Near(t, "squareness", l.Squareness(7), 1, 1e-12)
	casetest.Near(t, "nut on the centre line", l.CentreX(0), 0, 1e-9)
	for f := range 25 {
		p := 1 - math.Pow(2, -float64(f)/12)
		casetest.Near(t, "bass", l.LaneX(f, 6), 686*p, 1e-9)
		casetest.Near(t, "treble", l.LaneX(f, 1), 648*p, 1e-9)
		a, b := l.At(f, 1), l.At(f, 6)
		for _, lane := range []float64{2, 3, 3.5, 5} {
			n, s := l.laneEnds(lane)
			// Lines as homogeneous vectors; their cross product is where they meet.
			x := cross(cross(h(a), h(b)), cross(h(n), h(s)))
			got := l.At(f, lane)
			casetest.Near(t, "x", got.X, x[0]/x[2], 1e-9)
			casetest.Near(t, "y", got.Y, x[1]/x[2], 1e-9)
		}
	}
	casetest.Near(t, "middle lane's scale", l.LaneScale(3.5), 667, 1e-9)
}

func h(p Point) [3]float64 { return [3]float64{p.X, p.Y, 1} }

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// TestShape: relief is a parabola between the first and the last fret,
// fall-away starts at its fret and differs from bass to treble.
func TestShape(t *testing.T) {
	l := layout(t, model())
	frets := []int{1, 15, 22}
	treble, bass := l.Shape(1, frets), l.Shape(6, frets)
	casetest.Near(t, "first fret", treble[0], 0, 1e-12)
	casetest.Near(t, "last fret, treble", treble[2], -0.1, 1e-12)
	casetest.Near(t, "last fret, bass", bass[2], -0.2, 1e-12)
	x := func(f int) float64 { return l.LaneX(f, 1) }
	u := (x(15) - x(1)) / (x(22) - x(1))
	casetest.Near(t, "relief at fret 15", treble[1], -0.1*4*u*(1-u), 1e-12)
	m := model()
	m.Level.Relief, m.Level.FallAway.Straight = 0, true
	casetest.Near(t, "straight fall-away", layout(t, m).Shape(1, []int{18})[0], -0.1*(x(18)-x(15))/(x(22)-x(15)), 1e-12)
	m.Scale.ZeroFret, m.Level.Relief = true, 0.1
	if z := layout(t, m).Shape(1, []int{0, 1}); z[0] != 0 || z[1] >= 0 {
		t.Errorf("zero fret: relief starts there, got %v", z)
	}
}

// TestLayout_Mirror: a neck seen in a mirror has its frets in the same places.
func TestLayout_Mirror(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		m := model()
		m.Scale = neck.Scale{
			Bass: rapid.Float64Range(600, 900).Draw(r, "bass"), Treble: rapid.Float64Range(600, 900).Draw(r, "treble"),
			SquareAt: rapid.IntRange(0, 22).Draw(r, "square"), Frets: 22, Divisions: 12,
		}
		n := m
		n.Scale.Bass, n.Scale.Treble = m.Scale.Treble, m.Scale.Bass
		a, b := layout(t, m), layout(t, n)
		for f := 0; f <= 22; f++ {
			for lane := 1.0; lane <= 6; lane += 0.5 {
				p, q := a.At(f, lane), b.At(f, 7-lane)
				if math.Abs(p.X-q.X) > 1e-9 || math.Abs(p.Y+q.Y) > 1e-9 {
					r.Fatalf("fret %d lane %g: %v, %v", f, lane, p, q)
				}
				if f > 0 && !(a.LaneX(f, lane) > a.LaneX(f-1, lane)) {
					r.Fatalf("fret %d lane %g does not lie beyond the one before", f, lane)
				}
			}
		}
	})
}

// TestNew_Crossed: strings out of order are refused.
func TestNew_Crossed(t *testing.T) {
	m := model()
	m.Strings.Set[2].At = &neck.Pair{20, 20}
	if _, err := New(m); err == nil {
		t.Error("string 3 outside string 1 was taken")
	}
}
