package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/drift"
	"ringtrue/internal/text"
)

// Sizes of the sheet in mm.
const (
	patternBarsMM    = 45 // the frets' own means
	patternMeanMM    = 9  // their numbers
	patternTallestMM = 8.5
	maxPatternLanes  = 14
	maxPatternWords  = 8
)

// patternSheet is a pattern while it is drawn: a map of mean heights, a fret a
// row, a lane a column, and each fret's own mean with its scatter.
type patternSheet struct {
	*answer.PatternAnswer
	p      *draw.Page
	lanes  []float64 // that fit the page
	map0   draw.Box  // of the cells
	cellW  float64
	cellH  float64
	full   float64 // the height of the strongest colour
	barsX  float64 // where a fret's mean of 0 stands
	perMM  float64
	unit   heightUnit
	byCell map[cellKey]drift.CrownLevel
}

// Pattern draws what many necks have in common on a page of A4. ErrEmpty: no crown.
func Pattern(a *answer.PatternAnswer, units Units) (*draw.Page, error) {
	return patternMarked(a, text.PatternDrawn(a.Pattern, a.Confidence), units)
}

// patternMarked draws it with words of what is marked.
func patternMarked(a *answer.PatternAnswer, marked string, units Units) (*draw.Page, error) {
	if len(a.Crowns) == 0 || len(a.Frets) == 0 || len(a.Lanes) == 0 {
		return nil, ErrEmpty
	}
	name, days := fmt.Sprintf("%d necks, %s", a.Necks, a.Stage), a.From+" to "+a.To
	head := heading{title: name + text.SheetPattern, say: slices.Clone(a.Findings[:min(len(a.Findings), maxPatternWords)]), facts: []string{days}}
	if n := len(a.Findings) - maxPatternWords; n > 0 {
		head.say = append(head.say, fmt.Sprintf("and %d more", n))
	}
	if len(a.Findings) == 0 {
		head.say = []string{text.NoPattern}
	}
	p, y, err := head.page(a4WideMM, a4HighMM, units,
		fmt.Sprintf("Mean height of each crown over many necks, one fret per row and one lane per column. Beside them each fret's own mean and scatter. %s. %s", days, strings.Join(head.say, " ")))
	if err != nil {
		return nil, err
	}
	f := &patternSheet{PatternAnswer: a, p: p, lanes: slices.Clone(a.Lanes[:min(len(a.Lanes), maxPatternLanes)]), unit: unitOf(units), byCell: map[cellKey]drift.CrownLevel{}}
	slices.Reverse(f.lanes) // as the neck lies
	f.layOut(y)
	f.cells()
	f.bars()
	last := foot{}
	if len(a.Findings) > 0 {
		last.next = text.NextAsk
	}
	endAt(p, last, f.legend(marked))
	return p, nil
}

// layOut decides where map and bars lie.
func (f *patternSheet) layOut(y float64) {
	const numbers, heads, foot = 9.0, 9.0, 30.0
	rows := float64(len(f.Frets))
	f.cellH = math.Min(patternTallestMM, (a4HighMM-foot-y-heads)/rows)
	f.map0 = draw.Box{X: edgeMM + numbers, Y: y + heads, W: a4WideMM - 2*edgeMM - numbers - patternBarsMM - patternMeanMM - 5, H: f.cellH * rows}
	f.cellW = f.map0.W / float64(len(f.lanes))
	f.barsX = a4WideMM - edgeMM - patternMeanMM - patternBarsMM/2
	most := 1e-4
	for _, c := range f.Crowns {
		f.byCell[cellKey{c.Fret, c.Lane}] = c
		most = math.Max(most, math.Abs(c.Mean.Or(0)))
	}
	f.full = f.unit.roundUp(most)
	reach := 1e-4
	for _, r := range f.Frets {
		if far := math.Abs(r.Mean.OrNaN()) + r.SD.OrNaN(); far > reach {
			reach = far
		}
	}
	f.perMM = (patternBarsMM/2 - 1) / f.unit.roundUp(reach)
}

// cells draws the map.
func (f *patternSheet) cells() {
	set := draw.Type{SizePt: 8, Anchor: draw.Middle, Level: draw.Centred, Colour: draw.Slate}
	top := f.map0.Y - 3
	f.p.Text(f.map0.X+f.map0.W/2, top-4.6, "lane: bass side to the left; mean height, "+f.unit.short+", and scatter", set)
	for k, lane := range f.lanes {
		f.p.Text(f.map0.X+(float64(k)+0.5)*f.cellW, top, strconv.FormatFloat(lane, 'g', -1, 64), set)
	}
	for i, r := range f.Frets {
		y := f.map0.Y + (float64(i)+0.5)*f.cellH
		f.p.Text(f.map0.X-2.5, y, fmt.Sprint(r.Fret), set.At(draw.End, draw.Centred))
		for k, lane := range f.lanes {
			c := f.byCell[cellKey{r.Fret, lane}]
			f.cell(draw.Box{X: f.map0.X + float64(k)*f.cellW + 0.15, Y: y - f.cellH/2 + 0.15, W: f.cellW - 0.3, H: f.cellH - 0.3}, c)
		}
	}
}

