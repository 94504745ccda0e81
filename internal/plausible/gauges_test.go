package plausible

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// edge reads the gaps under a straight edge on a lane, in leaves of a hundredth
// that are held apart by 0.05: the gap lies between two of them.
func (s *simulated) edge(lane int) []reading.Reading {
	h, x := make([]float64, frets), make([]float64, frets)
	for f := 1; f <= frets; f++ {
		h[f-1], x[f-1] = s.crown[f][lane], s.l.LaneX(f, float64(lane))
	}
	// It rests on two crowns with the others below.
	a, b := math.Inf(1), 0.0
	for i := range x {
		for j := i + 1; j < len(x); j++ {
			slope := (h[j] - h[i]) / (x[j] - x[i])
			under := true
			for k := range x {
				under = under && h[k] <= h[i]+slope*(x[k]-x[i])+1e-9
			}
			if top := h[i] + slope*(300-x[i]); under && top < a {
				a, b = top, slope
			}
		}
	}
	var out []reading.Reading
	for f := 1; f <= frets; f++ {
		gap := a + b*(x[f-1]-300) - h[f-1]
		lo := math.Floor(gap/0.02) * 0.02
		no := lo + 0.02
		out = append(out, reading.Reading{Method: reading.Edge, Lane: float64(lane), Frets: []int{f}, U: 0.005, Value: max(0, round(lo)), NoGo: &no})
	}
	return out
}

// bridge reads every three neighbouring crowns, fret after fret across the
// lanes, as a grid is read.
func (s *simulated) bridge(m reading.Method) []reading.Reading {
	var out []reading.Reading
	for f := 2; f < frets; f++ {
		for lane := 1; lane <= lanes; lane++ {
			x := func(f int) float64 { return s.l.LaneX(f, float64(lane)) }
			share := (x(f+1) - x(f)) / (x(f+1) - x(f-1))
			v := s.crown[f][lane] - share*s.crown[f-1][lane] - (1-share)*s.crown[f+1][lane]
			if m == reading.Rocker {
				v = max(0, v/(1-share))
			}
			out = append(out, reading.Reading{Method: m, Lane: float64(lane), Frets: []int{f - 1, f, f + 1}, U: 0.005, Pass: "b", Value: round(max(v, v+0.004*s.rnd.NormFloat64()))})
		}
	}
	return out
}

func (s *simulated) heights() []reading.Reading {
	var out []reading.Reading
	for f := 1; f <= frets; f++ {
		for lane := 1; lane <= lanes; lane++ {
			out = append(out, reading.Reading{Method: reading.Height, Lane: float64(lane), Frets: []int{f}, U: 0.01, Value: round(1.18 + 0.02*s.rnd.NormFloat64())})
		}
	}
	return out
}

// Every gauge that is looked at: faultless readings are seldom asked of, and a
// number typed tenfold, or with a 3 before it, at once wherever it stands.
func TestWatch_EveryGauge(t *testing.T) {
	for _, c := range []struct {
		name string
		take func(*simulated) []reading.Reading
		most int // questions on ten sound necks, and on ten mixed ones
		both int
	}{
		{"beam", func(s *simulated) []reading.Reading { return s.beams(1, 0.005) }, 0, 6},
		{"edge", func(s *simulated) []reading.Reading { return slices.Concat(s.edge(1), s.edge(2), s.edge(3)) }, 0, 8},
		{"bridge", func(s *simulated) []reading.Reading { return s.bridge(reading.Bridge) }, 0, 12},
		{"rocker", func(s *simulated) []reading.Reading { return s.bridge(reading.Rocker) }, 2, 30},
		{"height", (*simulated).heights, 0, 0},
	} {
		soundAsked, mixedAsked := 0, 0
		for i := range 10 {
			s := simulate(t, sound, 600+uint64(i))
			all := c.take(s)
			soundAsked += len(asked(s.l, all))
			if g := Gross(s.l, model(), all); len(g) > 0 {
				t.Errorf("%s: gross on a sound neck: %+v", c.name, g)
			}
			at := s.rnd.IntN(len(all))
			all[at].Value += 3.35
			if all[at].NoGo != nil {
				no := *all[at].NoGo + 3.35
				all[at].NoGo = &no
			}
			w := New(s.l, 1.2)
			for k, r := range all {
				w.Take(r)
				if odd := w.Odd(); k >= at && k > 0 && !slices.ContainsFunc(odd, func(o Odd) bool { return o.Reading == at || slices.Contains(o.Either, at) }) {
					t.Fatalf("%s: 3.35 mm too much at %d is not asked of after %d: %+v", c.name, at, k, odd)
				}
			}
			g := w.Gross()
			if len(g) != 1 || g[0].Reading != at || math.Abs(g[0].ExpectedMM-(all[at].Value-3.35)) > 0.12 {
				t.Errorf("%s: gross %+v, want %d, %.3f", c.name, g, at, all[at].Value-3.35)
			}
			m := simulate(t, mixed, 700+uint64(i))
			all = c.take(m)
			mixedAsked += len(asked(m.l, all))
			if g := Gross(m.l, model(), all); len(g) > 0 {
				t.Errorf("%s: gross on a neck with frets off: %+v", c.name, g)
			}
		}
		t.Logf("%s: %d questions on ten sound necks, %d on ten with frets off", c.name, soundAsked, mixedAsked)
		if soundAsked > c.most || mixedAsked > c.both {
			t.Errorf("%s: %d and %d questions; want %d and %d at most", c.name, soundAsked, mixedAsked, c.most, c.both)
		}
	}
}

