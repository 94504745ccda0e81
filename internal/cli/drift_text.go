package cli

import (
	"bufio"
	"fmt"
	"io"
	"sort"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/drift"
)

// mostSignals is how many signals a listing names; JSON has all.
const mostSignals = 15

// driftText prints the answer of `drift` for a person: the verdict, the chart,
// what to look at, and what that is worth.
type driftText struct {
	out    io.Writer
	name   string
	answer *answer.DriftAnswer
	colour bool
}

func (t driftText) print() error {
	w := bufio.NewWriter(t.out)
	t.verdict(w)
	t.changes(w)
	printPlot(w, &t.answer.ChartAnswer, t.answer.Digits())
	fmt.Fprintln(w, "  o a point, X one that signals, - the limits, . the centre")
	t.figures(w)
	t.signals(w)
	t.worth(w)
	t.capability(w)
	t.parts(w)
	for _, words := range t.answer.Warnings {
		wrap(w, "! ", words)
	}
	return w.Flush()
}

func (t driftText) verdict(w io.Writer) {
	a := t.answer
	word := "STEADY"
	if !a.Steady {
		word = "NOT STEADY"
	}
	if t.colour {
		word = "\x1b[1m" + word + "\x1b[0m"
	}
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
	what := fmt.Sprintf("%d values, chart of %s", a.Values, a.Chart)
	switch a.Chart {
	case "means":
		what = fmt.Sprintf("%d values in %d groups, chart of their means", a.Values, len(a.Groups))
	case "proportion":
		what = fmt.Sprintf("%d counts, chart of the share of faulty ones", a.Values)
	case "count":
		what = fmt.Sprintf("%d counts, chart of how many", a.Values)
	}
	wrap(w, "", fmt.Sprintf("%s; %d %s of the level, %d %s to look at", what, len(a.Shifts), plural(len(a.Shifts), "step"), t.answer.Flagged(), plural(t.answer.Flagged(), "point")))
	fmt.Fprintln(w)
}

// chartSignals are the signals of one chart, by index.
type chartSignals struct {
	chart   drift.Kind
	signals answer.Signals
}

// charts returns the signals of every chart.
func (t driftText) charts() []chartSignals {
	a := t.answer
	list := []chartSignals{{a.Chart, a.Signals}}
	if a.Spread != nil {
		list = append(list, chartSignals{a.Spread.Chart, a.Spread.Signals})
	}
	if a.EWMA != nil {
		list = append(list, chartSignals{a.EWMA.Chart, a.EWMA.Signals})
	}
	if a.CUSUM != nil {
		list = append(list, chartSignals{drift.KindCUSUM, a.CUSUM.Signals})
	}
	return list
}

func (t driftText) number(v float64) string { return fmt.Sprintf("%.*f", t.answer.Digits(), v+0) }

func (t driftText) size(v float64) string {
	if t.answer.Unit == "" || t.answer.Chart == "proportion" {
		return t.number(v)
	}
	return t.number(v) + " " + t.answer.Unit
}

// lower is a chart's lower limit, "none" where the values cannot go there.
func (t driftText) lower(c answer.ChartAnswer) string {
	if c.NoLower {
		return "none"
	}
	return t.number(c.Lower)
}

// figures prints centre, limits and scatter of each chart.
func (t driftText) figures(w io.Writer) {
	a := t.answer
	fmt.Fprintln(w)
	rows := [][]string{{"chart", "centre", "lower", "upper", "sigma", "signals"}}
	add := func(c answer.ChartAnswer) {
		rows = append(rows, []string{string(c.Chart), t.number(c.Centre), t.lower(c), t.number(c.Upper), t.number(c.Sigma), fmt.Sprint(c.Signals.Len())})
	}
	add(a.ChartAnswer)
	if a.Spread != nil {
		add(*a.Spread)
	}
	if a.EWMA != nil {
		add(a.EWMA.ChartAnswer)
	}
	if c := a.CUSUM; c != nil {
		rows = append(rows, []string{"cusum", t.number(c.Target), "-", t.number(c.Limit), t.number(c.Sigma), fmt.Sprint(c.Signals.Len())})
	}
	table(w, rows)
	wrap(w, "  ", sigmaWords)
	if a.LowerPoints != nil {
		wrap(w, "  ", "limits differ from point to point; these are the last point's")
	}
}

// stretch is a run of neighbouring points that signal on one chart by one rule.
type stretch struct {
	chart drift.Kind
	answer.SignalAnswer
	last int
}