// cell draws one crown: colour, number with its sign, and a point up or down
// in a frame where it stands high or low by more than chance.
func (f *patternSheet) cell(b draw.Box, c drift.CrownLevel) {
	mean, known := c.Mean.Get()
	if !known {
		f.p.Rect(b.X, b.Y, b.W, b.H, draw.Look{Edge: draw.Pen{Colour: draw.Mist, WidthMM: 0.2}})
		f.p.Text(b.X+b.W/2, b.Y+b.H/2, "–", draw.Type{SizePt: 7, Anchor: draw.Middle, Level: draw.Centred, Colour: draw.Slate})
		return
	}
	colour := draw.Diverging(mean / f.full)
	look := draw.Filled(colour)
	f.p.Rect(b.X, b.Y, b.W, b.H, look)
	ink := draw.InkOn(colour)
	if c.Standing.Off() {
		f.p.Rect(b.X+0.3, b.Y+0.3, b.W-0.6, b.H-0.6, draw.Look{Edge: draw.Pen{Colour: ink, WidthMM: 0.4}})
	}
	set := draw.Type{SizePt: math.Min(8, 2.1*b.H), Anchor: draw.Middle, Level: draw.Centred, Colour: ink, Bold: c.Standing.Off()}
	words := f.tenths(mean)
	if sd, known := c.SD.Get(); known {
		words += " ± " + f.unit.plain(sd)
	}
	for set.SizePt > 4 && slack*f.p.Width(words, set) > b.W-4.5 {
		set.SizePt -= 0.5
	}
	f.p.Text(b.X+b.W/2+1.2, b.Y+b.H/2, words, set)
	f.side(b.X+2.2, b.Y+b.H/2, c.Standing, ink)
}

// side is the sign of standing high, a point up, or low, a point down.
func (f *patternSheet) side(x, y float64, standing drift.Standing, ink draw.Colour) {
	const w, h = 1.6, 1.5
	up := -1.0
	switch standing {
	case drift.High:
	case drift.Low:
		up = 1
	default:
		return
	}
	f.p.Path([]draw.Point{{X: x - w/2, Y: y - up*h/2}, {X: x + w/2, Y: y - up*h/2}, {X: x, Y: y + up*h/2}}, true, draw.Filled(ink))
}

// tenths is a height with its sign, to a tenth of what a reading is worth.
func (f *patternSheet) tenths(mm float64) string {
	s := number(mm*f.unit.perMM, f.unit.digits+1)
	if mm > 0 && s != number(0, f.unit.digits+1) {
		return "+" + s
	}
	return s
}

// bars draws each fret's mean, with the scatter from neck to neck as a whisker.
func (f *patternSheet) bars() {
	set := draw.Type{SizePt: 8, Anchor: draw.Middle, Level: draw.Centred, Colour: draw.Slate}
	f.p.Text(f.barsX, f.map0.Y-7.6, "mean of the fret and", set)
	f.p.Text(f.barsX, f.map0.Y-3.6, "scatter from neck to neck, "+f.unit.short, set)
	f.p.Line(f.barsX, f.map0.Y-1, f.barsX, f.map0.Y+f.map0.H+1, draw.Pen{Colour: draw.Slate, WidthMM: 0.25})
	for i, r := range f.Frets {
		mean, known := r.Mean.Get()
		if !known {
			continue
		}
		y := f.map0.Y + (float64(i)+0.5)*f.cellH
		to := f.barsX + mean*f.perMM
		h := 0.5 * f.cellH
		colour := draw.Series(0)
		look := draw.Filled(colour)
		if !r.Standing.Off() { // hollow: no more than chance
			look = draw.Look{Edge: draw.Pen{Colour: colour, WidthMM: 0.3}}
		}
		f.p.Rect(math.Min(f.barsX, to), y-h/2, math.Abs(to-f.barsX), h, look)
		if sd, known := r.SD.Get(); known {
			f.p.Line(to-sd*f.perMM, y, to+sd*f.perMM, y, draw.Pen{Colour: draw.Slate, WidthMM: 0.25})
		}
		words := f.tenths(mean)
		set := draw.Type{SizePt: 7.5, Level: draw.Centred, Anchor: draw.End, Bold: r.Standing.Off()}
		f.p.Text(a4WideMM-edgeMM, y, words, set)
	}
}

// legend explains colours, frame, points and bars, and gives where it ends.
func (f *patternSheet) legend(marked string) float64 {
	y, n := f.map0.Y+f.map0.H+2, noteText()
	words := fmt.Sprintf("%s over the lane's own line; ± scatter from neck to neck", f.unit.short)
	y = signs(f.p, edgeMM, y, a4WideMM-2*edgeMM, []legendItem{f.unit.scaleItem(f.full, words)})
	f.side(edgeMM+1, y+n.CapMM()/2, drift.High, draw.Ink)
	f.side(edgeMM+4, y+n.CapMM()/2, drift.Low, draw.Ink)
	return lines(f.p, edgeMM+8, y, a4WideMM-2*edgeMM-8, "framed and pointed, bars filled: "+marked, n)
}
