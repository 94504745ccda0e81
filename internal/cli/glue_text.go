package cli

import (
	"fmt"
	"io"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
)

// glueText prints the answer of `glue` for a person: how long to wait and what to
// do first, the tables only where all is asked for.
type glueText struct {
	out    io.Writer
	answer *answer.WaitAnswer
	all    bool
}

func (t glueText) print() {
	w, a := t.out, t.answer
	fmt.Fprintf(w, "%s: %s\n", a.Neck, a.Headline)
	wrap(w, "", a.WhyWords)
	with := a.KindName
	if a.Activator {
		with += " with activator"
	}
	with = fmt.Sprintf("%s, %s, %.0f °C, %.0f %% humidity", with, a.Board, a.TempC, a.HumidityPct)
	if words := text.GlueAssumed(a.Assumed); words != "" {
		with += " (" + words + ")"
	}
	wrap(w, "", with)
	for _, g := range a.Gaps {
		if t.all || g.RangeS != nil {
			wrap(w, "", g.Words)
		}
	}
	for i, x := range a.Do {
		wrap(w, fmt.Sprintf("%d. ", i+1), x)
	}
	for _, x := range a.Warnings {
		wrap(w, "! ", x)
	}
	if !t.all {
		wrap(w, "", text.GlueCare)
		return
	}
	t.factors(w)
	t.test(w)
	section(w, "Notes", a.Notes)
	section(w, "Caution", a.Cautions)
}

// factors is the table of what the air and the wood make of the published times.
func (t glueText) factors(w io.Writer) {
	if len(t.answer.Factors) == 0 {
		return
	}
	fmt.Fprintln(w, "\nWhat multiplies the times to handling strength")
	rows := [][]string{{"times", "from", "to", "for"}}
	for _, f := range t.answer.Factors {
		rows = append(rows, []string{mm2(f.Likely), mm2(f.Range.Low), mm2(f.Range.High), f.Of})
	}
	table(w, rows)
	for _, g := range t.answer.Gaps {
		if s, ok := g.PublishedS.Get(); ok {
			wrap(w, "  ", fmt.Sprintf("published for %.2f mm: %s", g.MM, seconds(s)))
		}
	}
}

// test is the table of the shop's own test.
func (t glueText) test(w io.Writer) {
	x := t.answer.Test
	if x == nil {
		return
	}
	fmt.Fprintln(w, "\nYour test")
	wrap(w, "  ", x.Words)
	rows := [][]string{{"minutes", "force N", "curve N"}}
	for i, p := range x.Pushed {
		curve := "-"
		if i < len(x.Curve) {
			curve = fmt.Sprintf("%.0f", x.Curve[i])
		}
		rows = append(rows, []string{fmt.Sprintf("%g", p.Minutes), fmt.Sprintf("%.0f", p.ForceN), curve})
	}
	table(w, rows)
}
