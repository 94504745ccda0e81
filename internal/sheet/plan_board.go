package sheet

import (
	"fmt"
	"io"
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
)

// sawBoard is a planned fretboard to be slotted, at full size.
type sawBoard struct {
	*answer.WorkPlan
	units Units
}

// Layers of the DXF.
const (
	slotLayer    = "SLOTS"
	outlineLayer = "OUTLINE"
	centreLayer  = "CENTRE_LINE"
	numberLayer  = "NUMBERS"
)

// SlotsDXF writes a plan's board for a CNC program, in mm: slots as the lines that the
// saw's or cutter's middle follows, the outline closed, the centre line and the
// fret numbers, each on a layer of its own. It is in mm in an inch shop too: its
// release has no field for the unit, so a program could not see that it is not. x runs from the nut, y to treble.
func SlotsDXF(a *answer.WorkPlan, w io.Writer) error {
	d := draw.NewDXF(fmt.Sprintf("%s: fret slots, units mm, slot width %.4g mm, x from the nut's front edge", a.Neck, a.Slots.WidthMM))
	d.Layer(slotLayer, 1, false)
	d.Layer(outlineLayer, 7, false)
	d.Layer(centreLayer, 4, true)
	d.Layer(numberLayer, 3, false)
	at := func(p geometry.Point) draw.Point { return draw.Point{X: p.X, Y: p.Y} }
	for _, f := range a.Frets {
		d.Line(slotLayer, at(f.SlotEnds[0]), at(f.SlotEnds[1]))
	}
	var outline []draw.Point
	for _, p := range a.Board.Outline {
		outline = append(outline, at(p))
	}
	d.Outline(outlineLayer, outline)
	d.Line(centreLayer, draw.Point{}, draw.Point{X: a.Board.EndMM})
	for _, f := range a.Frets {
		d.Text(numberLayer, draw.Point{X: f.SlotEnds[1].X + 1, Y: f.SlotEnds[1].Y + 2}, 2.5, fmt.Sprint(f.Number))
	}
	return d.Write(w)
}

// tickMM is how far a slot's line runs on beyond the board's edge, for the knife.
const tickMM = 4

// drawOn draws everything of the board, from back to front, by whoever puts lines
// and texts at places of the board.
func (b sawBoard) drawOn(line func(p, q geometry.Point, pen draw.Pen), words func(at geometry.Point, words string, set draw.Type)) {
	for _, l := range b.Board.Lanes {
		line(l[0], l[1], draw.Pen{Colour: draw.Mist, WidthMM: 0.1})
	}
	line(geometry.Point{}, geometry.Point{X: b.Board.EndMM}, draw.Pen{Colour: draw.Slate, WidthMM: 0.15, DashMM: []float64{6, 1.5, 0.5, 1.5}})
	for _, f := range b.Frets {
		bass, treble := f.SlotEnds[0], f.SlotEnds[1]
		line(bass, treble, draw.Pen{Colour: draw.Mist, WidthMM: b.Slots.WidthMM})
		line(along(bass, treble, -tickMM), along(treble, bass, -tickMM), draw.Pen{Colour: draw.Ink, WidthMM: 0.1})
	}
	edge := b.Board.Outline
	for i, p := range edge {
		line(p, edge[(i+1)%len(edge)], draw.Pen{Colour: draw.Ink, WidthMM: 0.2})
	}
	line(edge[0], edge[3], draw.Pen{Colour: draw.Ink, WidthMM: 0.5})
	for _, f := range b.Frets {
		bass, treble := f.SlotEnds[0], f.SlotEnds[1]
		words(along(treble, bass, -tickMM-1), fmt.Sprint(f.Number), draw.Type{SizePt: 8, Bold: true, Anchor: draw.Middle})
		words(along(bass, treble, -tickMM-1), b.distance().say(f.CentreMM, 2), draw.Type{SizePt: 6, Anchor: draw.End, Level: draw.Centred, Turn: 90})
	}
}

// distance is what distances from the nut are drawn in.
func (b sawBoard) distance() length { return lengthFor("mm", b.Board.EndMM, b.units) }

// along is the point a length from p towards q; below 0 away from it.
func along(p, q geometry.Point, mm float64) geometry.Point {
	d := math.Hypot(q.X-p.X, q.Y-p.Y)
	if d == 0 {
		return p
	}
	return geometry.Point{X: p.X + (q.X-p.X)*mm/d, Y: p.Y + (q.Y-p.Y)*mm/d}
}

// labelMM is the room beyond the slots' ticks for numbers and distances.
const labelMM = 14

// bounds is the box around the board with its ticks and labels.
func (b sawBoard) bounds() (low, high geometry.Point) {
	points := b.Board.Outline[:]
	for _, f := range b.Frets {
		points = append(points, f.SlotEnds[:]...)
	}
	low, high = points[0], points[0]
	for _, p := range points {
		low = geometry.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}
		high = geometry.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	low.X, low.Y = low.X-3, low.Y-tickMM-labelMM
	high.X, high.Y = high.X+3, high.Y+tickMM+labelMM/2
	return low, high
}
