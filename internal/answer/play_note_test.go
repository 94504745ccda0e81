package answer

import (
	"strings"
	"testing"
)

func TestNoteChoice_On(t *testing.T) {
	m, l := heronNeck(t)
	for _, c := range []struct {
		choice NoteChoice
		capo   int
		touch  int
		fault  string
	}{
		{NoteChoice{String: 3, Fret: 5}, 0, 1, ""},
		{NoteChoice{String: 6, Fret: 22, Touch: "hard"}, 3, 2, ""},
		{NoteChoice{Fret: 5}, 0, 0, "string 0: name one of 1 to 6"},
		{NoteChoice{String: 7}, 0, 0, "string 7"},
		{NoteChoice{String: 1, Fret: 23}, 0, 0, "fret 23"},
		{NoteChoice{String: 1, Fret: -1}, 0, 0, "fret -1"},
		{NoteChoice{String: 1, Fret: 2}, 3, 0, "behind the capo"},
		{NoteChoice{String: 1, Touch: "soft"}, 0, 0, `"soft" is none of the neck's: "light", "firm", "hard"`},
	} {
		touch, err := c.choice.On(m, l, c.capo)
		if c.fault == "" && (err != nil || touch != c.touch) {
			t.Errorf("%+v: touch %d, %v; want %d", c.choice, touch, err, c.touch)
		}
		if c.fault != "" && (err == nil || !strings.Contains(err.Error(), c.fault)) {
			t.Errorf("%+v: %v, want %q", c.choice, err, c.fault)
		}
	}
}
