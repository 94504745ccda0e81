package text

import (
	"testing"

	"ringtrue/internal/play"
	"ringtrue/internal/straight"
)

func TestLevelAndRing(t *testing.T) {
	worst := func(v play.Verdict, at int) *play.Worst {
		return &play.Worst{String: 1, Fret: 6, Verdict: v, AtFret: at}
	}
	for _, c := range []struct {
		level   straight.Verdict
		notes   play.Sum
		settled bool
		want    string
	}{
		{straight.NotLevel, play.Sum{Touch: "firm", Notes: 9}, true, "not level to 0.030 mm, but every note is clear at firm: file for the limit, or leave it"},
		{straight.InDoubt, play.Sum{Touch: "firm", Notes: 9}, true, "in doubt to 0.030 mm, but every note is clear at firm: read on, or leave it"},
		{straight.NotLevel, play.Sum{Touch: "firm", Notes: 9}, false, "not level to 0.030 mm, but every note is clear at firm: first read and press what is named"},
		{straight.NotLevel, play.Sum{Touch: "firm", Notes: 9, NotJudged: true}, true, "not level to 0.030 mm, but every note that could be judged is clear at firm: first read and press what is named"},
		{straight.Level, play.Sum{Touch: "firm", Notes: 9}, true, "level to 0.030 mm, and every note is clear at firm"},
		{straight.Level, play.Sum{Touch: "firm", Notes: 9, NotClear: 1, Worst: worst(play.Grazes, 7)}, true, "level to 0.030 mm, but at firm string 1, fret 6 grazes on fret 7"},
		{straight.NotLevel, play.Sum{Touch: "firm", Notes: 9, NotClear: 1, Worst: worst(play.Buzzes, 7)}, true, "not level to 0.030 mm, and at firm string 1, fret 6 buzzes on fret 7"},
		{straight.NotLevel, play.Sum{Touch: "hard", Notes: 9, NotClear: 1, Worst: worst(play.Chokes, 0)}, true, "not level to 0.030 mm, and at hard string 1, fret 6 chokes"},
		{straight.Level, play.Sum{Touch: "firm"}, true, ""},
	} {
		if got := LevelAndRing(c.level, 0.03, c.notes, c.settled); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
