package sheet

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/draw"
)

// chart is a plain chart: one x axis, one y axis, and what is drawn between them,
// from back to front: cells, bands, grid, rules, curves, notes.
// Values are in the axes' units; NaN leaves a gap.
type chart struct {
	Title  string
	X, Y   axis
	Cells  []mapCell
	Bands  []band
	Rules  []rule
	Curves []curve
	Notes  []note
}

// axis is a side of a chart. Where Min is not below Max the range is taken from
// the data, widened to round numbers; without Ticks they stand at round numbers.
type axis struct {
	Label    string // what it counts, with its unit: "zone, mm"
	Min, Max float64
	Whole    bool // it counts things: no tick between two whole numbers
	Ticks    []tick
	per      float64 // so many of the label's unit in one of the values'; 0 is 1
}

// tick is a named place on an axis.
type tick struct {
	At    float64
	Label string
}

// curve is a row of points, joined by a line or marked, or both. Curves without
// Colour get one after another of the series; the first is whole, the second
// dashed, and so on, so that they can be told apart in grey.
type curve struct {
	Label  string // set at the curve's right end
	X, Y   []float64
	Joined bool
	Mark   mark
	Flag   []int // points to ring, by index from 0
	Colour draw.Colour
}

// mark is the form of a point.
type mark int

// Marks of points.
const (
	noMark mark = iota
	disc
	ring
	square
	cross
	wedge
)

// rule is a straight line across the chart at a value of y, or of x if Upright.
type rule struct {
	At      float64
	Label   string
	Upright bool
	Dashed  bool
}

// band is the area between two values of y, or of x if Upright; ±Inf reaches to
// the chart's edge. Without a Colour it is a pale grey.
type band struct {
	From, To float64
	Label    string
	Upright  bool
	Colour   draw.Colour
}

// mapCell is a coloured rectangle with a word or number in it, for maps.
type mapCell struct {
	X0, Y0, X1, Y1 float64
	Colour         draw.Colour
	Text           string
}

// note is a few words beside a point.
type note struct {
	X, Y float64
	Text string
}

// ErrEmpty is a chart without a single finite value and without a given range.
var ErrEmpty = errors.New("sheet: the chart has no value")

var errRange = errors.New("sheet: a range that is not finite")

// Draw draws the chart into a place on the page, labels included.
//
// ErrEmpty: nothing to draw. Other errors: a curve whose X and Y differ in
// length, a place too small to hold axes (under 30 by 25 mm), or a range that is
// not finite.
func (c chart) Draw(p *draw.Page, place draw.Box) error {
	f, err := c.frame(p, place)
	if err != nil {
		return err
	}
	f.cells(c.Cells)
	f.bands(c.Bands)
	f.axes(c)
	f.rules(c.Rules)
	for i, curve := range c.Curves {
		f.curve(i, curve)
	}
	f.endLabels(c)
	for _, n := range c.Notes {
		f.note(n)
	}
	return nil
}

// frame is a chart's inner rectangle and the way from values to places.
type frame struct {
	p     *draw.Page
	outer draw.Box
	inner draw.Box
	x, y  span
}

// span is an axis with its range decided.
type span struct {
	min, max float64
	ticks    []tick
}

func (f *frame) at(x, y float64) draw.Point {
	return draw.Point{X: f.atX(x), Y: f.atY(y)}
}

func (f *frame) atX(x float64) float64 {
	return f.inner.X + (x-f.x.min)/(f.x.max-f.x.min)*f.inner.W
}

func (f *frame) atY(y float64) float64 {
	return f.inner.Y + f.inner.H - (y-f.y.min)/(f.y.max-f.y.min)*f.inner.H
}

func (f *frame) holds(x, y float64) bool {
	return x >= f.x.min && x <= f.x.max && y >= f.y.min && y <= f.y.max
}

// whole says which curve has not an x for every y.
func (c chart) whole() error {
	for i, curve := range c.Curves {
		if len(curve.X) != len(curve.Y) {
			return fmt.Errorf("sheet: curve %d has %d x and %d y", i+1, len(curve.X), len(curve.Y))
		}
	}
	return nil
}

func (c chart) frame(p *draw.Page, place draw.Box) (*frame, error) {
	if err := c.whole(); err != nil {
		return nil, err
	}
	if !(place.W >= 30 && place.H >= 25) {
		return nil, fmt.Errorf("sheet: a chart wants 30 by 25 mm, not %.0f by %.0f", place.W, place.H)
	}
	f := &frame{p: p, outer: place}
	top, bottom := 3.0, axisText().LineMM()+axisText().CapMM()+3
	if c.Title != "" {
		top += partText().LineMM()
	}
	if c.Y.Label != "" {
		top += axisText().LineMM()
	}
	var err error
	if f.y, err = c.ySpan(place.H - top - bottom); err != nil {
		return nil, err
	}
	left := 0.0
	for _, t := range f.y.ticks {
		left = math.Max(left, p.Width(t.Label, axisText()))
	}
	left += 2.5
	right := math.Max(3, math.Min(f.labelRoom(c), place.W/3))
	f.inner = draw.Box{X: place.X + left, Y: place.Y + top, W: place.W - left - right, H: place.H - top - bottom}
	f.x, err = c.xSpan(p, f.inner.W)
	return f, err
}

// labelRoom is the width of what stands right of the chart.
func (f *frame) labelRoom(c chart) float64 {
	room := 0.0
	for _, label := range rightLabels(c) {
		room = math.Max(room, wordSlack*f.p.Width(label, axisText())+4)
	}
	return room
}

func rightLabels(c chart) (labels []string) {
	for _, r := range c.Rules {
		if !r.Upright {
			labels = append(labels, r.Label)
		}
	}
	for _, b := range c.Bands {
		if !b.Upright {
			labels = append(labels, b.Label)
		}
	}
	for _, curve := range c.Curves {
		labels = append(labels, curve.Label)
	}
	return labels
}
