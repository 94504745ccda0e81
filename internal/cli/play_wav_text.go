package cli

import (
	"fmt"
	"io"
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
)

// wavText prints what is heard in a file that was written.
type wavText struct {
	out    io.Writer
	answer *answer.SoundAnswer
	file   string
	colour bool
}

func (t wavText) print() {
	w := t.out
	a := t.answer
	channels := "mono"
	if a.Channels == 2 {
		channels = "stereo"
	}
	fmt.Fprintf(w, "%s: %s\n", a.Neck, strong(t.colour, "SAVED AS "+t.file))
	wrap(w, "  ", fmt.Sprintf("%.1f s, %s, %d kHz, %d bits: %s, touch %q", a.LengthS, channels, a.SampleHz/1000, a.Bits, a.Heard, a.Touch))
	for _, x := range a.Warnings {
		wrap(w, "! ", x)
	}
	notJudged(w, "! ", a.NotJudged)
	if a.AllNotes {
		t.row(w)
	} else {
		t.notes(w)
	}
	t.scale(w)
}

// notes says of each note what it meets.
func (t wavText) notes(w io.Writer) {
	fmt.Fprintln(w)
	for _, n := range t.answer.Notes {
		wrap(w, fmt.Sprintf("  %5.1f s  ", n.TimeS), fmt.Sprintf("string %d (%s), fret %d, %s: %s", n.String, n.Pitch, n.Fret, n.State, text.Heard(n)))
	}
}

// row lists every string's first note and every note that is not clear.
func (t wavText) row(w io.Writer) {
	a := t.answer
	fmt.Fprintln(w)
	wrap(w, "  ", text.WhereHeard)
	fmt.Fprintln(w)
	rows := [][]string{{"time", "string", "fret", "verdict"}}
	for i := 0; i < len(a.Notes); {
		from := a.Notes[i]
		j := i
		for j < len(a.Notes) && a.Notes[j].String == from.String && a.Notes[j].Verdict == from.Verdict && (j == i || a.Notes[j].Fret == a.Notes[j-1].Fret+1) {
			j++
		}
		var frets []int
		for _, n := range a.Notes[i:j] {
			frets = append(frets, n.Fret)
		}
		rows = append(rows, []string{clock(from.TimeS), fmt.Sprint(from.String), spans(frets), string(from.Verdict)})
		i = j
	}
	table(w, rows)
	if len(a.Notes) > 1 {
		wrap(w, "  ", fmt.Sprintf("the notes of a row come every %.2g s", a.Notes[1].TimeS-a.Notes[0].TimeS))
	}
}

// clock is a time in minutes and seconds.
func clock(s float64) string {
	tenths := int(math.Round(10 * s))
	return fmt.Sprintf("%d:%02d.%d", tenths/600, tenths/10%60, tenths%10)
}

// scale says how loud is how much.
func (t wavText) scale(w io.Writer) {
	a := t.answer
	if len(a.Notes) == 0 {
		return
	}
	fmt.Fprintln(w)
	wrap(w, "  ", text.FullScale(a.Notes[0], a.AllNotes))
	if a.TurnedDownDB > 0 {
		wrap(w, "! ", text.TurnedDown(a.TurnedDownDB))
	}
}
