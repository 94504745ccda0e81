package sheet

import (
	"fmt"
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/film"
	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// Strip draws the moments worth a look one under another.
func Strip(a *answer.PlayFilmAnswer, units Units) (*draw.Page, error) {
	p := pluckPage{a, units}
	const most, scalesMM = 30.5, 12.0
	about := fmt.Sprintf("%d moments of one plucked string over the frets beyond its stop; %s. %s.", len(p.Strip), p.pluckWords(), p.verdictWords())
	page, top, err := p.heading().page(a4WideMM, a4HighMM, units, about)
	if err != nil {
		return nil, err
	}
	last := p.foot()
	each := math.Min(most, (a4HighMM-top-scalesMM-last.high(page)-edgeMM)/float64(max(1, len(p.Strip))))
	page.SetHeight(top + each*float64(len(p.Strip)) + scalesMM + last.high(page) + edgeMM)
	var s stage
	for i, m := range p.Strip {
		y := top + each*float64(i)
		s = p.stage(draw.Box{X: edgeMM + 5.5, Y: y + 5, W: a4WideMM - 2*edgeMM - 11, H: each - 14})
		time := fmt.Sprintf("%.2f ms", m.TimeMS)
		bold := draw.Type{SizePt: 9, Bold: true}
		page.Text(edgeMM, y+3, time, bold)
		page.Text(edgeMM+labelSlack*page.Width(time, bold)+3, y+3, m.Why+p.touchWords(m), draw.Type{SizePt: 9})
		p.neck(page, s)
		page.Path(p.line(s, m), false, draw.Look{Edge: stringPen()})
		p.touching(page, s, m)
	}
	p.scales(page, s, edgeMM+1, last.top(page)-3)
	last.atEnd(page)
	return page, nil
}

// foot says what to do about a note that is not clear.
func (p pluckPage) foot() foot {
	if p.Verdict == play.Clear {
		return foot{}
	}
	return foot{next: text.NextLevel}
}

// touchWords name the crowns that the string lies on in a moment.
func (p pluckPage) touchWords(m film.Moment) string {
	words := ""
	for _, on := range m.On {
		words += fmt.Sprintf("; contact %d, fret %d: %.2g N", p.numberOf(on.Fret, m.TimeMS), on.Fret, on.ForceN)
	}
	return words
}
