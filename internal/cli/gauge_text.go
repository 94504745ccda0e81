package cli

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"

	"ringtrue/internal/answer"
)

// gaugeText prints the answer of `gauge` for a person: what the gauge can and
// cannot decide first, then the figures.
type gaugeText struct {
	out    io.Writer
	answer *answer.GaugeAnswer
	colour bool
}

func (t gaugeText) print() error {
	w := bufio.NewWriter(t.out)
	t.verdict(w)
	for _, words := range t.answer.Words {
		wrap(w, "- ", words)
	}
	for _, words := range t.answer.Warnings {
		wrap(w, "! ", words)
	}
	switch a := t.answer; {
	case a.CrossedAnswer != nil:
		t.crossed(w, a.CrossedAnswer)
	case a.NestedAnswer != nil:
		t.nested(w, a.NestedAnswer)
	case a.RepeatAnswer != nil:
		t.repeat(w, a.RepeatAnswer)
	case a.LinearityAnswer != nil:
		t.linearity(w, a.LinearityAnswer)
	}
	t.passes(w)
	return w.Flush()
}

// verdict says in a line what one reading is good for.
func (t gaugeText) verdict(w io.Writer) {
	a := t.answer
	word := ""
	if d := a.Decides; d != nil {
		one := d.AnyHand[0]
		switch {
		case one.LevelWithin == nil && d.PassesAnyHand == nil && d.PassesOneHand == nil:
			word = "TOO COARSE for a zone of " + t.zone()
		case one.LevelWithin == nil:
			word = "TOO COARSE in one pass for a zone of " + t.zone()
		case one.U > d.SharpU:
			word = "FAIR for a zone of " + t.zone()
		default:
			word = "SHARP ENOUGH for a zone of " + t.zone()
		}
		if one.LevelWithin != nil && d.UUpper != nil && *d.UUpper > d.LargestU {
			word += ", as far as so small a study can tell"
		}
		if t.colour {
			word = "\x1b[1m" + word + "\x1b[0m"
		}
		word = ": " + word
	}
	wrap(w, "", fmt.Sprintf("%s study, %d readings%s", a.Study, a.Readings, word))
}

// digits is how many decimals a length of the study deserves.
func (t gaugeText) digits() int {
	if t.answer.Unit == "in" {
		return 5
	}
	return 4
}

func (t gaugeText) number(v float64) string { return fmt.Sprintf("%.*f", t.digits(), v+0) }

func (t gaugeText) size(v float64) string { return t.number(v) + " " + t.answer.Unit }

// zone is the zone asked about, as short as it is.
func (t gaugeText) zone() string {
	return strconv.FormatFloat(math.Round(t.answer.Decides.Zone*1e6)/1e6, 'f', -1, 64) + " " + t.answer.Unit
}

func (t gaugeText) may(v *float64) string {
	if v == nil {
		return "-"
	}
	return t.number(*v)
}

func (t gaugeText) limits(l answer.LimitsAnswer) string {
	if l.Lower == nil && l.Upper == nil {
		return "-"
	}
	return t.may(l.Lower) + " to " + t.may(l.Upper)
}

func (t gaugeText) crossed(w io.Writer, x *answer.CrossedAnswer) {
	fmt.Fprintf(w, "\n%d parts, %d %s, %d trials; standard deviations, %s\n", x.Parts, x.Operators, plural(x.Operators, "operator"), x.Trials, t.answer.Unit)
	pct := func(v float64) string {
		if x.TotalSD == 0 {
			return "-"
		}
		return fmt.Sprintf("%.1f", 100*v/x.TotalSD)
	}
	maybe := func(v *float64) string {
		if v == nil {
			return "-"
		}
		return pct(*v)
	}
	c, r := x.Confidence, x.ByRange
	table(w, [][]string{
		{"", "sd", "% of total", "95 % limits", "by ranges"},
		{"repeatability", t.may(t.answer.RepeatabilitySD), maybe(t.answer.RepeatabilitySD), t.limits(c.RepeatabilitySD), t.number(r.RepeatabilitySD)},
		{"reproducibility", t.may(x.ReproducibilitySD), maybe(x.ReproducibilitySD), t.limits(c.ReproducibilitySD), t.may(r.ReproducibilitySD)},
		{"gauge and hands", t.number(x.GRRSD), pct(x.GRRSD), t.limits(c.GRRSD), t.number(r.GRRSD)},
		{"parts", t.number(x.PartSD), pct(x.PartSD), t.limits(c.PartSD), t.number(r.PartSD)},
		{"total", t.number(x.TotalSD), pct(x.TotalSD), t.limits(c.TotalSD), t.number(r.TotalSD)},
	})
	wrap(w, "  ", "sd: standard deviation, two in three stray by less; repeatability: same hand, same part, read again; reproducibility: hand against hand; parts: what was measured; 95 % limits: what a study of this size leaves open")
	if x.GRRPctOfTolerance != nil {
		wrap(w, "  ", fmt.Sprintf("six of gauge and hands fill %.1f %% of the zone (rule of thumb: under 10 good, to 30 may do; a verdict at 95 %% alone wants less)", *x.GRRPctOfTolerance))
	}
	for _, o := range x.Operatorwise {
		if len(x.Operatorwise) > 1 {
			wrap(w, "  ", fmt.Sprintf("%s reads %+.*f %s against the mean of all", o.Operator, t.digits(), o.Off, t.answer.Unit))
		}
	}
	t.anova(w, x)
}

