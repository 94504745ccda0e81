package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
)

// studyText prints the answer of `play --study` for a person: a table a share of
// the necks, then the neck as it is set up, then one sentence.
type studyText struct {
	out    io.Writer
	answer *answer.PlayStudyAnswer
	colour bool
}

// stringsAcross is how many strings stand side by side in 80 columns.
const stringsAcross = 8

func (t studyText) print() {
	w := t.out
	a := t.answer
	title := a.Neck + ": WHAT LEVELNESS BUYS"
	title = strong(t.colour, title)
	fmt.Fprintln(w, title)
	if a.Capo > 0 {
		fmt.Fprintf(w, "(capo at fret %d)\n", a.Capo)
	}
	wrap(w, "  ", text.StudyDrawn(a.Necks, a.Seed, a.JudgeBy, a.Touch))
	table := text.StudyTable(a.ActionFret)
	if inInches(w) {
		table = strings.Replace(table, ", mm,", ", in,", 1)
	}
	wrap(w, "  ", table)
	for k := range a.Zones[0].Raise {
		t.share(w, k)
	}
	t.asSet(w)
	fmt.Fprintln(w)
	wrap(w, "", text.StudyGoodTo(a.HalfRangeMM()))
	wrap(w, "", "How necks are drawn: "+a.Model+".")
	fmt.Fprintln(w)
	wrap(w, "", text.StudyBuys(a.Report, a.Necks))
}

// share prints the table of one share of the necks, strings in bands.
func (t studyText) share(w io.Writer, k int) {
	a := t.answer
	fmt.Fprintf(w, "\n%g %% of the necks\n", a.Zones[0].Raise[k].SharePct)
	for from := 0; from < len(a.Strings); from += stringsAcross {
		to := min(from+stringsAcross, len(a.Strings))
		head, perfect := []string{"zone"}, []string{"perfect"}
		for _, s := range a.Strings[from:to] {
			head = append(head, fmt.Sprintf("%d %s", s.String, s.Pitch))
			perfect = append(perfect, fmt.Sprintf("%.3f", s.PerfectActionMM))
		}
		rows := [][]string{append(head, "rise"), append(perfect, "0")}
		for _, z := range a.Zones {
			row := []string{fmt.Sprintf("%g", round4(z.ZoneMM))}
			for _, s := range z.Strings[from:to] {
				row = append(row, orDash(s.Levels[k].ActionMM, "%.3f"))
			}
			rows = append(rows, append(row, orDash(z.Raise[k].ActionMM, "%+.3f")))
		}
		if inInches(w) {
			_, rows = lengthsInInches("mm", rows, rows[0])
		}
		numbers(w, rows)
	}
}

// numbers prints a table whose columns are all set to the right.
func numbers(w io.Writer, rows [][]string) {
	for _, r := range rows {
		for i, c := range r {
			if i == 0 {
				fmt.Fprintf(w, "  %7s", c)
				continue
			}
			fmt.Fprintf(w, " %7s", c)
		}
		fmt.Fprintln(w)
	}
}

// round4 keeps a zone's digits short.
func round4(mm float64) float64 { return math.Round(mm*1e4) / 1e4 }

// orDash prints a value, or "none" where there is none.
func orDash(v num.Opt, form string) string {
	if mm, known := v.Get(); known {
		return fmt.Sprintf(form, mm)
	}
	return "none"
}

// asSet prints how many necks ring clear as the neck file sets them up, or why
// none can.
func (t studyText) asSet(w io.Writer) {
	fmt.Fprintln(w)
	if low := t.answer.TooLow(); len(low) > 0 {
		wrap(w, "", text.TooLowForPerfect(low))
		return
	}
	fmt.Fprintf(w, "Necks that ring clear at setup.action, %% (±: %s)\n", text.NineteenInTwenty)
	zones, share := []string{"zone"}, []string{"clear"}
	flush := func() { numbers(w, [][]string{zones, share}); zones, share = zones[:1], share[:1] }
	for _, z := range t.answer.Zones {
		if len(zones) > stringsAcross {
			flush()
		}
		zones = append(zones, fmt.Sprintf("%g", round4(z.ZoneMM)))
		share = append(share, fmt.Sprintf("%.0f ±%.0f", z.ClearAsSetPct, math.Ceil(1.96*z.ClearAsSetUPct)))
	}
	flush()
}
