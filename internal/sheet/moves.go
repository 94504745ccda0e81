package sheet

import (
	"cmp"
	"fmt"
	"slices"

	"ringtrue/internal/draw"
	"ringtrue/internal/findings"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// measures of a card of moves, in mm
const (
	rulerHigh = 12.0 // the scale's room above the foot
	flatCell  = 14.5 // a flat with its words
	wireLong  = 9.0  // of a piece of wire
	flatRow   = 22.5 // a row of flats
	movesGap  = 5.0
	flatScale = 20 // widths of the scale
)

// ruler is the scale of widths at a card's foot, and the bar that checks the print.
type ruler struct {
	stepMM, barMM float64
	bar           string
	say           func(mm float64) string
}

func rulerIn(units Units) ruler {
	if units == Thousandths {
		const step = 2.0 / 1000 * unit.MMPerInch
		return ruler{step, 2 * unit.MMPerInch, "2 in", func(mm float64) string { return number(mm/unit.MMPerInch*1000, 0) }}
	}
	return ruler{0.05, 50, "50 mm", func(mm float64) string { return number(mm, 1) }}
}

// MovesCard draws the work as moves of a hand, in order, below what is done before any
// file and what file says of the moves: what each does, with a box
// to tick, and the flats that end it at true size, each in the middle of a piece of
// wire of the crown's true width. A scale of widths and a bar that checks the print
// stand at the foot, between words above and cautions below. On upright paper, as
// many pages as it needs. An error says that the paper is none.
func MovesCard(name, verdict string, words, before, file, foot []string, moves []findings.Move, crownWidthMM float64, paper Paper, units Units) ([]*draw.Page, error) {
	h, w := paper.lying()
	first, err := newPage(w, h, name+text.SheetMoves, units)
	if err != nil {
		return nil, err
	}
	first.About(text.MovesAbout(name))
	c := movesCard{card: newCard(name, verdict, words, before, file, foot, true), w: w, h: h, wire: crownWidthMM, ruler: rulerIn(units)}
	c.last.room = rulerHigh
	c.pages, c.y = c.begin(first, text.CardThen)
	for i, m := range moves {
		c.move(i+1, m)
	}
	ends(c.pages, c.last)
	for _, p := range c.pages {
		c.scale(p)
	}
	return c.pages, nil
}

// movesCard is a card of moves under way.
type movesCard struct {
	card
	ruler
	w, h, wire float64
	pages      []*draw.Page
	y          float64 // how far down the last page is filled
}

// page is the page with room for so much more.
func (c *movesCard) page(height float64) *draw.Page {
	p := c.pages[len(c.pages)-1]
	if c.y+height > c.last.top(p) {
		p = c.pages[0].Next(c.w, c.h)
		c.pages = append(c.pages, p)
		c.y = c.next(p)
	}
	return p
}

// move draws one move.
func (c *movesCard) move(n int, m findings.Move) {
	say, more := cardText(), sayText()
	say.Bold = true
	left := edgeMM + cardBox + 3
	width := c.w - edgeMM - left
	p := c.pages[0]
	said := wrapped(p, fmt.Sprintf("%d. %s", n, text.Move(m)), say, width)
	stop := []string{}
	if end := text.MoveEnds(m); end != "" {
		stop = wrapped(p, end, more, width)
	}
	perRow := max(1, int(width/flatCell))
	rows := (len(m.Until) + perRow - 1) / perRow
	p = c.page(float64(len(said))*say.LineMM() + float64(len(stop))*more.LineMM() + float64(rows)*flatRow)
	p.Rect(edgeMM, c.y+0.3, cardBox, cardBox, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.35}})
	for _, line := range said {
		p.Text(left, c.y, line, say)
		c.y += say.LineMM()
	}
	for _, line := range stop {
		p.Text(left, c.y, line, more)
		c.y += more.LineMM()
	}
	c.y += 1.5
	for i, u := range alongFrets(m.Until) {
		if i > 0 && i%perRow == 0 {
			c.y += flatRow
		}
		c.flat(p, left+flatCell*(float64(i%perRow)+0.5), c.y, u)
	}
	c.y += flatRow + movesGap
}

// flat draws a flat on its wire, seen from above, around x.
func (c *movesCard) flat(p *draw.Page, x, y float64, u findings.MoveFlat) {
	c.piece(p, x, y, wireLong, u.FlatMM)
	label := draw.Type{SizePt: 7.5, Anchor: draw.Middle, Level: draw.Below}
	for i, words := range text.FlatPlace(u) {
		p.Text(x, y+wireLong+0.8+3*float64(i), words, label)
	}
	label.Bold, label.SizePt = true, 7.5
	p.Text(x, y+wireLong+7.2, text.FlatWidth(u.FlatMM), label)
}

// alongFrets orders flats as the eye goes: along each fret from the bass side, fret by fret.
func alongFrets(until []findings.MoveFlat) []findings.MoveFlat {
	until = slices.Clone(until)
	slices.SortStableFunc(until, func(a, b findings.MoveFlat) int {
		return cmp.Or(cmp.Compare(a.Fret, b.Fret), cmp.Compare(b.Lane, a.Lane))
	})
	return until
}

// piece draws wire with a flat along it.
func (c *movesCard) piece(p *draw.Page, x, y, long, flatMM float64) {
	p.Rect(x-c.wire/2, y, c.wire, long, draw.Look{Fill: draw.Mist, Edge: draw.Pen{Colour: draw.Slate, WidthMM: 0.1}})
	p.Rect(x-flatMM/2, y, flatMM, long, draw.Filled(draw.Ink))
}

// scale draws the widths that an eye can tell, and a bar of known length.
func (c *movesCard) scale(p *draw.Page) {
	y := c.last.top(p) + 2
	label := draw.Type{SizePt: 6.5, Colour: draw.Slate, Anchor: draw.Middle, Level: draw.Below}
	step := 5.8
	for i := range flatScale {
		width, x := float64(i+1)*c.stepMM, edgeMM+1+step*float64(i)
		p.Rect(x-width/2, y, width, 6, draw.Filled(draw.Ink))
		if i%2 == 1 {
			p.Text(x, y+6.5, c.say(width), label)
		}
	}
	x := c.w - edgeMM - c.barMM
	pen := draw.Pen{Colour: draw.Ink, WidthMM: 0.3}
	p.Line(x, y+3, x+c.barMM, y+3, pen)
	p.Line(x, y+1.5, x, y+4.5, pen)
	p.Line(x+c.barMM, y+1.5, x+c.barMM, y+4.5, pen)
	p.Text(x+c.barMM/2, y+6.5, text.MovesBar(c.bar), label)
}
