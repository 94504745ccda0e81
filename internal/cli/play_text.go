package cli

import (
	"bufio"
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
}

// mostWorst is how many of the worst notes are listed.
const mostWorst = 12

func (t playText) print() error {
	w := bufio.NewWriter(t.out)
	t.head(w)
	t.worst(w)
	t.cures(w)
	t.notes(w)
	t.actions(w)
	t.metal(w)
	t.bends(w)
	t.limits(w)
	return w.Flush()
}

func (t playText) strong(s string) string {
	if t.colour {
		return "\x1b[1m" + s + "\x1b[0m"
	}
	return s
}

// count counts a touch's notes by verdict.
func (t playText) count(touch string) (n map[play.Verdict]int, all int) {
	n = map[play.Verdict]int{}
	for _, s := range t.answer.Strings {
		for _, note := range s.At(touch) {
			n[note.Verdict]++
			all++
		}
	}
	return n, all
}

func (t playText) head(w io.Writer) {
	a := t.answer
	fmt.Fprintf(w, "%s: %s\n", a.Neck, t.strong(text.PlayHead(t.count(a.JudgeBy))))
	var state []string
	if a.PerfectCrowns {
		state = append(state, "perfect crowns")
	}
	if a.AsPlanned {
		state = append(state, "as planned, after levelling")
	}
	if a.Capo > 0 {
		state = append(state, fmt.Sprintf("capo at fret %d", a.Capo))
	}
	if len(state) > 0 {
		fmt.Fprintf(w, "(%s)\n", strings.Join(state, "; "))
	}
	for _, touch := range t.touches {
		judge := ""
		if touch.Name == a.JudgeBy {
			judge = "; judged by this"
		}
		if n, all := t.count(touch.Name); all > 0 {
			wrap(w, "  ", fmt.Sprintf("%s (%s): %s%s", touch.Name, text.Touch(touch), text.Tally(n), judge))
		}
	}
	for _, x := range a.Warnings {
		wrap(w, "! ", x)
	}
	for i, x := range a.NotJudged {
		if i == 0 {
			fmt.Fprintf(w, "\nNot judged\n")
		}
		wrap(w, "  ", fmt.Sprintf("string %d, stops %s: %s", x.String, spans(x.Frets), x.Why))
	}
}

// worst lists the notes that touch, each with its cure.
func (t playText) worst(w io.Writer) {
	a := t.answer
	explained := true
	for i, x := range a.Worst {
		if i == 0 {
			fmt.Fprintf(w, "\nWorst first\n")
		}
		if i < mostWorst {
			at := ""
			if x.AtFret > 0 {
				at = fmt.Sprintf(" on fret %d, %.3f mm short", x.AtFret, x.ShortMM)
			}
			wrap(w, "  ", fmt.Sprintf("string %d, fret %d %s%s: %s", x.String, x.Fret, x.Verdict, at, x.Cure))
		}
		explained = explained && x.Explain
	}
	if more := len(a.Worst) - mostWorst; more > 0 {
		fmt.Fprintf(w, "  and %d more, see the map\n", more)
	}
	if len(a.Worst) > 0 && !explained {
		wrap(w, "  ", "Where no fret that is off explains a buzz, look next at the nut slot (open string only), the string between stop and nut (behind the finger), the saddle's slot, the rod, and loose hardware.")
	}
}

