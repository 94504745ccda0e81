package sheet

import (
	"math"
	"strings"
	"testing"

	"ringtrue/internal/glue"
)

func TestGlueForm_Golden(t *testing.T) {
	p, err := GlueForm(glue.Form{Neck: "Heron 22", Wood: "African ebony", BesideMM: 0.03, FloorMM: 0.3, Minutes: glue.FormMinutes()}, A4, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
	golden(t, p, "glue_form.svg")
}

// On both papers, with and without a neck: a row for each scrap, upright, no text
// on another or over the edge.
func TestGlueForm_EveryScrap(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		for _, name := range []string{"", strings.Repeat("A long name ", 12)} {
			p, err := GlueForm(glue.Form{Neck: name, Minutes: glue.FormMinutes()}, paper, Micrometres)
			if err != nil {
				t.Fatal(err)
			}
			clean(t, p, 1.13)
			if w, h := p.Size(); w > h || paper == Letter && math.Abs(h-11*25.4) > 1e-9 {
				t.Errorf("%g by %g mm", w, h)
			}
			times := map[string]int{}
			for _, box := range p.TextBoxes() {
				times[box.Text]++
			}
			for time, want := range map[string]int{"15 s": 1, "1 min": 1, "4 min": 2, "15 min": 1, "1 h": 2, "4 h": 1, "24 h": 2} {
				if times[time] != want {
					t.Errorf("%q stands %d times, want %d", time, times[time], want)
				}
			}
		}
	}
}
