package sheet

import (
	"testing"

	"ringtrue/internal/draw"
)

func playSample(worst bool) Play {
	p := Play{Neck: "Heron 22", Touch: "firm"}
	for n, pitch := range []string{"E4", "B3", "G3", "D3", "A2", "E2"} {
		row := PlayString{String: n + 1, Pitch: pitch}
		for f := 0; f <= 22; f++ {
			left := 0.3 - 0.01*float64(f) + 0.02*float64(n)
			note := PlayNote{Fret: f, Verdict: "clear", LeftMM: &left}
			switch {
			case f == 22:
				note.LeftMM = nil
			case worst && f == 7 && n < 3:
				left = -0.031
				note.Verdict = []string{"buzzes", "grazes", "chokes"}[n]
			}
			row.Notes = append(row.Notes, note)
		}
		p.Strings = append(p.Strings, row)
	}
	if worst {
		for n := range 3 {
			p.Worst = append(p.Worst, PlayLeft{String: n + 1, Fret: 7, Verdict: "buzzes",
				FromNutMM: []float64{236, 258, 279, 300, 320}, LeftMM: []float64{-0.03 + 0.02*float64(n), 0.05, 0.09, 0.14, 0.2}, Frets: []int{8, 9, 10, 11, 12}})
		}
	}
	return p
}

func TestPlay_Golden(t *testing.T) {
	for name, worst := range map[string]bool{"play-worst.svg": true, "play-clear.svg": false} {
		p, err := playSample(worst).Page()
		if err != nil {
			t.Fatal(err)
		}
		clean(t, p, 1)
		golden(t, p, name)
	}
}

// Verdicts are told apart without colour: by letter, and by falling lightness.
func TestPlayLook_WithoutColour(t *testing.T) {
	last, seen := 2.0, map[string]bool{}
	for _, v := range []string{"clear", "grazes", "buzzes", "chokes"} {
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
