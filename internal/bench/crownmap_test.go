package bench

import (
	"strings"
	"testing"
)

// A map lies as the neck does: nut at the top and bass left, or nut left and bass at
// the foot; each crown stands in both, one that nothing is known of too.
func TestCrownMap_LiesAsTheNeck(t *testing.T) {
	cells := map[crownAt]mapCell{}
	for fret := 1; fret <= 3; fret++ {
		for _, lane := range []float64{1, 2, 3.5} {
			if fret != 2 || lane != 2 {
				cells[crownAt{fret, lane}] = mapCell{Number: strings.Repeat("x", fret) + strings.Repeat("y", int(lane))}
			}
		}
	}
	m := newCrownMap(cells, mapCell{Number: "–"})
	if strings.Join(m.Lanes, " ") != "3.5 2 1" || strings.Join(m.Frets, " ") != "1 2 3" || m.Class != "" {
		t.Errorf("%v %v %q", m.Lanes, m.Frets, m.Class)
	}
	if len(m.Rows) != 3 || len(m.Along) != 3 || m.Rows[1].Name != "2" || m.Along[0].Name != "1" || m.Along[2].Name != "3.5" {
		t.Fatalf("%+v", m)
	}
	for f, row := range m.Rows {
		for l, c := range row.Cells {
			if along := m.Along[2-l].Cells[f]; along != c {
				t.Errorf("fret %d: %q upright, %q lying", f+1, c.Number, along.Number)
			}
		}
	}
	if m.Rows[1].Cells[1].Number != "–" || m.Rows[2].Cells[0].Number != "xxxyyy" {
		t.Errorf("%+v", m.Rows)
	}
	for fret := range 30 {
		for lane := range 12 {
			cells[crownAt{fret, float64(lane)}] = mapCell{}
		}
	}
	if m := newCrownMap(cells, mapCell{}); m.Class != " dense long" {
		t.Errorf("a large neck: %q", m.Class)
	}
}

// Colours go evenly from low to high, and no height leaves them.
func TestMapClass(t *testing.T) {
	for share, want := range map[float64]string{-2: "low4", -1: "low4", -0.5: "low2", -0.1: "flat", 0: "flat", 0.13: "high1", 0.6: "high2", 0.99: "high4", 7: "high4"} {
		if got := mapClass(share); got != want {
			t.Errorf("%g: %s, want %s", share, got, want)
		}
	}
}

// A long row's table is told in stretches, a short one value by value.
func TestDrift_Numbers(t *testing.T) {
	b := withBook(t)
	text := b.sees("/book/drift?of=zone", `<summary>The numbers</summary>`, `<th scope="row">1</th>`)
	if n := strings.Count(text[strings.Index(text, "The numbers"):], `<th scope="row">`); n != 7 {
		t.Errorf("%d lines for 7 necks", n)
	}
}
