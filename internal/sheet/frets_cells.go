package sheet

import (
	"math"
	"strconv"

	"ringtrue/internal/draw"
	"ringtrue/internal/straight"
	"ringtrue/internal/wear"
)

const headMM = 4.6 // room of a fret's number before its step

// How much wider the widest usual fallback font sets numbers, words and bold
// words than the Go fonts do (see package draw).
const (
	slack      = 1.25
	wordSlack  = 1.14
	labelSlack = 1.2
)

// drawCells draws the numbers: for each crown its height on its colour, and
// under it the metal to take off.
func (f *fretsSheet) drawCells() {
	set := draw.Type{SizePt: f.cellSize()}
	for i, fret := range f.frets {
		f.drawHead(i, fret)
		for k, lane := range f.lanes {
			f.drawCell(f.box(i, k), f.cells[cellKey{fret, lane}], set)
		}
	}
	// Read-again frames over all, so that no neighbour covers them.
	for i, fret := range f.frets {
		for k, lane := range f.lanes {
			if f.cells[cellKey{fret, lane}].readAgain {
				b := f.box(i, k)
				f.p.Rect(b.X+0.25, b.Y+0.25, b.W-0.5, b.H-0.5, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.5}})
			}
		}
	}
}

// cellSize is the type size at which every number fits its cell.
func (f *fretsSheet) cellSize() float64 {
	const most, least = 8.5, 2.5 // pt; the least only on 60 frets of 18 strings
	b := f.box(0, 0)
	ref := draw.Type{SizePt: 10, Bold: true}
	widest := f.p.Width("+00", ref)
	for _, c := range f.cells {
		if c.known {
			widest = math.Max(widest, f.p.Width(f.offText(c), ref))
			widest = math.Max(widest, f.p.Width(f.unit.plain(c.remove), ref)+0.8*ref.CapMM())
		}
	}
	byWidth := 10 * 0.95 * b.W / (slack * widest)
	byHeight := (b.H - 0.7) / 0.64 // two lines of 0.33 mm a pt, the second 0.92 as large
	return math.Max(least, math.Min(most, math.Min(byWidth, byHeight)))
}

// offText is a crown's height, with a question mark where its verdict is in doubt.
func (f *fretsSheet) offText(c cell) string {
	s := f.unit.signed(c.OffMM)
	if c.Verdict == string(straight.InDoubt) {
		s += "?"
	}
	return s
}

// stands reports whether a crown's verdict is one to act on.
func (c cell) stands() bool {
	switch c.Verdict {
	case string(straight.High), string(straight.Low), string(wear.Worn), string(wear.Moved), string(wear.Raised):
		return true
	}
	return false
}

func (f *fretsSheet) drawCell(b draw.Box, c cell, set draw.Type) {
	const gap = 0.15 // mm of paper between cells
	b = draw.Box{X: b.X + gap, Y: b.Y + gap, W: b.W - 2*gap, H: b.H - 2*gap}
	if !c.known {
		f.hatch(b)
		return
	}
	upper := b.H
	if f.takes {
		upper *= 0.53
	}
	colour := f.colour(c.OffMM)
	f.p.Rect(b.X, b.Y, b.W, upper, draw.Filled(colour))
	off := set.Is(draw.InkOn(colour)).At(draw.Middle, draw.Centred)
	off.Bold = c.stands()
	f.p.Text(b.X+b.W/2, b.Y+upper/2, f.offText(c), off)
	f.p.Line(b.X, b.Y+b.H, b.X+b.W, b.Y+b.H, draw.Pen{Colour: draw.Mist, WidthMM: 0.12})
	if f.unit.plain(c.remove) == number(0, f.unit.digits) {
		return
	}
	take := set.At(draw.Middle, draw.Centred)
	take.SizePt *= 0.92
	words := f.unit.plain(c.remove)
	y := b.Y + (upper+b.H)/2
	sign := 0.62 * take.CapMM()
	w := f.p.Width(words, take)
	x := b.X + b.W/2 + (sign+0.3)/2
	f.p.Text(x, y, words, take)
	f.wedge(x-w/2-0.3-sign/2-(slack-1)*w/2, y, sign)
}

// wedge is the sign of metal to take off: a point downwards.
func (f *fretsSheet) wedge(x, y, size float64) {
	h := size * 0.9
	f.p.Path([]draw.Point{{X: x - size/2, Y: y - h/2}, {X: x + size/2, Y: y - h/2}, {X: x, Y: y + h/2}}, true, draw.Filled(draw.Ink))
}

// hatch fills a box with slanting lines: nothing is known here.
func (f *fretsSheet) hatch(b draw.Box) {
	pen := draw.Pen{Colour: draw.Mist, WidthMM: 0.25}
	const step = 1.3
	var lines [][2]draw.Point
	for d := step; d < b.W+b.H; d += step {
		x0, y0 := b.X+math.Min(d, b.W), b.Y+math.Max(0, d-b.W)
		x1, y1 := b.X+math.Max(0, d-b.H), b.Y+math.Min(d, b.H)
		lines = append(lines, [2]draw.Point{{X: x0, Y: y0}, {X: x1, Y: y1}})
	}
	f.p.Lines(lines, pen)
}

// drawHead writes a fret's number before its step, on a plate where it has a
// finding.
func (f *fretsSheet) drawHead(i, fret int) {
	g := f.g
	q := g.at(g.along+(float64(i)+0.5)*g.step, g.cells-headMM/2)
	words := strconv.Itoa(fret)
	set := draw.Type{SizePt: 7.5, Anchor: draw.Middle, Level: draw.Centred, Colour: draw.Slate}
	room := g.step
	if g.tall {
		room = headMM
	}
	for set.SizePt > 4 && slack*f.p.Width(words, set) > room*0.95 {
		set.SizePt -= 0.5
	}
	if f.hasNote(fret) {
		w, h := math.Min(room-0.3, 5.2), 3.6
		if g.tall {
			h = math.Min(h, g.step-0.4)
		}
		f.p.Rect(q.X-w/2, q.Y-h/2, w, h, draw.Filled(draw.Ink))
		set.Bold, set.Colour = true, draw.Paper
	}
	f.p.Text(q.X, q.Y, words, set)
}
