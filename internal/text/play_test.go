package text

import (
	"slices"
	"testing"

	"ringtrue/internal/num"
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
		{straight.NotLevel, play.Sum{Touch: "firm", Notes: 9}, true, "not level to 0.030 mm, but every note is clear at touch \"firm\". File to the limit, or leave it"},
		{straight.InDoubt, play.Sum{Touch: "firm", Notes: 9}, true, "in doubt to 0.030 mm, but every note is clear at touch \"firm\". Read more, or leave it"},
		{straight.NotLevel, play.Sum{Touch: "firm", Notes: 9}, false, "not level to 0.030 mm, but every note is clear at touch \"firm\". First do what frets names"},
		{straight.NotLevel, play.Sum{Touch: "firm", Notes: 9, NotJudged: true}, true, "not level to 0.030 mm, but every note that could be judged is clear at touch \"firm\". First do what frets names"},
		{straight.Level, play.Sum{Touch: "firm", Notes: 9}, true, "level to 0.030 mm, and every note is clear at touch \"firm\""},
		{straight.Level, play.Sum{Touch: "firm", Notes: 9, NotClear: 1, Worst: worst(play.Grazes, 7)}, true, "level to 0.030 mm, but string 1, fret 6 grazes on fret 7 at touch \"firm\""},
		{straight.NotLevel, play.Sum{Touch: "firm", Notes: 9, NotClear: 1, Worst: worst(play.Buzzes, 7)}, true, "not level to 0.030 mm, and string 1, fret 6 buzzes on fret 7 at touch \"firm\""},
		{straight.NotLevel, play.Sum{Touch: "hard", Notes: 9, NotClear: 1, Worst: worst(play.Chokes, 0)}, true, "not level to 0.030 mm, and string 1, fret 6 chokes at touch \"hard\""},
		{straight.Level, play.Sum{Touch: "firm"}, true, ""},
		{straight.Level, play.Sum{Touch: "firm", Notes: 9, InDoubt: 1, ChanceAllClear: num.Some(0.7)}, true, "level to 0.030 mm, and every note is clear at touch \"firm\" as read, not for sure (70 %)"},
		{straight.Level, play.Sum{Touch: "firm", Notes: 9, ChanceAllClear: num.Some(0.94)}, true, "level to 0.030 mm, and every note is clear at touch \"firm\" as read, not for sure (94 %)"},
		{straight.Level, play.Sum{Touch: "firm", Notes: 9, ChanceAllClear: num.Some(0.95)}, true, "level to 0.030 mm, and every note is clear at touch \"firm\""},
	} {
		if got := LevelAndRing(c.level, 0.03, c.notes, c.settled); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// A note in doubt is said to be: by its string, with its chance, and in the head.
func TestPlayDoubt(t *testing.T) {
	note := func(fret int, v play.Verdict, chance float64, doubt bool) play.Note {
		return play.Note{Fret: fret, Touch: "firm", Verdict: v, ChanceClear: num.Some(chance), InDoubt: doubt}
	}
	r := &play.Report{JudgeBy: "firm", ChanceAllClear: num.Some(0.3), Strings: []play.StringReport{
		{String: 1, Notes: []play.Note{note(0, play.Clear, 1, false), note(1, play.Clear, 0.9, true), note(2, play.Clear, 0.995, true)}},
		{String: 2, Notes: []play.Note{note(3, play.Clear, 0.505, true)}},
	}}
	if got, want := PlayDoubt(r), [][2]string{{"string 1", "fret 1 90 %, fret 2 over 99 %"}, {"string 2", "fret 3 50 %"}}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got := PlayHead(r); got != "EVERY NOTE LIKELY CLEAR" {
		t.Error(got)
	}
	if got := PlaySettle(r); got != "Chance that every note is clear: 30 %. Another pass of readings settles more." {
		t.Error(got)
	}
	r.Strings[1].Notes[0] = note(3, play.Grazes, 0, false)
	r.ChanceAllClear = num.Some(0)
	if got := PlaySettle(r); got != "Another pass of readings settles more." {
		t.Error(got)
	}
	r.Strings, r.ChanceAllClear = r.Strings[:1], num.Some(1)
	for i := range r.Strings[0].Notes {
		r.Strings[0].Notes[i].InDoubt = false
	}
	if head, settle := PlayHead(r), PlaySettle(r); head != "EVERY NOTE IS CLEAR" || settle != "" || len(PlayDoubt(r)) != 0 {
		t.Errorf("%q, %q", head, settle)
	}
	if got := WorstNote(play.Worst{String: 1, Fret: 2, Verdict: play.Grazes, AtFret: 4, ShortMM: 0.002, InDoubt: true, Cure: "file it"}); got != "string 1, fret 2 grazes on fret 4, 0.002 mm short (in doubt): file it" {
		t.Error(got)
	}
}
