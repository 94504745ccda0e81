package sheet

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
)

// playPage is the sheet of notes: every string at every fret, and for the worst
// notes what is left of the gap along the neck.
type playPage struct {
	*answer.PlayAnswer
	units Units
}

// Sizes of the sheet, mm: A4 across.
const (
	playWidthMM, playHeightMM = 297, 210
	maxCurves                 = 4   // worst notes drawn
	nearMM                    = 0.4 // of the gap that their chart shows
)

// Play draws the map of notes and, where notes touch, the worst of them.
func Play(a *answer.PlayAnswer, units Units) (*draw.Page, error) {
	s := playPage{a, units}
	count, _ := a.Count(a.JudgeBy)
	head := heading{title: a.Neck + text.SheetNotes, say: []string{a.JudgeBy + ": " + text.TallyInDoubt(count, a.InDoubt())}, facts: s.facts()}.
		of(text.PlayHead(&a.Report), playMood(count, a.Sure()))
	p, y, err := head.page(playWidthMM, playHeightMM, units, s.about())
	if err != nil {
		return nil, err
	}
	last := foot{next: text.NextSetUp}
	if len(s.Worst) > 0 {
		last.next = text.NextLevel
	}
	last.atEnd(p)
	const width = playWidthMM - 2*edgeMM
	under := y + 70
	if len(s.Worst) == 0 {
		under = last.top(p) - 10
	}
	if err := s.notes(p, draw.Box{X: edgeMM, Y: y, W: width, H: under - y}); err != nil {
		return nil, err
	}
	under = signs(p, edgeMM, under+1, width, s.legend())
	if len(s.Worst) > 0 {
		err = s.left().in(units).Draw(p, draw.Box{X: edgeMM, Y: under + 4, W: width, H: last.top(p) - under - 4})
	}
	return p, err
}

// playMood is how the verdict on the notes looks.
func playMood(count map[play.Verdict]int, sure bool) mood {
	switch {
	case count[play.Grazes]+count[play.Buzzes]+count[play.Chokes] > 0:
		return toDo
	case !sure:
		return doubtful
	}
	return well
}

// facts say what the map's numbers are, and over which crowns.
func (s playPage) facts() []string {
	facts := []string{text.LeftOver(s.units == Thousandths)}
	if state := text.PlayState(s.PerfectCrowns, s.AsPlanned, s.Capo); state != "" {
		facts = append(facts, state)
	}
	return facts
}

func (s playPage) about() string {
	count, _ := s.Count(s.JudgeBy)
	doubt := ""
	if k := s.InDoubt(); k > 0 {
		doubt = fmt.Sprintf("; %d of them in doubt", k)
	}
	return fmt.Sprintf("A map of every string at every fret: %d notes clear, %d graze, %d buzz, %d choke%s. Below it, for the worst notes, what is left of the gap along the neck.",
		count[play.Clear], count[play.Grazes], count[play.Buzzes], count[play.Chokes], doubt)
}

// playLook is a verdict's colour and its letter. Lightness falls from clear to
// chokes, so the map reads in grey too.
func playLook(verdict play.Verdict) (draw.Colour, string) {
	switch verdict {
	case play.Grazes:
		return draw.Diverging(0.35), "g"
	case play.Buzzes:
		return draw.Diverging(0.75), "B"
	case play.Chokes:
		return draw.Ink, "X"
	}
	return draw.Haze, ""
}

// notes draws the map: a row a string, the treble side on top, a column a fret.
func (s playPage) notes(p *draw.Page, box draw.Box) error {
	c := chart{Title: "Every note", X: axis{Label: "stopped at fret"}, Y: axis{Label: "string"}}
	first, last := math.MaxInt, 0
	for i, row := range s.Strings {
		y := float64(len(s.Strings) - i)
		c.Y.Ticks = append(c.Y.Ticks, tick{At: y, Label: fmt.Sprintf("%d  %s", row.String, row.Pitch)})
		for _, n := range row.At(s.JudgeBy) {
			first, last = min(first, n.Fret), max(last, n.Fret)
			colour, letter := playLook(n.Verdict)
			doubt := ""
			if n.InDoubt {
				doubt = "?"
			}
			c.Cells = append(c.Cells, mapCell{X0: float64(n.Fret) - 0.47, X1: float64(n.Fret) + 0.47, Y0: y - 0.46, Y1: y + 0.46,
				Colour: colour, Text: strings.TrimSpace(letter+" "+s.hundredths(n.ClearMarginMM)) + doubt})
		}
	}
	if last < first {
		first = 0
	}
	for f := first; f <= last; f++ {
		c.X.Ticks = append(c.X.Ticks, tick{At: float64(f), Label: fmt.Sprint(f)})
	}
	c.X.Min, c.X.Max = float64(first)-0.5, float64(last)+0.5
	c.Y.Min, c.Y.Max = 0.5, float64(len(s.Strings))+0.5
	return c.Draw(p, box)
}

// hundredths prints a size in hundredths of a millimetre or tenths of a thousandth
// of an inch, with its sign where it is short.
func (s playPage) hundredths(left num.Opt) string {
	mm, known := left.Get()
	if !known {
		return ""
	}
	if s.units == Thousandths {
		return unitOf(s.units).plain(mm)
	}
	return strings.Replace(fmt.Sprintf("%.0f", math.Round(mm*100)+0), "-", "−", 1)
}

// legend names the colours and letters.
func (s playPage) legend() (items []legendItem) {
	for _, v := range []play.Verdict{play.Clear, play.Grazes, play.Buzzes, play.Chokes} {
		colour, letter := playLook(v)
		words := string(v)
		switch v {
		case play.Clear:
			words = "clear: meets no fret"
		case play.Chokes:
			words = "chokes: lies on a fret at rest"
		}
		items = append(items, legendItem{words, 6, func(p *draw.Page, x, y float64) {
			p.Rect(x, y-2, 6, 4, draw.Filled(colour))
			p.Text(x+3, y, letter, draw.Type{SizePt: 7, Colour: draw.InkOn(colour), Anchor: draw.Middle, Level: draw.Centred})
		}})
	}
	if s.InDoubt() > 0 {
		items = append(items, legendItem{string(straight.InDoubt), 2, func(p *draw.Page, x, y float64) { p.Text(x, y, "?", sayText().At(draw.Start, draw.Centred)) }})
	}
	return items
}

// left is the chart of what is left of the gap for the worst notes.
func (s playPage) left() chart {
	c := chart{Title: text.WorstNotes,
		X: axis{Label: "from the nut, mm"}, Y: axis{Label: text.GapLeft}, Rules: []rule{{At: 0}}}
	marks := []mark{disc, ring, square, wedge}
	// What matters lies about 0; the rest of the gap is left off the chart.
	c.Y.Min, c.Y.Max = -0.05, nearMM
	for i, w := range s.Worst[:min(len(s.Worst), maxCurves)] {
		curve := curve{Label: fmt.Sprintf("string %d, fret %d", w.String, w.Fret), Joined: true, Mark: marks[i%len(marks)]}
		near := 0 // up to the last crown that the chart shows
		for k, l := range w.Left {
			curve.X, curve.Y = append(curve.X, l.FromNutMM), append(curve.Y, l.LeftMM)
			if l.LeftMM <= nearMM {
				near = k + 1
			}
			c.Y.Min = math.Min(c.Y.Min, math.Floor(l.LeftMM*20)/20)
		}
		curve.X, curve.Y = curve.X[:near], curve.Y[:near]
		c.Curves = append(c.Curves, curve)
	}
	return c
}
