package sheet

import (
	"fmt"
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/film"
)

// Sizes of the film.
const (
	filmSeconds = 15.0
	filmPlays   = 2
	// A contact is over too soon to be seen: its mark stays for this share.
	markStays = 0.04
)

// Film draws the pluck as a film.
func Film(a *answer.PlayFilmAnswer, units Units) (*draw.Film, error) {
	p := pluckPage{a, units}
	const width, height, edge = 240.0, 160.0, edgeMM
	if len(p.Film) < 2 {
		return nil, fmt.Errorf("sheet: a film of %d moments", len(p.Film))
	}
	last := p.Film[len(p.Film)-1].TimeMS
	page, _, err := p.heading().page(width, height, units, fmt.Sprintf("A film of %.2f ms of one plucked string over the frets beyond its stop, slowed %.0f times; %s. %s.",
		last, slowed(last), p.pluckWords(), p.verdictWords()))
	if err != nil {
		return nil, err
	}
	s := p.stage(draw.Box{X: edge + 5.5, Y: 36, W: width - 2*edge - 11, H: 56})
	p.neck(page, s)
	f := draw.NewFilm(page, filmSeconds, filmPlays)
	p.timeAxis(f, draw.Box{X: edge + 5.5, Y: 112, W: width - 2*edge - 11}, last)
	p.scales(page, s, edge+1, height-edge-3)
	var frames [][]draw.Point
	for _, m := range p.Film {
		frames = append(frames, p.line(s, m))
	}
	f.Line(frames, stringPen())
	p.marks(f, s, last)
	p.buttons(f, width-edge, 128)
	p.still(f, s, edge)
	return f, nil
}

// slowed is how many times slower than life the film is.
func slowed(lastMS float64) float64 { return filmSeconds * 1e3 / lastMS }

// timeAxis draws the time that the film goes through, its contacts, and the hand
// that moves along.
func (p pluckPage) timeAxis(f *draw.Film, at draw.Box, last float64) {
	set := draw.Type{SizePt: 7, Colour: draw.Slate, Anchor: draw.Middle, Level: draw.Below}
	f.Page.Line(at.X, at.Y, at.X+at.W, at.Y, draw.Pen{Colour: draw.Slate, WidthMM: 0.3})
	step := roundSize(last / 5)
	for k := 0; float64(k)*step <= last*(1+1e-9); k++ {
		x := at.X + float64(k)*step/last*at.W
		f.Page.Line(x, at.Y, x, at.Y+1.2, draw.Pen{Colour: draw.Slate, WidthMM: 0.3})
		f.Page.Text(x, at.Y+2.2, fmt.Sprintf("%g", float64(k)*step), set)
	}
	name := fmt.Sprintf("ms after the release, slowed %.0f times", slowed(last))
	f.Page.Text(at.X, at.Y+7, name, set.At(draw.Start, draw.Below))
	free := math.Inf(-1)
	chart := frame{p: f.Page}
	for _, c := range p.Contacts {
		if c.FromMS > last {
			break
		}
		x := at.X + c.FromMS/last*at.W
		chart.mark(wedge, draw.Point{X: x, Y: at.Y - 1.4}, touchColour())
		label := fmt.Sprintf("%d: fret %d", c.Number, c.Fret)
		type7 := draw.Type{SizePt: 7, Colour: touchColour(), Level: draw.OnBase}
		if x > free+1 && x+f.Page.Width(label, type7) < at.X+at.W+4 {
			f.Page.Text(x, at.Y-3.4, label, type7)
			free = x + f.Page.Width(label, type7)
		}
	}
	if len(p.Contacts) == 0 {
		f.Page.Text(at.X, at.Y-3.4, "no contact", draw.Type{SizePt: 8})
	}
	hand := f.Layer()
	hand.Path([]draw.Point{{X: at.X, Y: at.Y}, {X: at.X - 1.3, Y: at.Y + 2.2}, {X: at.X + 1.3, Y: at.Y + 2.2}}, true, draw.Filled(draw.Ink))
	hand.Line(at.X, at.Y-2.6, at.X, at.Y, draw.Pen{Colour: draw.Ink, WidthMM: 0.4})
	f.Slide(at.W, hand)
}

// marks shows each contact's ring and number while it lasts and a little longer;
// a later contact of the same crown takes its place.
func (p pluckPage) marks(f *draw.Film, s stage, last float64) {
	for i, c := range p.Contacts {
		if c.FromMS > last {
			break
		}
		from, to := c.FromMS/last, math.Max(c.ToMS/last, c.FromMS/last+markStays)
		for _, next := range p.Contacts[i+1:] {
			if next.Fret == c.Fret {
				to = math.Min(to, next.FromMS/last)
				break
			}
		}
		layer := f.Layer()
		p.touchMark(layer, s, c.Fret, c.Number)
		f.Show(from, math.Min(to, 1), layer)
	}
}

// buttons are the words to press.
func (p pluckPage) buttons(f *draw.Film, right, y float64) {
	set := draw.Type{SizePt: 9, Anchor: draw.Middle, Level: draw.Centred}
	edge := draw.Look{Fill: draw.Haze, Edge: draw.Pen{Colour: draw.Slate, WidthMM: 0.25}}
	const wide, high = 24.0, 7.0
	for i, words := range []string{"hold", "play again"} {
		layer := f.Layer()
		x := right - float64(i+1)*wide - float64(i)*3
		layer.Rect(x, y-high/2, wide, high, edge)
		layer.Text(x+wide/2, y, words, set)
		if i == 0 {
			f.Hold(layer)
		} else {
			f.Again(layer)
		}
	}
}

// still is what is shown where no motion is wanted: the release, the first
// contact or the lowest moment, and the one after it.
func (p pluckPage) still(f *draw.Film, s stage, edge float64) {
	layer := f.Layer()
	dashes := [][]float64{nil, {2, 1}, {0.6, 0.8}}
	set := draw.Type{SizePt: 8, Level: draw.Centred}
	x := edge
	for i, m := range p.stillMoments() {
		pen := draw.Pen{Colour: draw.Series(i), WidthMM: 0.5, DashMM: dashes[i]}
		layer.Path(p.line(s, m), false, draw.Look{Edge: pen})
		p.touching(layer, s, m)
		layer.Line(x, 128, x+8, 128, pen)
		words := fmt.Sprintf("%.2f ms, %s", m.TimeMS, m.Why)
		layer.Text(x+10, 128, words, set)
		x += 16 + layer.Width(words, set)
	}
	f.Still(layer)
}

// stillMoments are the strip's first, its first contact or lowest, and the next.
func (p pluckPage) stillMoments() []film.Moment {
	if len(p.Strip) == 0 {
		return nil
	}
	at := min(1, len(p.Strip)-1)
	for i, m := range p.Strip {
		if len(m.On) > 0 {
			at = i
			break
		}
	}
	out := p.Strip[:1:1]
	if at > 0 {
		out = append(out, p.Strip[at])
	}
	if at+1 < len(p.Strip) {
		out = append(out, p.Strip[at+1])
	}
	return out
}
