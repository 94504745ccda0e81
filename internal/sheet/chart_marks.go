package sheet

import (
	"math"
	"sort"

	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
)

func (f *frame) bands(bands []band) {
	for _, b := range bands {
		lo, hi := f.y.min, f.y.max
		if b.Upright {
			lo, hi = f.x.min, f.x.max
		}
		from, to := math.Max(lo, math.Min(b.From, b.To)), math.Min(hi, math.Max(b.From, b.To))
		if !(from < to) {
			continue
		}
		colour := b.Colour
		if colour == draw.None {
			colour = draw.Haze
		}
		in := f.inner
		if b.Upright {
			words := axisText().Is(draw.InkOn(colour)).At(draw.Start, draw.Below)
			x0, x1 := f.atX(from), f.atX(to)
			f.p.Rect(x0, in.Y, x1-x0, in.H, draw.Filled(colour))
			f.p.Text(x0+1, in.Y+1, f.p.Clip(b.Label, words, x1-x0-2), words)
			continue
		}
		y0, y1 := f.atY(to), f.atY(from)
		f.p.Rect(in.X, y0, in.W, y1-y0, draw.Filled(colour)) // its name stands at the right
	}
}

func (f *frame) cells(cells []mapCell) {
	for _, c := range cells {
		x0, x1 := f.atX(math.Min(c.X0, c.X1)), f.atX(math.Max(c.X0, c.X1))
		y0, y1 := f.atY(math.Max(c.Y0, c.Y1)), f.atY(math.Min(c.Y0, c.Y1))
		f.p.Rect(x0, y0, x1-x0, y1-y0, draw.Look{Fill: c.Colour, Edge: draw.Pen{Colour: draw.Paper, WidthMM: 0.2}})
		set := axisText().Is(draw.InkOn(c.Colour)).At(draw.Middle, draw.Centred)
		for set.SizePt > 4 && f.p.Width(c.Text, set) > 0.85*(x1-x0) {
			set.SizePt -= 0.5
		}
		f.p.Text((x0+x1)/2, (y0+y1)/2, c.Text, set)
	}
}

func (f *frame) rules(rules []rule) {
	for _, r := range rules {
		pen, in := rulePen(r.Dashed), f.inner
		switch {
		case r.Upright && r.At >= f.x.min && r.At <= f.x.max:
			x := f.atX(r.At)
			f.p.Line(x, in.Y, x, in.Y+in.H, pen)
			f.p.Text(x, in.Y-0.8, r.Label, axisText().At(draw.Middle, draw.OnBase))
		case !r.Upright && r.At >= f.y.min && r.At <= f.y.max:
			y := f.atY(r.At)
			f.p.Line(in.X, y, in.X+in.W, y, pen)
		}
	}
}

// ringLook rings a point that calls for a look.
func ringLook() draw.Look { return draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.4}} }

// rulePen draws a rule.
func rulePen(dashed bool) draw.Pen {
	pen := draw.Pen{Colour: draw.Slate, WidthMM: 0.3}
	if dashed {
		pen.DashMM = []float64{1.6, 1}
	}
	return pen
}

// curvePen draws the i-th curve.
func curvePen(i int, colour draw.Colour) draw.Pen {
	dashes := [][]float64{nil, {2, 1}, {0.6, 0.8}, {3, 0.8, 0.6, 0.8}}
	return draw.Pen{Colour: colour, WidthMM: 0.4, DashMM: dashes[i%len(dashes)]}
}

// curveItem is the i-th curve in a legend.
func curveItem(words string, i int, m mark) legendItem {
	return legendItem{words, 8, func(p *draw.Page, x, y float64) {
		p.Line(x, y, x+8, y, curvePen(i, draw.Series(i)))
		(&frame{p: p}).mark(m, draw.Point{X: x + 4, Y: y}, draw.Series(i))
	}}
}

// ruleItem is a rule in a legend.
func ruleItem(words string, dashed bool) legendItem {
	return legendItem{words, 8, func(p *draw.Page, x, y float64) { p.Line(x, y, x+8, y, rulePen(dashed)) }}
}

// colourOf is the i-th curve's colour.
func colourOf(i int, c curve) draw.Colour {
	if c.Colour != draw.None {
		return c.Colour
	}
	return draw.Series(i)
}

func (f *frame) curve(i int, c curve) {
	colour := colourOf(i, c)
	if c.Joined {
		pen := curvePen(i, colour)
		for _, run := range f.runs(c) {
			f.p.Path(run, false, draw.Look{Edge: pen})
		}
	}
	for k := range c.X {
		if f.holds(c.X[k], c.Y[k]) {
			f.mark(c.Mark, f.at(c.X[k], c.Y[k]), colour)
		}
	}
	for _, k := range c.Flag {
		if k >= 0 && k < len(c.X) && f.holds(c.X[k], c.Y[k]) {
			q := f.at(c.X[k], c.Y[k])
			f.p.Circle(q.X, q.Y, 1.9, ringLook())
		}
	}
}

// runs are the pieces of a curve inside the chart, cut at its edges and gaps.
func (f *frame) runs(c curve) (runs [][]draw.Point) {
	var run []draw.Point
	end := func() {
		if len(run) > 1 {
			runs = append(runs, run)
		}
		run = nil
	}
	for k := 1; k < len(c.X); k++ {
		x0, y0, x1, y1, ok := f.cut(c.X[k-1], c.Y[k-1], c.X[k], c.Y[k])
		if !ok {
			end()
			continue
		}
		if run == nil {
			run = []draw.Point{f.at(x0, y0)}
		}
		run = append(run, f.at(x1, y1))
		if x1 != c.X[k] || y1 != c.Y[k] {
			end()
		}
	}
	end()
	return runs
}

