package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/text"
)

// drawWide lays the sheet out across a landscape page.
func (f *fretsSheet) drawWide(y float64) {
	const margin, laneWords, leaders = edgeMM, 13.0, 8.0
	zoneWords := 27.0
	if len(f.Lanes) == 0 {
		zoneWords = 2
	}
	w, h := f.p.Size()
	n := float64(len(f.lanes))
	g := ground{
		along: margin + laneWords, length: w - 2*margin - laneWords - zoneWords,
		board: y + 2, wide: math.Max(14, math.Min(7*n, 44)),
		row: math.Max(3.2, math.Min(66/n, 9)),
	}
	g.cells = g.board + g.wide + leaders + headMM
	f.g = g
	f.fit()
	f.drawBoard()
	f.drawCells()
	f.sideWords(margin, w-margin-zoneWords+2)
	y = g.cells + f.g.row*n + 3.2
	y = signs(f.p, margin, y, w-2*margin, f.legendItems()) + 2.6
	f.drawWords(draw.Box{X: margin, Y: y, W: w - 2*margin, H: h - margin - y}, 2)
}

// sideWords names the lanes left of their numbers and says their zones right of
// them.
func (f *fretsSheet) sideWords(left, right float64) {
	g := f.g
	small := draw.Type{SizePt: 7, Colour: draw.Slate}
	f.p.Text(g.along-2, g.board+1.2, "treble", small.At(draw.End, draw.Centred))
	f.p.Text(g.along-2, g.board+g.wide-1.2, "bass", small.At(draw.End, draw.Centred))
	f.p.Text(left, g.cells-headMM/2, "fret", small.At(draw.Start, draw.Centred))
	if len(f.Lanes) > 0 {
		f.p.Text(right, g.cells-headMM/2, "zone, "+f.unit.short, small.At(draw.Start, draw.Centred))
	}
	size := math.Min(8, (g.row-0.2)/0.34)
	for k, lane := range f.lanes {
		y := g.cells + (float64(k)+0.5)*g.row
		f.p.Text(left, y, "lane "+laneName(lane), draw.Type{SizePt: size, Level: draw.Centred})
		z, words := f.laneOf(lane)
		if z.Verdict == "" {
			continue
		}
		f.p.Text(right+8, y, words, draw.Type{SizePt: size, Bold: true, Anchor: draw.End, Level: draw.Centred})
		f.p.Text(right+10, y, z.Verdict, draw.Type{SizePt: math.Min(size, 7), Level: draw.Centred})
	}
}

// laneOf is what is said of a lane, and its zone in words; empty where nothing is.
func (f *fretsSheet) laneOf(lane float64) (z answer.LaneAnswer, words string) {
	i := slices.IndexFunc(f.Lanes, func(z answer.LaneAnswer) bool { return z.Lane == lane })
	if i < 0 {
		return z, ""
	}
	if zone, known := f.Lanes[i].ZoneMM.Get(); known {
		words = f.unit.plain(zone)
	}
	return f.Lanes[i], words
}

func laneName(lane float64) string { return strconv.FormatFloat(lane, 'g', 4, 64) }

// sentences say the verdict's reason, and the work, in the listing's numbers.
func (f *fretsSheet) sentences() []string {
	if f.changes != nil {
		return f.changes.sentences
	}
	var all []string
	var worst answer.LaneAnswer
	for _, z := range f.Lanes {
		if z.Verdict == f.Verdict && z.ZoneMM.Or(-1) > worst.ZoneMM.Or(-1) {
			worst = z
		}
	}
	if zone, found := worst.ZoneMM.Get(); found {
		all = append(all, text.WorstLane(worst.Lane, zone, worst.UZoneMM.Or(0), worst.ZoneRangeMM, f.ZoneLimitMM))
	}
	switch k := f.Work; {
	case k != nil && len(k.Crowns) > 0:
		return append(all, text.ToFile(len(k.Crowns), k.Filing))
	case f.WhyNot != "":
		return append(all, text.FileNothingYet)
	}
	return append(all, text.NothingToTakeOff)
}

// facts are the neck's sizes and the numbers' unit.
func (f *fretsSheet) facts() []string {
	scale := fmt.Sprintf("scale %s mm", laneName(math.Round(f.l.LaneScale(1)*10)/10))
	if t, b := f.l.LaneScale(1), f.l.LaneScale(float64(f.l.Strings())); math.Abs(t-b) > 0.05 {
		scale = fmt.Sprintf("scale %s mm treble, %s mm bass", laneName(math.Round(t*10)/10), laneName(math.Round(b*10)/10))
	}
	of := "heights off each lane's own line"
	if f.changes != nil {
		of = "changes from each lane's own line, up positive"
	}
	var facts []string
	if !f.Read.IsZero() {
		facts = append(facts, text.ReadOn(f.Read))
	}
	facts = append(facts,
		fmt.Sprintf("%s, %s, %s", text.Count(f.l.LastFret(), "fret"), text.Count(f.l.Strings(), "string"), scale),
		of+", in "+f.unit.long,
	)
	if f.left > 0 {
		facts = append(facts, text.Count(f.left, "lane")+" between strings not shown: see the listing")
	}
	return facts
}

// about says the sheet in words, for those who cannot see it.
func (f *fretsSheet) about() string {
	s := f.name + ": " + f.Verdict + "."
	for _, words := range f.sentences() {
		s += " " + words + "."
	}
	for _, item := range f.items() {
		s += " " + item.label + ": " + item.text + "."
	}
	return s
}
