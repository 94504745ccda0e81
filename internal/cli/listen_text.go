package cli

import (
	"fmt"
	"io"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
)

// listenText prints the answer of `listen` for a person.
type listenText struct {
	out         io.Writer
	answer      *answer.ListenAnswer
	learned     string // the file that the strings went into
	colour, all bool
}

func (t listenText) print() {
	w, a := t.out, t.answer
	r := &a.Report
	fmt.Fprintf(w, "%s: %s\n", a.Neck, strong(t.colour, text.ListenHead(r)))
	if a.Fits {
		wrap(w, "(", text.ListenBasis(r)+")")
	}
	lines(w, "! ", a.Warnings)
	if !a.Fits {
		return
	}
	if words := text.ListenMissing(r); words != "" {
		wrap(w, "", words)
	}
	if text.ListenTells(r) {
		t.bands(text.ListenMoves, text.ListenMoveRows(r, t.all), true)
	} else {
		wrap(w, "", text.ListenNoMoves)
	}
	lines(w, "", a.Says)
	heardSince(w, a.Since)
	if k := a.Kept; k != nil {
		fmt.Fprintln(w, printable(text.HeardIsKept(k.Heard, k.Serial, k.New)))
	}
	if t.all {
		t.whole()
	}
	if t.learned != "" {
		fmt.Fprintf(w, "written: %s\n", t.learned)
	}
}

// whole prints what --all adds.
func (t listenText) whole() {
	w, r := t.out, &t.answer.Report
	if text.ListenTells(r) {
		wrap(w, "  ", text.ListenMovesKey)
	}
	fmt.Fprintln(w)
	t.bands(text.ListenCents, text.ListenHeardRows(r), false)
	fmt.Fprintf(w, "\n%s\n", text.ListenNotesHead)
	rows := [][]string{text.ListenNoteColumns()}
	for _, n := range r.Notes {
		rows = append(rows, text.ListenNoteRow(n))
	}
	for _, row := range rows {
		fmt.Fprintf(w, "  %6s%6s%9s%8s%9s%8s%9s%11s  %s\n", row[0], row[1], row[2], row[3], row[4], row[5], row[6], row[7], row[8])
	}
	fmt.Fprintf(w, "\nWhat it rests on\n")
	lines(w, "  ", text.ListenRests(r))
}

// bands prints rows with a column a string, the bass left, no more side by side than a
// line takes.
func (t listenText) bands(heading string, rows [][]string, lengths bool) {
	heads := text.ListenStrings(&t.answer.Report)
	rows = append([][]string{append([]string{"string"}, heads...)}, rows...)
	if lengths && inInches(t.out) {
		heading, rows = lengthsInInches(heading, rows, heads)
	}
	fmt.Fprintln(t.out, heading)
	band, wide := stringsBand(t.out)
	for from := 1; from < len(rows[0]); from += band {
		to := min(from+band, len(rows[0]))
		for _, r := range rows {
			fmt.Fprintf(t.out, "  %-17s", r[0])
			for _, c := range r[from:to] {
				fmt.Fprintf(t.out, "%*s", wide, c)
			}
			fmt.Fprintln(t.out)
		}
	}
}
