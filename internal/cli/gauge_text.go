package cli

import (
	"fmt"
	"io"
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/gauge"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
)

// gaugeText prints the answer of `gauge` for a person: what the gauge can and
// cannot decide first, then the figures.
type gaugeText struct {
	out    io.Writer
	answer *answer.GaugeAnswer
	colour bool
	all    bool
}

func (t gaugeText) print() {
	w := t.out
	t.verdict(w)
	for _, words := range t.answer.Words {
		wrap(w, "- ", words)
	}
	for _, words := range t.answer.Warnings {
		wrap(w, "! ", words)
	}
	if !t.all {
		return
	}
	switch a := t.answer; {
	case a.CrossedReport != nil:
		t.crossed(w, a.CrossedReport)
	case a.Nested != nil:
		t.nested(w, a.Nested)
	case a.Repeat != nil:
		t.repeat(w, a.Repeat)
	case a.Linearity != nil:
		t.linearity(w, a.Linearity)
	}
	t.passes(w)
}

// verdict says in a line what one reading is good for.
func (t gaugeText) verdict(w io.Writer) {
	a := t.answer
	word := ""
	if a.Decides != nil {
		word = text.GaugeGrade(a.Report)
		word = strong(t.colour, word)
		word = ": " + word
	}
	wrap(w, "", fmt.Sprintf("%s study, %d readings%s", a.Study, a.Readings, word))
}

func (t gaugeText) digits() int { return text.GaugeDigits(t.answer.Unit) }

func (t gaugeText) number(v float64) string { return fmt.Sprintf("%.*f", t.digits(), v+0) }

func (t gaugeText) size(v float64) string { return t.number(v) + " " + t.answer.Unit }

// may prints a number that may be missing.
func (t gaugeText) may(v num.Opt) string { return ifKnown(v, t.number) }

func (t gaugeText) limits(l gauge.Limits) string {
	if !l.Lower.Known() && !l.Upper.Known() {
		return "-"
	}
	return t.may(l.Lower) + " to " + t.may(l.Upper)
}

func (t gaugeText) crossed(w io.Writer, x *gauge.CrossedReport) {
	fmt.Fprintf(w, "\n%d parts, %s, %d trials; standard deviations, %s\n", x.Parts, text.Count(x.Operators, "operator"), x.Trials, t.answer.Unit)
	pct := func(v float64) string {
		if x.TotalSD == 0 {
			return "-"
		}
		return fmt.Sprintf("%.1f", 100*v/x.TotalSD)
	}
	maybe := func(v num.Opt) string { return ifKnown(v, pct) }
	c, r, sd := x.Limits, x.ByRange, t.answer.Report.Repeatability
	table(w, [][]string{
		{"", "sd", "% of total", "95 % limits", "by ranges"},
		{"repeatability", t.may(sd), maybe(sd), t.limits(c.Repeatability), t.number(r.Repeatability)},
		{"reproducibility", t.may(x.ReproducibilitySD), maybe(x.ReproducibilitySD), t.limits(c.Reproducibility), t.may(r.Reproducibility)},
		{"gauge and operators", t.number(x.GRRSD), pct(x.GRRSD), t.limits(c.Gauge), t.number(r.Gauge)},
		{"parts", t.number(x.PartSD), pct(x.PartSD), t.limits(c.Part), t.number(r.Part)},
		{"total", t.number(x.TotalSD), pct(x.TotalSD), t.limits(c.Total), t.number(r.Total)},
	})
	wrap(w, "  ", "sd: standard deviation, two in three stray by less. Repeatability: same operator, same part, read again. Reproducibility: operator against operator. Parts: what was measured. 95 % limits: the range that a study of this size leaves")
	if pct, asked := x.GRRPctOfTolerance.Get(); asked {
		wrap(w, "  ", fmt.Sprintf("six sd of gauge and operators fill %.1f %% of the zone (rule of thumb: under 10 is good, up to 30 may do; a verdict at 95 %% needs less)", pct))
	}
	for _, o := range x.Operatorwise {
		if len(x.Operatorwise) > 1 {
			wrap(w, "  ", fmt.Sprintf("%s reads %+.*f %s from the mean of all", o.Operator, t.digits(), o.Off, t.answer.Unit))
		}
	}
	t.anova(w, x)
}

