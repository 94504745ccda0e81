package sheet

import (
	"fmt"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/film"
)

// Strip draws the moments worth a look one under another.
func Strip(a *answer.PlayFilmAnswer, units Units) (*draw.Page, error) {
	p := pluckPage{a, units}
	const width, edge, top, each, foot = 210.0, 14.0, 38.0, 30.5, 20.0
	height := top + each*float64(len(p.Strip)) + foot
	page, err := newPage(width, height, p.title(), units)
	if err != nil {
		return nil, err
	}
	page.About(fmt.Sprintf("%d moments of one plucked string over the frets beyond its stop; %s. %s.", len(p.Strip), p.pluckWords(), p.verdictWords()))
	p.head(page, edge)
	var s stage
	for i, m := range p.Strip {
		y := top + each*float64(i)
		s = p.stage(draw.Box{X: edge + 4, Y: y + 5, W: width - 2*edge - 8, H: each - 14})
		time := fmt.Sprintf("%.2f ms", m.TimeMS)
		bold := draw.Type{SizePt: 9, Bold: true}
		page.Text(edge, y+3, time, bold)
		page.Text(edge+page.Width(time, bold)+3, y+3, m.Why+p.touchWords(m), draw.Type{SizePt: 9})
		p.neck(page, s)
		page.Path(p.line(s, m), false, draw.Look{Edge: stringPen()})
		p.touching(page, s, m)
	}
	p.scales(page, s, edge+1, height-8)
	return page, nil
}

// head writes title, pluck and verdict.
func (p pluckPage) head(page *draw.Page, edge float64) {
	width, _ := page.Size()
	for i, line := range []struct {
		words string
		set   draw.Type
	}{
		{p.title(), draw.Type{SizePt: 13, Bold: true}},
		{p.pluckWords(), draw.Type{SizePt: 9, Colour: draw.Slate}},
		{p.verdictWords(), draw.Type{SizePt: 9}},
	} {
		page.Text(edge, 16+6*float64(i), page.Clip(line.words, line.set, width-2*edge), line.set)
	}
}

// touchWords name the crowns that the string lies on in a moment.
func (p pluckPage) touchWords(m film.Moment) string {
	words := ""
	for _, on := range m.On {
		words += fmt.Sprintf("; contact %d, fret %d: %.2g N", p.numberOf(on.Fret, m.TimeMS), on.Fret, on.ForceN)
	}
	return words
}
