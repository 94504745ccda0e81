package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
	"ringtrue/internal/tune"
)

// tuneText prints the answer of `play --tune` for a person.
type tuneText struct {
	out    io.Writer
	answer *answer.TuneAnswer
	colour bool
}

func (t tuneText) print() {
	w := t.out
	a := t.answer
	word := "NOTHING COULD BE JUDGED"
	if len(a.Strings) > 0 {
		word = "WHERE SADDLE AND NUT GO"
	}
	fmt.Fprintf(w, "%s: %s\n", a.Neck, strong(t.colour, word))
	wrap(w, "(", text.TuneBasis(a.PerfectCrowns, a.AsPlanned, a.Finger, a.A4Hz)+")")
	for _, x := range a.Warnings {
		wrap(w, "! ", x)
	}
	for _, x := range a.NotJudged {
		wrap(w, "! ", fmt.Sprintf("string %d: %s", x.String, x.Why))
	}
	if len(a.Strings) > 0 {
		t.places(w)
		t.left(w)
		t.rests(w)
	}
}

// places prints where saddle and nut should stand.
func (t tuneText) places(w io.Writer) {
	a := t.answer
	nut := "nut"
	if a.ZeroFret {
		nut = "fret 0"
	}
	rows := [][]string{{"string", "pitch", fmt.Sprintf("fret %d exact", a.ExactFret), "may be", "saddle alone", "saddle", "and " + nut}}
	for _, s := range a.Strings {
		row := []string{fmt.Sprint(s.String), s.Pitch, mm2(s.SetbackMM), "-", "-", "-", "-"}
		if s.RangeMM != nil {
			row[3] = fmt.Sprintf("%.1f-%.1f", s.RangeMM[0], s.RangeMM[1])
		}
		if s.Saddle != nil {
			row[4] = mm2(s.Saddle.SaddleMM)
		}
		if s.Both != nil {
			row[5], row[6] = mm2(s.Both.SaddleMM), fmt.Sprintf("%+.2f", s.Both.NutMM)
		}
		rows = append(rows, row)
	}
	lengthTable(w, "\nSet back from the scale's line, mm", rows, rows[0][2:]...)
	wrap(w, "  ", text.TuneChoices(a.ExactFret, nut))
}

// left prints the cents that each choice leaves over.
func (t tuneText) left(w io.Writer) {
	a := t.answer
	fmt.Fprintf(w, "\nCents left over: rms of all frets, and the worst with its fret\n")
	rows := [][]string{{"string", "no setback", "", fmt.Sprintf("fret %d exact", a.ExactFret), "", "saddle alone", "", "both", ""}}
	for _, s := range a.Strings {
		row := []string{fmt.Sprint(s.String)}
		for _, c := range []*tune.Best{&s.None, &s.Exact, s.Saddle, s.Both} {
			if c == nil {
				row = append(row, "-", "-")
				continue
			}
			row = append(row, fmt.Sprintf("%.1f", c.RMSCents), fmt.Sprintf("%s at %d", cents1(c.WorstCents), c.WorstFret))
		}
		rows = append(rows, row)
	}
	tuneTable(w, rows)
}

// tuneTable sets pairs of columns, each pair under one heading.
func tuneTable(w io.Writer, rows [][]string) {
	const pair = 18
	for n, r := range rows {
		var b strings.Builder
		fmt.Fprintf(&b, "  %6s", r[0])
		for i := 1; i < len(r); i += 2 {
			if n == 0 {
				fmt.Fprintf(&b, "%*s", pair, r[i])
			} else {
				fmt.Fprintf(&b, "%*s%*s", pair-12, r[i], 12, r[i+1])
			}
		}
		fmt.Fprintln(w, b.String())
	}
}

// cents1 prints cents with their sign to a tenth.
func cents1(c float64) string { return fmt.Sprintf("%+.1f", math.Round(10*c)/10+0) }

// rests prints what the answer rests on.
func (t tuneText) rests(w io.Writer) {
	a := t.answer
	fmt.Fprintf(w, "\nWhat it rests on\n")
	for _, words := range text.TuneRests(a.Strings, a.ExactFret) {
		wrap(w, "  ", words)
	}
}
