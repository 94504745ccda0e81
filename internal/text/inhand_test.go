package text

import (
	"testing"
	"time"

	"ringtrue/internal/inhand"
)

// TestInHand: steps in the words of the shop, and times as a clock on the wall has them.
func TestInHand(t *testing.T) {
	now := time.Date(2026, 3, 2, 13, 50, 0, 0, time.FixedZone("", 3600))
	in := func(d time.Duration) inhand.Next {
		return inhand.Next{Step: inhand.Setting, Turn: inhand.Later, Until: now.Add(d).UTC()}
	}
	dry := func(d time.Duration) inhand.Next {
		return inhand.Next{Step: inhand.Dry, Turn: inhand.Later, Until: now.Add(d)}
	}
	now1 := func(s inhand.Step) inhand.Next { return inhand.Next{Step: s, Turn: inhand.Now} }
	const day = 24 * time.Hour
	for _, c := range []struct {
		x    inhand.Next
		w    *InHandWork
		want string
	}{
		{in(30 * time.Minute), nil, "glue setting until 14:20"},
		{in(30*time.Minute + time.Second), nil, "glue setting until 14:21"}, // never too early
		{in(day - 4*time.Hour), nil, "glue setting until tomorrow 09:50"},
		{in(3 * day), nil, "glue setting until 2026-03-05 13:50"},
		{dry(2 * time.Hour), nil, "drying until 15:50"},
		{dry(day), nil, "drying until tomorrow"},
		{dry(9 * day), nil, "drying until 2026-03-11"},
		{now1(inhand.Press), &InHandWork{First: []string{"press fret 7, treble end"}}, "press again fret 7 treble end"},
		{now1(inhand.Press), &InHandWork{First: []string{"press fret 7, treble end", "press fret 9"}}, "press again fret 7 treble end and 1 more"},
		{now1(inhand.Press), &InHandWork{First: []string{"reseat or replace fret 3"}}, "reseat or replace fret 3"},
		{now1(inhand.Press), nil, "press 1 fret again"},
		{now1(inhand.ReadAgain), &InHandWork{Again: 1, AgainFret: 9, AgainLane: 3.5}, "read again fret 9 lane 3.5"},
		{now1(inhand.Level), &InHandWork{File: 12}, "level: 12 crowns"},
		{now1(inhand.SeeTo), &InHandWork{Whole: "the neck bows"}, "see to it first: the neck bows"},
		{now1(inhand.ReadAfter), nil, "read again"},
		{now1(inhand.String), nil, "string it"},
		{now1(inhand.Play), nil, "play it"},
		{inhand.Next{Step: inhand.Wait, Turn: inhand.ByWord, For: "wire"}, nil, "waiting for wire"},
	} {
		if got := InHandLine(InHandStep(c.x, c.w), InHandUntil(c.x, now)); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	for d, want := range map[time.Duration]string{59 * time.Second: "just now", 20 * time.Minute: "20 min", 47 * time.Hour: "47 h", 3 * day: "3 days"} {
		if got := InHandWaited(now.Add(-d), now); got != want {
			t.Errorf("%v: %q, want %q", d, got, want)
		}
	}
}
