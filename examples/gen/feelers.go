package main

import (
	"os"
	"path/filepath"
	"strconv"
)

// feelersOnly is a neck with the faults of neck 0412 as a bench without a dial
// reads it: a long straight edge and feelers along every lane, a short rocker
// where it rocks.
func feelersOnly(dir string) (string, error) {
	path := filepath.Join(dir, "heron.toml")
	data, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	b, err := newBench(path, data, 413, []fault{trebleUp(7, 0.07), high(14, 0.06), high(19, -0.045)})
	if err != nil {
		return "", err
	}
	n := &notes{comma: ",", point: "."}
	n.say("A Heron 22 with the faults of neck 0412, read without a dial: invented readings, made by examples/gen.",
		"A long straight edge along every lane: the thickest leaf that enters over each crown, and the next, that does not;",
		"a short rocker over three frets where it rocks, and the leaves under its end.",
		"Put in: fret 7 up at the treble end, fret 14 high, fret 19 low.")
	n.row("method", "lane", "fret", "reading", "unit", "u", "no_go")
	for _, lane := range b.lanes() {
		gap := b.edge(lane)
		for _, f := range b.frets() {
			goes, noGo := b.feel(gap(f), 0.004)
			n.row("edge", n.whole(lane), strconv.Itoa(f), n.num(goes, 0.01), "mm", "0.004", n.num(noGo, 0.01))
		}
	}
	for _, lane := range []float64{1, 3, 6} {
		for f := 1; f+2 <= b.layout.LastFret(); f++ {
			b.rock(n, [3]int{f, f + 1, f + 2}, lane)
		}
	}
	return n.text(), nil
}
