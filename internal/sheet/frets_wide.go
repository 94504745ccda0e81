package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// drawWide lays the sheet out across a landscape page.
func (f *fretsSheet) drawWide() {
	const margin, laneWords, leaders = 10.0, 13.0, 8.0
	zoneWords := 27.0
	if len(f.Lanes) == 0 {
		zoneWords = 2
	}
	w, h := f.p.Size()
	n := float64(len(f.lanes))
	y := f.drawTop(margin, margin, w-2*margin)
	g := ground{
		along: margin + laneWords, length: w - 2*margin - laneWords - zoneWords,
		board: y + 2, wide: math.Max(14, math.Min(7*n, 44)),
		row: math.Max(3.2, math.Min(77/n, 10)),
	}
	g.cells = g.board + g.wide + leaders + headMM
	f.g = g
	f.fit()
	f.drawBoard()
	f.drawCells()
	f.sideWords(margin, w-margin-zoneWords+2)
	y = g.cells + f.g.row*n + 3.2
	y = f.drawLegend(margin, y, w-2*margin) + 2.6
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

// drawTop writes the neck's name, its verdict and what is to come off, and
// returns the y below them.
func (f *fretsSheet) drawTop(x, y, w float64) float64 {
	size := 16.0
	if w < 150 {
		size = 13
	}
	right := 0.0
	notes := draw.Type{SizePt: 7.5, Colour: draw.Slate, Anchor: draw.End, Level: draw.Below}
	if w >= 150 {
		for i, line := range f.facts() {
			f.p.Text(x+w, y+float64(i)*notes.LineMM(), line, notes)
			right = math.Max(right, wordSlack*f.p.Width(line, notes)+6)
		}
	}
	name := draw.Type{SizePt: size, Bold: true, Level: draw.Below}
	f.p.Text(x, y, f.p.Clip(f.name, name, (w-right)/labelSlack), name)
	y += name.LineMM() + 1
	used := f.plate(x, y)
	say := draw.Type{SizePt: 9, Level: draw.Centred}
	room := w - right - used - 2.5
	line := y + plateMM/2
	if w < 150 {
		line, room = y+plateMM+3.5, w
	} else {
		x += used + 2.5
	}
	for _, words := range f.sentences() {
		for _, part := range f.p.Wrap(words, say, room/wordSlack) {
			f.p.Text(x, line, part, say)
			line += say.LineMM()
		}
	}
	if w < 150 {
		small := draw.Type{SizePt: 8, Colour: draw.Slate, Level: draw.Centred}
		for _, words := range f.facts() {
			for _, part := range f.p.Wrap(words, small, w/wordSlack) {
				f.p.Text(x, line, part, small)
				line += small.LineMM()
			}
		}
	}
	return line + 1
}

const plateMM = 5.4 // height of the verdict's plate

// plate sets the verdict: on ink where not level, in a broken frame where in
// doubt, in a frame where level. It returns the plate's width.
func (f *fretsSheet) plate(x, y float64) float64 {
	set := draw.Type{SizePt: 10, Bold: true, Anchor: draw.Middle, Level: draw.Centred}
	w := labelSlack*f.p.Width(f.Verdict, set) + 5
	look := draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.5}}
	switch f.Verdict {
	case string(straight.NotLevel), string(wear.Worn), string(wear.Moved):
		look.Fill, set.Colour = draw.Ink, draw.Paper
	case string(straight.InDoubt):
		look.Edge.DashMM = []float64{1.4, 1}
	}
	f.p.Rect(x+0.25, y+0.25, w-0.5, plateMM-0.5, look)
	f.p.Text(x+w/2, y+plateMM/2, f.Verdict, set)
	return w
}

// sentences say the verdict's reason, and the plan.
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
		s := fmt.Sprintf("widest lane %s: within %s", laneName(worst.Lane), f.unit.plain(zone))
		sure := ","
		if u := worst.UZoneMM.Or(0); u > 0 {
			s, sure = s+" ± "+f.unit.plain(u), ", "+text.TwoInThree+";"
		}
		all = append(all, fmt.Sprintf("%s %s%s the limit is %s %s", s, f.unit.short, sure, f.unit.plain(f.ZoneLimitMM), f.unit.short))
	}
	k := f.Work
	switch {
	case k != nil && len(k.Crowns) > 0:
	case f.WhyNot != "":
		return append(all, "nothing is to be filed yet")
	default:
		return append(all, "nothing is to come off")
	}
	words := fmt.Sprintf("to come off: %s over %s, at most %s %s",
		f.unit.total(k.TotalRemoveMM), text.Count(len(k.Crowns), "crown"), f.unit.plain(k.MaxRemoveMM), f.unit.short)
	if k.PlannedToMM > 0 {
		words += fmt.Sprintf("; planned to %s %s, then the next reading says level (chance %d in 20)",
			f.unit.plain(k.PlannedToMM), f.unit.short, min(19, int(math.Round(20*k.Arrives))))
	}
	return append(all, words)
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
	facts := []string{
		fmt.Sprintf("%s, %s, %s", text.Count(f.l.LastFret(), "fret"), text.Count(f.l.Strings(), "string"), scale),
		of + ", in " + f.unit.long,
	}
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
