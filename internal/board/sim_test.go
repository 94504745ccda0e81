package board

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// heron is the neck whose boards the tests read.
func heron(t testing.TB, change func(m *neck.Model)) (neck.Model, *geometry.Layout) {
	t.Helper()
	m := neck.Model{
		Scale:   neck.Scale{Bass: 640, Treble: 640, Frets: 22, Divisions: 12},
		Board:   neck.Board{Radius: neck.Pair{300, 400}, Width: neck.Pair{43, 56.5}, Flat: 0.05, RadiusWithin: 5},
		Body:    neck.Body{Rod: true},
		Strings: neck.Strings{Spread: neck.Pair{35, 51}, Set: make([]neck.String, 6)},
		Level:   neck.Level{Zone: 0.03, FallAway: &neck.FallAway{From: 15, Depth: neck.Pair{0.1, 0.1}}},
	}
	if change != nil {
		change(&m)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	return m, l
}

// wood is a board whose truth is known.
type wood struct {
	m     neck.Model
	l     *geometry.Layout
	r     *rand.Rand
	off   [2]float64 // of the radius, at the nut and at the last slot
	twist float64    // mm over the spread of the outer lanes and the board's length
	bumps []func(f int, x, y float64) float64
	plane [3]float64

	sanded func(f int, at geometry.Point) float64 // in place of all that; nil before
}

// newWood is a board sanded well: long waves and short ones of a few µm.
func newWood(t testing.TB, seed uint64, m neck.Model, l *geometry.Layout) *wood {
	w := &wood{m: m, l: l, r: rand.New(rand.NewPCG(seed, 77))}
	w.plane = [3]float64{w.r.NormFloat64(), 0.01 * w.r.NormFloat64(), 0.01 * w.r.NormFloat64()}
	for range 3 {
		size, long, side := 0.002+0.004*w.r.Float64(), 60+300*w.r.Float64(), 0.02*w.r.NormFloat64()
		p := 7 * w.r.Float64()
		w.bumps = append(w.bumps, func(_ int, x, y float64) float64 { return size * math.Sin(2*math.Pi*x/long+p) * (1 + side*y) })
	}
	return w
}

// height is the board's at a place, straight up.
func (w *wood) height(f int, at geometry.Point) float64 {
	if w.sanded != nil {
		return w.sanded(f, at)
	}
	t := at.X / w.l.CentreX(w.l.LastFret())
	z := w.plane[0] + w.plane[1]*at.X + w.plane[2]*at.Y + w.twist*t*at.Y/46
	if r := w.l.Radius(at.X); r > 0 {
		z -= sag(r+(1-t)*w.off[0]+t*w.off[1], math.Abs(at.Y))
	}
	for _, b := range w.bumps {
		z += b(f, at.X, at.Y)
	}
	return z
}

// zone is a lane's true zone over all slots.
func (w *wood) zone(lane float64) float64 {
	var x, z []float64
	for f := 1; f <= w.l.LastFret(); f++ {
		x, z = append(x, w.l.LaneX(f, lane)), append(z, w.height(f, w.l.At(f, lane)))
	}
	v, err := straight.Zone(x, z)
	if err != nil {
		panic(err)
	}
	return v.WidthMM
}

// ready is the truth.
func (w *wood) ready() bool {
	if !w.straight() {
		return false
	}
	within := w.m.Board.RadiusWithin
	return math.Abs(w.off[0]) <= within && math.Abs(w.off[1]) <= within
}

// straight is the truth of the lanes.
func (w *wood) straight() bool {
	for lane := 1.0; lane <= float64(w.l.Strings()); lane += 0.5 {
		if w.zone(lane) > w.m.Board.Flat {
			return false
		}
	}
	return true
}

// beam reads lanes with a dial on a beam, every step-th slot.
func (w *wood) beam(lanes []float64, step int, u float64, pass string) (out []reading.Reading) {
	for _, lane := range lanes {
		a, b := w.r.NormFloat64(), 0.001*w.r.NormFloat64()
		for f := 1; f <= w.l.LastFret(); f += step {
			at := w.l.At(f, lane)
			out = append(out, reading.Reading{Method: reading.Beam, Lane: lane, Frets: []int{f}, Pass: pass,
				Value: w.height(f, at) + a + b*at.X + u*w.r.NormFloat64(), U: u, UGiven: true})
		}
	}
	return out
}

// edge reads lanes with a straight edge and leaves.
func (w *wood) edge(lanes []float64, leaves []float64, u float64) (out []reading.Reading) {
	for _, lane := range lanes {
		var x, z []float64
		for f := 1; f <= w.l.LastFret(); f++ {
			x, z = append(x, w.l.LaneX(f, lane)), append(z, w.height(f, w.l.At(f, lane)))
		}
		for i, gap := range gapsUnder(x, z) {
			lo, hi := 0.0, math.Inf(1)
			for _, leaf := range leaves {
				if leaf > gap+u*w.r.NormFloat64() {
					hi = leaf
					break // thinnest first: the first that does not enter ends the search
				}
				lo = leaf
			}
			r := reading.Reading{Method: reading.Edge, Lane: lane, Frets: []int{i + 1}, Value: lo, U: u, UGiven: true}
			if !math.IsInf(hi, 1) {
				r.NoGo = &hi
			}
			out = append(out, r)
		}
	}
	return out
}

// gapsUnder are the gaps under an edge that rests on the upper hull about the middle.
func gapsUnder(x, z []float64) []float64 {
	mid := (x[0] + x[len(x)-1]) / 2
	var a, b int
	low := math.Inf(1)
	for i := range x {
		for k := i + 1; k < len(x); k++ {
			if x[i] > mid || x[k] < mid {
				continue
			}
			over, at := true, z[i]+(z[k]-z[i])*(mid-x[i])/(x[k]-x[i])
			for n := range x {
				over = over && z[n] <= z[i]+(z[k]-z[i])*(x[n]-x[i])/(x[k]-x[i])+1e-12
			}
			if over && at < low {
				low, a, b = at, i, k
			}
		}
	}
	out := make([]float64, len(x))
	for n := range x {
		out[n] = z[a] + (z[b]-z[a])*(x[n]-x[a])/(x[b]-x[a]) - z[n]
	}
	return out
}

// arch reads the board across the centre line.
func (w *wood) arch(slots []int, span, u float64) (out []reading.Reading) {
	for _, f := range slots {
		x := w.l.CentreX(f)
		at := func(y float64) float64 { return w.height(f, geometry.Point{X: x, Y: y}) }
		s := at(0) - (at(-span/2)+at(span/2))/2
		out = append(out, reading.Reading{Method: reading.Arch, Frets: []int{f}, Span: span, Value: s + u*w.r.NormFloat64(), U: u, UGiven: true})
	}
	return out
}

// hump raises the board over slots, in lanes by share of the width from bass 0 to
// treble 1.
func (w *wood) hump(from, to int, mm float64, part func(y float64) float64, smooth bool) {
	x0, x1 := w.l.CentreX(from-1), w.l.CentreX(to+1)
	w.bumps = append(w.bumps, func(f int, x, y float64) float64 {
		if f < from || f > to {
			return 0
		}
		v := mm
		if smooth {
			s := math.Sin(math.Pi * (x - x0) / (x1 - x0))
			v *= s * s
		}
		return v * part(y)
	})
}

func allOver(float64) float64 { return 1 }
func treble(y float64) float64 {
	return math.Max(0, math.Min(1, 0.5+y/30))
}

func every(from, to, step int) (out []int) {
	for f := from; f <= to; f += step {
		out = append(out, f)
	}
	return out
}

// block sands the board as a radius block does: down to one cone, placed where the
// list says, and nowhere below it. What the list asks for is met on average, not
// slot by slot.
func (w *wood) block(s *Sanding) {
	last := w.l.CentreX(w.l.LastFret())
	nut, end := s.NutMM.OrNaN(), s.LastMM.OrNaN()
	cone := func(at geometry.Point) float64 {
		t := at.X / last
		return -sag((1-t)*nut+t*end, math.Abs(at.Y))
	}
	n, rhs := mat.NewSymDense(3, nil), mat.NewVecDense(3, nil)
	for _, k := range s.Lanes {
		for _, s := range k.Sand {
			if f := s.Fret; k.Read {
				at := w.l.At(f, k.Lane)
				addTo(n, rhs, []int{0, 1, 2}, []float64{1, at.X / last, at.Y / 20}, w.height(f, at)-s.RemoveMM-cone(at), 0.01)
			}
		}
	}
	var x mat.VecDense
	if err := x.SolveVec(n, rhs); err != nil {
		panic(err)
	}
	before := *w
	w.sanded = func(f int, at geometry.Point) float64 {
		return math.Min(before.height(f, at), x.AtVec(0)+x.AtVec(1)*at.X/last+x.AtVec(2)*at.Y/20+cone(at))
	}
}
