package sheet

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
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
	playEdgeMM                = 12
	maxCurves                 = 4   // worst notes drawn
	nearMM                    = 0.4 // of the gap that their chart shows
)

// Play draws the map of notes and, where notes touch, the worst of them.
func Play(a *answer.PlayAnswer, units Units) (*draw.Page, error) {
	s := playPage{a, units}
	p, err := newPage(playWidthMM, playHeightMM, s.Neck+": will the notes ring", units)
	if err != nil {
		return nil, err
	}
	p.About(s.about())
	p.Text(playEdgeMM, 17, s.Neck+": will the notes ring", draw.Type{SizePt: 14, Bold: true})
	p.Text(playEdgeMM, 23, s.condition(), draw.Type{SizePt: 9, Colour: draw.Slate})
	foot := 98.0
	if len(s.Worst) == 0 {
		foot = 178
	}
	if err := s.notes(p, draw.Box{X: playEdgeMM, Y: 28, W: playWidthMM - 2*playEdgeMM, H: foot - 28}); err != nil {
		return nil, err
	}
	s.legend(p, foot+6)
	if len(s.Worst) > 0 {
		if err := s.left().in(units).Draw(p, draw.Box{X: playEdgeMM, Y: foot + 14, W: playWidthMM - 2*playEdgeMM, H: playHeightMM - foot - 24}); err != nil {
			return nil, err
		}
	}
	return p, nil
}

func (s playPage) condition() string {
	words := fmt.Sprintf("touch %q; numbers: %s left between string and nearest crown", s.JudgeBy, s.leftIn())
	switch {
	case s.PerfectCrowns:
		words += "; perfect crowns"
	case s.AsPlanned:
		words += "; as planned, after levelling"
	}
	if s.InDoubt() > 0 {
		words += "; ? the readings leave it in doubt"
	}
	return words
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

// leftIn names what the map's numbers are in.
func (s playPage) leftIn() string {
	if s.units == Thousandths {
		return "thousandths of an inch"
	}
	return "hundredths of a millimetre"
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

func (s playPage) legend(p *draw.Page, y float64) {
	set := draw.Type{SizePt: 8, Level: draw.Centred}
	x := float64(playEdgeMM)
	for _, v := range []play.Verdict{play.Clear, play.Grazes, play.Buzzes, play.Chokes} {
		colour, letter := playLook(v)
		p.Rect(x, y-2, 6, 4, draw.Look{Fill: colour})
		p.Text(x+3, y, letter, draw.Type{SizePt: 7, Colour: draw.InkOn(colour), Anchor: draw.Middle, Level: draw.Centred})
		words := string(v)
		switch v {
		case play.Clear:
			words = "clear: meets no fret"
		case play.Chokes:
			words = "chokes: lies on a fret at rest"
		}
		p.Text(x+8, y, words, set)
		x += 8 + p.Width(words, set) + 10
	}
}

// left is the chart of what is left of the gap for the worst notes.
func (s playPage) left() chart {
	c := chart{Title: "Worst notes: what is left of the gap along the neck (below 0 the string strikes; over 0.4 mm not shown)",
		X: axis{Label: "from the nut, mm"}, Y: axis{Label: "gap less reach, mm"}, Rules: []rule{{At: 0}}}
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
