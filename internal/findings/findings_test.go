package findings

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/straight"
)

const noise = 0.003

// bench is a neck with known faults and its readings.
type bench struct {
	t     testing.TB
	model neck.Model
	l     *geometry.Layout
	z     map[int]map[float64]float64
	rnd   *rand.Rand
	out   []reading.Reading
}

func newBench(t testing.TB, seed uint64) *bench {
	b := &bench{t: t, z: map[int]map[float64]float64{}, rnd: rand.New(rand.NewPCG(seed, 2))}
	b.model = neck.Model{
		Scale:   neck.Scale{Bass: 640, Treble: 640, Frets: 22, Divisions: 12},
		Board:   neck.Board{Radius: neck.Pair{300, 400}, Width: neck.Pair{43, 56.5}},
		Strings: neck.Strings{Spread: neck.Pair{35, 51}, Set: make([]neck.String, 6)},
		Body:    neck.Body{Joint: 16, Rod: true},
		Level:   neck.Level{Zone: 0.03},
	}
	var err error
	if b.l, err = geometry.New(b.model); err != nil {
		t.Fatal(err)
	}
	for f := 1; f <= 22; f++ {
		b.z[f] = map[float64]float64{}
		for lane := 1.0; lane <= 6; lane++ {
			b.z[f][lane] = 0
		}
	}
	return b
}

// raise adds to a fret's crowns a height that depends on the place across,
// −0.5 at the treble side to 0.5.
func (b *bench) raise(fret int, by func(t float64) float64) {
	for lane := 1.0; lane <= 6; lane++ { // in order: by may draw at random
		b.z[fret][lane] += by(b.l.Fraction(lane) - 0.5)
	}
}

// read takes a pass of every lane.
func (b *bench) read(pass string) {
	for lane := 1.0; lane <= 6; lane++ {
		tilt := 1e-4 * b.rnd.NormFloat64()
		for f := 1; f <= 22; f++ {
			b.out = append(b.out, reading.Reading{Method: reading.Beam, Lane: lane, Frets: []int{f}, U: noise, Pass: pass,
				Value: 0.4 + b.z[f][lane] + tilt*b.l.LaneX(f, lane) + noise*b.rnd.NormFloat64()})
		}
	}
}

func (b *bench) judge() *Neck {
	e, err := heights.From(heights.Input{Layout: b.l, Readings: b.out})
	if err != nil {
		b.t.Fatal(err)
	}
	n, err := Judge(b.model, b.l, e, b.out)
	if err != nil {
		b.t.Fatal(err)
	}
	return n
}

// TestFrets_Cases: each fault by its name, and no other fret named.
func TestFrets_Cases(t *testing.T) {
	cases := []struct {
		want Case
		by   func(t float64) float64
	}{
		{WholeHigh, func(float64) float64 { return 0.06 }},
		{WholeLow, func(float64) float64 { return -0.06 }},
		{TrebleUnseated, func(t float64) float64 { return 0.08 * (0.5 - t) }},
		{BassUnseated, func(t float64) float64 { return 0.08 * (0.5 + t) }},
		{TrebleLow, func(t float64) float64 { return -0.08 * (0.5 - t) }},
		{BassLow, func(t float64) float64 { return -0.08 * (0.5 + t) }},
		{MiddleProud, func(t float64) float64 { return 0.08 * (1 - 4*t*t) }},
		{EndsProud, func(t float64) float64 { return 0.08 * 4 * t * t }},
	}
	for _, c := range cases {
		for seed := range uint64(20) {
			b := newBench(t, seed)
			b.raise(9, c.by)
			b.read("")
			n := b.judge()
			got := n.Frets()
			if len(got) != 1 || got[0].Fret != 9 || got[0].Case != c.want {
				t.Errorf("%d, seed %d: %+v", c.want, seed, got)
			}
			if n.Verdict != straight.NotLevel {
				t.Errorf("%d, seed %d: %s", c.want, seed, n.Verdict)
			}
		}
	}
}

// TestFrets_Level: a level neck has nothing to say.
func TestFrets_Level(t *testing.T) {
	b := newBench(t, 3)
	b.read("")
	n := b.judge()
	if n.Verdict != straight.Level || len(n.Frets()) != 0 || len(n.Whole(b.out)) != 0 || len(n.Next(b.out, readplan.Usual())) != 0 {
		t.Errorf("%s, %v, %v, %v", n.Verdict, n.Frets(), n.Whole(b.out), n.Next(b.out, readplan.Usual()))
	}
}

// TestFrets_PitAndBurr: two passes that agree make them real.
func TestFrets_PitAndBurr(t *testing.T) {
	b := newBench(t, 4)
	b.z[3][2] -= 0.05
	b.z[11][5] += 0.05
	b.read("a")
	b.read("b")
	got := b.judge().Frets()
	if len(got) != 2 || got[0].Case != Pit || got[0].Lanes[0] != 2 || math.Abs(got[0].MM+0.052) > 5e-4 || got[1].Case != Burr || got[1].Lanes[0] != 5 {
		t.Errorf("%+v", got)
	}
}