// stretches gathers the signals of every chart, by their first index.
func (t driftText) stretches() []stretch {
	var list []stretch
	for _, c := range t.charts() {
		open := map[string]int{} // the last stretch of a rule
		for _, s := range c.signals.All() {
			if i, ok := open[s.Rule]; ok && s.Index <= list[i].last+1 {
				list[i].last = s.Index
				continue
			}
			open[s.Rule] = len(list)
			list = append(list, stretch{c.chart, s, s.Index})
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
	fmt.Fprintln(w, "\nLook at")
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
		if i == mostSignals {
			break
		}
		what := s.Rule
		if s.chart != t.answer.Chart {
			what = string(s.chart) + ": " + what
		}
		if s.Since > 0 {
			what += fmt.Sprintf(", since %d", s.Since)
		}
		at := fmt.Sprint(s.Index)
		if s.last > s.Index {
			at += fmt.Sprintf("-%d", s.last)
		}
		rows = append(rows, row(at, clip(s.Label, 12), s.Date, t.number(s.Value), what))
	}
	table(w, rows)
	if more := len(all) - mostSignals; more > 0 {
		fmt.Fprintf(w, "  and %d more; --json lists all\n", more)
		all = all[:mostSignals]
	}
	t.rules(w, all)
	if len(t.answer.Shifts) > 0 {
		wrap(w, "  ", levelsWords)
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
	fmt.Fprintln(w, "Steps of the level: what changed, and since when")
	for i, c := range t.answer.Shifts {
		if i == mostSignals {
			fmt.Fprintf(w, "  and %d more; --json lists all\n", len(t.answer.Shifts)-i)
			break
		}
		wrap(w, "  ", t.step(c))
	}
	wrap(w, "  ", stepsWords)
	fmt.Fprintln(w)
}

// probability prints a small chance.
func probability(p float64) string {
	if p < 0.001 {
		return "below 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}

// worth says what signals are worth: how many come without cause.
func (t driftText) worth(w io.Writer) {
	fmt.Fprintln(w, "\nWhat a signal is worth: while nothing changes, a false one comes")
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
	wrap(w, "  ", alarmWords)
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
	wanted := ""
	if v, known := c.Spec.Lower.Get(); known {
		wanted += " at least " + t.size(v)
	}
	if v, known := c.Spec.Upper.Get(); known {
		if wanted != "" {
			wanted += ","
		}
		wanted += " at most " + t.size(v)
	}
	fmt.Fprintf(w, "\nCapability: wanted are%s\n", wanted)
	rows := [][]string{{"index", "value", fmt.Sprintf("%.0f %% limits", 100*c.Confidence)}}
	words := []string{"at 1 the scatter just fits into what is wanted, under 1 it does not"}
	for _, i := range []struct {
		name  string
		index *drift.Index
	}{{"Cp", c.Cp}, {"Cpk", c.Cpk}, {"Cpm", c.Cpm}, {"Ppk", c.Ppk}} {
		if i.index != nil {
			rows = append(rows, []string{i.name, fmt.Sprintf("%.2f", i.index.Value), fmt.Sprintf("%.2f - %.2f", i.index.Lower, i.index.Upper)})
			words = append(words, indexWords(i.name))
		}
	}
	table(w, rows)
	wrap(w, "  ", strings.Join(words, "; "))
	wrap(w, "  ", fmt.Sprintf("%d of %d values lie outside; of a steady process like this %s %% would", c.Outside, t.answer.Values, share(c.ExpectedOutsidePct)))
}

// share prints a percentage that may be very small.
func share(pct float64) string {
	if pct < 0.001 {
		return "under 0.001"
	}
	return fmt.Sprintf("%.2g", pct)
}

func (t driftText) parts(w io.Writer) {
	a := t.answer
	if len(a.Parts) == 0 {
		return
	}
	fmt.Fprintf(w, "\nBy %s\n", a.By)
	rows := [][]string{{a.By, "values", "centre", "sigma", "signals", "steps", "verdict"}}
	for _, p := range a.Parts {
		tag := tagOrNone(p.Tag)
		if p.Answer == nil {
			rows = append(rows, []string{clip(tag, 20), "-", "-", "-", "-", "-", p.Why})
			continue
		}
		verdict := "steady"
		if !p.Answer.Steady {
			verdict = "not steady"
		}
		rows = append(rows, []string{clip(tag, 20), fmt.Sprint(p.Answer.Values), t.number(p.Answer.Centre), t.number(p.Answer.Sigma),
			fmt.Sprint(driftText{answer: p.Answer}.answer.Flagged()), fmt.Sprint(len(p.Answer.Shifts)), verdict})
	}
	table(w, rows)
	t.partsDiffer(w)
	t.partCharts(w)
}

// mostPartCharts is how many parts get a chart of their own in the text.
const mostPartCharts = 4

// partCharts draws each part's own chart.
func (t driftText) partCharts(w io.Writer) {
	drawn := 0
	for _, p := range t.answer.Parts {
		if p.Answer == nil {
			continue
		}
		if drawn++; drawn > mostPartCharts {
			fmt.Fprintf(w, "\n  the first %d are charted; --json has all, --tag one\n", mostPartCharts)
			return
		}
		fmt.Fprintf(w, "\n%s %s: %d values\n", t.answer.By, tagOrNone(p.Tag), p.Answer.Values)
		printPlot(w, &p.Answer.ChartAnswer, t.answer.Digits())
	}
}

func tagOrNone(tag string) string {
	if tag == "" {
		return "(none)"
	}
	return tag
}
