package sheet

import (
	"math"
	"slices"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/straight"
	"ringtrue/internal/wear"
)

// drawBoard draws the neck from above: board, frets, lanes, a mark for each
// crown, and the lines to the numbers, where there are any.
func (f *fretsSheet) drawBoard() {
	g, last := f.g, f.l.LastFret()
	corner := func(fret int, side float64) draw.Point { return g.on(f.edge(fret, side)) }
	outline := []draw.Point{corner(0, -1), corner(0, 1), corner(last, 1), corner(last, -1)}
	f.p.Path(outline, true, draw.Look{Fill: draw.Haze})
	for _, lane := range f.lanes {
		a, b := f.l.At(0, lane), f.l.At(last, lane)
		f.p.Path([]draw.Point{g.on(a.X, a.Y), g.on(b.X, b.Y)}, false, draw.Look{Edge: draw.Pen{Colour: draw.Mist, WidthMM: 0.15}})
	}
	if f.l.FirstFret() > 0 {
		f.p.Path([]draw.Point{corner(0, -1), corner(0, 1)}, false, draw.Look{Edge: draw.Pen{Colour: draw.Slate, WidthMM: 1}})
	}
	if g.cells > 0 {
		f.drawLeaders()
	}
	for _, fret := range f.frets {
		f.p.Path([]draw.Point{corner(fret, -1), corner(fret, 1)}, false, draw.Look{Edge: draw.Pen{Colour: draw.Slate, WidthMM: 0.35}})
	}
	r := f.room()
	for _, fret := range f.frets {
		for _, lane := range f.lanes {
			at := f.l.At(fret, lane)
			f.drawMark(g.on(at.X, at.Y), r, f.cells[cellKey{fret, lane}])
		}
	}
}

// drawLeaders joins each fret to the step of its numbers.
func (f *fretsSheet) drawLeaders() {
	g := f.g
	edge := g.board + g.wide // the board's side towards the numbers, at its widest
	for i, fret := range f.frets {
		x, y := f.edge(fret, g.nearY())
		start := g.on(x, y)
		from := g.along + (x-g.x0)*g.perMM
		to := g.along + (float64(i)+0.5)*g.step
		line := []draw.Point{start, g.at(from, edge+1), g.at(to, g.cells-headMM-1), g.at(to, g.cells-headMM)}
		f.p.Path(line, false, draw.Look{Edge: draw.Pen{Colour: draw.Mist, WidthMM: 0.2}})
	}
}

// drawMark draws a crown as it is seen on the board: full where it stands high,
// hollow where it stands low or is worn, the larger the farther off; a square
// where it moved with its fret; a dot where level or unchanged;
// a broken edge where in doubt; a cross where not known; framed to read again.
func (f *fretsSheet) drawMark(q draw.Point, r float64, c cell) {
	thin := math.Min(0.3, r/3)
	size := r * (0.45 + 0.55*math.Sqrt(math.Min(1, math.Abs(c.OffMM)/f.full)))
	colour := f.colour(c.OffMM)
	edge := draw.Pen{Colour: draw.Ink, WidthMM: thin}
	switch {
	case !c.known:
		arm := 0.55 * r
		pen := draw.Pen{Colour: draw.Slate, WidthMM: thin}
		f.p.Lines([][2]draw.Point{
			{{X: q.X - arm, Y: q.Y - arm}, {X: q.X + arm, Y: q.Y + arm}},
			{{X: q.X - arm, Y: q.Y + arm}, {X: q.X + arm, Y: q.Y - arm}},
		}, pen)
	case c.Verdict == string(wear.Moved):
		f.p.Rect(q.X-0.85*size, q.Y-0.85*size, 1.7*size, 1.7*size, draw.Look{Fill: colour, Edge: edge})
	case c.Verdict == string(straight.High), c.Verdict == string(wear.Raised):
		f.p.Circle(q.X, q.Y, size, draw.Look{Fill: colour, Edge: edge})
	case c.Verdict == string(straight.Low), c.Verdict == string(wear.Worn):
		f.p.Circle(q.X, q.Y, size, draw.Look{Fill: colour, Edge: edge})
		f.p.Circle(q.X, q.Y, size*0.5, draw.Look{Fill: draw.Paper, Edge: draw.Pen{Colour: draw.Ink, WidthMM: thin * 0.6}})
	case c.Verdict == string(straight.InDoubt):
		edge.DashMM = []float64{0.35 * r, 0.35 * r}
		f.p.Circle(q.X, q.Y, size, draw.Look{Fill: colour, Edge: edge})
	default:
		f.p.Circle(q.X, q.Y, math.Min(0.32*r, 0.45), draw.Filled(draw.Ink))
	}
	if c.readAgain {
		f.p.Rect(q.X-r, q.Y-r, 2*r, 2*r, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: thin * 1.3}})
	}
}

// hasNote says whether a fret has a finding.
func (f *fretsSheet) hasNote(fret int) bool {
	return slices.ContainsFunc(f.Frets, func(n answer.FretFinding) bool { return n.Fret == fret })
}
