package sheet

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/draw"
)

// Play is what the sheet of notes shows: every string at every fret, and for the
// worst notes what is left of the gap along the neck.
type Play struct {
	Neck    string
	Touch   string // the touch that is judged by
	Planned bool   // the neck as the levelling plan leaves it
	Perfect bool   // no readings: perfect crowns
	Strings []PlayString
	Worst   []PlayLeft // worst first
}

// PlayString is one string's notes.
type PlayString struct {
	String int
	Pitch  string
	Notes  []PlayNote
}

// PlayNote is one note: its verdict, and what is left of the gap at the nearest
// crown; nil where nothing lies beyond.
type PlayNote struct {
	Fret    int
	Verdict string // "clear", "grazes", "buzzes", "chokes"
	LeftMM  *float64
}

// PlayLeft is what is left of the gap, gap less reach, over each crown beyond a
// stop.
type PlayLeft struct {
	String, Fret int
	Verdict      string
	FromNutMM    []float64
	LeftMM       []float64
	Frets        []int
}

// Sizes of the sheet, mm: A4 across.
const (
	playWidthMM, playHeightMM = 297, 210
	playEdgeMM                = 12
	mostCurves                = 4   // worst notes drawn
	nearMM                    = 0.4 // of the gap that their chart shows
)

// Page draws the map of notes and, where notes touch, the worst of them.
func (s Play) Page() (*draw.Page, error) {
	p, err := draw.New(playWidthMM, playHeightMM, s.Neck+": will the notes ring")
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
		if err := s.left().Draw(p, draw.Box{X: playEdgeMM, Y: foot + 14, W: playWidthMM - 2*playEdgeMM, H: playHeightMM - foot - 24}); err != nil {
			return nil, err
		}
	}
	return p, nil
}

func (s Play) condition() string {
	words := fmt.Sprintf("touch %q; numbers: hundredths of a millimetre left between string and nearest crown", s.Touch)
	switch {
	case s.Perfect:
		words += "; perfect crowns"
	case s.Planned:
		words += "; as planned, after levelling"
	}
	return words
}

func (s Play) about() string {
	count := map[string]int{}
	for _, row := range s.Strings {
		for _, n := range row.Notes {
			count[n.Verdict]++
		}
	}
	return fmt.Sprintf("A map of every string at every fret: %d notes clear, %d graze, %d buzz, %d choke. Below it, for the worst notes, what is left of the gap along the neck.",
		count["clear"], count["grazes"], count["buzzes"], count["chokes"])
}

// playLook is a verdict's colour and its letter. Lightness falls from clear to
// chokes, so the map reads in grey too.
func playLook(verdict string) (draw.Colour, string) {
	switch verdict {
	case "grazes":
		return draw.Diverging(0.35), "g"
	case "buzzes":
		return draw.Diverging(0.75), "B"
	case "chokes":
		return draw.Ink, "X"
	}
	return draw.Haze, ""
}

// notes draws the map: a row a string, the treble side on top, a column a fret.
func (s Play) notes(p *draw.Page, box draw.Box) error {
	c := Chart{Title: "Every note", X: Axis{Label: "stopped at fret"}, Y: Axis{Label: "string"}}
	first, last := math.MaxInt, 0
	for i, row := range s.Strings {
		y := float64(len(s.Strings) - i)
		c.Y.Ticks = append(c.Y.Ticks, Tick{At: y, Label: fmt.Sprintf("%d  %s", row.String, row.Pitch)})
		for _, n := range row.Notes {
			first, last = min(first, n.Fret), max(last, n.Fret)
			colour, letter := playLook(n.Verdict)
			c.Cells = append(c.Cells, Cell{X0: float64(n.Fret) - 0.47, X1: float64(n.Fret) + 0.47, Y0: y - 0.46, Y1: y + 0.46,
				Colour: colour, Text: strings.TrimSpace(letter + " " + hundredths(n.LeftMM))})
		}
	}
	if last < first {
		first = 0
	}
	for f := first; f <= last; f++ {
		c.X.Ticks = append(c.X.Ticks, Tick{At: float64(f), Label: fmt.Sprint(f)})
	}
	c.X.Min, c.X.Max = float64(first)-0.5, float64(last)+0.5
	c.Y.Min, c.Y.Max = 0.5, float64(len(s.Strings))+0.5
	return c.Draw(p, box)
}

// hundredths prints a size in hundredths of a millimetre, with its sign where
// it is short.
func hundredths(mm *float64) string {
	if mm == nil {
		return ""
	}
	return strings.Replace(fmt.Sprintf("%.0f", math.Round(*mm*100)+0), "-", "−", 1)
}

func (s Play) legend(p *draw.Page, y float64) {
	set := draw.Type{SizePt: 8, Level: draw.Centred}
	x := float64(playEdgeMM)
	for _, v := range []string{"clear", "grazes", "buzzes", "chokes"} {
		colour, letter := playLook(v)
		p.Rect(x, y-2, 6, 4, draw.Look{Fill: colour})
		p.Text(x+3, y, letter, draw.Type{SizePt: 7, Colour: draw.InkOn(colour), Anchor: draw.Middle, Level: draw.Centred})
		words := v
		switch v {
		case "clear":
			words = "clear: meets no fret"
		case "chokes":
			words = "chokes: lies on a fret at rest"
		}
		p.Text(x+8, y, words, set)
		x += 8 + p.Width(words, set) + 10
	}
}

// left is the chart of what is left of the gap for the worst notes.
func (s Play) left() Chart {
	c := Chart{Title: "Worst notes: what is left of the gap along the neck (below 0 the string strikes; over 0.4 mm not shown)",
		X: Axis{Label: "from the nut, mm"}, Y: Axis{Label: "gap less reach, mm"}, Rules: []Rule{{At: 0}}}
	marks := []Mark{Disc, Ring, Square, Wedge}
	// What matters lies about 0; the rest of the gap is left off the chart.
	c.Y.Min, c.Y.Max = -0.05, nearMM
	for i, w := range s.Worst[:min(len(s.Worst), mostCurves)] {
		n := w.near()
		c.Curves = append(c.Curves, Curve{Label: fmt.Sprintf("string %d, fret %d", w.String, w.Fret), X: w.FromNutMM[:n], Y: w.LeftMM[:n],
			Joined: true, Mark: marks[i%len(marks)]})
		for _, v := range w.LeftMM {
			c.Y.Min = math.Min(c.Y.Min, math.Floor(v*20)/20)
		}
	}
	return c
}

// near is how many crowns there are up to the last one that the chart shows.
func (l PlayLeft) near() int {
	n := 0
	for i, v := range l.LeftMM {
		if v <= nearMM {
			n = i + 1
		}
	}
	return n
}