// cures lists what clears every note, each by itself.
func (t playText) cures(w io.Writer) {
	c := t.answer.Cures
	if c == nil {
		return
	}
	fmt.Fprintf(w, "\nTo clear every note at %q, each by itself\n", t.answer.JudgeBy)
	line := func(what string, v num.Opt, form string, none string) {
		words := none
		if mm, known := v.Get(); known {
			words = fmt.Sprintf(form, mm)
		}
		fmt.Fprintf(w, "  %-8s %s\n", what, words)
	}
	up := func(v num.Opt) num.Opt {
		mm := v.OrNaN()
		return num.Some(math.Copysign(roundUp(math.Abs(mm)), mm))
	}
	line("action", up(c.RaiseActionMM), "raise the action of the string that needs most by %.2f mm", "no action is high enough")
	line("relief", up(c.ReliefMM), "%+.2f mm of it", "no relief does it")
	line("nut", up(c.RaiseNutMM), "raise by %.2f mm", "no nut height does it")
	line("metal", c.MetalMM, "take %.3f mm off in all, see below", "some crown would go too low")
	if len(c.Refit) > 0 {
		wrap(w, "  refit    ", fmt.Sprintf("one of fret %s, to its proper height", spans(c.Refit)))
	} else {
		fmt.Fprintf(w, "  refit    no single fret does it\n")
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
	fmt.Fprintf(w, "\nEvery note at %q (. clear, g grazes, B buzzes, X chokes)\n", t.answer.JudgeBy)
	for from := 0; from < len(frets); from += perMap {
		t.band(w, frets[from:min(from+perMap, len(frets))])
	}
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
	fmt.Fprintf(w, "\nAction at %q, mm (lowest: ideal string; clear: stiff string, no contact)\n", t.answer.JudgeBy)
	rows := [][]string{{"string", "pitch", "tension N", "set", "lowest", "clear", "to spare"}}
	for _, s := range t.answer.Strings {
		row := []string{fmt.Sprint(s.String), s.Pitch, fmt.Sprintf("%.1f", s.TensionN), fmt.Sprintf("%.2f", s.ActionMM), "-", "-", "-"}
		if s.LowestActionMM.Known() {
			row[4] = fmt.Sprintf("%.2f", roundUp(s.LowestActionMM.OrNaN()))
		}
		if s.LowestClearActionMM.Known() {
			row[5] = fmt.Sprintf("%.2f", roundUp(s.LowestClearActionMM.OrNaN()))
			row[6] = fmt.Sprintf("%+.2f", s.ActionMM-roundUp(s.LowestClearActionMM.OrNaN())+0)
		}
		rows = append(rows, row)
	}
	table(w, rows)
	for _, s := range t.answer.Strings {
		if s.CoreTaken {
			wrap(w, "  ", "A wound string without core in the neck file is taken to have one of 0.25 mm + 0.13 × gauge; give core, tension or mass for a better figure.")
			break
		}
	}
}

// roundUp rounds an action up to 0.01 mm, so that what is read off is enough.
func roundUp(mm float64) float64 { return math.Ceil(mm*100-1e-6) / 100 }

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
				wrap(w, "  ", fmt.Sprintf("string %d: %s; raise the action, or refit", s.String, s.Why))
			}
		}
		return
	case m.TotalRemoveMM.OrNaN() == 0:
		return
	}
	fmt.Fprintf(w, "\nLeast metal that clears every note: %.3f mm in all, at most %.3f mm\n", m.TotalRemoveMM.OrNaN(), m.MaxRemoveMM.OrNaN())
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
	wrap(w, "  ", "Nut and saddle stay where they are. Nickel dust and filings: extraction, no bare hands to the eyes, and follow the wire's and the local rules.")
}

// mostBends is how many bends that do not ring are listed.
const mostBends = 16

// bends lists the bends that strike or fret out.
func (t playText) bends(w io.Writer) {
	if t.answer.Bends == nil {
		return
	}
	n := map[string]int{}
	for _, b := range t.answer.Bends {
		n[b.Verdict]++
	}
	fmt.Fprintf(w, "\nBends: %d clear, %d strike a fret, %d fret out, %d need more board\n", n["clear"], n["strikes"], n["frets out"], n["off the board"])
	shown := 0
	for _, verdict := range []string{"frets out", "strikes"} {
		for _, b := range t.answer.Bends {
			if b.Verdict != verdict {
				continue
			}
			if shown++; shown <= mostBends {
				wrap(w, "  ", bendWords(b))
			}
		}
	}
	if shown > mostBends {
		fmt.Fprintf(w, "  and %d more\n", shown-mostBends)
	}
}

func bendWords(b answer.PlayBend) string {
	side := "on the centre line"
	if b.AcrossMM.OrNaN() != 0 {
		side = fmt.Sprintf("%.0f mm to the %s side", math.Abs(b.AcrossMM.OrNaN()), map[bool]string{true: "treble", false: "bass"}[b.AcrossMM.OrNaN() > 0])
	}
	save := ""
	switch {
	case b.SaveFlat:
		save = "a flat board or "
	case b.SaveRadiusMM.Known():
		save = fmt.Sprintf("a radius of %.0f mm at the stop or ", math.Ceil(b.SaveRadiusMM.OrNaN()))
	}
	return fmt.Sprintf("string %d, fret %d, pushed %.1f mm: %s at fret %d, %s; saved by %s%.2f mm more fall-away there",
		b.String, b.Fret, b.PushMM, b.Verdict, *b.NearestFret, side, save, roundUp(b.SaveFallMM.OrNaN()))
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
	words := "Left out: the plane of the pluck turning late in the note"
	if !math.IsInf(turn, 1) {
		words += fmt.Sprintf(" (by tension alone a quarter takes %.0f s or more; unequal ends turn it sooner)", turn/1000)
	}
	words += fmt.Sprintf("; the finger's damping and the body's motion; the sag of strings on a neck that lies flat (up to %.2f mm). A graze is a contact with less impulse than setup.graze, this program's own measure, not a limit of hearing.", sag)
	fmt.Fprintln(w)
	wrap(w, "", words)
}