// Answers that are no sizes, and gauges that are not looked at, are passed over;
// the places of the others still count them.
func TestWatch_PassesOver(t *testing.T) {
	s := simulate(t, sound, 41)
	others := []reading.Reading{
		{Method: reading.Probe, X: 1, Y: 2, Z: 3}, {Method: reading.Arch, Value: 9, Span: 30}, {Method: reading.Sticks, Frets: []int{1, 12}, Value: 9, Span: 40},
		{Method: reading.Rocker, Lane: 1, Frets: []int{1, 2, 3}, Answer: reading.Rocks}, {Method: reading.Rocker, Lane: 1, Frets: []int{2, 3, 4}, Answer: reading.Still},
	}
	lane := s.beam(1, "1", 0.005)
	lane[5].Value += 3.35
	all := append(slices.Clone(others), lane...)
	if odd := Of(s.l, model(), all).Odd(); len(odd) != 1 || odd[0].Reading != len(others)+5 {
		t.Errorf("%+v", odd)
	}
}

// The shape that the neck file asks for is no fault: exact readings of a neck
// with relief and fall-away are not asked of, by any gauge.
func TestWatch_ShapeIsTakenOff(t *testing.T) {
	m := model()
	m.Level.Relief = 0.35
	m.Level.FallAway = &neck.FallAway{From: 14, Depth: neck.Pair{1.6, 1.4}, Straight: true}
	l := layout(t, m)
	s := &simulated{l: l, rnd: rand.New(rand.NewPCG(1, 1))}
	for lane := 1; lane <= lanes; lane++ {
		for f := 1; f <= frets; f++ {
			s.crown[f][lane] = l.Shape(float64(lane), []int{f})[0]
		}
	}
	for name, all := range map[string][]reading.Reading{
		"beam": s.beams(1, 0.001), "bridge": s.bridge(reading.Bridge), "edge": s.edge(3),
	} {
		if a := asked(l, all); len(a) > 0 {
			t.Errorf("%s: asked of %v", name, a)
		}
		// What is expected is what the gauge would read, shape and all.
		at := len(all) / 2
		right := all[at].Value
		all[at].Value += 3.35
		all[at].NoGo = nil
		if g := Gross(l, m, all); len(g) != 1 || math.Abs(g[0].ExpectedMM-right) > 0.03 {
			t.Errorf("%s: %+v; want %.3f expected", name, g, right)
		}
	}
	// Not taken off, it would be asked of.
	if a := asked(layout(t, model()), s.beams(1, 0.001)); len(a) == 0 {
		t.Error("a bow and a fall-away that nobody asked for are not seen: this test cannot fail")
	}
}

// A bow that the rod makes is smooth: a strung neck is not asked of.
func TestWatch_Bowed(t *testing.T) {
	questions := 0
	for i := range 20 {
		s := simulate(t, sound, 800+uint64(i))
		for lane := 1; lane <= lanes; lane++ {
			for f := 1; f <= frets; f++ {
				s.crown[f][lane] += 0.3 * s.l.Bow(f, frets, float64(lane))
			}
		}
		all := s.beams(1, 0.005)
		questions += len(asked(s.l, all))
		if g := Gross(s.l, model(), all); len(g) > 0 {
			t.Errorf("seed %d: gross %+v", 800+i, g)
		}
	}
	t.Logf("%d questions on 20 necks bowed by 0.3 mm", questions)
	if questions > 2 {
		t.Errorf("%d questions on 20 necks bowed by 0.3 mm", questions)
	}
}

