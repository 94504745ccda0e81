package sheet

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/reading"
)

func blankHeron() reading.Blank {
	return reading.Blank{Neck: "Heron 22", Method: reading.Beam, Unit: "mm", Bounds: reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6}}
}

func TestBlank_Golden(t *testing.T) {
	pages, err := Blank(blankHeron(), A4)
	if err != nil || len(pages) != 1 {
		t.Fatalf("%d pages, %v", len(pages), err)
	}
	clean(t, pages[0], 1.13)
	golden(t, pages[0], "blank.svg")
}

// Every fret has a row and every lane a column on each page that needs it; no
// text lies on another or over the paper's edge, and cells can be written in.
func TestBlank_EveryCrown(t *testing.T) {
	for _, size := range []struct {
		first, last, strings int
		m                    reading.Method
		unit                 string
		pages                [2]int // on A4, on Letter
	}{{1, 22, 6, reading.Edge, "in", [2]int{1, 1}}, {0, 24, 9, reading.Height, "mm", [2]int{1, 1}}, {1, 60, 18, reading.Beam, "mm", [2]int{4, 6}}, {1, 1, 1, reading.Beam, "mm", [2]int{1, 1}}} {
		for i, paper := range []Paper{A4, Letter} {
			b := reading.Blank{Neck: "Heron", Method: size.m, Unit: size.unit, Bounds: reading.Bounds{FirstFret: size.first, LastFret: size.last, Strings: size.strings}}
			pages, err := Blank(b, paper)
			if err != nil || len(pages) != size.pages[i] {
				t.Fatalf("%+v: %d pages, %v", size, len(pages), err)
			}
			frets, lanes := map[string]bool{}, map[string]bool{}
			for _, p := range pages {
				clean(t, p, 1.13)
				w, h := p.Size()
				if w > h || paper == A4 && math.Abs(h-297) > 1e-9 || paper == Letter && math.Abs(h-11*25.4) > 1e-9 {
					t.Errorf("%g by %g mm", w, h)
				}
				for _, box := range p.TextBoxes() {
					if lane, is := strings.CutPrefix(box.Text, "lane "); is {
						lanes[lane] = true
					} else if _, err := strconv.Atoi(box.Text); err == nil {
						frets[box.Text] = true
					}
				}
			}
			if len(frets) != size.last-size.first+1 || len(lanes) != size.strings {
				t.Errorf("%+v: %d frets, %d lanes", size, len(frets), len(lanes))
			}
		}
	}
}

// The bass side is left, as in the table and the listings.
func TestBlank_BassLeft(t *testing.T) {
	pages, err := Blank(blankHeron(), Letter)
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]float64{}
	for _, box := range pages[0].TextBoxes() {
		if box.Text == "bass" || box.Text == "treble" {
			at[box.Text] = box.X
		}
	}
	if len(at) != 2 || at["bass"] >= at["treble"] {
		t.Errorf("%v", at)
	}
	if all := textsOf(pages[0]); !slices.Contains(all, "date") || !slices.Contains(all, "pass") {
		t.Errorf("%q", all)
	}
}
