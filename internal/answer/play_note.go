package answer

import (
	"fmt"
	"strings"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/unit"
)

// NoteChoice is one note under one touch: what a picture or a sound is of.
type NoteChoice struct {
	String int    // from 1, the treble side
	Fret   int    // the stop; 0 is the open string
	Touch  string // by name; "" is setup.judge_by
}

// On finds the touch among the neck's and checks that the note is one of the
// neck's, behind no capo. The error says what would be right.
func (c NoteChoice) On(m neck.Model, l *geometry.Layout, capo int) (touch int, err error) {
	last := l.LastFret()
	switch {
	case c.String < 1 || c.String > l.Strings():
		return 0, fmt.Errorf("string %d: name one of 1 to %d, 1 being on the treble side", c.String, l.Strings())
	case c.Fret < 0 || c.Fret > last:
		return 0, fmt.Errorf("fret %d: name one of 0, the open string, to %d", c.Fret, last)
	case c.Fret < capo:
		return 0, fmt.Errorf("fret %d lies behind the capo at fret %d", c.Fret, capo)
	}
	name := c.Touch
	if name == "" {
		name = m.Setup.JudgeBy
	}
	var names []string
	for i, t := range m.Setup.Touch {
		if t.Name == name {
			return i, nil
		}
		names = append(names, unit.Quote(t.Name))
	}
	return 0, fmt.Errorf("touch %s is none of the neck's: %s", unit.Quote(name), strings.Join(names, ", "))
}
