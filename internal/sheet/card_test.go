package sheet

import (
	"math"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/text"
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
			pages, err := Card("Heron 22 no. 0412", "not level", []string{"Leaves every lane within 30 µm."}, nil, nil, []string{"Draw filings off."}, crowns, done, paper, Micrometres)
			if err != nil || len(pages) != size.pages {
				t.Fatalf("%v: %d pages, %v", size, len(pages), err)
			}
			seen := map[string]int{}
			for _, p := range pages {
				clean(t, p, 1.13)
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
	pages, err := Card("Heron 22 no. 0412", "not level", []string{"From the readings of the stage seated: not level. 2026-03-04", "4 crowns, 71 µm at most."},
		nil, nil, []string{"Take off what a box says and no more."}, crowns, done, A4, Thousandths)
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

// On a card's first page stands first what comes before any file, press before read
// again, and then what to file; nothing leaves a page, however much it is.
func TestCard_PressAndReadAgainBeforeTheFile(t *testing.T) {
	a := &answer.FretsAnswer{Work: &answer.Work{First: []answer.WorkFirst{{Fret: 14, Brief: "whole fret high: press and glue it, let it set"}}},
		Recheck: []answer.Recheck{{Fret: 9, Lane: 4, ReadingMM: 0.472, ExpectedMM: 0.377}}}
	a.Undetermined = make([]answer.Undetermined, 3)
	before := BeforeFiling(a)
	if len(before) != 4 || !strings.HasPrefix(before[0], "Fret 14, whole fret high") || !strings.Contains(before[1], "0.472") || !strings.Contains(before[2], "3 crowns") || before[3] != text.CardReadAll {
		t.Fatalf("%q", before)
	}
	if n := len(BeforeFiling(&answer.FretsAnswer{Work: &answer.Work{}})); n != 0 {
		t.Errorf("%d steps where nothing is to be done", n)
	}
	crowns := []answer.PlanCrown{{Fret: 7, Lane: 1, RemoveMM: 0.051}}
	none := func(answer.PlanCrown) bool { return false }
	boxes, err := Card("Heron 22", "not level", []string{"Now not level."}, before, []string{"1 crown."}, nil, crowns, none, A4, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	moves, err := MovesCard("Heron 22 no. 0412", "not level", []string{"Now not level."}, before, []string{text.MovesFlats(false), text.BeamCare}, []string{text.FilingCare}, someMoves(6, 1), 2.3, A4, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, moves[0], "moves_first.svg")
	for _, pages := range [][]*draw.Page{boxes, moves} {
		at := map[string]int{}
		for i, words := range textsOf(pages[0]) {
			for _, part := range []string{"Now not level", text.CardFirst, "Fret 14, whole", "Read fret 9", "When it has set", text.CardThen, "51", "1. File"} {
				if _, seen := at[part]; !seen && strings.HasPrefix(words, part) {
					at[part] = i
				}
			}
		}
		file := max(at["51"], at["1. File"])
		if !(at["Now not level"] < at[text.CardFirst] && at[text.CardFirst] < at["Fret 14, whole"] && at["Fret 14, whole"] < at["Read fret 9"] &&
			at["Read fret 9"] < at["When it has set"] && at["When it has set"] < at[text.CardThen] && at[text.CardThen] < file) {
			t.Errorf("the order on the page: %v", at)
		}
	}
	for _, steps := range []int{20, 35, 60} {
		many := make([]string, steps)
		for i := range many {
			many[i] = text.CardFret(i, "whole fret high: press it again and glue it, let it set, and look at the board under it before you do")
		}
		pages, err := Card("Heron 22", "not level", []string{"Now not level."}, many, []string{"1 crown."}, []string{"Filings."}, crowns, none, Letter, Thousandths)
		if err != nil || len(pages) < 1+steps/20 {
			t.Fatalf("%d steps on %d pages, %v", steps, len(pages), err)
		}
		for _, p := range pages {
			clean(t, p, 1.13)
		}
	}
}
