package cli

import (
	"fmt"
	"io"
	"sort"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/drift"
	"ringtrue/internal/text"
)

// maxSignals is how many signals a listing names; JSON has all.
const maxSignals = 15

// driftText prints the answer of `drift` for a person: the verdict, the chart,
// what to look at, and what that is worth.
type driftText struct {
	out    io.Writer
	name   string
	answer *answer.DriftAnswer
	colour bool
	all    bool
}

func (t driftText) print() {
	w := t.out
	t.verdict(w)
	if !t.all {
		t.short(w)
		return
	}
	fmt.Fprintln(w)
	t.changes(w)
	printPlot(w, &t.answer.Chart, t.answer.Digits())
	fmt.Fprintln(w, "  o a point, X one that signals, - the limits, . the centre")
	t.figures(w)
	t.signals(w)
	t.worth(w)
	t.capability(w)
	t.parts(w)
	for _, words := range t.answer.Warnings {
		wrap(w, "! ", words)
	}
}

func (t driftText) verdict(w io.Writer) {
	a := t.answer
	word := "STEADY"
	if !a.Steady {
		word = "NOT STEADY"
	}
	word = strong(t.colour, word)
	of := t.name
	if a.Of != "" {
		of = a.Of
	}
	if a.Unit != "" {
		of += ", " + a.Unit
	}
	if a.Stage != "" {
		of += ", " + a.Stage
	}
	fmt.Fprintf(w, "%s: %s\n", of, word)
	wrap(w, "", text.DriftCounts(a.Values, len(a.Shifts), a.Charts))
}

// short says after the verdict where the level moved and what to look at.
func (t driftText) short(w io.Writer) {
	a, s := t.answer, &steps{w: w, short: true}
	if c := a.Capability; c != nil {
		wrap(w, "", text.DriftOutside(c, a.Values))
	}
	if a.PartsDiffer != nil {
		wrap(w, "", text.DriftPartsShort(a.Kind, a.By, a.PartsDiffer))
	}
	lines(w, "! ", a.Warnings)
	for i, c := range a.Shifts {
		if i == 0 {
			s.step(text.DriftSteps)
		}
		if i == maxSignals {
			s.detail(fmt.Sprintf("and %d more", len(a.Shifts)-i))
			break
		}
		c.Label = clip(c.Label, 16)
		s.detail(text.DriftStepShort(c, a.Sizes()))
	}
	if points := t.points(); points != "" {
		s.step(text.LookAtPoints(points))
	}
}

// maxPoints is how many runs of points a short listing names.
const maxPoints = 12

// points names the points that signal on any chart.
func (t driftText) points() string {
	signals := make([]bool, t.answer.Values+2)
	for _, c := range t.answer.All() {
		for _, s := range c.Signals {
			signals[s.Index] = true
		}
	}
	var named []int // of the runs that are
	runs := 0       // as spans counts them: two in a row are two
	for from := 1; from < len(signals); from++ {
		to := from
		for to < len(signals) && signals[to] {
			to++
		}
		if to == from+2 {
			to--
		}
		if to > from {
			if runs++; runs <= maxPoints {
				for i := from; i < to; i++ {
					named = append(named, i)
				}
			}
			from = to - 1
		}
	}
	if runs > maxPoints {
		return fmt.Sprintf("%s and %d more", spans(named), runs-maxPoints)
	}
	return spans(named)
}

// figures prints centre, limits and scatter of each chart.
func (t driftText) figures(w io.Writer) {
	a, n := t.answer, t.answer.Sizes().Number
	fmt.Fprintln(w)
	rows := [][]string{{"chart", "centre", "lower", "upper", "sigma", "signals"}}
	for _, c := range a.All() {
		lower := n(c.Lower)
		switch {
		case c.NoLower:
			lower = "none" // the values cannot go there
		case c.Kind == drift.KindCUSUM:
			lower = "-"
		}
		rows = append(rows, []string{string(c.Kind), n(c.Centre), lower, n(c.Upper), n(c.Sigma), fmt.Sprint(len(c.Signals))})
	}
	table(w, rows)
	wrap(w, "  ", text.DriftSigma)
	if a.Lowers != nil {
		wrap(w, "  ", text.DriftUneven)
	}
}

// stretch is a run of neighbouring points that signal on one chart by one rule.
type stretch struct {
	chart drift.Kind
	drift.Signal
	last int
}

// stretches gathers the signals of every chart, by their first index.
func (t driftText) stretches() []stretch {
	var list []stretch
	for _, c := range t.answer.All() {
		open := map[string]int{} // the last stretch of a rule
		for _, s := range c.Signals {
			if i, ok := open[s.Rule]; ok && s.Index <= list[i].last+1 {
				list[i].last = s.Index
				continue
			}
			open[s.Rule] = len(list)
			list = append(list, stretch{c.Kind, s, s.Index})
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].Index < list[j].Index })
	return list
}

