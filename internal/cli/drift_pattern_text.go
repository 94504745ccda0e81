package cli

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/drift"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
)

// maxPatternLanes is how many lanes a line of the listing holds.
const maxPatternLanes = 9

// patternText prints what many necks have in common: the sentences, then the
// tables behind them.
type patternText struct {
	out    io.Writer
	answer *answer.PatternAnswer
	colour bool
	all    bool
}

func (t patternText) print() {
	w := t.out
	a := t.answer
	head := fmt.Sprintf("%d necks", a.Necks)
	head = strong(t.colour, head)
	fmt.Fprintf(w, "Pattern of %s, %s, %s to %s\n", head, a.Stage, a.From, a.To)
	if t.all {
		fmt.Fprintln(w)
	}
	if len(a.Findings) == 0 {
		fmt.Fprintln(w, text.NoPattern)
	}
	for i, f := range a.Findings {
		if i == maxSignals {
			fmt.Fprintf(w, "  and %d more; --json lists all\n", len(a.Findings)-i)
			break
		}
		wrap(w, "- ", f)
	}
	if !t.all {
		t.short(w)
		return
	}
	t.steps(w)
	t.table(w, a.PatternPart)
	wrap(w, "  ", text.PatternUnits)
	wrap(w, "  ", text.PatternMarks(a.Pattern, a.Confidence))
	t.parts(w)
	for _, words := range a.Warnings {
		wrap(w, "! ", words)
	}
}

// short ends the listing after the findings.
func (t patternText) short(w io.Writer) {
	a := t.answer
	var differ []int
	for _, d := range a.Differ {
		if d.Differs {
			differ = append(differ, d.Fret)
		}
	}
	if len(differ) > 0 {
		wrap(w, "- ", fmt.Sprintf("by %s, frets differ by more than chance: %s", a.By, spans(differ)))
	}
	lines(w, "! ", a.Warnings)
	if slices.ContainsFunc(a.Frets, func(f drift.FretLevel) bool { return len(f.Shifts) > 0 }) {
		(&steps{w: w, short: true}).step(text.DriftSteps)
	}
}

// table prints mean and scatter of each fret, and each crown's mean.
func (t patternText) table(w io.Writer, p drift.PatternPart) {
	lanes := slices.Clone(p.Lanes[:min(len(p.Lanes), maxPatternLanes)])
	slices.Reverse(lanes) // the bass side left, as the neck lies
	if len(lanes) < len(p.Lanes) {
		fmt.Fprintf(w, "\n  (only the first %d of %d lanes; --json has all)", len(lanes), len(p.Lanes))
	}
	crowns := map[[2]float64]drift.CrownLevel{}
	for _, c := range p.Crowns {
		crowns[[2]float64{float64(c.Fret), c.Lane}] = c
	}
	head := []string{"fret", "mean ", "scatter"}
	for _, l := range lanes {
		head = append(head, fmt.Sprintf("lane %g ", l))
	}
	rows := [][]string{head}
	for _, f := range p.Frets {
		row := []string{fmt.Sprint(f.Fret), micrometres(f.Mean, true) + sideMark(f.Standing), micrometres(f.SD, false)}
		for _, l := range lanes {
			c, ok := crowns[[2]float64{float64(f.Fret), l}]
			if !ok {
				row = append(row, "- ")
				continue
			}
			row = append(row, micrometres(c.Mean, true)+sideMark(c.Standing))
		}
		rows = append(rows, row)
	}
	lengthTable(w, "\nHeights in µm over each lane's own line", rows, head[1:]...)
}

func sideMark(verdict drift.Standing) string {
	switch verdict {
	case drift.High:
		return "^"
	case drift.Low:
		return "v"
	}
	return " "
}

// micrometres prints a height to a tenth of a micrometre.
func micrometres(of num.Opt, sign bool) string {
	mm, known := of.Get()
	if !known {
		return "-"
	}
	v := math.Round(1e4*mm)/10 + 0
	if sign && v != 0 {
		return fmt.Sprintf("%+.1f", v)
	}
	return fmt.Sprintf("%.1f", v)
}

// steps lists every step in time.
func (t patternText) steps(w io.Writer) {
	rows := [][]string{{"fret", "since neck", "between", "from µm", "to µm", "p", "with"}}
	for _, f := range t.answer.Frets {
		for _, s := range f.Shifts {
			var with []string
			for _, c := range s.With {
				with = append(with, c.Tag+"="+c.Value)
			}
			between := s.FromDate + "/" + s.ToDate
			if s.FromDate == s.ToDate {
				between = s.FromDate
			}
			rows = append(rows, []string{fmt.Sprint(f.Fret), clip(s.Label, 10), between, micrometres(num.Some(s.Before), true), micrometres(num.Some(s.After), true), shortP(s.P), clip(cmp.Or(strings.Join(with, ", "), "-"), 14)})
		}
	}
	if len(rows) == 1 {
		return
	}
	fmt.Fprintf(w, "\nShifts in time, dated with %.0f %% confidence\n", 100*t.answer.Confidence)
	more := len(rows) - 1 - 2*maxSignals
	table(w, rows[:min(len(rows), 1+2*maxSignals)])
	if more > 0 {
		fmt.Fprintf(w, "  and %d more; --json lists all\n", more)
	}
	wrap(w, "  ", text.PatternChance)
	wrap(w, "  ", text.PatternWith)
}

func shortP(p float64) string { return strings.Replace(text.Probability(p), "below ", "<", 1) }

// parts prints each part's fret means beside each other.
func (t patternText) parts(w io.Writer) {
	a := t.answer
	if len(a.Parts) == 0 {
		return
	}
	head := []string{"fret"}
	shown := a.Parts[:min(len(a.Parts), maxPatternLanes-2)]
	for _, p := range shown {
		head = append(head, clip(text.TagValue(p.Tag), 10)+" ")
	}
	head = append(head, "differ?")
	rows := [][]string{head}
	for _, f := range a.Frets {
		row := []string{fmt.Sprint(f.Fret)}
		for _, p := range shown {
			cell := "- "
			for _, pf := range p.Frets {
				if pf.Fret == f.Fret {
					cell = micrometres(pf.Mean, true) + sideMark(pf.Standing)
				}
			}
			row = append(row, cell)
		}
		word := "no"
		for _, d := range a.Differ {
			if d.Fret == f.Fret && d.Differs {
				word = "yes, p " + text.Probability(d.P)
			}
		}
		rows = append(rows, append(row, word))
	}
	heading := fmt.Sprintf("\nBy %s: mean of each fret, µm", a.By)
	if inInches(w) {
		heading, rows = lengthsInInches(heading, rows, head[1:1+len(shown)])
	}
	fmt.Fprintln(w, heading)
	necks := []string{"necks"}
	for _, p := range shown {
		necks = append(necks, fmt.Sprint(p.Necks)+" ")
	}
	table(w, append(rows, append(necks, "")))
	if more := len(a.Parts) - len(shown); more > 0 {
		fmt.Fprintf(w, "  and %d more values of %s; --json has all\n", more, a.By)
	}
	wrap(w, "  ", text.PatternDiffer)
	for _, p := range a.Parts {
		if p.Why != "" {
			wrap(w, "! ", fmt.Sprintf("%s %s: %s", a.By, p.Tag, p.Why))
		}
	}
}
