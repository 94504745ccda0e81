package sheet

import (
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/draw"
)

// How a chart is laid out for a screen, in em of its letters: its height; how wide
// its inside is at least, on a phone and where the style sheet shows what is roomy;
// and a line of its letters.
const (
	screenHighEM, closeEM, roomyEM = 18.0, 15.0, 36.0
	screenLineEM                   = 1.3
	screenTicks                    = 5
	wordSlackEM                    = 1.13 // of a browser's own letters, where they are wider
)

// Classes of what one drawing has for a phone, and in its place for a wide screen.
const closeClass, roomyClass = " close", " roomy"

// onScreen is a chart for a screen: the same rules, curves and notes as on paper,
// with a band through long rows and a key.
type onScreen struct {
	chart
	about  string
	ribbon ribbon
	key    []draw.KeyItem
}

// ribbon is a band between two curves with a third within.
type ribbon struct{ X, Low, Mid, High []float64 }

// screenFrame is a chart's inside as a square of side 1, and its picture.
type screenFrame struct {
	frame
	s     *draw.Screen
	close span       // the x axis with the ticks of a phone
	taken []draw.Box // where names stand on a phone, em
}

// screen draws the chart. Errors are those of Draw.
func (c onScreen) screen() (*draw.Screen, error) {
	if err := c.whole(); err != nil {
		return nil, err
	}
	p, err := draw.New(1, 1, c.Title)
	if err != nil {
		return nil, err
	}
	f := &screenFrame{frame: frame{p: p, inner: draw.Box{W: 1, H: 1}}, s: &draw.Screen{Title: c.Title, About: c.about}}
	if f.y, err = c.ySpan(screenTicks * 9); err != nil {
		return nil, err
	}
	if err := f.xSpans(c.chart); err != nil {
		return nil, err
	}
	for _, b := range c.Bands {
		f.area(b)
	}
	f.ribbon(c.ribbon)
	f.axes(c.chart)
	f.rules(c.Rules)
	named := c.keyed()
	for i, k := range c.Curves {
		f.curve(i, k)
	}
	f.names(c.chart, named)
	f.notes(c.Notes)
	f.s.Key = c.key
	return f.s, nil
}

// xSpans decides the x axis, and its ticks on a phone.
func (f *screenFrame) xSpans(c chart) (err error) {
	mm := axisText().SizePt * draw.MMPerPt / wordSlackEM
	if f.x, err = c.xSpan(f.p, roomyEM*mm); err != nil {
		return err
	}
	c.X.Min, c.X.Max = f.x.min, f.x.max
	if f.close, err = c.xSpan(f.p, closeEM*mm); err != nil {
		return err
	}
	f.x.ticks, f.close.ticks = f.apart(f.x, roomyEM), f.apart(f.close, closeEM)
	return nil
}

// apart are an axis' ticks whose labels stand clear of the one before.
func (f *screenFrame) apart(s span, wideEM float64) (ticks []tick) {
	end := math.Inf(-1)
	for _, t := range s.ticks {
		half, at := f.em(t.Label)/2, (t.At-s.min)/(s.max-s.min)*wideEM
		if at-half > end {
			ticks, end = append(ticks, t), at+half+0.6
		}
	}
	return ticks
}

func (f *screenFrame) em(words string) float64 { return f.p.Em(words) * wordSlackEM }

