package main

import (
	"math"
	"strconv"

	"ringtrue/internal/unit"
)

// examples are the necks that this program reads.
func examples() []example {
	return []example{
		{"heron-bass", 34, []fault{high(5, 0.09), bassUp(11, 0.12), pit(3, 2, 0.10), rise(16, 21, 0.16)}, bass},
		{"heron-seven", 7, []fault{high(9, 0.06), trebleUp(17, 0.08), pit(12, 4, 0.07)}, seven},
		{"heron-slant", 686, []fault{trebleUp(4, 0.06), high(16, 0.05), pit(2, 5, 0.06)}, slant},
		{"heron-twelve", 12, []fault{high(7, 0.07), bassUp(15, 0.10), middleProud(3, 0.06), high(18, -0.07)}, twelve},
	}
}

// bass is read with a bridge gauge, and with an edge and feelers.
func bass(b *bench, n *notes) {
	n.comma, n.point = ";", ","
	n.say("Heron Bass 34, neck B07: invented readings, made by examples/gen. Frets pressed, not levelled; rod set straight.",
		"Bridge gauge 0.002 mm along every lane; a long edge with feelers, the leaf that enters and the next that does not.",
		"Put in: fret 5 high, fret 11 up at the bass end, a pit at fret 3 under string 2 (read in two passes), the tongue",
		"rising from fret 16, and one bridge reading misread by 0.1 mm. A comma is the decimal point here.")
	n.row("method", "lane", "fret", "reading", "unit", "pass", "u", "no_go", "state", "by")
	for _, lane := range b.lanes() {
		by := "Mirela"
		for f := 1; f+2 <= b.layout.LastFret(); f++ {
			at := [3]int{f, f + 1, f + 2}
			v := b.above(at, lane) + b.normal(0.003)
			if lane == 3 && f == 13 {
				v -= 0.1 // the dial's small hand
			}
			n.row("bridge", n.whole(lane), three(at), n.num(v, 0.002), "mm", "a", n.num(0.003, 0.001), "", "rod set", by)
			by = "" // once a pass
		}
	}
	for f := 1; f <= 3; f++ {
		at := [3]int{f, f + 1, f + 2}
		n.row("bridge", "2", three(at), n.num(b.above(at, 2)+b.normal(0.003), 0.002), "mm", "b", n.num(0.003, 0.001), "", "rod set", "Tove")
	}
	for _, lane := range b.lanes() {
		gap := b.edge(lane)
		for _, f := range b.frets() {
			goes, noGo := b.feel(gap(f), 0.004)
			n.row("edge", n.whole(lane), strconv.Itoa(f), n.num(goes, 0.01), "mm", "", n.num(0.004, 0.001), n.num(noGo, 0.01), "rod set", "Mirela")
		}
	}
}

// seven is read by a probing machine, its pit twice.
func seven(b *bench, n *notes) {
	n.comma, n.point = ",", "."
	n.say("Heron Seven, neck S02: invented readings, made by examples/gen. Frets pressed and glued, not levelled.",
		"A probing machine, four touches over each crown under each string, every pass a frame of its own.",
		"Put in: fret 9 high, fret 17 up at the treble end, a pit at fret 12 under string 4 (in both passes), one touch",
		"on a chip 0.09 mm tall. The second pass reads frets 10 to 14 again.")
	n.row("method", "x", "y", "z", "unit", "pass", "u")
	take := func(pass string, from, to int) {
		f := b.frame()
		for _, lane := range b.lanes() {
			for fret := from; fret <= to; fret++ {
				for k, across := range []float64{-0.6, -0.2, 0.2, 0.6} {
					x, y, z := b.touch(f, fret, lane, across+b.normal(0.02), 0.002)
					if pass == "first" && lane == 6 && fret == 20 && k == 3 {
						z += 0.09 // a chip
					}
					n.row("probe", n.num(x, 0.001), n.num(y, 0.001), n.num(z, 0.001), "mm", pass, "0.002")
				}
			}
		}
	}
	take("first", 1, b.layout.LastFret())
	take("again", 10, 14)
}

