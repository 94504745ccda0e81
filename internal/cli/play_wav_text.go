package cli

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"

	"ringtrue/internal/answer"
	"ringtrue/internal/play"
)

// wavText prints what is heard in a file that was written.
type wavText struct {
	out    io.Writer
	answer *answer.SoundAnswer
	file   string
	colour bool
}

func (t wavText) print() error {
	w := bufio.NewWriter(t.out)
	a := t.answer
	channels := "mono"
	if a.Channels == 2 {
		channels = "stereo"
	}
	fmt.Fprintf(w, "%s: %s\n", a.Neck, playText{colour: t.colour}.strong("WRITTEN TO "+t.file))
	wrap(w, "  ", fmt.Sprintf("%.1f s, %s, %d kHz, %d bits: %s, touch %q", a.LengthS, channels, a.SampleHz/1000, a.Bits, a.Heard, a.Touch))
	for _, x := range a.Warnings {
		wrap(w, "! ", x)
	}
	for _, x := range a.NotJudged {
		wrap(w, "! ", fmt.Sprintf("string %d, stops %s: %s", x.String, spans(x.Frets), x.Why))
	}
	if a.AllNotes {
		t.row(w)
	} else {
		t.notes(w)
	}
	t.scale(w)
	return w.Flush()
}

// notes says of each note what it meets.
func (t wavText) notes(w io.Writer) {
	fmt.Fprintln(w)
	for _, n := range t.answer.Notes {
		wrap(w, fmt.Sprintf("  %5.1f s  ", n.TimeS), fmt.Sprintf("string %d (%s), fret %d, %s: %s", n.String, n.Pitch, n.Fret, n.State, verdictWords(n)))
	}
}

// verdictWords is a verdict with the frets that were met.
func verdictWords(n answer.SoundNote) string {
	switch {
	case n.Verdict == play.Chokes:
		return "chokes, and is silent: at rest the string lies on a fret beyond"
	case n.Contact != nil:
		return fmt.Sprintf("%s on fret %s, first after %.1f ms; released %s the board", n.Verdict, spans(n.Contact.Frets), n.Contact.FirstMS,
			map[string]string{"away": "away from", "towards": "towards"}[n.Release])
	}
	return string(n.Verdict)
}

// row lists every string's first note and every note that is not clear.
func (t wavText) row(w io.Writer) {
	a := t.answer
	fmt.Fprintln(w)
	wrap(w, "  ", "Clear notes come from the middle. The others come from the right, after ticks: one where it grazes, two where it buzzes, three where it chokes and is silent.")
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
		wrap(w, "  ", fmt.Sprintf("a row's notes follow each other every %.2g s", a.Notes[1].TimeS-a.Notes[0].TimeS))
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
	var full []string
	for _, n := range a.Notes {
		words := ""
		if n.FullScaleN.Known() {
			words = fmt.Sprintf("%.2g N on the saddle", n.FullScaleN.OrNaN())
		} else {
			words = fmt.Sprintf("%.2g m/s at the pickup", n.FullScaleMM.OrNaN()/1000)
		}
		if !slices.Contains(full, words) {
			full = append(full, words)
		}
	}
	fmt.Fprintln(w)
	lead := "Full scale is " + full[0] + ", four times the touch, whatever the crowns: this note, before and after, may be compared by ear."
	if a.AllNotes {
		lead = "Full scale is four times each note's own touch, whatever the crowns: all notes are about equally loud, and files before and after may be compared."
	}
	wrap(w, "  ", lead+" No body, room or amplifier is added, and the pluck is a sharp corner: brighter than a finger.")
	if a.TurnedDownDB > 0 {
		wrap(w, "! ", fmt.Sprintf("what it strikes is louder than that: the whole file is turned down by %.1f dB; turn the other down as far before you compare", a.TurnedDownDB))
	}
}
