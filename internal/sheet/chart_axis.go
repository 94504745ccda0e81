package sheet

import (
	"cmp"
	"math"
	"strconv"
	"strings"

	"ringtrue/internal/draw"
)

func axisText() draw.Type { return draw.Type{SizePt: 7, Colour: draw.Slate} }

// xSpan decides the x axis for a chart so many mm wide: as many ticks as their
// labels leave room for.
func (c chart) xSpan(p *draw.Page, widthMM float64) (span, error) {
	lo, hi, err := c.X.span(c.extent(true))
	if err != nil || c.X.Ticks != nil {
		return c.X.named(lo, hi), err
	}
	for n := 12; n > 1; n-- {
		s := c.X.rounded(lo, hi, n)
		if fits(p, s, widthMM) {
			return s, nil
		}
	}
	return c.X.rounded(lo, hi, 1), nil
}

// ySpan decides the y axis for a chart so many mm high: a tick each 9 mm or so.
func (c chart) ySpan(heightMM float64) (span, error) {
	lo, hi, err := c.Y.span(c.extent(false))
	if err != nil || c.Y.Ticks != nil {
		return c.Y.named(lo, hi), err
	}
	return c.Y.rounded(lo, hi, max(2, int(heightMM/9))), nil
}

// fits says whether the labels stand clear of each other.
func fits(p *draw.Page, s span, widthMM float64) bool {
	const clear = 2.5 // mm between two labels
	end := math.Inf(-1)
	for _, t := range s.ticks {
		at := (t.At - s.min) / (s.max - s.min) * widthMM
		half := p.Width(t.Label, axisText()) / 2
		if at-half < end+clear {
			return false
		}
		end = at + half
	}
	return true
}

// extent is the range of the finite values along x or y.
func (c chart) extent(alongX bool) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	take := func(values ...float64) {
		for _, v := range values {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
	}
	for _, curve := range c.Curves {
		if alongX {
			take(curve.X...)
		} else {
			take(curve.Y...)
		}
	}
	for _, cell := range c.Cells {
		if alongX {
			take(cell.X0, cell.X1)
		} else {
			take(cell.Y0, cell.Y1)
		}
	}
	for _, r := range c.Rules {
		if r.Upright == alongX {
			take(r.At)
		}
	}
	for _, b := range c.Bands {
		if b.Upright == alongX {
			take(b.From, b.To)
		}
	}
	return lo, hi
}

// roundingShare is which part of its values a range spans that is no range, but
// rounding: ticks would be no whole steps apart.
const roundingShare = 1e-9

// span is the axis' own range, or else that of the data.
func (a axis) span(lo, hi float64) (float64, float64, error) {
	if a.Min < a.Max {
		lo, hi = a.Min, a.Max
	}
	if lo > hi {
		return 0, 1, ErrEmpty
	}
	if hi-lo <= roundingShare*math.Max(math.Abs(lo), math.Abs(hi)) { // one value: some room around it
		room := math.Max(math.Abs(lo)*0.1, 0.5)
		lo, hi = lo-room, hi+room
	}
	if math.IsInf(hi-lo, 0) || math.IsNaN(hi-lo) {
		return 0, 1, errRange
	}
	return lo, hi, nil
}

func (a axis) named(lo, hi float64) span {
	s := span{min: lo, max: hi}
	for _, t := range a.Ticks {
		if t.At >= lo && t.At <= hi {
			s.ticks = append(s.ticks, t)
		}
	}
	return s
}

// rounded puts about n ticks at multiples of 1, 2 or 5 times a power of ten. A
// range taken from the data is widened to them. They are round in the label's unit.
func (a axis) rounded(lo, hi float64, n int) span {
	per := cmp.Or(a.per, 1)
	lo, hi = lo*per, hi*per
	step := roundStep((hi - lo) / float64(n))
	if a.Whole {
		step = math.Max(1, step)
	}
	first, last := math.Ceil(lo/step-1e-9), math.Floor(hi/step+1e-9)
	if !(a.Min < a.Max) {
		first, last = math.Floor(lo/step+1e-9), math.Ceil(hi/step-1e-9)
		lo, hi = first*step, last*step
	}
	s := span{min: lo / per, max: hi / per}
	digits := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	for k := first; k <= last; k++ {
		s.ticks = append(s.ticks, tick{At: k * step / per, Label: number(k*step, digits)})
	}
	return s
}

// roundStep is the least of 1, 2 and 5 times a power of ten that is v or more.
func roundStep(v float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= v*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// number writes a value with so many decimals and a true minus sign.
func number(v float64, digits int) string {
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no −0
	}
	return strings.Replace(s, "-", "−", 1)
}

// axes draws the grid, the ticks' labels and the words of the axes.
func (f *frame) axes(c chart) {
	guide := draw.Pen{Colour: draw.Mist, WidthMM: 0.12}
	edge := draw.Pen{Colour: draw.Slate, WidthMM: 0.25}
	in := f.inner
	for _, t := range f.y.ticks {
		y := f.atY(t.At)
		if len(c.Cells) == 0 { // a map needs no guide lines
			f.p.Line(in.X, y, in.X+in.W, y, guide)
		}
		f.p.Text(in.X-1.2, y, t.Label, axisText().At(draw.End, draw.Centred))
	}
	foot := in.Y + in.H
	for _, t := range f.x.ticks {
		x := f.atX(t.At)
		f.p.Line(x, foot, x, foot+1, edge)
		f.p.Text(x, foot+1.8, t.Label, axisText().At(draw.Middle, draw.Below))
	}
	f.p.Line(in.X, foot, in.X+in.W, foot, edge)
	f.p.Line(in.X, in.Y, in.X, foot, edge)
	words := axisText().At(draw.End, draw.Below)
	f.p.Text(in.X+in.W, foot+1.8+axisText().LineMM(), c.X.Label, words)
	y := f.outer.Y
	if c.Title != "" {
		f.p.Text(f.outer.X, y, f.p.Clip(c.Title, partText(), f.outer.W/labelSlack), partText())
		y += partText().LineMM()
	}
	f.p.Text(f.outer.X, y, c.Y.Label, axisText().At(draw.Start, draw.Below))
}