func (f *screenFrame) area(b band) {
	lo, hi := f.y.min, f.y.max
	if b.Upright {
		lo, hi = f.x.min, f.x.max
	}
	from, to := math.Max(lo, math.Min(b.From, b.To)), math.Min(hi, math.Max(b.From, b.To))
	if !(from < to) {
		return
	}
	x0, x1, y0, y1 := 0.0, 1.0, f.atY(from), f.atY(to)
	if b.Upright {
		x0, x1, y0, y1 = f.atX(from), f.atX(to), 0, 1
	}
	f.s.Path("band", [][]draw.Point{{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}, true)
}

// ribbon draws the band and the line in it, where they are known.
func (f *screenFrame) ribbon(r ribbon) {
	var edges [][]draw.Point
	var up, down []draw.Point
	end := func() {
		if len(up) > 1 {
			slices.Reverse(down)
			edges = append(edges, append(up, down...))
		}
		up, down = nil, nil
	}
	for i := range r.X {
		if math.IsNaN(r.Mid[i]) {
			end()
			continue
		}
		up, down = append(up, f.at(r.X[i], r.High[i])), append(down, f.at(r.X[i], r.Low[i]))
	}
	end()
	f.s.Path("ribbon", edges, true)
	f.s.Path("median", f.runs(curve{X: r.X, Y: r.Mid}), false)
}

// axes draws guide lines, the axes' numbers and words.
func (f *screenFrame) axes(c chart) {
	var guides [][]draw.Point
	left := 0.0
	for _, t := range f.y.ticks {
		y := f.atY(t.At)
		guides = append(guides, []draw.Point{{X: 0, Y: y}, {X: 1, Y: y}})
		f.s.Text("tick", draw.Point{Y: y}, -0.5, 0.35, draw.End, t.Label)
		left = math.Max(left, f.em(t.Label)+0.7)
	}
	f.s.Path("guide", guides, false)
	f.s.Path("edge", [][]draw.Point{{{X: 0, Y: 0}, {X: 0, Y: 1}, {X: 1, Y: 1}}}, false)
	for _, of := range []struct {
		class string
		ticks []tick
	}{{closeClass, f.close.ticks}, {roomyClass, f.x.ticks}} {
		for _, t := range of.ticks {
			f.s.Text("tick"+of.class, draw.Point{X: f.atX(t.At), Y: 1}, 0, 1.35, draw.Middle, t.Label)
		}
	}
	left = math.Max(2, math.Ceil(left))
	f.s.Left = int(left)
	f.s.Text("name", draw.Point{}, -left, -1.5, draw.Start, c.Y.Label)
	f.s.Text("name", draw.Point{X: 1, Y: 1}, 0, 2.7, draw.End, c.X.Label)
}

// rules draws straight lines across; the name of an upright one stands above it
// where there is room.
func (f *screenFrame) rules(rules []rule) {
	names := []struct {
		class     string
		wide, end float64
	}{{closeClass, closeEM, math.Inf(-1)}, {roomyClass, roomyEM, math.Inf(-1)}}
	for _, r := range rules {
		class := "rule"
		if r.Dashed {
			class = "rule dashed"
		}
		switch {
		case r.Upright && r.At >= f.x.min && r.At <= f.x.max:
			x := f.atX(r.At)
			f.s.Path(class, [][]draw.Point{{{X: x, Y: 0}, {X: x, Y: 1}}}, false)
			for k, n := range names {
				if half := f.em(r.Label) / 2; x*n.wide-half > n.end {
					names[k].end = x*n.wide + half
					f.s.Text("tick"+n.class, draw.Point{X: x}, 0, -0.35, draw.Middle, r.Label)
				}
			}
		case !r.Upright && r.At >= f.y.min && r.At <= f.y.max:
			y := f.atY(r.At)
			f.s.Path(class, [][]draw.Point{{{X: 0, Y: y}, {X: 1, Y: y}}}, false)
		}
	}
}

// curveClass names a curve's colour and dash.
func curveClass(i int, c curve) string {
	switch c.Colour {
	case draw.Slate:
		return "limit"
	case draw.Ink:
		return "whisker"
	}
	return fmt.Sprintf("s%d", i%4+1)
}

func (f *screenFrame) curve(i int, c curve) {
	class := curveClass(i, c)
	if c.Joined {
		f.s.Path("line "+class, f.runs(c), false)
	}
	var dots []draw.Point
	for k := range c.X {
		if c.Mark == noMark || !f.holds(c.X[k], c.Y[k]) {
			continue
		}
		if q := f.at(c.X[k], c.Y[k]); c.Mark == disc {
			dots = append(dots, q)
		} else {
			markOnScreen(f.s, class, c.Mark, q)
		}
	}
	if len(dots) > maxScreenMarks {
		class += " many"
	}
	f.s.Dots(class, dots)
	for _, k := range c.Flag {
		if k >= 0 && k < len(c.X) && f.holds(c.X[k], c.Y[k]) {
			f.s.Ring("flag", f.at(c.X[k], c.Y[k]))
		}
	}
}

func markOnScreen(s *draw.Screen, class string, m mark, q draw.Point) {
	switch m {
	case disc:
		s.Dots(class, []draw.Point{q})
	case ring:
		s.Mark("hollow "+class, draw.Circle, q)
	case square:
		s.Mark("solid "+class, draw.Square, q)
	case cross:
		s.Mark("stroke "+class, draw.Cross, q)
	case wedge:
		s.Mark("solid "+class, draw.Wedge, q)
	}
}

// keyed puts curves that have names into the key where there are several, and
// reports whether it did.
func (c *onScreen) keyed() bool {
	var items []draw.KeyItem
	for i, k := range c.Curves {
		if k.Label == "" || k.Colour != draw.None {
			continue
		}
		s := &draw.Screen{}
		if k.Joined {
			s.Path("line "+curveClass(i, k), [][]draw.Point{{{X: 0, Y: 0.5}, {X: 1, Y: 0.5}}}, false)
		}
		markOnScreen(s, curveClass(i, k), k.Mark, draw.Point{X: 0.5, Y: 0.5})
		items = append(items, draw.KeyItem{Words: k.Label, Sign: s})
	}
	if len(items) < 2 {
		return false
	}
	c.key = append(items, c.key...)
	return true
}
