package sheet

import (
	"fmt"
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/unit"
)

// Room on a sheet, in mm.
const (
	paperEdgeMM = 10  // that printers leave white
	footMM      = 24  // for title and check bar
	sideMM      = 9   // for the upright check bar
	overlapMM   = 12  // shown on both of two neighbouring sheets
	checkMM     = 100 // the bars
)

// checkBar is a bar that checks the print.
type checkBar struct {
	name            string
	longMM, everyMM float64 // and how far its ticks stand apart
}

func (b sawBoard) check() checkBar {
	if b.units == Thousandths {
		return checkBar{"4 in", 4 * unit.MMPerInch, unit.MMPerInch / 2}
	}
	return checkBar{"100 mm", checkMM, 10}
}

// Slots draws a plan's board at full size on one sheet as large as it needs.
func Slots(a *answer.WorkPlan, units Units) (*draw.Page, error) {
	b := sawBoard{a, units}
	low, high := b.bounds()
	width := math.Max(high.X-low.X, b.check().longMM+60) + 2*paperEdgeMM + sideMM
	height := math.Max(high.Y-low.Y, b.check().longMM) + 2*paperEdgeMM + footMM
	pages, err := b.pages(width, height, []tile{{low: low, high: high, of: 1, number: 1}})
	if err != nil {
		return nil, err
	}
	return pages[0], nil
}

// SlotTiles draws a plan's board at full size over as many lying sheets of A4 or
// Letter as it needs, with marks to lay them together by.
func SlotTiles(a *answer.WorkPlan, paper Paper, units Units) ([]*draw.Page, error) {
	b := sawBoard{a, units}
	width, height := paper.lying()
	return b.pages(width, height, b.tiles(width, height))
}

// pages draws each tile on a page of its own.
func (b sawBoard) pages(width, height float64, tiles []tile) ([]*draw.Page, error) {
	first, err := newPage(width, height, b.title(), b.units)
	if err != nil {
		return nil, err
	}
	first.About(fmt.Sprintf("%d fret slots seen from the front, nut at the left, treble side on top, at full size; bars of %s check the print.", len(b.Frets), b.check().name))
	pages := []*draw.Page{first}
	for i, t := range tiles {
		if i > 0 {
			pages = append(pages, first.Next(width, height))
		}
		b.place(pages[i], t)
	}
	return pages, nil
}

func (b sawBoard) title() string { return b.Neck + ": fret slots at full size" }

// tile is the part of the board that one sheet shows.
type tile struct {
	low, high  geometry.Point
	number, of int
	seams      []seam
}

// seam is a straight line that two sheets share, within their overlap.
type seam struct {
	name    string
	upright bool
	at      float64 // x of an upright seam, y of the other
}

// tiles cuts the board's bounds into parts that fit the paper.
func (b sawBoard) tiles(width, height float64) []tile {
	low, high := b.bounds()
	w, h := width-2*paperEdgeMM-sideMM, height-2*paperEdgeMM-footMM
	columns, rows := parts(high.X-low.X, w), parts(high.Y-low.Y, h)
	var list []tile
	for row := range rows {
		for column := range columns {
			t := tile{number: len(list) + 1, of: rows * columns}
			t.low = geometry.Point{X: low.X + float64(column)*(w-overlapMM), Y: low.Y + float64(row)*(h-overlapMM)}
			t.high = geometry.Point{X: math.Min(t.low.X+w, high.X), Y: math.Min(t.low.Y+h, high.Y)}
			for _, c := range []int{column, column + 1} {
				if c > 0 && c < columns {
					t.seams = append(t.seams, seam{string(rune('A' + c - 1)), true, b.clear(low.X + float64(c)*(w-overlapMM))})
				}
			}
			for _, r := range []int{row, row + 1} {
				if r > 0 && r < rows {
					t.seams = append(t.seams, seam{fmt.Sprint(r), false, low.Y + float64(r)*(h-overlapMM) + overlapMM/2})
				}
			}
			list = append(list, t)
		}
	}
	return list
}

// clear is where in the overlap that starts at x the seam stands farthest from
// the slots, so that no cut runs along one.
func (b sawBoard) clear(x float64) float64 {
	const edge, step = 3.0, 0.5 // mm
	best, room := x+overlapMM/2, -1.0
	for at := x + edge; at <= x+overlapMM-edge; at += step {
		near := math.Inf(1)
		for _, f := range b.Frets {
			near = math.Min(near, math.Min(math.Abs(f.SlotEnds[0].X-at), math.Abs(f.SlotEnds[1].X-at)))
		}
		if near > room+1e-9 && !math.IsInf(near, 1) {
			best, room = at, near
		}
	}
	return best
}

// parts is how many pieces of a size, each overlapping the next, make a length.
func parts(length, size float64) int {
	return max(1, int(math.Ceil((length-overlapMM)/(size-overlapMM)-1e-9)))
}

