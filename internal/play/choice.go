package play

import (
	"fmt"
	"strings"

	"ringtrue/internal/unit"
)

// NoteChoice is one note under one touch: what a picture or a sound is of.
type NoteChoice struct {
	String int    // from 1, the treble side
	Fret   int    // the stop; 0 is the open string
	Touch  string // by name; "" is setup.judge_by
}

// On finds the touch among the neck's, by name, and checks that the note is one of
// the neck's, behind no capo. The error says what would be right.
func (c NoteChoice) On(r Request) (touch string, err error) {
	last, count := r.Layout.LastFret(), r.Layout.Strings()
	switch {
	case c.String < 1 || c.String > count:
		return "", fmt.Errorf("string %d: name one of 1 to %d, 1 being on the treble side", c.String, count)
	case c.Fret < 0 || c.Fret > last:
		return "", fmt.Errorf("fret %d: name one of 0, the open string, to %d", c.Fret, last)
	case c.Fret < r.Capo:
		return "", fmt.Errorf("fret %d lies behind the capo at fret %d", c.Fret, r.Capo)
	case c.Touch == "":
		c.Touch = r.Model.Setup.JudgeBy
	}
	var names []string
	for _, t := range r.Model.Setup.Touch {
		if t.Name == c.Touch {
			return t.Name, nil
		}
		names = append(names, unit.Quote(t.Name))
	}
	return "", fmt.Errorf("this neck has no touch %s; it has %s", unit.Quote(c.Touch), strings.Join(names, ", "))
}