func (t gaugeText) anova(w io.Writer, x *gauge.CrossedReport) {
	pooled := ""
	if p, known := x.InteractionP.Get(); x.Pooled && known {
		pooled = fmt.Sprintf(" (interaction pooled, p %.3f)", p)
	}
	fmt.Fprintf(w, "\nAnalysis of variance%s\n", pooled)
	rows := [][]string{{"source", "df", "squares", "mean square", "F", "p"}}
	for _, r := range x.Rows {
		f := ifKnown(r.F, func(v float64) string { return fmt.Sprintf("%.2f", v) })
		rows = append(rows, []string{r.Source, fmt.Sprint(r.DF), fmt.Sprintf("%.4g", r.SS), fmt.Sprintf("%.4g", r.MS), f, ifKnown(r.P, text.Probability)})
	}
	table(w, rows)
	wrap(w, "  ", "Where the scatter comes from. p: how often chance alone makes a source look this large; under 0.05 it is taken as real")
	if pooled != "" {
		wrap(w, "  ", "pooled: operators don't differ by part, so that term is counted as repeatability")
	}
}

func (t gaugeText) nested(w io.Writer, x *gauge.Nested) {
	fmt.Fprintf(w, "\nStandard deviations, %s\n", t.answer.Unit)
	rows := [][]string{{"", "sd", "measured", "df"}}
	names := map[string]string{"reading": "readings of a day", "day": "days", "run": "runs"}
	own := map[string]string{"reading": t.number(x.Repeat), "day": t.number(x.Days), "run": t.may(x.Runs)}
	for _, l := range x.Levels {
		rows = append(rows, []string{names[l.Name], own[l.Name], t.number(l.SD), fmt.Sprint(l.DF)})
	}
	table(w, rows)
	wrap(w, "  ", fmt.Sprintf("sd: standard deviation, two in three stray by less. measured: of the means of the level below. One reading on any day: %s, with %.0f degrees of freedom (df: the independent differences behind it)", t.size(x.OneReading), math.Floor(x.DF)))
}

func (t gaugeText) repeat(w io.Writer, x *gauge.Repeat) {
	fmt.Fprintln(w)
	table(w, [][]string{
		{"of the readings", t.answer.Unit},
		{"mean", t.number(x.Mean)},
		{"standard deviation", t.number(x.SD)},
		{"from moving ranges", t.number(x.FromMR)},
		{"finest step", t.number(x.Step)},
	})
	if x.SDLimits.Lower.Known() {
		wrap(w, "  ", "the standard deviation is "+t.limits(x.SDLimits)+" "+t.answer.Unit+" with 95 % confidence")
	}
}

func (t gaugeText) linearity(w io.Writer, x *gauge.Linearity) {
	fmt.Fprintf(w, "\nBias at each size, %s\n", t.answer.Unit)
	rows := [][]string{{"size", "readings", "bias", "95 % limits", "verdict"}}
	for _, b := range x.Blocks {
		verdict := "within chance"
		if b.Detected {
			verdict = "off"
		}
		if !b.U.Known() {
			verdict = "not enough readings"
		}
		rows = append(rows, []string{t.number(b.Reference), fmt.Sprint(b.N), fmt.Sprintf("%+.*f", t.digits(), b.Mean), t.limits(b.Limits), verdict})
	}
	table(w, rows)
	wrap(w, "  ", fmt.Sprintf("line: bias = %+.*f %s %+.5f × size, ± %.*f and ± %.5f, %s", t.digits(), x.Intercept, t.answer.Unit, x.Slope, t.digits(), x.InterceptU, x.SlopeU, text.TwoInThree))
	if sd, known := x.Repeatability.Get(); known {
		wrap(w, "  ", fmt.Sprintf("readings of one size scatter by %s", t.size(sd)))
	}
}

// passes prints what numbers of passes settle.
func (t gaugeText) passes(w io.Writer) {
	d := t.answer.Decides
	if d == nil {
		return
	}
	fmt.Fprintf(w, "\nAverages of several passes, %s\n", t.answer.Unit)
	hands := d.OneHandMatters()
	head := []string{"passes", "u", "within", "beyond"}
	if hands {
		head = append(head, "one operator: u", "within", "beyond")
	}
	rows := [][]string{head}
	for i, s := range d.AnyHand {
		row := []string{fmt.Sprint(s.Passes), t.number(s.U), t.may(s.LevelWithin), t.number(s.OffBeyond)}
		if hands {
			o := d.OneHand[i]
			row = append(row, t.number(o.U), t.may(o.LevelWithin), t.number(o.OffBeyond))
		}
		rows = append(rows, row)
	}
	table(w, rows)
	if passed, known := d.PassedWrongly.Get(); known {
		wrap(w, "  ", fmt.Sprintf("of parts spread like these about the zone's middle, one reading taken at face value passes %.1f %% wrongly and refuses %.1f %% wrongly", passed, d.RefusedWrong.Or(0)))
	}
	wrap(w, "  ", "within: a crown that reads this far off or less is level; beyond: one that reads farther is off. u: standard uncertainty of a crown's height, two in three are off by less. A crown's distance from its lane's line has a little more")
}

// ifKnown prints a number that may be missing; a dash where it is.
func ifKnown(v num.Opt, print func(float64) string) string {
	if v, known := v.Get(); known {
		return print(v)
	}
	return "-"
}