// place puts a tile's part of the board on a page, with its checks and marks.
func (b sawBoard) place(p *draw.Page, t tile) {
	_, height := p.Size()
	on := func(q geometry.Point) draw.Point {
		return draw.Point{X: paperEdgeMM + sideMM + q.X - t.low.X, Y: paperEdgeMM + t.high.Y - q.Y}
	}
	b.drawOn(func(q, r geometry.Point, pen draw.Pen) {
		if q, r, ok := clip(q, r, t.low, t.high); ok {
			p.Line(on(q).X, on(q).Y, on(r).X, on(r).Y, pen)
		}
	}, func(at geometry.Point, words string, set draw.Type) {
		if at.X >= t.low.X && at.X <= t.high.X && at.Y >= t.low.Y && at.Y <= t.high.Y {
			p.Text(on(at).X, on(at).Y, words, set)
		}
	})
	for _, s := range t.seams {
		seamMarks(p, t, s, on)
	}
	check := b.check()
	check.draw(p, height)
	words := b.title()
	if t.of > 1 {
		words += fmt.Sprintf(", sheet %d of %d", t.number, t.of)
	}
	x := paperEdgeMM + sideMM + check.longMM + 8.0
	p.Text(x, height-paperEdgeMM-11, words, draw.Type{SizePt: 9, Bold: true})
	p.Text(x, height-paperEdgeMM-6.5, "Print at 100 %, not fitted to the page: both bars must measure "+check.name+". Distances are from the nut, "+b.distance().name+".", draw.Type{SizePt: 7})
	last := fmt.Sprintf("Nut at the left, treble on top; grey: the saw cut, %.4g mm.", b.Slots.WidthMM)
	if t.of > 1 {
		last += " Lay the crosses of a letter or number on each other, cut along the dashes."
	}
	p.Text(x, height-paperEdgeMM-2.5, last, draw.Type{SizePt: 7})
}

// draw draws the bar each way, with its ticks.
func (c checkBar) draw(p *draw.Page, height float64) {
	pen := draw.Pen{Colour: draw.Ink, WidthMM: 0.2}
	x, y := paperEdgeMM+sideMM+0.0, height-paperEdgeMM-6
	p.Line(x, y, x+c.longMM, y, pen)
	last := int(math.Round(c.longMM / c.everyMM))
	for k := range last + 1 {
		i, tick := float64(k)*c.everyMM, 2.0
		if k == 0 || k == last {
			tick = 4
		}
		p.Line(x+i, y-tick, x+i, y, pen)
	}
	p.Text(x+c.longMM/2, y+3.5, c.name, draw.Type{SizePt: 7, Anchor: draw.Middle})
	x, y = paperEdgeMM+5.0, paperEdgeMM+0.0
	p.Line(x, y, x, y+c.longMM, pen)
	for k := range last + 1 {
		i, tick := float64(k)*c.everyMM, 1.5
		if k == 0 || k == last {
			tick = 3
		}
		p.Line(x, y+i, x+tick, y+i, pen)
	}
	p.Text(x-1, y+c.longMM/2, c.name, draw.Type{SizePt: 7, Anchor: draw.Middle, Turn: 90})
}

// seamMarks draws a seam as dashes with a cross near each of its ends; the
// neighbouring sheet draws the same ones in the same places.
func seamMarks(p *draw.Page, t tile, s seam, on func(geometry.Point) draw.Point) {
	dash := draw.Pen{Colour: draw.Slate, WidthMM: 0.1, DashMM: []float64{2, 2}}
	cross := draw.Pen{Colour: draw.Ink, WidthMM: 0.2}
	ends := [2]geometry.Point{{X: s.at, Y: t.low.Y}, {X: s.at, Y: t.high.Y}}
	if !s.upright {
		ends = [2]geometry.Point{{X: t.low.X, Y: s.at}, {X: t.high.X, Y: s.at}}
	}
	a, b := on(ends[0]), on(ends[1])
	p.Line(a.X, a.Y, b.X, b.Y, dash)
	for i, q := range []geometry.Point{along(ends[0], ends[1], 5), along(ends[1], ends[0], 5)} {
		m := on(q)
		p.Line(m.X-3, m.Y, m.X+3, m.Y, cross)
		p.Line(m.X, m.Y-3, m.X, m.Y+3, cross)
		p.Text(m.X+1, m.Y-1, fmt.Sprintf("%s%d", s.name, i+1), draw.Type{SizePt: 6})
	}
}

// clip cuts a line to an upright rectangle; not ok where nothing is left. An end
// that lies inside stays as it is, to the last bit.
// Source: Y.-D. Liang and B. Barsky, A new concept and method for line clipping,
// ACM Trans. Graphics 3 (1984), from memory; checked against points along the
// line by TestCut_Inside.
func clip(a, b, low, high geometry.Point) (p, q geometry.Point, ok bool) {
	from, to := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	for _, side := range [4][2]float64{{-dx, a.X - low.X}, {dx, high.X - a.X}, {-dy, a.Y - low.Y}, {dy, high.Y - a.Y}} {
		switch step, room := side[0], side[1]; {
		case step == 0 && room < 0:
			return a, b, false
		case step < 0:
			from = math.Max(from, room/step)
		case step > 0:
			to = math.Min(to, room/step)
		}
	}
	if from > to {
		return a, b, false
	}
	p, q = a, b
	if from > 0 {
		p = geometry.Point{X: a.X + from*dx, Y: a.Y + from*dy}
	}
	if to < 1 {
		q = geometry.Point{X: a.X + to*dx, Y: a.Y + to*dy}
	}
	return p, q, true
}
