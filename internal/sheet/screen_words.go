package sheet

import (
	"math"
	"slices"

	"ringtrue/internal/draw"
)

// names writes what rules and curves are called at their right ends: outside where
// there is room, over the line on a phone.
func (f *screenFrame) names(c chart, keyed bool) {
	var labels []endLabel
	for _, r := range c.Rules {
		if !r.Upright && r.Label != "" && r.At >= f.y.min && r.At <= f.y.max {
			labels = append(labels, endLabel{text: r.Label, y: screenHighEM * f.atY(r.At)})
		}
	}
	for _, k := range c.Curves {
		if last := f.lastInside(k); last >= 0 && k.Label != "" && (!keyed || k.Colour != draw.None) {
			labels = append(labels, endLabel{text: k.Label, y: screenHighEM * f.atY(k.Y[last])})
		}
	}
	spread(labels, 0, screenHighEM, screenLineEM)
	right := 1.0
	for _, l := range labels {
		q := draw.Point{X: 1, Y: l.at / screenHighEM}
		over := words{Right: closeNameEM, Below: overLineEM, Anchor: draw.End, Text: l.text}
		f.taken = append(f.taken, over.box(f, q))
		f.s.Text("label"+closeClass, q, over.Right, over.Below, over.Anchor, l.text)
		f.s.Text("label"+roomyClass, q, 0.6, 0.35, draw.Start, l.text)
		right = math.Max(right, f.em(l.text)+0.8)
	}
	f.s.Right = int(math.Ceil(right))
}

// Where words stand beside their point, em: a name over its line, a note over its
// point or, where that is taken, under it.
const (
	closeNameEM, overLineEM = -0.3, -0.35
	besideEM                = 0.8
	overEM, underEM         = -0.45, 1.15
)

// words are written beside a point of a screen's picture.
type words struct {
	Right, Below float64 // em
	Anchor       draw.Anchor
	Text         string
}

// box is what words cover in the narrowest picture of a phone, em: in a wider one they
// stand no nearer to each other.
func (w words) box(f *screenFrame, q draw.Point) draw.Box {
	x, y, wide := q.X*closeEM+w.Right, q.Y*screenHighEM+w.Below, f.em(w.Text)
	if w.Anchor == draw.End {
		x -= wide
	}
	return draw.Box{X: x, Y: y - 1, W: wide, H: screenLineEM}
}

// notes writes words beside points, on a phone those that have room: none lies on
// another or on what a line is called.
func (f *screenFrame) notes(notes []note) {
	end := math.Inf(-1)
	for _, n := range notes {
		if !f.holds(n.X, n.Y) {
			continue
		}
		q := f.at(n.X, n.Y)
		over := words{Right: besideEM, Below: overEM, Anchor: draw.Start, Text: n.Text}
		if q.X > 0.6 {
			over.Right, over.Anchor = -besideEM, draw.End
		}
		put, class := over, "note"
		if box := over.box(f, q); math.Min(box.X, q.X*closeEM) < end {
			class += roomyClass
		} else if put, class = f.clear(over, q); class != "note"+roomyClass {
			end = math.Max(box.X+box.W, q.X*closeEM)
		}
		if put != over {
			f.s.Text("note"+closeClass, q, put.Right, put.Below, put.Anchor, n.Text)
			put, class = over, "note"+roomyClass
		}
		f.s.Text(class, q, put.Right, put.Below, put.Anchor, n.Text)
	}
}

// clear is where words lie on no name: over their point or under it. Where both are
// taken they are for a wide screen only.
func (f *screenFrame) clear(over words, q draw.Point) (put words, class string) {
	under := over
	under.Below = underEM
	for _, w := range []words{over, under} {
		if box := w.box(f, q); box.Y+box.H <= screenHighEM && !slices.ContainsFunc(f.taken, box.Overlaps) {
			return w, "note"
		}
	}
	return over, "note" + roomyClass
}
