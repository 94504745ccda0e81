package answer

import (
	"context"
	"strings"
	"testing"

	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// frets and play say the same sentence of the same readings, and what it says of
// the notes is what play counts.
func TestLevelAndRing_OneSentence(t *testing.T) {
	clear := 0
	for _, x := range [][2]string{{"heron.toml", "heron-seated.csv"}, {"heron.toml", "heron-levelled.csv"}, {"heron-bass.toml", "heron-bass-seated.csv"},
		{"heron-slant.toml", "heron-slant-seated.csv"}, {"heron-seven.toml", "heron-seven-seated.csv"}} {
		r := example(t, x[0], x[1])
		r.Plays = true
		a := answer(t, r)
		p, err := Play(context.Background(), PlayRequest{Model: r.Model, Layout: r.Layout, Readings: r.Readings, Read: true})
		if err != nil {
			t.Fatal(err)
		}
		if a.LevelAndRing == "" || a.LevelAndRing != p.LevelAndRing {
			t.Errorf("%s: frets says %q, play %q", x[1], a.LevelAndRing, p.LevelAndRing)
		}
		n, all := p.Count(p.JudgeBy)
		if every := strings.Contains(a.LevelAndRing, "every note is clear at "+text.AtTouch(p.JudgeBy)); every != (n[play.Clear] == all) {
			t.Errorf("%s: %q, and %d of %d notes are clear", x[1], a.LevelAndRing, n[play.Clear], all)
		} else if every {
			clear++
		}
		if a.Plays == nil || a.Plays.Notes != all || a.Plays.NotClear != all-n[play.Clear] {
			t.Errorf("%s: frets counts %+v, play %d of %d clear", x[1], a.Plays, n[play.Clear], all)
		}
		if !strings.HasPrefix(a.LevelAndRing, a.Verdict+" to ") {
			t.Errorf("%s: %q does not begin with the verdict, %s", x[1], a.LevelAndRing, a.Verdict)
		}
	}
	if clear == 0 || clear == 5 {
		t.Errorf("of five necks %d ring clear: the test sees one case only", clear)
	}
}

// A neck that is not level but rings may be left as it is; with a loose end or a
// misread it may not.
func TestLevelAndRing_MayBeLeft(t *testing.T) {
	for _, c := range []struct{ readings, ends string }{
		{"heron-refitted.csv", "not level to 0.030 mm, but every note is clear at touch \"firm\". File to the limit, or leave it"},
		{"heron-seated.csv", "not level to 0.030 mm, but every note is clear at touch \"firm\". First do what frets names"},
		{"heron-levelled.csv", "level to 0.030 mm, and every note is clear at touch \"firm\""},
	} {
		r := example(t, "heron.toml", c.readings)
		r.Plays = true
		for i := range r.Model.Setup.Action {
			r.Model.Setup.Action[i] = 4
		}
		if a := answer(t, r); a.LevelAndRing != c.ends {
			t.Errorf("%s: %q, want %q", c.readings, a.LevelAndRing, c.ends)
		}
	}
}

// Not asked, or with strings that cannot be tuned, frets says nothing of notes and
// all the rest.
func TestLevelAndRing_LeftOut(t *testing.T) {
	r := example(t, "heron.toml", "heron-refitted.csv")
	if a := answer(t, r); a.Plays != nil || a.LevelAndRing != "" {
		t.Errorf("not asked, frets says %q", a.LevelAndRing)
	}
	r.Plays = true
	r.Model.Setup.JudgeBy = "no such touch"
	if a := answer(t, r); a.Plays != nil || a.LevelAndRing != "" || a.Verdict != "not level" {
		t.Errorf("without a touch frets says %q, %s", a.LevelAndRing, a.Verdict)
	}
	r = example(t, "heron.toml", "heron-refitted.csv")
	r.Plays = true
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Frets(ctx, r); err == nil {
		t.Error("a call that was given up has an answer")
	}
}