// cut keeps the part of a straight piece that lies in the ranges.
func (f *frame) cut(x0, y0, x1, y1 float64) (ax, ay, bx, by float64, ok bool) {
	if d := (x1 - x0) + (y1 - y0); math.IsNaN(d) || math.IsInf(d, 0) {
		return 0, 0, 0, 0, false
	}
	p, q, ok := clip(geometry.Point{X: x0, Y: y0}, geometry.Point{X: x1, Y: y1}, geometry.Point{X: f.x.min, Y: f.y.min}, geometry.Point{X: f.x.max, Y: f.y.max})
	return p.X, p.Y, q.X, q.Y, ok
}

func (f *frame) mark(m mark, q draw.Point, colour draw.Colour) {
	const r = 0.8 // mm
	pen := draw.Pen{Colour: colour, WidthMM: 0.35}
	switch m {
	case disc:
		f.p.Circle(q.X, q.Y, r, draw.Filled(colour))
	case ring:
		f.p.Circle(q.X, q.Y, r, draw.Look{Fill: draw.Paper, Edge: pen})
	case square:
		f.p.Rect(q.X-r, q.Y-r, 2*r, 2*r, draw.Filled(colour))
	case cross:
		f.p.Line(q.X-r, q.Y-r, q.X+r, q.Y+r, pen)
		f.p.Line(q.X-r, q.Y+r, q.X+r, q.Y-r, pen)
	case wedge:
		f.p.Path([]draw.Point{{X: q.X - r, Y: q.Y + r*0.7}, {X: q.X + r, Y: q.Y + r*0.7}, {X: q.X, Y: q.Y - r}}, true, draw.Filled(colour))
	}
}

// endLabel is a word right of the chart and the height it speaks of.
type endLabel struct {
	text   string
	y      float64 // where it points
	at     float64 // where it stands
	colour draw.Colour
}

// endLabels writes the names of rules, bands and curves at the chart's right edge,
// pushed apart where they would touch.
func (f *frame) endLabels(c chart) {
	var labels []endLabel
	for _, r := range c.Rules {
		if !r.Upright && r.Label != "" && r.At >= f.y.min && r.At <= f.y.max {
			labels = append(labels, endLabel{text: r.Label, y: f.atY(r.At), colour: draw.Slate})
		}
	}
	for _, b := range c.Bands {
		from, to := math.Max(f.y.min, math.Min(b.From, b.To)), math.Min(f.y.max, math.Max(b.From, b.To))
		if !b.Upright && b.Label != "" && from < to {
			labels = append(labels, endLabel{text: b.Label, y: f.atY((from + to) / 2), colour: draw.Slate})
		}
	}
	for i, curve := range c.Curves {
		if k := f.lastInside(curve); k >= 0 && curve.Label != "" {
			labels = append(labels, endLabel{text: curve.Label, y: f.atY(curve.Y[k]), colour: colourOf(i, curve)})
		}
	}
	spread(labels, f.inner.Y, f.inner.Y+f.inner.H, axisText().LineMM())
	x := f.inner.X + f.inner.W
	room := f.outer.X + f.outer.W - x - 3.2
	for _, l := range labels {
		f.p.Line(x+0.4, l.y, x+2.6, l.at, draw.Pen{Colour: l.colour, WidthMM: 0.2})
		set := axisText().Is(l.colour).At(draw.Start, draw.Centred)
		f.p.Text(x+3.2, l.at, f.p.Clip(l.text, set, room), set)
	}
}

// spread sets labels at least gap apart between top and foot, each as near its
// place as a sweep down and a sweep back up bring it.
func spread(labels []endLabel, top, foot, gap float64) {
	sort.SliceStable(labels, func(i, j int) bool { return labels[i].y < labels[j].y })
	if n := len(labels); n > 1 && gap*float64(n-1) > foot-top {
		gap = (foot - top) / float64(n-1)
	}
	next := math.Inf(-1)
	for i := range labels {
		labels[i].at = math.Max(labels[i].y, next)
		next = labels[i].at + gap
	}
	limit := foot
	for i := len(labels) - 1; i >= 0; i-- {
		labels[i].at = math.Min(labels[i].at, limit)
		limit = labels[i].at - gap
	}
}

func (f *frame) lastInside(c curve) int {
	for k := len(c.X) - 1; k >= 0; k-- {
		if f.holds(c.X[k], c.Y[k]) {
			return k
		}
	}
	return -1
}

// note writes words beside a point, where no other text stands.
func (f *frame) note(n note) {
	if !f.holds(n.X, n.Y) {
		return
	}
	q := f.at(n.X, n.Y)
	set := draw.Type{SizePt: 7}
	w, h := f.p.Width(n.Text, set), set.LineMM()
	taken := f.p.TextBoxes()
	const off = 2.4 // mm from the point
	for _, d := range [][2]float64{{off, 0}, {off, -h}, {off, h}, {-off - w, 0}, {-off - w, -h}, {-off - w, h}, {-w / 2, -h}, {-w / 2, h}} {
		box := draw.Box{X: q.X + d[0], Y: q.Y + d[1] - h/2, W: w, H: h}
		if box.Within(f.outer) && free(box, taken) {
			f.p.Text(box.X, q.Y+d[1], n.Text, set.At(draw.Start, draw.Centred))
			return
		}
	}
	f.p.Text(q.X+off, q.Y, n.Text, set.At(draw.Start, draw.Centred)) // crowded: better over than not said
}

func free(box draw.Box, taken []draw.TextBox) bool {
	for _, t := range taken {
		if box.Overlaps(t.Box) {
			return false
		}
	}
	return true
}
