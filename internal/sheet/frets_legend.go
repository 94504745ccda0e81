package sheet

import (
	"math"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
	"ringtrue/internal/wear"
)

// legendItem is a sign and the words for it.
type legendItem struct {
	words string
	wide  float64 // of the sign, mm
	sign  func(p *draw.Page, x, y float64)
}

func (f *fretsSheet) legendItems() []legendItem {
	const r = 1.6
	mark := func(verdict, words string, off float64) legendItem {
		return legendItem{words, 2 * r, func(_ *draw.Page, x, y float64) {
			f.drawMark(draw.Point{X: x + r, Y: y}, r, cell{true, answer.CrownAnswer{OffMM: off, Verdict: verdict}, 0, false})
		}}
	}
	same := func(verdict string, off float64) legendItem { return mark(verdict, verdict, off) }
	items := []legendItem{f.unit.scaleItem(f.full, f.unit.short)}
	if f.changes != nil {
		items = append(items, same(string(wear.Worn), -f.full/2), mark(string(wear.Moved), "moved with its fret", f.full/2),
			same(string(wear.Raised), f.full/2), same(string(wear.Unchanged), 0))
	} else {
		items = append(items, same(string(straight.High), f.full/2), same(string(straight.Low), -f.full/2), same(string(straight.Level), 0))
	}
	items = append(items, mark(string(straight.InDoubt), "? "+string(straight.InDoubt), f.full/4))
	unknown, again := f.statesShown()
	if unknown {
		items = append(items, legendItem{"not determined", 9, func(_ *draw.Page, x, y float64) {
			f.drawMark(draw.Point{X: x + r, Y: y}, r, cell{})
			f.hatch(draw.Box{X: x + 4.2, Y: y - 1.5, W: 4.8, H: 3})
		}})
	}
	if again {
		items = append(items, legendItem{"read again", 3.4, func(_ *draw.Page, x, y float64) {
			f.p.Rect(x+0.2, y-1.5, 3, 3, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.5}})
		}})
	}
	if f.takes {
		items = append(items, legendItem{text.TakeOff(f.Work.Filing) + ", " + f.unit.short, 2, func(_ *draw.Page, x, y float64) { f.wedge(x+1, y, 1.8) }})
	}
	return append(items, f.barItem())
}

// statesShown says which states occur, so that the legend names no others.
func (f *fretsSheet) statesShown() (unknown, again bool) {
	for _, fret := range f.frets {
		for _, lane := range f.lanes {
			c := f.cells[cellKey{fret, lane}]
			unknown = unknown || !c.known
			again = again || c.readAgain
		}
	}
	return unknown, again
}

// scaleItem is the colour scale with its ends and middle in numbers.
func (u heightUnit) scaleItem(full float64, words string) legendItem {
	const long, steps = 36.0, 24
	set := draw.Type{SizePt: 7, Anchor: draw.Middle, Level: draw.Centred}
	return legendItem{words, long, func(p *draw.Page, x, y float64) {
		for i := range steps {
			t := -1 + (float64(i)+0.5)*2/steps
			p.Rect(x+float64(i)*long/steps, y-1.9, long/steps+0.05, 3.8, draw.Filled(draw.Diverging(t)))
		}
		for _, part := range []float64{-1, 0, 1} {
			end := x + (part+1)/2*long
			at := set.At(draw.Middle, draw.Centred)
			if part < 0 {
				at, end = set.At(draw.Start, draw.Centred), end+1
			} else if part > 0 {
				at, end = set.At(draw.End, draw.Centred), end-1
			}
			p.Text(end, y, u.signed(part*full), at.Is(draw.InkOn(draw.Diverging(part))))
		}
	}}
}

// barItem is a length on the neck, to the scale of its picture.
func (f *fretsSheet) barItem() legendItem {
	const most = 32.0 // mm of paper
	mm, name := 1.0, " mm"
	if f.unit.digits == 1 {
		mm, name = unit.MMPerInch, " in"
	}
	lengths := []float64{1, 2, 5, 10, 20, 50, 100, 200}
	length := lengths[0]
	for _, v := range lengths {
		if v*mm*f.g.perMM <= most {
			length = v
		}
	}
	w := math.Min(most, length*mm*f.g.perMM)
	words := strconv.FormatFloat(length, 'f', -1, 64) + name + " along the neck"
	return legendItem{words, w, func(_ *draw.Page, x, y float64) {
		pen := draw.Pen{Colour: draw.Ink, WidthMM: 0.3}
		f.p.Line(x, y, x+w, y, pen)
		f.p.Line(x, y-1.1, x, y+1.1, pen)
		f.p.Line(x+w, y-1.1, x+w, y+1.1, pen)
	}}
}
