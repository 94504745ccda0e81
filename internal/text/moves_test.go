package text

import (
	"strings"
	"testing"

	"ringtrue/internal/filing"
	"ringtrue/internal/findings"
)

// Each move is one sentence that a hand can follow, and names what ends it.
func TestMove_Words(t *testing.T) {
	for _, c := range []struct {
		m          findings.Move
		want, ends string
	}{
		{findings.Move{Tool: findings.File, FromFret: 7, ToFret: 7, Lanes: []float64{1, 5}, Until: []findings.MoveFlat{{Fret: 7, Lane: 1, FlatMM: 0.7}, {Fret: 7, Lane: 5, FlatMM: 0.25}}},
			"File fret 7 alone, lanes 1 to 5, to a flat 0.70 mm wide at lane 1 and 0.25 mm at lane 5, evenly in between", ""},
		{findings.Move{Tool: findings.File, FromFret: 3, ToFret: 3, Lanes: []float64{6}, Until: []findings.MoveFlat{{Fret: 3, Lane: 6, FlatMM: 0.3}}},
			"File fret 3 alone in lane 6, to a flat 0.30 mm wide", ""},
		{findings.Move{Tool: findings.Beam, FromFret: 10, ToFret: 22, PressAtFret: 16, Lanes: []float64{1, 2, 3}, KeepInk: []int{19},
			Until: []findings.MoveFlat{{Fret: 15, Lane: 1, FlatMM: 0.1}, {Fret: 22, Lane: 1, FlatMM: 0.45}, {Fret: 15, Lane: 2, FlatMM: 0.1}, {Fret: 22, Lane: 2, FlatMM: 0.45}, {Fret: 17, Lane: 3, FlatMM: 0.2}, {Fret: 22, Lane: 3, FlatMM: 0.4}}},
			"Beam over frets 10-22, lanes 1-3; press over fret 16 at first",
			"Lane by lane, until these flats show: fret 15 0.10 mm in lanes 1, 2; fret 17 0.20 mm in lane 3; fret 22 0.45 mm in lanes 1, 2, 0.40 mm in lane 3. Fret 19 keeps its ink."},
		{findings.Move{Tool: findings.Beam, FromFret: 1, ToFret: 22, PressAtFret: 10, LengthMM: 450, Rests: []int{8, 12}, Lanes: []float64{2}, Until: []findings.MoveFlat{{Fret: 4, Lane: 2, FlatMM: 0.2}}},
			"Beam of 450 mm over frets 1-22, lane 2; press over fret 10 at first",
			"Lane by lane, until these flats show: fret 4 0.20 mm in lane 2. Rest the neck at frets 8 and 12, or on one long support."},
	} {
		if got := Move(c.m); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
		if got := MoveEnds(c.m); got != c.ends {
			t.Errorf("%q, want %q", got, c.ends)
		}
	}
}

// Where no tool does, what would is said in one sentence.
func TestNoMoves_Words(t *testing.T) {
	for want, l := range map[string]filing.Lack{
		"it needs a beam of 90 mm or shorter; yours is 150 mm": {Kind: filing.LongBeams, NeedMM: 90, HaveMM: 150},
		"it needs a beam of 378 mm or longer; yours is 300 mm": {Kind: filing.ShortBeams, NeedMM: 377.2, HaveMM: 300},
		"it needs a beam of 200 mm or longer; you have none":   {Kind: filing.NoBeam, NeedMM: 200},
		"it has neither beams nor files":                       {Kind: filing.NoTool},
		"file crown by crown, by the table":                    {Kind: filing.FewMoves},
	} {
		if got := NoMoves(l); !strings.HasSuffix(got, want) {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := NoMoves(filing.Lack{}); got != "" {
		t.Errorf("%q where nothing lacks", got)
	}
}
