package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// playText prints the answer of `play` for a person: the worst notes with their
// cure first, then a map of all notes, then the actions.
type playText struct {
	out     io.Writer
	answer  *answer.PlayAnswer
	touches []neck.Touch
	colour  bool
	all     bool
}

// maxWorst is how many of the worst notes are listed.
const maxWorst = 12

func (t playText) print() {
	w := t.out
	if !t.all {
		t.short(w)
		return
	}
	t.head(w)
	t.worst(w)
	t.cures(w)
	t.doubt(w)
	t.notes(w)
	t.actions(w)
	t.metal(w)
	t.bends(w)
	t.limits(w)
}

func (t playText) head(w io.Writer) {
	a := t.answer
	fmt.Fprintf(w, "%s: %s\n", a.Neck, strong(t.colour, text.PlayHead(&a.Report)))
	if state := text.PlayState(a.PerfectCrowns, a.AsPlanned, a.Capo); state != "" {
		fmt.Fprintf(w, "(%s)\n", state)
	}
	if a.LevelAndRing != "" {
		wrap(w, "", a.LevelAndRing)
	}
	for _, touch := range t.touches {
		judge, inDoubt := "", 0
		if touch.Name == a.JudgeBy {
			judge, inDoubt = "; judged by this", a.InDoubt()
		}
		if n, all := a.Count(touch.Name); all > 0 {
			wrap(w, "  ", fmt.Sprintf("%s (%s): %s%s", touch.Name, text.Touch(touch), text.TallyInDoubt(n, inDoubt), judge))
		}
	}
	for _, x := range a.Warnings {
		wrap(w, "! ", x)
	}
	if words := text.PlayLeft(&a.Report); words != "" {
		wrap(w, "! ", words)
	}
	if len(a.NotJudged) > 0 {
		fmt.Fprintf(w, "\nNot judged\n")
		notJudged(w, "  ", a.NotJudged)
	}
}

// short prints the verdict, what to do about it, nothing else.
func (t playText) short(w io.Writer) {
	a, s := t.answer, &steps{w: w, short: true}
	fmt.Fprintf(w, "%s: %s\n", a.Neck, strong(t.colour, text.PlayHead(&a.Report)))
	if state := text.PlayState(a.PerfectCrowns, a.AsPlanned, a.Capo); state != "" {
		fmt.Fprintf(w, "(%s)\n", state)
	}
	for _, touch := range t.touches {
		if n, all := a.Count(touch.Name); touch.Name == a.JudgeBy && all > 0 {
			wrap(w, "", fmt.Sprintf("%s (%s): %s", touch.Name, text.Touch(touch), text.TallyInDoubt(n, a.InDoubt())))
		}
	}
	if a.LevelAndRing != "" {
		wrap(w, "", a.LevelAndRing)
	}
	lines(w, "! ", a.Warnings)
	if words := text.PlayLeft(&a.Report); words != "" {
		wrap(w, "! ", words)
	}
	notJudged(w, "not judged: ", a.NotJudged)
	if off := text.SeeToOff(a.Worst, a.Off); off != "" {
		s.step(off)
	}
	if a.Cures != nil {
		s.step(text.ClearAll(a.Cures, a.JudgeBy))
	} else if len(a.NotJudged) == 0 {
		wrap(w, "", text.LowestClear(a.Strings))
	}
	t.bends(w)
}

// notJudged lists the stops that could not be judged.
func notJudged(w io.Writer, lead string, all []play.Unjudged) {
	lines(w, lead, text.StopsNotJudged(all))
}

// worst lists the notes that touch, each with its cure.
func (t playText) worst(w io.Writer) {
	a := t.answer
	explained := true
	for i, x := range a.Worst {
		if i == 0 {
			fmt.Fprintf(w, "\nWorst first\n")
		}
		if i < maxWorst {
			wrap(w, "  ", text.WorstNote(x))
		}
		explained = explained && x.Explain
	}
	if more := len(a.Worst) - maxWorst; more > 0 {
		fmt.Fprintf(w, "  and %d more, see the map\n", more)
	}
	if len(a.Worst) > 0 && !explained {
		wrap(w, "  ", text.LookNext)
	}
}

// cures lists what clears every note, each by itself.
func (t playText) cures(w io.Writer) {
	c := t.answer.Cures
	if c == nil {
		return
	}
	fmt.Fprintf(w, "\nWhat clears every note at %q, each alone\n", t.answer.JudgeBy)
	for _, cure := range text.Cures(c) {
		wrap(w, fmt.Sprintf("  %-8s ", cure[0]), cure[1])
	}
}

// doubt lists the notes that the readings leave in doubt.
func (t playText) doubt(w io.Writer) {
	for i, line := range text.PlayDoubt(&t.answer.Report) {
		if i == 0 {
			fmt.Fprintf(w, "\n%s\n", text.PlayDoubtHead)
		}
		wrap(w, fmt.Sprintf("  %-10s", line[0]), line[1])
	}
	if settle := text.PlaySettle(&t.answer.Report); settle != "" {
		wrap(w, "  ", settle)
	}
}

// perMap is how many frets the map shows side by side in 80 columns.
const perMap = 23

// notes prints the map of verdicts, a row a string.
func (t playText) notes(w io.Writer) {
	var frets []int
	for _, s := range t.answer.Strings {
		row := []int{}
		for _, n := range s.At(t.answer.JudgeBy) {
			row = append(row, n.Fret)
		}
		if len(row) > len(frets) {
			frets = row
		}
	}
	if len(frets) == 0 {
		return
	}
	key := ""
	if t.answer.InDoubt() > 0 {
		key = ", ? in doubt"
	}
	fmt.Fprintf(w, "\nEvery note at %q\n", t.answer.JudgeBy)
	for from := 0; from < len(frets); from += perMap {
		t.band(w, frets[from:min(from+perMap, len(frets))])
	}
	wrap(w, "  ", ". clear, g grazes, B buzzes, X chokes"+key)
}

