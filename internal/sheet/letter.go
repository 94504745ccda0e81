package sheet

import (
	"fmt"
	"math"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/text"
)

// measures of a letter, in mm
const (
	letterEdge  = edgeMM
	letterBoard = 30.0 // the neck's picture, across
	letterFoot  = 24.0
)

// OwnersLetter draws the yearly letter to a neck's owner on one upright page, A4 or Letter:
// the words, and the neck from above with what wore. An error says that the words do not
// fit, or that no crown was read.
func OwnersLetter(a *answer.BookCardAnswer, l *geometry.Layout, paper Paper, units Units) (*draw.Page, error) {
	if paper == Phone {
		paper = A4
	}
	for _, size := range []float64{14.5, 13, 11.5, 10.5, 9.5, 8.5} { // the largest letters that fit
		p, fits, err := letterIn(size, a, l, paper, units)
		if fits || err != nil {
			return p, err
		}
	}
	return nil, fmt.Errorf("sheet: the letter does not fit on one page")
}

// letterIn draws the letter in letters of a size, in points.
func letterIn(size float64, a *answer.BookCardAnswer, l *geometry.Layout, paper Paper, units Units) (p *draw.Page, fits bool, err error) {
	h, w := paper.lying()
	title := text.LetterTitle(a.Model, a.Serial)
	if p, err = newPage(w, h, title, units); err != nil {
		return nil, false, err
	}
	var said [][]string
	for _, x := range a.Letter {
		said = append(said, append([]string{x.Heading + "."}, x.Words...))
	}
	p.About(text.LetterAbout(title, said))
	p.Rect(0, 0, w, h, draw.Filled(draw.Paper))
	t := letterPage{p, letterEdge}
	t.words(title, draw.Type{SizePt: 20, Bold: true, Level: draw.Below})
	t.y += size / 2
	for i, x := range a.Letter {
		if i == len(a.Letter)-1 {
			if err := t.picture(a, l); err != nil {
				return nil, false, err
			}
		}
		t.words(x.Heading, draw.Type{SizePt: size + 1.5, Bold: true, Level: draw.Below})
		t.y++
		for _, words := range x.Words {
			t.words(words, draw.Type{SizePt: size, Level: draw.Below})
			t.y += size / 10
		}
		t.y += size/2 - 1
	}
	sign := draw.Type{SizePt: 10, Colour: draw.Slate}
	foot := min(t.y+letterFoot, h-letterEdge) // a short letter is signed where it ends
	p.Text(letterEdge, foot, text.LetterSign, sign)
	from := letterEdge + labelSlack*p.Width(text.LetterSign, sign) + 3
	p.Line(from, foot+0.5, w-letterEdge, foot+0.5, draw.Pen{Colour: draw.Slate, WidthMM: 0.25})
	return p, t.y <= h-letterFoot, nil
}

// letterPage is a letter under way: y is how far down it is written.
type letterPage struct {
	*draw.Page
	y float64
}

func (t *letterPage) words(words string, set draw.Type) {
	w, _ := t.Size()
	for _, line := range t.Wrap(words, set, (w-2*letterEdge)/wordSlack) {
		t.Text(letterEdge, t.y, line, set)
		t.y += set.LineMM()
	}
}

// picture draws the neck from above: what changed, or where there is no earlier reading
// how it stands.
func (t *letterPage) picture(a *answer.BookCardAnswer, l *geometry.Layout) error {
	crowns := a.Crowns
	if a.Compared != nil {
		crowns = nil
		for _, c := range a.Compared.Crowns {
			crowns = append(crowns, answer.CrownAnswer{Fret: c.Fret, Lane: c.Lane, OffMM: c.MM, Verdict: string(c.Verdict)})
		}
	}
	w, _ := t.Size()
	s := answer.FretsAnswer{ZoneLimitMM: max(a.ZoneLimitMM, minFullMM), Crowns: crowns}
	f := &fretsSheet{FretsAnswer: &s, p: t.Page, l: l, unit: unitOf(Micrometres), frets: span2(l.FirstFret(), l.LastFret())}
	if f.gather(); len(f.lanes) == 0 {
		return fmt.Errorf("sheet: no crown was read, so there is no letter to draw")
	}
	f.g = ground{along: letterEdge, length: w - 2*letterEdge, board: t.y + 2, wide: letterBoard}
	f.fit()
	f.drawBoard()
	small := draw.Type{SizePt: 8, Colour: draw.Slate}
	y, last := f.g.board+f.g.wide+3.2, math.Inf(-1)
	for _, fret := range f.frets {
		at := f.g.on(l.CentreX(fret), 0).X
		if at-last > 4.2 && fret > 0 { // numbers keep apart where frets crowd
			t.Text(at, y, strconv.Itoa(fret), small.At(draw.Middle, draw.Centred))
			last = at
		}
	}
	t.y = y + 4
	t.words(text.LetterMarks(a.Compared != nil), draw.Type{SizePt: 9, Colour: draw.Slate, Level: draw.Below})
	t.y += 6
	return nil
}