// TestWhole_Bow: a bow is the rod's business, up or back, and only with a rod.
func TestWhole_Bow(t *testing.T) {
	for _, depth := range []float64{0.1, -0.1} {
		b := newBench(t, 5)
		for f := 1; f <= 22; f++ {
			b.raise(f, func(float64) float64 { return depth * b.l.Bow(f, 22, 3.5) })
		}
		b.read("")
		got := b.judge().Whole(b.out)
		if len(got) == 0 || got[0].Kind != KindBow || !got[0].Rod {
			t.Fatalf("depth %g: %+v", depth, got)
		}
		if math.Abs(got[0].AmountMM-depth) > 0.01 {
			t.Errorf("depth %g: found %.4f", depth, got[0].AmountMM)
		}
	}
	b := newBench(t, 5)
	b.raise(9, func(float64) float64 { return 0.2 })
	b.read("")
	for _, w := range b.judge().Whole(b.out) {
		t.Errorf("one high fret is no bow: %+v", w)
	}
}

// TestWhole_Rise: a hump at the joint is named so, elsewhere a hump or a dip.
func TestWhole_Rise(t *testing.T) {
	for _, c := range []struct {
		from, to int
		by       float64
		want     string
	}{{16, 19, 0.03, KindRise}, {6, 9, 0.03, KindHump}, {6, 9, -0.03, KindDip}} {
		b := newBench(t, 6)
		for f := c.from; f <= c.to; f++ {
			b.raise(f, func(float64) float64 { return c.by })
		}
		b.read("")
		got := b.judge().Whole(b.out)
		if !slices.ContainsFunc(got, func(w Whole) bool { return w.Kind == c.want && w.Frets[0] == c.from && w.Frets[len(w.Frets)-1] == c.to }) {
			t.Errorf("want %s, got %+v", c.want, got)
		}
	}
}

// TestWhole_Ties: sticks tell a twist, an arch gauge a wrong radius; without
// them neither is said.
func TestWhole_Ties(t *testing.T) {
	b := newBench(t, 7)
	b.read("")
	if got := b.judge().Whole(b.out); len(got) != 0 {
		t.Fatalf("%+v", got)
	}
	// The treble side rises 0.2 mm over 40 mm between frets 1 and 22.
	b.out = append(b.out, reading.Reading{Method: reading.Sticks, Frets: []int{1, 22}, Value: 0.2, Span: 40, U: 0.01})
	for f := 1; f <= 22; f += 7 {
		const half, r = 20, 250.0 // rounder than the board
		b.out = append(b.out, reading.Reading{Method: reading.Arch, Frets: []int{f}, Span: 2 * half, U: 0.005,
			Value: r - math.Sqrt(r*r-half*half)})
	}
	got := b.judge().Whole(b.out)
	if len(got) != 2 || got[0].Kind != KindTwist || got[0].AmountMM < 0 || got[1].Kind != KindRadius || got[1].AmountMM < 0 {
		t.Fatalf("%+v", got)
	}
	width := b.l.Width(b.l.CentreX(22))
	if want := 0.2 / 40 * width; math.Abs(got[0].AmountMM-want) > 0.05*want {
		t.Errorf("twist %.4f, want %.4f", got[0].AmountMM, want)
	}
}

// TestWhole_ProbeTies: a probe's frame may be tilted; it sees twist and radius
// all the same.
func TestWhole_ProbeTies(t *testing.T) {
	b := newBench(t, 8)
	const twist, radius, u = 2e-5, 1.2, 0.002
	for lane := 1.0; lane <= 6; lane++ {
		for f := 1; f <= 22; f++ {
			p := b.l.At(f, lane)
			for _, d := range []float64{-0.4, 0, 0.4} {
				top := b.l.Surface(p) + twist*p.X*p.Y + 0.003*p.X - 0.004*p.Y + 1
				b.out = append(b.out, reading.Reading{Method: reading.Probe, X: p.X + d, Y: p.Y, U: u,
					Z: top - radius + math.Sqrt(radius*radius-d*d) + u*b.rnd.NormFloat64()})
			}
		}
	}
	got := b.judge().Whole(b.out)
	if len(got) != 1 || got[0].Kind != KindTwist || got[0].AmountMM < 0 {
		t.Fatalf("%+v", got)
	}
}

// A fret low all along by far more than its crowns leave their line is not uneven:
// it is low, not worn.
func TestAcross_Uneven(t *testing.T) {
	for _, c := range []struct {
		off  []float64
		want bool
	}{
		{[]float64{-0.082, -0.073, -0.085, -0.073, -0.063}, false},
		{[]float64{-0.100, -0.075, -0.050, -0.025, 0}, false}, // one end low
		{[]float64{-0.100, -0.030, -0.080, -0.010, 0}, true},
	} {
		a := across{t: []float64{-0.5, -0.25, 0, 0.25, 0.5}, off: c.off, cov: mat.NewSymDense(5, nil), lanes: make([]int, 5)}
		if got := a.uneven(); got != c.want {
			t.Errorf("%v: %v", c.off, got)
		}
	}
}