// slant is read with a beam, one way round and turned end for end, which tells
// the beam's own bow; sticks and an arch gauge tie the lanes to each other.
func slant(b *bench, n *notes) {
	n.comma, n.point = ",", "."
	n.say("Heron Slant, neck F11: invented readings, made by examples/gen. Frets pressed and glued, not levelled; fret 0 too.",
		"0.002 mm dial on a beam, each lane one way round and turned end for end; sticks and an arch gauge tie the lanes.",
		"Put in: fret 4 up at the treble end, fret 16 high, a pit at fret 2 under string 5 (in both passes), one reading of",
		"lane 2 misread by 0.1 mm; the beam itself is bent to an S of 0.015 mm.")
	n.row("method", "lane", "fret", "reading", "unit", "pass", "u", "span", "turned", "state", "temperature", "humidity")
	for _, lane := range b.lanes() {
		for k, turned := range []string{"no", "yes"} {
			read := b.beam(lane, 0.003, 0.015, k == 1)
			for _, f := range b.frets() {
				v := read(f)
				if lane == 2 && f == 13 && k == 0 {
					v += 0.1
				}
				n.row("beam", n.whole(lane), strconv.Itoa(f), n.num(v, 0.002), "mm", strconv.Itoa(k+1), "0.003", "", turned, "slack", "21 C", "44")
			}
		}
	}
	for _, f := range []int{6, 12, 18, 24} {
		n.row("sticks", "", "0-"+strconv.Itoa(f), n.num(b.sticks(0, f, 40)+b.normal(0.01), 0.01), "mm", "", "0.01", "40", "", "slack", "21 C", "44")
	}
	for _, f := range []int{1, 7, 14, 22} {
		n.row("arch", "", strconv.Itoa(f), n.num(b.arch(f, 30)+b.normal(0.003), 0.002), "mm", "", "0.004", "30", "", "slack", "21 C", "44")
	}
}

// twelve is read in inches with a beam under each string, and with a rocker
// where it rocks.
func twelve(b *bench, n *notes) {
	n.comma, n.point = ",", "."
	n.say("Heron Twelve, neck T03: invented readings, made by examples/gen. Frets pressed and glued, not levelled.",
		"0.0001 in dial on a beam, one pass under each string; then a short rocker over three frets on four lanes: does it",
		"rock, is it still, and where it rocks the leaf that goes under its end and the one that does not.",
		"Put in: fret 3 proud in the middle, fret 7 high, fret 15 up at the bass end, fret 18 low, one reading of lane 5",
		"misread by 0.004 in.")
	n.row("method", "lane", "fret", "reading", "unit", "u", "no_go")
	for _, lane := range b.lanes() {
		read := b.beam(lane, 0.0025, 0, false)
		for _, f := range b.frets() {
			v := read(f) / unit.MMPerInch
			if lane == 5 && f == 5 {
				v += 0.004
			}
			n.row("beam", n.whole(lane), strconv.Itoa(f), n.num(v, 0.0001), "in", "0.00012", "")
		}
	}
	for _, lane := range []float64{2, 5, 8, 11} {
		for f := 1; f+2 <= b.layout.LastFret(); f++ {
			b.rock(n, [3]int{f, f + 1, f + 2}, lane)
		}
	}
}

// feelsRock is how far the middle crown must stand proud, in mm, for a hand to
// feel the rocker rock; nearer to the line it is not noted.
const feelsRock = 0.02

// rock notes a rocker's answer where it is clear, and where it rocks the leaves
// under its end.
func (b *bench) rock(n *notes, at [3]int, lane float64) {
	above := b.above(at, lane)
	switch {
	case math.Abs(above) < feelsRock:
	case above > 0:
		n.row("rocker", n.whole(lane), three(at), "rocks", "mm", "0.01", "")
		goes, noGo := b.feel(b.third(at, lane), 0.004)
		n.row("rocker", n.whole(lane), three(at), n.num(goes, 0.01), "mm", "0.004", n.num(noGo, 0.01))
	default:
		n.row("rocker", n.whole(lane), three(at), "still", "mm", "0.01", "")
	}
}
