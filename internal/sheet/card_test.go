package sheet

import (
	"math"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
)

// texts are a page's words.
func textsOf(p *draw.Page) []string {
	var all []string
	for _, b := range p.TextBoxes() {
		all = append(all, b.Text)
	}
	return all
}

// Every crown stands on the card once, on as many pages as it takes, no text on
// another and none over the paper's edge.
func TestCard_EveryCrownOnce(t *testing.T) {
	for _, size := range []struct{ frets, lanes, pages int }{{22, 6, 1}, {60, 18, 6}, {1, 1, 1}, {0, 0, 1}} {
		var crowns []answer.PlanCrown
		done := func(k answer.PlanCrown) bool { return k.Lane == 1 }
		for f := 1; f <= size.frets; f++ {
			for l := 1; l <= size.lanes; l++ {
				crowns = append(crowns, answer.PlanCrown{Fret: f, Lane: float64(l), RemoveMM: float64(f*100+l) / 1e3})
			}
		}
		for _, paper := range []Paper{A4, Letter} {
			pages, err := Card("Heron 22 no. 0412", []string{"Leaves every lane within 30 µm."}, []string{"Draw filings off."}, crowns, done, paper, Micrometres)
			if err != nil || len(pages) != size.pages {
				t.Fatalf("%v: %d pages, %v", size, len(pages), err)
			}
			seen := map[string]int{}
			for _, p := range pages {
				clean(t, p, 0.5)
				for _, text := range textsOf(p) {
					seen[text]++
				}
			}
			for _, k := range crowns {
				if n := seen[number(k.RemoveMM*1e3, 0)]; n != 1 {
					t.Fatalf("%v: fret %d, lane %g stands there %d times", size, k.Fret, k.Lane, n)
				}
			}
		}
	}
}

func TestCard_Golden(t *testing.T) {
	crowns := []answer.PlanCrown{{Fret: 7, Lane: 1, RemoveMM: 0.051}, {Fret: 7, Lane: 2, RemoveMM: 0.041}, {Fret: 14, Lane: 6, RemoveMM: 0.071},
		{Fret: 16, Lane: 6, RemoveMM: 0.0002}}
	done := func(k answer.PlanCrown) bool { return k.Fret == 7 && k.Lane == 2 }
	pages, err := Card("Heron 22 no. 0412", []string{"From the readings of the stage seated: not level. 2026-03-04", "4 crowns, 71 µm at most."},
		[]string{"Take off what a box says and no more."}, crowns, done, A4, Thousandths)
	if err != nil {
		t.Fatal(err)
	}
	if all := strings.Join(textsOf(pages[0]), "|"); !strings.Contains(all, "|<0.1") || strings.Contains(all, "|0.0") {
		t.Error(all)
	}
	golden(t, pages[0], "card.svg")
	if w, h := pages[0].Size(); math.Abs(w-210) > 1e-9 || math.Abs(h-297) > 1e-9 {
		t.Errorf("%g by %g mm", w, h)
	}
}
