package sheet

import (
	"math"

	"ringtrue/internal/draw"
)

// ground says where the neck and its numbers stand. The neck lies along the page
// (nut left, treble side up) or down it (nut up, treble side right): both are the
// neck seen from above. Beside it stand the numbers, one even step a fret, and
// between them a line from each fret to its step.
//
// Along is counted with the neck, across from the neck to its numbers.
type ground struct {
	tall       bool
	along      float64 // where the neck's picture and the numbers start, mm
	length     float64 // and how long both are
	board      float64 // where the board starts across
	wide       float64 // and how wide it is at its widest
	cells      float64 // where the numbers start across
	step       float64 // of the numbers along, one fret
	row        float64 // of the numbers across, one lane
	x0, perMM  float64 // the neck's x at `along`, and page mm per mm of it
	half, side float64 // half the widest width; page mm per mm across
}

// at is the page's point of a place along and across.
func (g ground) at(along, across float64) draw.Point {
	if g.tall {
		return draw.Point{X: across, Y: along}
	}
	return draw.Point{X: along, Y: across}
}

// on is the page's point of a place on the board, in the neck's x and y.
func (g ground) on(x, y float64) draw.Point {
	across := g.half - y // treble side first: it lies up
	if g.tall {
		across = g.half + y // bass side first: the treble side lies right
	}
	return g.at(g.along+(x-g.x0)*g.perMM, g.board+across*g.side)
}

// nearY is the sign of y on the board's side that faces the numbers.
func (g ground) nearY() float64 {
	if g.tall {
		return 1
	}
	return -1
}

// fit lays the neck into the ground: to scale along, stretched across.
func (f *fretsSheet) fit() {
	g := &f.g
	lo, hi := math.Inf(1), math.Inf(-1)
	g.half = 0
	for _, fret := range []int{0, f.l.LastFret()} {
		for _, side := range []float64{-1, 1} {
			x, y := f.edge(fret, side)
			lo, hi = math.Min(lo, x), math.Max(hi, x)
			g.half = math.Max(g.half, math.Abs(y))
		}
	}
	g.x0, g.perMM = lo, g.length/(hi-lo)
	g.side = g.wide / (2 * g.half)
	g.step = g.length / float64(len(f.frets))
}

// edge is where a fret's line meets the board's edge on the bass (−1) or treble
// (+1) side, in the neck's x and y.
func (f *fretsSheet) edge(fret int, side float64) (x, y float64) {
	strings := float64(f.l.Strings())
	t, b := f.l.At(fret, 1), f.l.At(fret, strings)
	y = side * f.l.Width(f.l.CentreX(fret)) / 2
	// A lane may not lie outside the board, whatever the file says of its width.
	y = side * math.Max(math.Abs(y), math.Max(math.Abs(t.Y), math.Abs(b.Y)))
	if t.Y == b.Y {
		return t.X, y
	}
	return b.X + (t.X-b.X)*(y-b.Y)/(t.Y-b.Y), y
}

// box is the page's rectangle of a crown's numbers.
func (f *fretsSheet) box(i int, lane int) draw.Box {
	g := f.g
	if g.tall {
		lane = len(f.lanes) - 1 - lane
	}
	q := g.at(g.along+float64(i)*g.step, g.cells+float64(lane)*g.row)
	b := draw.Box{X: q.X, Y: q.Y, W: g.step, H: g.row}
	if g.tall {
		b.W, b.H = g.row, g.step
	}
	return b
}

// room is the largest radius of a crown's mark on the board that keeps marks
// apart, in mm.
func (f *fretsSheet) room() float64 {
	const most = 1.9
	r := most
	for k, lane := range f.lanes {
		for i := 1; i < len(f.frets); i++ {
			gap := (f.l.At(f.frets[i], lane).X - f.l.At(f.frets[i-1], lane).X) * f.g.perMM
			r = math.Min(r, 0.44*gap)
		}
		if k > 0 {
			gap := math.Abs(f.l.At(0, lane).Y-f.l.At(0, f.lanes[k-1]).Y) * f.g.side
			r = math.Min(r, 0.44*gap)
		}
	}
	return math.Max(r, 0.3)
}
