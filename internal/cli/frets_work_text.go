package cli

import (
	"fmt"
	"io"
	"slices"

	"ringtrue/internal/answer"
	"ringtrue/internal/level"
	"ringtrue/internal/text"
)

// work lists what to do now, in the order of the bench: what is wrong with the
// neck as a whole, what to read again, frets to press or replace, what to file.
func (t fretsText) work(w io.Writer) {
	a, s := t.answer, &steps{w: w}
	t.hand(w)
	for i, f := range a.Findings {
		if i == 0 {
			s.step("See to the whole neck first")
		}
		s.detail(wholeTold(f))
	}
	for i, r := range a.Recheck {
		if i == 0 {
			s.step("Read again (they disagree with the rest)")
		}
		s.detail(fmt.Sprintf("fret %d, lane %g (%s, line %d): reads %.3f mm, expected %.3f mm; %s", r.Fret, r.Lane, r.Method, r.Line, r.ReadingMM, r.ExpectedMM, r.Why))
	}
	t.frets(s)
	t.file(s)
	if len(a.Frets) == 0 && len(a.Lanes) > 0 {
		fmt.Fprintf(w, "\nNo fret is off by itself.\n")
	}
}

// frets lists the frets that are off: first those that are pressed, glued or
// replaced before any file.
func (t fretsText) frets(s *steps) {
	var pressed []int
	if work := t.answer.Work; work != nil {
		for i, f := range work.First {
			if f.OrFile {
				pressed = append(pressed, f.Fret)
			}
			if i == 0 {
				s.step("Press, glue or replace these frets before filing")
			}
			wrap(s.w, fmt.Sprintf("     %2d  ", f.Fret), text.WithStory(f.Why, f.History.Story()))
		}
	}
	if len(pressed) > 0 {
		s.detail(fmt.Sprintf("if no gap shows under one, it is seated: add --seated %s to file it", commas(pressed)))
	}
	for i, f := range t.others() {
		if i == 0 {
			s.step("Look at these frets")
		}
		wrap(s.w, fmt.Sprintf("     %2d  ", f.Fret), fretTold(f, func(words, advice string) string { return words + ": " + advice }))
	}
}

// others are the frets that are off but for those to be seen to first.
func (t fretsText) others() []answer.FretFinding {
	return slices.DeleteFunc(slices.Clone(t.answer.Frets), func(f answer.FretFinding) bool {
		work := t.answer.Work
		return work != nil && slices.ContainsFunc(work.First, func(x answer.WorkFirst) bool { return x.Fret == f.Fret })
	})
}

// file says what to file, or why nothing yet.
func (t fretsText) file(s *steps) {
	a := t.answer
	switch {
	case a.WhyNot != "":
		s.step("File nothing yet. " + a.WhyNot)
		return
	case a.Work == nil:
		return
	case len(a.Work.Crowns) == 0 && len(a.Work.First) == 0:
		fmt.Fprintf(s.w, "\nNothing to take off.\n")
		return
	case len(a.Work.Crowns) == 0:
		s.step(text.FileLater)
		return
	}
	k := a.Work
	what := fmt.Sprintf("what the table below lists: %.3f mm over %d crowns, at most %.3f mm; lowest crown left %.2f mm, about %.0f min",
		k.TotalRemoveMM, len(k.Crowns), k.MaxRemoveMM, k.LeastCrownMM, k.Minutes.OrNaN())
	if t.moves(s); len(k.Moves) > 0 {
		s.detail("That takes off about " + what)
	} else {
		s.step("Take off " + what)
	}
	s.detail(text.Planned(k.Filing, a.ZoneLimitMM))
	if c := t.largest(); c != nil {
		s.detail(fmt.Sprintf("flat to look for: %.2f mm wide where you take off %.3f mm (fret %d, lane %g)", c.LandMM, c.RemoveMM, c.Fret, c.Lane))
	}
	for _, warning := range k.Warnings {
		wrap(s.w, "   ! ", warning)
	}
	s.detail(text.FilingCare)
	s.step("Crown, polish, read again with --after")
}

// moves lists what a hand does, move by move.
func (t fretsText) moves(s *steps) {
	beam := false
	for _, m := range t.answer.Work.Moves {
		s.step(text.Move(m))
		if ends := text.MoveEnds(m); ends != "" {
			s.detail(ends)
			beam = true
		}
		if strokes := text.MoveStrokes(m); strokes != "" {
			s.detail(strokes)
		}
	}
	if beam {
		s.detail(text.BeamCare)
	}
}

// hand says what the hand did otherwise than planned.
func (t fretsText) hand(w io.Writer) {
	a := t.after
	if a == nil {
		return
	}
	for i, c := range a.FiledByMistake {
		if i == 0 {
			fmt.Fprintf(w, "\nFiled by mistake\n")
		}
		wrap(w, "  ", text.TakenUnplanned(c))
	}
	deeds(w, "Still proud", a.Proud)
	deeds(w, "Filed beyond the plan", a.Beyond)
}

func deeds(w io.Writer, heading string, list []level.Deed) {
	for i, c := range list {
		if i == 0 {
			fmt.Fprintf(w, "\n%s\n", heading)
		}
		wrap(w, "  ", text.TakenOtherwise(c))
	}
}

// takeOff prints what to take off, crown by crown, and what refitting saves.
func (t fretsText) takeOff(w io.Writer) {
	k := t.answer.Work
	if k == nil || len(k.Crowns) == 0 {
		return
	}
	instead := ""
	if len(k.Moves) > 0 {
		instead = ", instead of the moves" // who does both files twice
	}
	fmt.Fprintf(w, "\nTake off in %s%s (- nothing)\n", t.unit.name, instead)
	t.removals(w)
	if len(k.Options) < 2 {
		return
	}
	fmt.Fprintf(w, "\nOr lift and refit, to the same zone\n")
	rows := [][]string{{"refit", "total mm", "at most mm", "crown left mm", "levellings left", "cost"}}
	for _, o := range k.Options {
		refit := "none"
		if len(o.Refit) > 0 {
			refit = spans(o.Refit)
		}
		left := "-"
		if o.Levellings != nil {
			if left = fmt.Sprint(*o.Levellings); *o.Levellings > 99 {
				left = "over 99"
			}
		}
		cost := o.Cost
		if minutes, known := o.Minutes.Get(); known {
			cost += fmt.Sprintf(", %.0f min", minutes)
		}
		rows = append(rows, []string{refit, fmt.Sprintf("%.3f", o.TotalRemoveMM), fmt.Sprintf("%.3f", o.MaxRemoveMM), fmt.Sprintf("%.2f", o.LeastCrownMM), left, cost})
	}
	table(w, rows)
}

// removals is the table of what comes off.
func (t fretsText) removals(w io.Writer) {
	remove := map[int]map[float64]string{}
	for _, c := range t.answer.Work.Crowns {
		put(remove, c.Fret, c.Lane, t.unit.plain(c.RemoveMM))
	}
	t.grid(w, remove, "-")
}

// largest is the crown that loses most.
func (t fretsText) largest() *answer.PlanCrown {
	var most *answer.PlanCrown
	for i, c := range t.answer.Work.Crowns {
		if most == nil || c.RemoveMM > most.RemoveMM {
			most = &t.answer.Work.Crowns[i]
		}
	}
	return most
}
