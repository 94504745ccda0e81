package sheet

import (
	"math"

	"ringtrue/internal/draw"
)

// drawTall lays the sheet out down a narrow page: the nut at the top, the bass
// side left, a line of numbers for each fret.
func (f *fretsSheet) drawTall(y float64) {
	const margin, leaders, step = phoneEdgeMM, 6.5, 7.6
	w, _ := f.p.Size()
	n := float64(len(f.lanes))
	wide := math.Max(14, math.Min(4*n, 20))
	if n > 6 {
		wide = math.Max(14, 20-(n-6))
	}
	g := ground{
		tall: true, along: y + 6, length: step * float64(len(f.frets)),
		board: margin + 1, wide: wide,
	}
	g.cells = g.board + g.wide + leaders + headMM
	g.row = (w - margin - g.cells) / n
	if g.row > 16 {
		g.row = 16
	}
	f.g = g
	f.fit()
	f.drawBoard()
	f.drawCells()
	f.headWords()
	y = g.along + g.length + 3
	if len(f.Lanes) > 0 {
		y = f.zoneRow(y) + 4
	}
	y = signs(f.p, margin, y, w-2*margin, f.legendItems()) + 4
	used := f.drawWords(draw.Box{X: margin, Y: y, W: w - 2*margin, H: math.Inf(1)}, 1)
	f.p.SetHeight(math.Ceil(y + used + margin))
}

// headWords names the sides of the board and, over their numbers, the lanes.
func (f *fretsSheet) headWords() {
	g := f.g
	y := g.along - 3
	small := draw.Type{SizePt: 7.5, Colour: draw.Slate, Level: draw.Centred}
	f.p.Text(g.board, y, "bass", small)
	f.p.Text(g.board+g.wide+2, y, "treble", small.At(draw.End, draw.Centred))
	f.p.Text(g.cells-1.5, y, "lane", small.At(draw.End, draw.Centred))
	f.eachColumn(func(x float64, lane float64) {
		f.inColumn(x, y, laneName(lane), draw.Type{SizePt: 8, Bold: true})
	})
}

// zoneRow writes each lane's zone under its numbers, and returns the y below.
func (f *fretsSheet) zoneRow(y float64) float64 {
	f.p.Text(f.g.cells-1.5, y, "zone, "+f.unit.short, draw.Type{SizePt: 7.5, Colour: draw.Slate, Anchor: draw.End, Level: draw.Centred})
	f.eachColumn(func(x float64, lane float64) {
		_, words := f.laneOf(lane)
		f.inColumn(x, y, words, draw.Type{SizePt: 8, Bold: true})
	})
	return y
}

func (f *fretsSheet) eachColumn(visit func(x, lane float64)) {
	for k, lane := range f.lanes {
		b := f.box(0, k)
		visit(b.X+b.W/2, lane)
	}
}

// inColumn writes a number as large as its column holds.
func (f *fretsSheet) inColumn(x, y float64, words string, set draw.Type) {
	set = set.At(draw.Middle, draw.Centred)
	if w := slack * f.p.Width(words, set); w > 0.95*f.g.row {
		set.SizePt *= 0.95 * f.g.row / w
	}
	f.p.Text(x, y, words, set)
}
