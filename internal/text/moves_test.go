package text

import (
	"testing"

	"ringtrue/internal/findings"
)

// Each move is one sentence that a hand can follow, and names what ends it.
func TestMove_Words(t *testing.T) {
	for _, c := range []struct {
		m          findings.Move
		want, ends string
	}{
		{findings.Move{Tool: findings.File, FromFret: 7, ToFret: 7, Lanes: []float64{1, 5}, Until: []findings.MoveFlat{{Fret: 7, Lane: 1, FlatMM: 0.7}, {Fret: 7, Lane: 5, FlatMM: 0.25}}},
			"File fret 7 alone, lanes 1 to 5: the flat 0.70 mm wide at lane 1, 0.25 mm at lane 5, even in between", ""},
		{findings.Move{Tool: findings.File, FromFret: 3, ToFret: 3, Lanes: []float64{6}, Until: []findings.MoveFlat{{Fret: 3, Lane: 6, FlatMM: 0.3}}},
			"File fret 3 alone in lane 6, to a flat 0.30 mm wide", ""},
		{findings.Move{Tool: findings.Beam, FromFret: 10, ToFret: 22, PressAtFret: 16, Lanes: []float64{1, 2, 3}, KeepInk: []int{19},
			Until: []findings.MoveFlat{{Fret: 15, Lane: 1, FlatMM: 0.1}, {Fret: 22, Lane: 1, FlatMM: 0.45}, {Fret: 15, Lane: 2, FlatMM: 0.1}, {Fret: 22, Lane: 2, FlatMM: 0.45}, {Fret: 17, Lane: 3, FlatMM: 0.2}, {Fret: 22, Lane: 3, FlatMM: 0.4}}},
			"Beam over frets 10-22, lanes 1-3; press over fret 16 at first",
			"Lane by lane, until these flats show: fret 15 0.10 mm in lanes 1, 2; fret 17 0.20 mm in lane 3; fret 22 0.45 mm in lanes 1, 2, 0.40 mm in lane 3. Fret 19 keeps its ink."},
	} {
		if got := Move(c.m); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
		if got := MoveEnds(c.m); got != c.ends {
			t.Errorf("%q, want %q", got, c.ends)
		}
	}
}
