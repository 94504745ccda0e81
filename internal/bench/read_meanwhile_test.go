package bench

import (
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
)

// A screen whose next crown is read by another while its own answer is made goes on
// to the one after: no news would tell it later.
func TestRead_NextIsReadMeanwhile(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	one, two := b.screen(path), b.screen(path)
	one.press("keep", "0.401")
	two.hears()
	k, err := b.folder.Get(strings.TrimPrefix(path, "/necks/"))
	if err != nil {
		t.Fatal(err)
	}
	two.press("keep", "0.402") // 2@1: read before the answer below is made
	for next, want := range map[bool]draft.Site{true: "3@1", false: "2@1"} {
		got := b.readBodyOf(k, cursor{pass: 1, at: "2@1", next: next}, b.analyst.latest(k))
		if got.At != want || got.Where.Open != next {
			t.Errorf("next %v: at %s, open %v", next, got.At, got.Where.Open)
		}
	}
}
