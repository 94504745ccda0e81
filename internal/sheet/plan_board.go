package sheet

import (
	"fmt"
	"io"
	"math"

	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/plan"
)

// SawBoard is a fretboard to be slotted, at full size: x along the centre line
// from the nut, y towards the treble side, in mm.
type SawBoard struct {
	Name        string
	SlotWidthMM float64
	Slots       []SawSlot
	Nut         [2]geometry.Point // its front edge: bass, treble
	Outline     []geometry.Point  // bass edge, end, treble edge; it ends half a fret beyond the last
	Lanes       [][2]geometry.Point
	EndMM       float64 // where the outline ends on the centre line
}

// SawSlot is one slot from its bass to its treble end.
type SawSlot struct {
	Fret         int
	FromNutMM    float64
	Bass, Treble geometry.Point
}

// SawBoardOf takes the board from a plan.
func SawBoardOf(name string, p plan.Plan, l *geometry.Layout, slotWidthMM float64) SawBoard {
	b := SawBoard{Name: name, SlotWidthMM: slotWidthMM, Nut: plan.Edges(l, 0, 0)}
	for _, f := range p.Frets {
		b.Slots = append(b.Slots, SawSlot{f.Number, f.CentreMM, f.SlotEnds[0], f.SlotEnds[1]})
	}
	last := p.Frets[len(p.Frets)-1]
	// The next fret would stand a step times the last ratio further on.
	beyond := last.StepMM / 2
	end := func(e geometry.Point) geometry.Point {
		x := e.X + beyond
		return geometry.Point{X: x, Y: math.Copysign(l.Width(x)/2, e.Y)}
	}
	b.Outline = []geometry.Point{b.Nut[0], end(last.Ends[0]), end(last.Ends[1]), b.Nut[1]}
	b.EndMM = last.CentreMM + beyond
	for s := 1; s <= l.Strings(); s++ {
		b.Lanes = append(b.Lanes, [2]geometry.Point{l.At(0, float64(s)), l.At(last.Number, float64(s))})
	}
	return b
}

// Layers of the DXF.
const (
	slotLayer    = "SLOTS"
	outlineLayer = "OUTLINE"
	centreLayer  = "CENTRE_LINE"
	numberLayer  = "NUMBERS"
)

// DXF writes the board for a CNC program, in mm: slots as the lines that the
// saw's or cutter's middle follows, the outline closed, the centre line and the
// fret numbers, each on a layer of its own. x runs from the nut, y to treble.
func (b SawBoard) DXF(w io.Writer) error {
	d := draw.NewDXF(fmt.Sprintf("%s: fret slots, units mm, slot width %.4g mm, x from the nut's front edge", b.Name, b.SlotWidthMM))
	d.Layer(slotLayer, 1, false)
	d.Layer(outlineLayer, 7, false)
	d.Layer(centreLayer, 4, true)
	d.Layer(numberLayer, 3, false)
	at := func(p geometry.Point) draw.Point { return draw.Point{X: p.X, Y: p.Y} }
	for _, s := range b.Slots {
		d.Line(slotLayer, at(s.Bass), at(s.Treble))
	}
	var outline []draw.Point
	for _, p := range b.Outline {
		outline = append(outline, at(p))
	}
	d.Outline(outlineLayer, outline)
	d.Line(centreLayer, draw.Point{}, draw.Point{X: b.EndMM})
	for _, s := range b.Slots {
		d.Text(numberLayer, draw.Point{X: s.Treble.X + 1, Y: s.Treble.Y + 2}, 2.5, fmt.Sprint(s.Fret))
	}
	return d.Write(w)
}

// piece is a line or a text of the board in its own places.
type piece struct {
	a, b  geometry.Point
	pen   draw.Pen
	words string // of a text at a
	set   draw.Type
}

// tickMM is how far a slot's line runs on beyond the board's edge, for the knife.
const tickMM = 4

// pieces is everything of the board, from back to front.
func (b SawBoard) pieces() []piece {
	var list []piece
	line := func(p, q geometry.Point, pen draw.Pen) { list = append(list, piece{a: p, b: q, pen: pen}) }
	for _, l := range b.Lanes {
		line(l[0], l[1], draw.Pen{Colour: draw.Mist, WidthMM: 0.1})
	}
	line(geometry.Point{}, geometry.Point{X: b.EndMM}, draw.Pen{Colour: draw.Slate, WidthMM: 0.15, DashMM: []float64{6, 1.5, 0.5, 1.5}})
	for _, s := range b.Slots {
		line(s.Bass, s.Treble, draw.Pen{Colour: draw.Mist, WidthMM: b.SlotWidthMM})
		line(along(s.Bass, s.Treble, -tickMM), along(s.Treble, s.Bass, -tickMM), draw.Pen{Colour: draw.Ink, WidthMM: 0.1})
	}
	for i, p := range b.Outline {
		line(p, b.Outline[(i+1)%len(b.Outline)], draw.Pen{Colour: draw.Ink, WidthMM: 0.2})
	}
	line(b.Nut[0], b.Nut[1], draw.Pen{Colour: draw.Ink, WidthMM: 0.5})
	for _, s := range b.Slots {
		top, foot := along(s.Treble, s.Bass, -tickMM-1), along(s.Bass, s.Treble, -tickMM-1)
		list = append(list,
			piece{a: top, words: fmt.Sprint(s.Fret), set: draw.Type{SizePt: 8, Bold: true, Anchor: draw.Middle}},
			piece{a: foot, words: fmt.Sprintf("%.2f", s.FromNutMM), set: draw.Type{SizePt: 6, Anchor: draw.End, Level: draw.Centred, Turn: 90}})
	}
	return list
}

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
func (b SawBoard) bounds() (low, high geometry.Point) {
	low, high = geometry.Point{X: math.Inf(1), Y: math.Inf(1)}, geometry.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	hold := func(p geometry.Point) {
		low = geometry.Point{X: math.Min(low.X, p.X), Y: math.Min(low.Y, p.Y)}
		high = geometry.Point{X: math.Max(high.X, p.X), Y: math.Max(high.Y, p.Y)}
	}
	for _, p := range b.Outline {
		hold(p)
	}
	for _, s := range b.Slots {
		hold(s.Bass)
		hold(s.Treble)
	}
	low.X, low.Y = low.X-3, low.Y-tickMM-labelMM
	high.X, high.Y = high.X+3, high.Y+tickMM+labelMM/2
	return low, high
}