func (t playText) band(w io.Writer, frets []int) {
	fmt.Fprint(w, "  fret    ")
	for _, f := range frets {
		fmt.Fprintf(w, "%3d", f)
	}
	fmt.Fprintln(w)
	for _, s := range t.answer.Strings {
		fmt.Fprintf(w, "  %2d %-5s", s.String, s.Pitch)
		at := map[int]string{}
		for _, n := range s.At(t.answer.JudgeBy) {
			at[n.Fret] = map[play.Verdict]string{play.Clear: ".", play.Grazes: "g", play.Buzzes: "B", play.Chokes: "X"}[n.Verdict]
			if n.InDoubt {
				at[n.Fret] += "?"
			}
		}
		for _, f := range frets {
			if at[f] == "" {
				at[f] = "-"
			}
			fmt.Fprintf(w, "%3s", at[f])
		}
		fmt.Fprintln(w)
	}
}

// actions prints how low each string can go.
func (t playText) actions(w io.Writer) {
	rows, read := [][]string{{"string", "pitch", "tension N", "set", "lowest", "clear", "to spare"}}, !t.answer.PerfectCrowns
	if read {
		rows[0] = append(rows[0], "±")
	}
	for _, s := range t.answer.Strings {
		row := []string{fmt.Sprint(s.String), s.Pitch, fmt.Sprintf("%.1f", s.TensionN), fmt.Sprintf("%.2f", s.ActionMM), "-", "-", "-"}
		if mm, known := s.Lowest().Get(); known {
			row[4] = fmt.Sprintf("%.2f", num.RoundUp(mm, 100))
		}
		if mm, known := s.LowestClear().Get(); known {
			row[5] = fmt.Sprintf("%.2f", num.RoundUp(mm, 100))
			row[6] = fmt.Sprintf("%+.2f", s.ActionMM-num.RoundUp(mm, 100)+0)
		}
		if u, known := s.ULowestClearActionMM.Get(); known {
			row = append(row, fmt.Sprintf("%.2f", num.RoundUp(u, 100)))
		} else if read {
			row = append(row, "-")
		}
		rows = append(rows, row)
	}
	lengthTable(w, fmt.Sprintf("\nAction at %q, mm", t.answer.JudgeBy), rows, "set", "lowest", "clear", "to spare", "±")
	wrap(w, "  ", "lowest: ideal string; clear: stiff string, no contact")
	if read {
		wrap(w, "  ", text.PlusMinus)
	}
	t.assumed(w)
}

// assumed lists what the notes rest on that nobody gave.
func (t playText) assumed(w io.Writer) {
	for i, x := range t.answer.Assumed {
		if i == 0 {
			fmt.Fprintf(w, "\n%s\n", text.PlayAssumedHead)
		}
		wrap(w, fmt.Sprintf("  %-17s ", x.Key), x.Says)
	}
}

// metal prints the least metal that makes every note clear.
func (t playText) metal(w io.Writer) {
	m := t.answer.LeastMetalClear
	switch {
	case len(m.Strings) == 0:
		return
	case !m.Feasible:
		fmt.Fprintf(w, "\nNo metal clears every note\n")
		for _, s := range m.Strings {
			if !s.Feasible {
				wrap(w, "  ", text.NoMetalOn(s))
			}
		}
		return
	case m.TotalRemoveMM.OrNaN() == 0:
		return
	}
	fmt.Fprintf(w, "\nLeast metal: %.3f%s mm in all, at most %.3f mm\n", m.TotalRemoveMM.OrNaN(), text.AboutMM(m.UTotalMM, 3), m.MaxRemoveMM.OrNaN())
	for _, s := range m.Strings {
		if len(s.Crowns) == 0 {
			continue
		}
		var parts []string
		for _, c := range s.Crowns {
			parts = append(parts, fmt.Sprintf("fret %d %.3f mm", c.Fret, c.RemoveMM))
		}
		wrap(w, fmt.Sprintf("  string %d  ", s.String), strings.Join(parts, ", "))
	}
	wrap(w, "  ", text.MetalCare)
}

// maxBends is how many bends that do not ring are listed.
const maxBends = 16

// bends lists the bends that strike or fret out.
func (t playText) bends(w io.Writer) {
	if t.answer.Bends == nil {
		return
	}
	n := map[play.BendVerdict]int{}
	for _, b := range t.answer.Bends {
		n[b.Verdict]++
	}
	if t.all {
		fmt.Fprintln(w)
	}
	fmt.Fprintln(w, text.Bends(n))
	shown := 0
	for _, verdict := range []play.BendVerdict{play.FretsOut, play.Strikes} {
		for _, b := range t.answer.Bends {
			if b.Verdict != verdict {
				continue
			}
			if shown++; shown <= maxBends {
				wrap(w, "  ", text.Bend(b))
			}
		}
	}
	if shown > maxBends {
		fmt.Fprintf(w, "  and %d more\n", shown-maxBends)
	}
}

// limits says what the model leaves out, in numbers where it has them.
func (t playText) limits(w io.Writer) {
	turn, sag := math.Inf(1), 0.0
	for _, s := range t.answer.Strings {
		if s.QuarterTurnMS > 0 {
			turn = math.Min(turn, s.QuarterTurnMS)
		}
		sag = math.Max(sag, s.SagMM)
	}
	fmt.Fprintln(w)
	wrap(w, "", text.PlayLimits(num.Some(turn), sag))
}