// What is asked does not hang on how a beam lies: an offset and a tilt added to
// a pass change nothing, nor does a beam turned end for end, nor which side of
// the neck is lane 1, where passes come in the same order.
func TestWatch_BeamsOwnLine(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := simulate(t, mixed, rapid.Uint64Range(1, 500).Draw(rt, "seed"))
		all := s.beams(1, 0.005)
		for range rapid.IntRange(0, 3).Draw(rt, "misreads") {
			all[rapid.IntRange(0, len(all)-1).Draw(rt, "at")].Value += rapid.Float64Range(-1, 1).Draw(rt, "by")
		}
		want := places(Of(s.l, model(), all).Odd())
		moved := slices.Clone(all)
		offset, tilt := rapid.Float64Range(-2, 2).Draw(rt, "offset"), rapid.Float64Range(-1e-4, 1e-4).Draw(rt, "tilt")
		for i := range moved {
			moved[i].Value += offset + tilt*s.l.LaneX(moved[i].Frets[0], moved[i].Lane)
			moved[i].Turned = true
		}
		// A tilt may change whether the second reading of a pass is asked of; the
		// limit there is of the beam's own tilt.
		if got := places(Of(s.l, model(), moved).Odd()); !slices.Equal(got, want) {
			rt.Errorf("asked of %v, want %v", got, want)
		}
	})
}

func places(odd []Odd) []int {
	out := []int{}
	for _, o := range odd {
		out = append(out, o.Reading)
	}
	return out
}

// The line is the one of least absolute distances, held against package
// straight, which works it out another way.
func TestLineOf_SecondRoute(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(2, 24).Draw(rt, "n")
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = 30*float64(i) + rapid.Float64Range(0, 20).Draw(rt, "x")
			y[i] = math.Round(rapid.Float64Range(-0.1, 0.1).Draw(rt, "y")*50) / 50 // leaves: many alike
		}
		a, b, err := straight.ReferenceLine(x, y)
		if err != nil {
			rt.Fatal(err)
		}
		tr := lineOf(x, y, 0.035)
		got, want := 0.0, 0.0
		for i := range x {
			got += math.Abs(y[i] - tr.at(x[i]))
			want += math.Abs(y[i] - a - b*x[i])
		}
		if math.Abs(got-want) > 1e-9 {
			rt.Errorf("sum of distances %g, want %g", got, want)
		}
	})
}

// The limits as they are worked out by hand.
func TestTrend_Limit(t *testing.T) {
	x := []float64{0, 10, 20, 30, 40}
	tr := lineOf(x, []float64{0, 0.1, 0, -0.1, 0}, 0.01)
	if tr.at(25) != 0 || tr.s != 0.01 { // median distance 0
		t.Errorf("%+v", tr)
	}
	// Leverage at 60: 1/5 + 40²/1000 = 1.8.
	if got, want := tr.limit(60, 0), 4.5*0.01*math.Sqrt(2.8); math.Abs(got-want) > 1e-12 {
		t.Errorf("limit %g, want %g", got, want)
	}
	tr = lineOf(x, []float64{0.1, -0.1, 0, 0.2, 0.2}, 0.01)
	if tr.s <= 0.01 {
		t.Errorf("scatter %g is not the readings' own", tr.s)
	}
	if tr := levelOf([]float64{1, 3, 2}, 0.035); tr.at(99) != 2 || math.Abs(tr.limit(99, 0)-4.5*0.035*math.Sqrt(4.0/3)) > 1e-12 {
		t.Errorf("%+v", tr)
	}
	if tr := lineOf([]float64{5, 5}, []float64{1, 2}, 0.035); tr.at(5) != 1.5 {
		t.Errorf("twice at one place: %+v", tr)
	}
}

// Slanted frets: the lanes' places differ, their frets do not.
func TestWatch_Slanted(t *testing.T) {
	m := model()
	m.Scale.Bass, m.Scale.Treble, m.Scale.SquareAt = 686, 648, 7
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	s := simulate(t, sound, 51)
	s.l = l
	all := s.beams(1, 0.005)
	if a := asked(l, all); len(a) > 0 {
		t.Errorf("asked of %v", a)
	}
	all[75].Value -= 0.15
	if odd := Of(l, m, all).Odd(); len(odd) != 1 || odd[0].Reading != 75 {
		t.Errorf("%+v", odd)
	}
}
