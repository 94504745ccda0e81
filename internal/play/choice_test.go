package play

import (
	"ringtrue/internal/neck"
	"strings"
	"testing"
)

func TestNoteChoice_On(t *testing.T) {
	setup := neck.Setup{JudgeBy: "firm", Touch: []neck.Touch{{Name: "light"}, {Name: "firm"}, {Name: "hard"}}}
	r := Request{Model: neck.Model{Setup: setup}, Layout: boardOf(t, neck.Pair{300, 300}, 1.4).Layout}
	for _, c := range []struct {
		choice NoteChoice
		capo   int
		touch  string
		fault  string
	}{
		{NoteChoice{String: 3, Fret: 5}, 0, "firm", ""},
		{NoteChoice{String: 6, Fret: 22, Touch: "hard"}, 3, "hard", ""},
		{NoteChoice{Fret: 5}, 0, "", "string 0: name one of 1 to 6"},
		{NoteChoice{String: 7}, 0, "", "string 7"},
		{NoteChoice{String: 1, Fret: 23}, 0, "", "fret 23"},
		{NoteChoice{String: 1, Fret: -1}, 0, "", "fret -1"},
		{NoteChoice{String: 1, Fret: 2}, 3, "", "behind the capo"},
		{NoteChoice{String: 1, Touch: "soft"}, 0, "", `no touch "soft"; it has "light", "firm", "hard"`},
	} {
		r.Capo = c.capo
		touch, err := c.choice.On(r)
		if c.fault == "" && (err != nil || touch != c.touch) {
			t.Errorf("%+v: touch %q, %v; want %q", c.choice, touch, err, c.touch)
		}
		if c.fault != "" && (err == nil || !strings.Contains(err.Error(), c.fault)) {
			t.Errorf("%+v: %v, want %q", c.choice, err, c.fault)
		}
	}
}
