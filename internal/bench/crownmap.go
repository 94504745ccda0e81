package bench

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/drift"
	"ringtrue/internal/unit"
	"ringtrue/internal/wear"
)

// crownMap is a neck from above as a table: a cell a crown, upright as the neck lies
// with its nut away, and where there is room lying with its nut to the left.
type crownMap struct {
	Caption, Scale string
	Class          string // dense where there are many lanes, long where there are many frets
	Lanes, Frets   []string
	Rows           []mapRow // a fret each, bass side left
	Along          []mapRow // a lane each, bass side at the foot
	Key            []mapKey
}

type mapRow struct {
	Name  string
	Cells []mapCell
}

// mapCell is a crown: the class of its colour, a sign, a number and what is said of
// it; Full is the number, and Beside what belongs to it, where there is room.
type mapCell struct{ Class, Sign, Number, Full, Beside, Said string }

type mapKey struct{ Sign, Words string }

// crownAt is a place of the map.
type crownAt struct {
	fret int
	lane float64
}

// newCrownMap lays cells out. A place without a cell is not known.
func newCrownMap(cells map[crownAt]mapCell, unknown mapCell) crownMap {
	var m crownMap
	var frets []int
	var lanes []float64
	for at := range cells {
		if !slices.Contains(frets, at.fret) {
			frets = append(frets, at.fret)
		}
		if !slices.Contains(lanes, at.lane) {
			lanes = append(lanes, at.lane)
		}
	}
	slices.Sort(frets)
	slices.Sort(lanes)
	cell := func(fret int, lane float64) mapCell {
		if c, ok := cells[crownAt{fret, lane}]; ok {
			return c
		}
		return unknown
	}
	for _, lane := range lanes { // treble first: at the top of the lying neck
		row := mapRow{Name: unit.Decimal(lane)}
		for _, fret := range frets {
			row.Cells = append(row.Cells, cell(fret, lane))
		}
		m.Along = append(m.Along, row)
	}
	slices.Reverse(lanes)
	for _, fret := range frets {
		row := mapRow{Name: strconv.Itoa(fret)}
		for _, lane := range lanes {
			row.Cells = append(row.Cells, cell(fret, lane))
		}
		m.Rows, m.Frets = append(m.Rows, row), append(m.Frets, row.Name)
	}
	if len(lanes) > denseLanes {
		m.Class += " dense"
	}
	if len(frets) > longFrets {
		m.Class += " long"
	}
	for _, lane := range lanes {
		m.Lanes = append(m.Lanes, unit.Decimal(lane))
	}
	return m
}

// Beyond so many lanes a phone has small letters for them, and beyond so many frets
// only a large screen shows the neck lying.
const denseLanes, longFrets = 7, 25

// mapSteps is how many colours there are on either side of none.
const mapSteps = 4

// mapClass names the colour of a height as a share of the map's full height.
func mapClass(share float64) string {
	n := int(math.Round(math.Max(-1, math.Min(1, share)) * mapSteps))
	switch {
	case n < 0:
		return fmt.Sprintf("low%d", -n)
	case n > 0:
		return fmt.Sprintf("high%d", n)
	}
	return "flat"
}

// minFullMM keeps an unchanged neck from showing noise in full colour.
const minFullMM = 0.03

// compareMap shows what changed at each crown.
func (l *renderer) compareMap(a *answer.BookCompareAnswer) crownMap {
	say, u := l.words.Say, l.heightsIn(nil)
	signs := map[wear.Verdict]string{wear.Worn: "▼", wear.Moved: "◆", wear.Raised: "▲", wear.InDoubt: "?"}
	full, cells := minFullMM, map[crownAt]mapCell{}
	for _, c := range a.Crowns {
		full = math.Max(full, math.Abs(c.MM))
	}
	found := map[wear.Verdict]bool{}
	for _, c := range a.Crowns {
		found[c.Verdict] = true
		cells[crownAt{c.Fret, c.Lane}] = mapCell{Class: mapClass(c.MM / full), Sign: signs[c.Verdict], Number: u.signed(c.MM), Said: string(c.Verdict)}
	}
	for _, o := range a.Open {
		if _, known := cells[crownAt{o.Fret, o.Lane}]; !known {
			cells[crownAt{o.Fret, o.Lane}] = l.unknownCrown()
		}
	}
	m := newCrownMap(cells, l.unknownCrown())
	m.Caption, m.Scale = say("map.compare", u.name), say("map.scale", u.Plain(full))
	for _, v := range []wear.Verdict{wear.Worn, wear.Moved, wear.Raised, wear.InDoubt} {
		if found[v] {
			m.Key = append(m.Key, mapKey{signs[v], string(v)})
		}
	}
	return m
}

// patternMap shows the mean height of each crown over many necks.
func (l *renderer) patternMap(a *answer.PatternAnswer) crownMap {
	say, u := l.words.Say, l.heightsIn(nil)
	fine := u
	fine.digit++
	signs := map[drift.Standing]string{drift.High: "▲", drift.Low: "▼"}
	full, cells, off := 1e-4, map[crownAt]mapCell{}, false
	for _, c := range a.Crowns {
		full = math.Max(full, math.Abs(c.Mean.Or(0)))
	}
	for _, c := range a.Crowns {
		at := crownAt{c.Fret, c.Lane}
		mean, known := c.Mean.Get()
		if !known {
			cells[at] = l.unknownCrown()
			continue
		}
		cell := mapCell{Class: mapClass(mean / full), Sign: signs[c.Standing], Number: u.signed(mean), Full: fine.signed(mean)}
		if sd, known := c.SD.Get(); known {
			cell.Beside, _, _ = strings.Cut(fine.Plain(sd), " ")
			cell.Beside = "± " + cell.Beside
		}
		if c.Standing.Off() {
			cell.Said, off = string(c.Standing), true
		}
		cells[at] = cell
	}
	m := newCrownMap(cells, l.unknownCrown())
	m.Caption, m.Scale = say("map.pattern", u.name), say("map.scale", fine.Plain(full))
	if off {
		m.Key = []mapKey{{signs[drift.High], say("map.high")}, {signs[drift.Low], say("map.low")}}
	}
	return m
}

func (l *renderer) unknownCrown() mapCell {
	return mapCell{Class: "unknown", Number: "–", Said: l.words.Say("map.unknown")}
}

// numberRow is a line of a chart's table.
type numberRow struct {
	Of     string
	Values []string
}

// driftNumbers is the chart as a table: each value, or of a long row, stretch by
// stretch, the eight in ten and the middle.
func (l *renderer) driftNumbers(a *answer.DriftAnswer) (heads []string, rows []numberRow) {
	say, in := l.words.Say, a.Sizes()
	points := a.Chart.Points
	if len(points) <= maxNumbers {
		for i, v := range points {
			rows = append(rows, numberRow{strconv.Itoa(a.Chart.First + i), []string{in.Size(v)}})
		}
		return []string{say("map.number"), say("map.value")}, rows
	}
	for _, s := range drift.Stretches(points) {
		of := say("map.range", a.Chart.First+s.First, a.Chart.First+s.Last)
		rows = append(rows, numberRow{of, []string{in.Size(s.Low), in.Size(s.Median), in.Size(s.High)}})
	}
	return []string{say("map.number"), say("map.tenth"), say("map.half"), say("map.ninth")}, rows
}

// maxNumbers is how many values a chart's table has one by one.
const maxNumbers = 60

// drawings are a page's pictures.
type drawings struct {
	Charts, More []*draw.Screen
	Heads        []string
	Numbers      []numberRow
	Map          *crownMap
	Paper        string // the same on a sheet
}
