package text

import (
	"testing"

	"ringtrue/internal/play"
)

func TestPlayLeftOf(t *testing.T) {
	for _, x := range []struct {
		judged, bad int
		left        play.Left
		want        string
	}{
		{23, 0, play.Left{Notes: 115, Lanes: []int{2, 3, 4, 5, 6}}, "Of 23 notes judged, all are clear; 115 are not judged: read lanes 2 to 6."},
		{23, 2, play.Left{Notes: 1, Lanes: []int{2}}, "Of 23 notes judged, 2 are not clear; 1 is not judged: read lane 2."},
		{137, 1, play.Left{Notes: 1, InPart: 9, Lanes: []int{1, 4}}, "Of 137 notes judged, 1 is not clear; 1 is not judged, 9 judged against some frets only: read lanes 1 and 4."},
		{0, 0, play.Left{Notes: 138, Lanes: []int{1, 2, 3, 5}}, "No note is judged: read lanes 1 to 3 and 5."},
		{0, 0, play.Left{Notes: 92, Lanes: []int{1, 3, 5, 6}}, "No note is judged: read lanes 1, 3, 5 and 6."},
	} {
		if got := PlayLeftOf(x.judged, x.bad, x.left); got != x.want {
			t.Errorf("%q, want %q", got, x.want)
		}
	}
}

// Where notes are left unjudged no headline speaks of every note.
func TestPlayHead_Left(t *testing.T) {
	r := &play.Report{JudgeBy: "firm", Strings: []play.StringReport{{String: 1, Notes: []play.Note{{Touch: "firm", Verdict: play.Clear}}}},
		Left: play.Left{Notes: 23, Lanes: []int{2}}}
	if got := PlayHead(r); got != "THE NOTES JUDGED ARE CLEAR" {
		t.Error(got)
	}
	if got := SetupPlays(map[play.Verdict]int{play.Clear: 23}, r.Left, "firm", false); got != "Set up like this, at touch \"firm\": 23 clear; 23 are not judged: read lane 2" {
		t.Error(got)
	}
	r.Left = play.Left{}
	if got, words := PlayHead(r), PlayLeft(r); got != "EVERY NOTE IS CLEAR" || words != "" {
		t.Error(got, words)
	}
}

// Lanes that nobody read share a line; what is judged in part has its own.
func TestStopsNotJudged(t *testing.T) {
	all := []play.Unjudged{
		{String: 1, Stops: []int{9}, Why: "w"},
		{String: 2, Stops: []int{0, 1}, Lack: play.LackLane, Why: "x"},
		{String: 3, Stops: []int{0, 1}, Lack: play.LackLane, Why: "x"},
	}
	got := StopsNotJudged(all)
	if len(got) != 2 || got[0] != "string 1, stops 9: w" || got[1] != "strings 2 and 3: no crown in these lanes is known. Read along them" {
		t.Errorf("%q", got)
	}
	if got := StopsNotJudged(all[:2]); len(got) != 2 || got[1] != "string 2, stops 0, 1: x" {
		t.Errorf("%q", got)
	}
}
