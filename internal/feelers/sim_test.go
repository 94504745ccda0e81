package feelers

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// bench is a neck whose crowns are known, and what was read of it.
type bench struct {
	t     testing.TB
	model neck.Model
	l     *geometry.Layout
	z     map[int]map[float64]float64 // crown less the shape, mm
	rnd   *rand.Rand
	out   []reading.Reading
}

func newBench(t testing.TB, seed uint64, change ...func(m *neck.Model)) *bench {
	b := &bench{t: t, z: map[int]map[float64]float64{}, rnd: rand.New(rand.NewPCG(seed, 9))}
	b.model = neck.Model{
		Scale:   neck.Scale{Bass: 640, Treble: 640, Frets: 22, Divisions: 12},
		Board:   neck.Board{Radius: neck.Pair{300, 400}, Width: neck.Pair{43, 56.5}},
		Strings: neck.Strings{Spread: neck.Pair{35, 51}, Set: make([]neck.String, 6)},
		Level:   neck.Level{Zone: 0.03},
	}
	for _, c := range change {
		c(&b.model)
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

// press scatters the frets: whole, tilted, and each crown a little.
func (b *bench) press(whole, tilt, crown float64) {
	for f := 1; f <= 22; f++ {
		w, s := whole*b.rnd.NormFloat64(), tilt*b.rnd.NormFloat64()
		for lane := 1.0; lane <= 6; lane++ {
			b.z[f][lane] += w + s*2*(b.l.Fraction(lane)-0.5) + crown*b.rnd.NormFloat64()
		}
	}
}

// zone is a lane's true zone.
func (b *bench) zone(lane float64) float64 {
	x, z := b.lane(lane)
	r, err := straight.Zone(x, z)
	if err != nil {
		b.t.Fatal(err)
	}
	return r.WidthMM
}

func (b *bench) lane(lane float64) (x, z []float64) {
	for f := 1; f <= 22; f++ {
		x, z = append(x, b.l.LaneX(f, lane)), append(z, b.z[f][lane])
	}
	return x, z
}

// shrink gives every lane's zone at most this width, at equal shape.
func (b *bench) shrink(to float64) {
	worst := 0.0
	for lane := 1.0; lane <= 6; lane++ {
		worst = math.Max(worst, b.zone(lane))
	}
	for f := range b.z {
		for lane := range b.z[f] {
			b.z[f][lane] *= to / worst
		}
	}
}

// gaps are those under a long edge: it rests on two crowns, one on each side of
// its middle.
func (b *bench) gaps(lane float64) []float64 {
	x, z := b.lane(lane)
	frets := make([]int, 22)
	for i := range frets {
		frets[i] = i + 1
	}
	for i, s := range b.l.Shape(lane, frets) {
		z[i] += s
	}
	middle := (x[0] + x[21]) / 2
	best, base, slope := math.Inf(-1), 0.0, 0.0
	for i := range x {
		for j := range x {
			if x[i] > middle || x[j] <= middle {
				continue
			}
			s := (z[j] - z[i]) / (x[j] - x[i])
			if h := z[i] + s*(middle-x[i]); h > best {
				best, base, slope = h, z[i]-s*x[i], s
			}
		}
	}
	g := make([]float64, 22)
	for i := range x {
		g[i] = math.Max(0, base+slope*x[i]-z[i])
	}
	return g
}

// edge feels the gaps along a lane.
func (b *bench) edge(lane float64, leaves []float64, u float64, pass string) {
	for i, g := range b.gaps(lane) {
		g += u * b.rnd.NormFloat64()
		goes, no := 0.0, leaves[len(leaves)-1]+0.1
		for _, l := range leaves {
			if l > g {
				no = l
				break
			}
			goes = l
		}
		b.out = append(b.out, reading.Reading{Method: reading.Edge, Lane: lane, Frets: []int{i + 1}, Value: goes, NoGo: &no, U: u, UGiven: true, Pass: pass})
	}
}

func (b *bench) edges(leaves []float64, u float64) {
	for lane := 1.0; lane <= 6; lane++ {
		b.edge(lane, leaves, u, "")
	}
}

func (b *bench) bridge(lane, u float64) {
	for f := 2; f < 22; f++ {
		x := func(f int) float64 { return b.l.LaneX(f, lane) }
		l := (x(f+1) - x(f)) / (x(f+1) - x(f-1))
		frets := []int{f - 1, f, f + 1}
		s := b.l.Shape(lane, frets)
		h := func(k int) float64 { return b.z[frets[k]][lane] + s[k] }
		b.out = append(b.out, reading.Reading{Method: reading.Bridge, Lane: lane, Frets: frets, U: u, UGiven: true,
			Value: h(1) - l*h(0) - (1-l)*h(2) + u*b.rnd.NormFloat64()})
	}
}

func (b *bench) beam(lane, u float64) {
	for i, g := range b.gaps(lane) {
		b.out = append(b.out, reading.Reading{Method: reading.Beam, Lane: lane, Frets: []int{i + 1}, U: u, UGiven: true, Value: 0.4 - g + u*b.rnd.NormFloat64()})
	}
}

// judge is the estimate of what was read, and what brackets say of it.
func (b *bench) judge() (*heights.Estimate, []*Lane) {
	readings, _ := reading.WithLeaves(b.out)
	e, err := heights.From(heights.Input{Layout: b.l, Readings: readings})
	if err != nil {
		b.t.Fatal(err)
	}
	lanes, err := Of(Input{Layout: b.l, Readings: readings, Estimate: e})
	if err != nil {
		b.t.Fatal(err)
	}
	return e, lanes
}

// set is leaves in equal steps.
func set(first, step float64, n int) (out []float64) {
	for k := range n {
		out = append(out, first+step*float64(k))
	}
	return out
}

// usual is a set of 18 leaves, as shops sell them.
func usual() []float64 {
	return []float64{0.03, 0.04, 0.05, 0.06, 0.07, 0.08, 0.09, 0.10, 0.12, 0.15, 0.18, 0.20, 0.25, 0.30, 0.35, 0.40, 0.50, 0.60}
}
