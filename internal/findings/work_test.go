package findings

import (
	"slices"
	"testing"
)

// TestFirstFrets: what is pressed first, and what is the file's.
func TestFirstFrets(t *testing.T) {
	hump := []Whole{{Kind: KindHump, Frets: []int{8, 9, 10}}}
	frets := func(found []Finding) (out []int) {
		for _, f := range found {
			out = append(out, f.Fret)
		}
		return out
	}
	var found []Finding
	for i, what := range []Case{BassUnseated, WholeHigh, WholeLow, TrebleLow, BassMoves, MiddleProud,
		WornUnder, HighIn, Pit, Burr, OffIn, OneOfThree} {
		found = append(found, Finding{Fret: i + 1, Case: what, Lanes: []float64{3}})
	}
	found = append(found, Finding{Fret: 1, Case: TrebleMoves})
	if got := frets(firstFrets(found, hump, nil)); !slices.Equal(got, []int{1, 2, 3, 4, 5, 6}) {
		t.Errorf("first %v", got)
	}
	if got := frets(firstFrets(found[:6], nil, []int{1, 2, 3, 5})); !slices.Equal(got, []int{3, 4, 5, 6}) {
		t.Errorf("with 1, 2, 3 and 5 said to sit: first %v", got)
	}
}
