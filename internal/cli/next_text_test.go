package cli

import (
	"strings"
	"testing"

	"ringtrue/internal/answer"
)

// Choices after the first are told from what must be read.
func TestNextReadings_Words(t *testing.T) {
	var b strings.Builder
	nextReadings(&b, []answer.NextReading{
		{Method: "beam", Lanes: []float64{4}, Frets: []int{8, 9, 10}, Passes: 1, Must: true, Minutes: 0.7, Why: "set aside"},
		{Method: "edge", Lanes: []float64{1, 6}, Frets: []int{1, 4, 7, 10}, Passes: 1, Minutes: 2.8, Why: "first"},
		{Method: "beam", Lanes: []float64{1, 2, 3}, Frets: []int{1, 2, 3, 4}, Passes: 2, Minutes: 6.5, Why: "second"},
	})
	const want = `
Read next
  beam, lane 4, frets 8-10, 1 min: set aside
  edge, lanes 1 and 6, every third fret, 1 to 10, 3 min: first
  or beam, lanes 1 to 3, frets 1-4, 2 passes, 6 min: second
`
	if b.String() != want {
		t.Errorf("%s\nwant %s", b.String(), want)
	}
	b.Reset()
	nextReadings(&b, nil)
	if b.Len() > 0 {
		t.Errorf("nothing to read: %q", b.String())
	}
	if s := fretsInWords([]int{5}) + "; " + fretsInWords([]int{1, 4, 7, 10, 12}) + "; " + lanesInWords([]float64{2, 3.5, 6}); s != "fret 5; frets 1, 4, 7, 10, 12; lanes 2, 3.5 and 6" {
		t.Error(s)
	}
}
