package readplan

import (
	"math"
	"testing"
	"time"

	"ringtrue/internal/reading"
)

func TestTimesOf(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	var pass []Stamp
	for lane := 1.0; lane <= 5; lane++ {
		at = at.Add(31 * time.Second)
		for f := range 6 {
			if f == 3 && lane == 2 {
				at = at.Add(time.Hour) // a telephone
			}
			pass = append(pass, Stamp{lane, at})
			at = at.Add(6 * time.Second)
		}
	}
	got := TimesOf([][]Stamp{pass})
	if got.ReadingS != 6 || got.SetupS != 31 {
		t.Errorf("%+v, want 6 s a reading and 31 s more a set-up", got)
	}
	if few := TimesOf([][]Stamp{pass[:6]}); few != (Times{}) {
		t.Errorf("six readings tell nothing: %+v", few)
	}
	if none := TimesOf(nil); none != (Times{}) {
		t.Errorf("%+v", none)
	}
	edge := Set{Method: reading.Edge, Lanes: []float64{1, 6}, Frets: run(1, 22, 3), UMM: 0.006, Passes: 2}
	if m, want := edge.Minutes(got), (32*6.0+4*31)/60; math.Abs(m-want) > 1e-9 {
		t.Errorf("%v min, want %v", m, want)
	}
	if m, want := edge.Minutes(Times{ReadingS: 6}), (32*6.0+4*20)/60; math.Abs(m-want) > 1e-9 {
		t.Errorf("%v min, want %v: what is missing is as usual", m, want)
	}
}
