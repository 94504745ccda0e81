package reading

import (
	"slices"
	"testing"
)

// A row that says two things which cannot both be leads every branch astray.
func TestSpec_EveryRowHolds(t *testing.T) {
	ranks := map[int]Method{}
	for _, m := range Methods() {
		s := m.Spec()
		for fault, found := range map[string]bool{
			"has no row":    s.Method != m,
			"names no fret": s.Frets < 1,
			"is told of a fret that it does not name":       s.Told < 0 || s.Told >= s.Frets,
			"may read nothing":                              s.Low >= s.High,
			"shares its rank":                               s.Rank > 0 && ranks[s.Rank] != "",
			"reads a whole lane, but no crowns":             s.WholeLane && s.Rank == 0,
			"is found in shops, but reads no lane":          s.Found != Seldom && !s.WholeLane,
			"is set up along a lane, but not on one crown":  s.SetUp == OffsetTilt && s.Frets > 1,
			"lies end for end without lying along a lane":   s.Turned && s.SetUp != OffsetTilt,
			"is a gap that may be negative":                 s.Gap && s.Low < 0,
			"rocks without a gap":                           s.Rocks && !s.Gap,
			"lies across the board and reads crowns a lane": s.Across && s.Rank > 0,
			"is led without a lane":                         s.Led && (s.Across || s.SetUp == Frame),
		} {
			if found {
				t.Errorf("%s %s: %+v", m, fault, s)
			}
		}
		ranks[s.Rank] = m
	}
	if s := Method("none").Spec(); s.Method != "" || s.Rank != 0 {
		t.Errorf("a method that is none has a row: %+v", s)
	}
}

func TestOfCrowns_PlainestFirst(t *testing.T) {
	if got := OfCrowns(); !slices.IsSortedFunc(got, func(a, b Method) int { return a.Spec().Rank - b.Spec().Rank }) || len(got) < 5 || got[0] != Beam {
		t.Errorf("%v", got)
	}
	if got := Join(AlongLane()[:3], " or "); got != "beam, edge or bridge" {
		t.Errorf("%s", got)
	}
}
