package sheet

import (
	"math"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

func playSample(worst bool) *answer.PlayAnswer {
	p := &answer.PlayAnswer{Report: play.Report{Neck: "Heron 22", JudgeBy: "firm"}}
	for n, pitch := range []string{"E4", "B3", "G3", "D3", "A2", "E2"} {
		row := play.StringReport{String: n + 1, Pitch: pitch}
		for f := 0; f <= 22; f++ {
			left := 0.3 - 0.01*float64(f) + 0.02*float64(n)
			note := play.Note{Fret: f, Touch: "firm", Verdict: play.Clear}
			switch {
			case f == 22:
				left = math.NaN()
			case worst && f == 7 && n < 3:
				left = -0.031
				note.Verdict = []play.Verdict{play.Buzzes, play.Grazes, play.Chokes}[n]
			}
			note.ClearMarginMM = num.Some(left)
			row.Notes = append(row.Notes, note, play.Note{Fret: f, Touch: "hard", Verdict: play.Buzzes})
		}
		p.Strings = append(p.Strings, row)
	}
	if worst {
		for n := range 3 {
			p.Worst = append(p.Worst, play.Worst{String: n + 1, Fret: 7, Verdict: play.Buzzes, Left: []play.Room{
				{Fret: 8, FromNutMM: 236, LeftMM: -0.03 + 0.02*float64(n)}, {Fret: 9, FromNutMM: 258, LeftMM: 0.05}, {Fret: 10, FromNutMM: 279, LeftMM: 0.09},
				{Fret: 11, FromNutMM: 300, LeftMM: 0.14}, {Fret: 12, FromNutMM: 320, LeftMM: 0.2}}})
		}
	}
	return p
}

func TestPlay_Golden(t *testing.T) {
	for name, worst := range map[string]bool{"play-worst.svg": true, "play-clear.svg": false} {
		p, err := Play(playSample(worst), Micrometres)
		if err != nil {
			t.Fatal(err)
		}
		clean(t, p, 1.13)
		golden(t, p, name)
	}
}

// Verdicts are told apart without colour: by letter, and by falling lightness.
func TestPlayLook_WithoutColour(t *testing.T) {
	last, seen := 2.0, map[string]bool{}
	for _, v := range []play.Verdict{play.Clear, play.Grazes, play.Buzzes, play.Chokes} {
		colour, letter := playLook(v)
		if colour.Luminance() >= last || seen[letter] {
			t.Errorf("%s: lightness %.2f after %.2f, letter %q", v, colour.Luminance(), last, letter)
		}
		if c := draw.Contrast(colour, draw.InkOn(colour)); c < 4.5 {
			t.Errorf("%s: text contrast %.1f", v, c)
		}
		last, seen[letter] = colour.Luminance(), true
	}
}
