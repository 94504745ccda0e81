package cli

import (
	"fmt"
	"io"
	"slices"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
)

// setupText prints the answer of `setup` for a person: the first deed with its
// table, and with --all the deeds in order, every height and what they rest on.
type setupText struct {
	out         io.Writer
	answer      *answer.SetupAnswer
	colour, all bool
}

// stringsBand is how many strings stand side by side in 80 columns, and how wide each
// is: inches with four decimals and a sign take one place more.
func stringsBand(w io.Writer) (strings, wide int) {
	if inInches(w) {
		return 7, 8
	}
	return 8, 7
}

func (t setupText) print() {
	w, a, s := t.out, t.answer, t.answer.Sheet
	fmt.Fprintf(w, "%s: %s\n", a.Neck, strong(t.colour, text.SetupHead(s)))
	if a.Lowest {
		wrap(w, "", text.SetupLowest(a.Left))
	}
	wrap(w, "", text.SetupPlays(a.Notes, a.Left, a.JudgeBy, a.PerfectCrowns))
	if words := text.CannotShort(s, a.PerfectCrowns); words != "" {
		wrap(w, "", words)
	}
	lines(w, "! ", a.Warnings)
	lines(w, "! ", text.SetupTooLow(s))
	notJudged(w, "not judged: ", a.NotJudged)
	if t.all {
		t.whole()
		return
	}
	t.short()
}

// short prints the first deed: the frets, the neck, or this pass's cuts.
func (t setupText) short() {
	s, do := t.answer.Sheet, &steps{w: t.out, short: true, plain: true}
	switch {
	case s.FretsOff:
		do.step(text.SetupFrets(s))
	case s.FirstTurn():
		for _, words := range text.AngleShort(s.Angle) {
			do.step(words)
		}
	default:
		do.step(text.SetupRod(s) + ".")
		if !s.Done() {
			t.bands(do.step, text.SetupTake(s), text.SetupFirst(s, text.SetupMM), 5)
		}
	}
}

// whole prints all of it.
func (t setupText) whole() {
	w, a, s := t.out, t.answer, t.answer.Sheet
	for i, c := range s.Cannot {
		if i == 0 {
			fmt.Fprintf(w, "\nNot clear at the wanted action\n")
		}
		wrap(w, "  ", c.Why)
	}
	if len(s.Cannot) > 0 {
		wrap(w, "  ", text.CannotWays)
	}
	do := &steps{w: w}
	for _, words := range a.Steps {
		do.step(words)
	}
	if !s.Early() && !s.Done() {
		t.bands(t.head, text.SetupTake(s), text.SetupFirst(s, text.SetupMM), 2)
		wrap(w, "  ", text.SetupKey)
	}
	t.bands(t.head, text.SetupHeights, t.rows(text.SetupRows(s)), 2)
	t.bands(t.head, text.SetupPlaces, t.places(), 2)
	if s.Angle != nil {
		t.angle()
	}
	fmt.Fprintf(w, "\nWhat it rests on\n")
	lines(w, "  ", text.SetupRests(s, a.Doubt))
	fmt.Fprintln(w)
	wrap(w, "", text.SetupCare)
}

// angle prints how much of the saddle shows, and what that means.
func (t setupText) angle() {
	t.bands(t.head, text.SetupShowing, t.showing(), 2)
	lines(t.out, "  ", text.AngleWords(t.answer.Sheet.Angle))
}

// rows are figures by string, the bass first.
func (t setupText) rows(of []text.SetupRow) (rows [][]string) {
	for _, r := range of {
		row := []string{r.Name}
		for _, c := range slices.Backward(t.answer.Sheet.Cuts) {
			row = append(row, text.SetupFigure(r.Of(c), text.SetupMM))
		}
		rows = append(rows, row)
	}
	return rows
}

// places are setbacks and the least action.
func (t setupText) places() (rows [][]string) {
	for _, name := range text.SetupPlaceRows() {
		row := []string{name}
		for _, x := range slices.Backward(t.answer.Strings) {
			row = append(row, text.SetupFigure(x.Place(name), text.SetupMM))
		}
		rows = append(rows, row)
	}
	return rows
}

// showing is how much of the saddle shows.
func (t setupText) showing() [][]string {
	rows := [][]string{{"shows"}, {"shows after"}}
	for _, c := range slices.Backward(t.answer.Sheet.Cuts) {
		is, after := "-", "-"
		for _, x := range t.answer.Sheet.Angle.Strings {
			if x.String == c.String {
				is, after = fmt.Sprintf("%.2f", x.IsMM), fmt.Sprintf("%.2f", x.AfterMM)
			}
		}
		rows[0], rows[1] = append(rows[0], is), append(rows[1], after)
	}
	return rows
}

// head prints the heading of a table.
func (t setupText) head(words string) { fmt.Fprintf(t.out, "\n%s\n", words) }

// bands prints rows under a heading with a column a string, the bass left, no more of
// them side by side than a line takes. An inch shop has them all in one unit.
func (t setupText) bands(head func(string), heading string, rows [][]string, indent int) {
	var numbers []int
	for _, c := range t.answer.Sheet.Cuts {
		numbers = append(numbers, c.String)
	}
	heads := text.SetupStrings(numbers, t.pitch)
	rows = append([][]string{append([]string{"string"}, heads...)}, rows...)
	if inInches(t.out) {
		heading, rows = lengthsInInches(heading, rows, heads)
	}
	head(heading)
	band, wide := stringsBand(t.out)
	for from := 1; from < len(rows[0]); from += band {
		to := min(from+band, len(rows[0]))
		for _, r := range rows {
			fmt.Fprintf(t.out, "%*s%-15s", indent, "", r[0])
			for _, c := range r[from:to] {
				fmt.Fprintf(t.out, "%*s", wide, c)
			}
			fmt.Fprintln(t.out)
		}
	}
}

// pitch is a string's, by its number.
func (t setupText) pitch(number int) string {
	i := slices.IndexFunc(t.answer.Strings, func(x answer.SetupString) bool { return x.String == number })
	return t.answer.Strings[i].Pitch
}