func (t gaugeText) anova(w io.Writer, x *answer.CrossedAnswer) {
	pooled := ""
	if x.Pooled && x.InteractionP != nil {
		pooled = fmt.Sprintf(" (interaction pooled, p %.3f)", *x.InteractionP)
	}
	fmt.Fprintf(w, "\nAnalysis of variance%s\n", pooled)
	rows := [][]string{{"source", "df", "squares", "mean square", "F", "p"}}
	for _, r := range x.ANOVA {
		f, p := "-", "-"
		if r.F != nil {
			f = fmt.Sprintf("%.2f", *r.F)
		}
		if r.P != nil {
			p = probability(*r.P)
		}
		rows = append(rows, []string{r.Source, fmt.Sprint(r.DF), fmt.Sprintf("%.4g", r.SS), fmt.Sprintf("%.4g", r.MS), f, p})
	}
	table(w, rows)
	wrap(w, "  ", "where the scatter comes from; p: how often chance alone makes a source look as large as this; under 0.05 it is taken for real")
	if pooled != "" {
		wrap(w, "  ", "pooled: hands read the parts alike, but for chance, so what is left of that counts as repeatability")
	}
}

func (t gaugeText) nested(w io.Writer, x *answer.NestedAnswer) {
	fmt.Fprintf(w, "\nStandard deviations, %s\n", t.answer.Unit)
	rows := [][]string{{"", "sd", "measured", "df"}}
	names := map[string]string{"reading": "readings of a day", "day": "days", "run": "runs"}
	own := map[string]string{"reading": t.may(t.answer.RepeatabilitySD), "day": t.number(x.DaysSD), "run": t.may(x.RunsSD)}
	for _, l := range x.Levels {
		rows = append(rows, []string{names[l.Level], own[l.Level], t.number(l.SD), fmt.Sprint(l.DF)})
	}
	table(w, rows)
	wrap(w, "  ", fmt.Sprintf("sd: standard deviation, two in three stray by less; measured: of the means of the level below; one reading on any day: %s, with %.0f degrees of freedom (df: how many independent differences stand behind it)", t.size(x.OneReadingSD), math.Floor(x.DF)))
}

func (t gaugeText) repeat(w io.Writer, x *answer.RepeatAnswer) {
	fmt.Fprintln(w)
	table(w, [][]string{
		{"of the readings", t.answer.Unit},
		{"mean", t.number(x.Mean)},
		{"standard deviation", t.may(t.answer.RepeatabilitySD)},
		{"from moving ranges", t.number(x.FromMovingRanges)},
		{"finest step", t.number(x.Step)},
	})
	if x.Limits.Lower != nil {
		wrap(w, "  ", "the standard deviation lies within "+t.limits(x.Limits)+" "+t.answer.Unit+" with 95 % confidence")
	}
}

func (t gaugeText) linearity(w io.Writer, x *answer.LinearityAnswer) {
	fmt.Fprintf(w, "\nBias at each size, %s\n", t.answer.Unit)
	rows := [][]string{{"size", "readings", "bias", "95 % limits", "verdict"}}
	for _, b := range x.Blocks {
		verdict := "within chance"
		if b.Real {
			verdict = "off"
		}
		if b.U == nil {
			verdict = "cannot be told"
		}
		rows = append(rows, []string{t.number(b.Reference), fmt.Sprint(b.Readings), fmt.Sprintf("%+.*f", t.digits(), b.Bias), t.limits(b.Limits), verdict})
	}
	table(w, rows)
	wrap(w, "  ", fmt.Sprintf("line: bias = %+.*f %s %+.5f × size, ± %.*f and ± %.5f", t.digits(), x.Intercept, t.answer.Unit, x.Slope, t.digits(), x.InterceptU, x.SlopeU))
	if sd := t.answer.RepeatabilitySD; sd != nil {
		wrap(w, "  ", fmt.Sprintf("readings of one size scatter by %s", t.size(*sd)))
	}
}

// passes prints what numbers of passes settle.
func (t gaugeText) passes(w io.Writer) {
	d := t.answer.Decides
	if d == nil {
		return
	}
	fmt.Fprintf(w, "\nPasses averaged: a crown read within is level, one read beyond is off, %s\n", t.answer.Unit)
	sameHands := true
	for i, s := range d.AnyHand {
		sameHands = sameHands && s.U == d.OneHand[i].U
	}
	head := []string{"passes", "u", "within", "beyond"}
	if !sameHands {
		head = append(head, "one hand: u", "within", "beyond")
	}
	rows := [][]string{head}
	for i, s := range d.AnyHand {
		row := []string{fmt.Sprint(s.Passes), t.number(s.U), t.may(s.LevelWithin), t.number(s.OffBeyond)}
		if !sameHands {
			o := d.OneHand[i]
			row = append(row, t.number(o.U), t.may(o.LevelWithin), t.number(o.OffBeyond))
		}
		rows = append(rows, row)
	}
	table(w, rows)
	if d.PassedWrongly != nil {
		wrap(w, "  ", fmt.Sprintf("of parts spread like these about the zone's middle, one reading taken at its word passes %.1f %% wrongly and refuses %.1f %% wrongly", *d.PassedWrongly, *d.RefusedWrong))
	}
	wrap(w, "  ", "u: standard uncertainty of a crown's height, two in three are off by less; a crown's distance from its lane's line carries a little more")
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}