func (t driftText) signals(w io.Writer) {
	all := t.stretches()
	if len(all) == 0 {
		return
	}
	fmt.Fprintln(w, "\nPoints to look at")
	labelled, dated := false, false
	for _, s := range all {
		labelled, dated = labelled || s.Label != "", dated || s.Date != ""
	}
	row := func(index, label, date, value, what string) []string {
		r := []string{index}
		if labelled {
			r = append(r, label)
		}
		if dated {
			r = append(r, date)
		}
		return append(r, value, what)
	}
	rows := [][]string{row("point", "label", "date", "value", "why")}
	for i, s := range all {
		if i == maxSignals {
			break
		}
		what := s.Rule
		if s.chart != t.answer.Kind {
			what = string(s.chart) + ": " + what
		}
		if s.Since > 0 {
			what += fmt.Sprintf(", since %d", s.Since)
		}
		at := fmt.Sprint(s.Index)
		if s.last > s.Index {
			at += fmt.Sprintf("-%d", s.last)
		}
		rows = append(rows, row(at, clip(s.Label, 12), s.Date, t.answer.Sizes().Number(s.Value), what))
	}
	table(w, rows)
	if more := len(all) - maxSignals; more > 0 {
		fmt.Fprintf(w, "  and %d more; --json lists all\n", more)
		all = all[:maxSignals]
	}
	told := map[string]bool{} // rules that are explained
	for _, s := range all {
		if words := text.DriftRule(s.Rule); words != "" && !told[s.Rule] {
			told[s.Rule] = true
			wrap(w, "  ", s.Rule+": "+words)
		}
	}
	if len(t.answer.Shifts) > 0 {
		wrap(w, "  ", text.DriftLevels)
	}
}

// clip shortens a label so that the listing keeps its width.
func clip(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}

func (t driftText) changes(w io.Writer) {
	if len(t.answer.Shifts) == 0 {
		return
	}
	fmt.Fprintln(w, "Shifts: what changed, and since when")
	for i, c := range t.answer.Shifts {
		if i == maxSignals {
			fmt.Fprintf(w, "  and %d more; --json lists all\n", len(t.answer.Shifts)-i)
			break
		}
		c.Label = clip(c.Label, 16)
		wrap(w, "  ", text.DriftStep(c, t.answer.Sizes()))
	}
	wrap(w, "  ", text.DriftSteps)
	fmt.Fprintln(w)
}

// worth says what signals are worth: how many come without cause.
func (t driftText) worth(w io.Writer) {
	fmt.Fprintln(w, "\nFalse alarms to expect while nothing changes")
	rows := [][]string{{"chart", "every", "expected", "chance of any", "here", "1 sigma found after"}}
	for _, f := range t.answer.FalseAlarms {
		row := []string{strings.TrimPrefix(string(f.Chart), "standard "), "-", "-", "-", fmt.Sprint(f.Separate), "-"}
		if every, known := f.PointsPerAlarm.Get(); known {
			row[1], row[2] = fmt.Sprintf("%.0f points", every), few(f.Expected.Or(0))
			row[3] = fmt.Sprintf("%.0f %%", 100*f.ChanceOfAny.Or(0))
		} else if f.Expected.Known() {
			row[1], row[2], row[3] = "never", "0", "0 %"
		}
		if points, known := f.ShiftFound.Get(); known {
			row[5] = fmt.Sprintf("%.0f points", points)
		}
		rows = append(rows, row)
	}
	table(w, rows)
	wrap(w, "  ", text.DriftAlarms)
}

// few prints a small expected number.
func few(v float64) string {
	if v < 10 {
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}

func (t driftText) capability(w io.Writer) {
	c := t.answer.Capability
	if c == nil {
		return
	}
	fmt.Fprintf(w, "\nCapability for limits of%s\n", text.DriftWanted(c.Spec, t.answer.Sizes()))
	rows := [][]string{{"index", "value", fmt.Sprintf("%.0f %% limits", 100*c.Confidence)}}
	words := []string{text.DriftIndices}
	for _, i := range []struct {
		name  string
		index *drift.Index
	}{{"Cp", c.Cp}, {"Cpk", c.Cpk}, {"Cpm", c.Cpm}, {"Ppk", c.Ppk}} {
		if i.index != nil {
			rows = append(rows, []string{i.name, fmt.Sprintf("%.2f", i.index.Value), fmt.Sprintf("%.2f - %.2f", i.index.Lower, i.index.Upper)})
			words = append(words, text.DriftIndex(i.name))
		}
	}
	table(w, rows)
	wrap(w, "  ", strings.Join(words, ". "))
	wrap(w, "  ", text.DriftOutside(c, t.answer.Values))
}

func (t driftText) parts(w io.Writer) {
	a, n := t.answer, t.answer.Sizes().Number
	if len(a.Parts) == 0 {
		return
	}
	fmt.Fprintf(w, "\nBy %s\n", a.By)
	rows := [][]string{{a.By, "values", "centre", "sigma", "signals", "shifts", "verdict"}}
	for _, p := range a.Parts {
		tag := text.TagValue(p.Tag)
		if p.Answer == nil {
			rows = append(rows, []string{clip(tag, 20), "-", "-", "-", "-", "-", p.Why})
			continue
		}
		verdict := "steady"
		if !p.Answer.Steady {
			verdict = "not steady"
		}
		rows = append(rows, []string{clip(tag, 20), fmt.Sprint(p.Answer.Values), n(p.Answer.Centre), n(p.Answer.Sigma),
			fmt.Sprint(p.Answer.Flagged()), fmt.Sprint(len(p.Answer.Shifts)), verdict})
	}
	table(w, rows)
	if a.PartsDiffer != nil {
		wrap(w, "  ", text.DriftParts(a.Kind, a.PartsDiffer))
	}
	t.partCharts(w)
}

// maxPartCharts is how many parts get a chart of their own in the text.
const maxPartCharts = 4

// partCharts draws each part's own chart.
func (t driftText) partCharts(w io.Writer) {
	drawn := 0
	for _, p := range t.answer.Parts {
		if p.Answer == nil {
			continue
		}
		if drawn++; drawn > maxPartCharts {
			fmt.Fprintf(w, "\n  only the first %d are charted; --json has all, --tag shows one\n", maxPartCharts)
			return
		}
		fmt.Fprintf(w, "\n%s %s: %d values\n", t.answer.By, text.TagValue(p.Tag), p.Answer.Values)
		printPlot(w, &p.Answer.Chart, t.answer.Digits())
	}
}
