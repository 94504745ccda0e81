package text

import (
	"strings"
	"testing"

	"ringtrue/internal/findings"
)

// Every finding has its step: in a few words, of its fret, and of the end that its
// finding names.
func TestFretStep_EveryCase(t *testing.T) {
	for c := findings.Sound + 1; c <= findings.OneOfThree; c++ {
		f := findings.Finding{Fret: 7, Case: c, Lanes: []float64{1}, Neighbours: [2]int{6, 8}}
		words, advice := Finding(f)
		step := FretStep(f)
		if !strings.Contains(step, "fret 7") && !strings.Contains(step, "frets beside fret 7") || len(step) > 40 {
			t.Errorf("case %d: %q", c, step)
		}
		for _, end := range []string{"treble end", "bass end"} {
			if press := strings.HasPrefix(step, "press"); press && strings.Contains(words, end) != strings.Contains(step, end) {
				t.Errorf("case %d: %q for %q", c, step, words)
			}
		}
		if strings.HasPrefix(advice, "press") && !strings.HasPrefix(step, "press") || strings.HasPrefix(advice, "reseat") && !strings.HasPrefix(step, "reseat") {
			t.Errorf("case %d: %q for the advice %q", c, step, advice)
		}
	}
}
