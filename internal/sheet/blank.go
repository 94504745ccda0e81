package sheet

import (
	"cmp"
	"strconv"

	"ringtrue/internal/draw"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
)

// measures of a sheet to fill in, in mm
const (
	blankFret  = 14.0 // the column of fret numbers
	blankLane  = 27.0 // a column, at most
	blankLanes = 9    // on one page: a number is written by hand
	blankRow   = 9.0  // a row, at most
	blankLow   = 7.0  // and at least
	blankHead  = 10.0 // of the grid: sides and lanes
)

// Blank draws a grid to fill in by hand: a row a fret, a column a lane, bass side
// left and nut up, with lines for who read it, when and how. On upright paper, as
// many pages as it needs. An error says that the paper is none.
func Blank(b reading.Blank, paper Paper) ([]*draw.Page, error) {
	b.Neck = cmp.Or(b.Neck, "Neck without a name")
	h, w := paper.lying()
	s := blankSheet{b, w, h}
	first, top, err := s.heading().page(w, h, Micrometres, text.BlankAbout(b))
	if err != nil {
		return nil, err
	}
	top = s.fields(first, top)
	last := foot{notes: []string{text.BlankTypeIn(b.Method, b.Unit)}, number: " "} // room for one
	room := last.top(first) - top - blankHead
	frets := b.Frets()
	most := int(room / blankLow)
	pages := []*draw.Page{}
	for lanes := b.Lanes(); len(lanes) > 0; {
		n := evenly(len(lanes), blankLanes)
		for rest := frets; len(rest) > 0; {
			p := first
			if len(pages) > 0 {
				p = first.Next(w, h)
				s.fields(p, s.heading().draw(p))
			}
			m := evenly(len(rest), most)
			s.grid(p, top, rest[:m], lanes[:n], min(blankRow, room/float64(min(len(frets), most))))
			pages, rest = append(pages, p), rest[m:]
		}
		lanes = lanes[n:]
	}
	ends(pages, last)
	return pages, nil
}

// evenly is how many of n go on the next page, most on one: pages of a size.
func evenly(n, most int) int {
	pages := (n + most - 1) / most
	return (n + pages - 1) / pages
}

// blankSheet is a sheet to fill in under way.
type blankSheet struct {
	reading.Blank
	w, h float64
}

// heading says how the sheet is filled in.
func (s blankSheet) heading() heading {
	return heading{title: s.Neck + ": " + string(s.Method) + " readings", say: []string{text.BlankGauge(s.Method, s.Unit), text.BlankRules(s.Method)}}
}

// fields draws the lines to write on above the grid, and gives the grid's top.
func (s blankSheet) fields(p *draw.Page, y float64) float64 {
	writingLines(p, text.BlankFields(), edgeMM, y+8, s.w-2*edgeMM)
	return y + 12
}

// writingLines draws words side by side, each with a line behind it to write on.
func writingLines(p *draw.Page, fields []string, left, y, width float64) {
	step := width / float64(len(fields))
	label := draw.Type{SizePt: 9, Colour: draw.Slate}
	for i, f := range fields {
		x := left + step*float64(i)
		p.Text(x, y, f, label)
		p.Line(x+p.Width(f, label)+2, y+0.6, x+step-3, y+0.6, draw.Pen{Colour: draw.Ink, WidthMM: 0.25})
	}
}

// grid draws rows of frets and columns of lanes, to write in.
func (s blankSheet) grid(p *draw.Page, top float64, frets, lanes []int, row float64) {
	step := min((s.w-2*edgeMM-blankFret)/float64(len(lanes)), blankLane)
	left := edgeMM + blankFret
	right := left + step*float64(len(lanes))
	y0 := top + blankHead
	bottom := y0 + row*float64(len(frets))
	label := draw.Type{SizePt: 8, Colour: draw.Slate, Anchor: draw.Middle, Level: draw.Centred}
	bold := draw.Type{SizePt: 11, Bold: true, Anchor: draw.Middle, Level: draw.Centred}
	p.Text(edgeMM+blankFret/2, top+7, "fret", label)
	for k, lane := range lanes {
		x := left + step*(float64(k)+0.5)
		p.Text(x, top+7, "lane "+strconv.Itoa(lane), bold)
		if lane == s.Bounds.Strings {
			p.Text(x, top+2.4, "bass", label)
		} else if lane == 1 {
			p.Text(x, top+2.4, "treble", label)
		}
	}
	for i, f := range frets {
		y := y0 + row*float64(i)
		p.Text(edgeMM+blankFret/2, y+row/2, strconv.Itoa(f), bold)
		pen := draw.Pen{Colour: draw.Slate, WidthMM: 0.2}
		if i == 0 || f%12 == 1 && f > 1 { // the octave's end: a place to hold on to
			pen = draw.Pen{Colour: draw.Ink, WidthMM: 0.5}
		}
		p.Line(edgeMM, y, right, y, pen)
	}
	p.Line(edgeMM, bottom, right, bottom, draw.Pen{Colour: draw.Ink, WidthMM: 0.5})
	for k := range len(lanes) + 1 {
		x := left + step*float64(k)
		p.Line(x, y0, x, bottom, draw.Pen{Colour: draw.Slate, WidthMM: 0.2})
	}
}
