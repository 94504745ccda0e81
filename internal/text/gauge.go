package text

import (
	"fmt"
	"math"
	"strconv"

	"ringtrue/internal/gauge"
)

// gaugeNotes gathers what is said of a study.
type gaugeNotes struct {
	gauge.Report
	words, warnings []string
}

// Gauge says what a study means, and where it is weak.
func Gauge(s gauge.Study, r gauge.Report) (words, warnings []string) {
	g := gaugeNotes{Report: r, words: []string{}, warnings: []string{}}
	switch {
	case r.CrossedReport != nil:
		g.crossed(r.CrossedReport)
	case r.Nested != nil:
		g.days(r.Nested)
	case r.Repeat != nil:
		g.again(r.Repeat, s.Readings)
	case r.Linearity != nil:
		g.line(r.Linearity)
	}
	if r.Decides != nil {
		g.decides(r.Decides)
	}
	if r.Zone == 0 {
		g.say("add --tolerance \"0.03 mm\" to see what the gauge can decide")
	}
	return g.words, g.warnings
}

// GaugeGrade says in a word what one reading is good for.
func GaugeGrade(r gauge.Report) string {
	d := r.Decides
	zone := gaugeZone(d.Zone, r.Unit)
	unsure := ""
	if d.Unsure() {
		unsure = ", as far as such a small study shows"
	}
	switch d.Grade() {
	case gauge.TooCoarse:
		return "TOO COARSE for a zone of " + zone
	case gauge.CoarseOnce:
		return "TOO COARSE in one pass for a zone of " + zone
	case gauge.Fair:
		return "FAIR for a zone of " + zone + unsure
	}
	return "SHARP ENOUGH for a zone of " + zone + unsure
}

// GaugeDigits is how many decimals a length of a study in a unit deserves.
func GaugeDigits(unit string) int {
	if unit == "in" {
		return 5
	}
	return 4
}

// gaugeZone prints a zone as short as it is.
func gaugeZone(zone float64, unit string) string {
	return strconv.FormatFloat(math.Round(zone*1e6)/1e6, 'f', -1, 64) + " " + unit
}

func (g *gaugeNotes) say(format string, args ...any) {
	g.words = append(g.words, fmt.Sprintf(format, args...))
}

func (g *gaugeNotes) warn(format string, args ...any) {
	g.warnings = append(g.warnings, fmt.Sprintf(format, args...))
}

// size prints a length of the study with the digits that a gauge deserves.
func (g *gaugeNotes) size(v float64) string {
	return fmt.Sprintf("%.*f %s", GaugeDigits(g.Unit), v, g.Unit)
}

// gaugeChance prints a small one.
func gaugeChance(p float64) string {
	if p < 0.001 {
		return "p below 0.001"
	}
	return fmt.Sprintf("p %.3f", p)
}

func (g *gaugeNotes) crossed(x *gauge.CrossedReport) {
	switch {
	case x.TotalSD == 0:
		g.warn("all readings are the same: this dial is too coarse. Use a finer one")
	case x.GRRSD == 0:
		g.warn("every part reads the same each time: the gauge's step hides its scatter, so its uncertainty is that of the step")
	case x.DistinctCategories != nil && *x.DistinctCategories < 2:
		g.say("the gauge can't tell these parts apart")
	default:
		g.say("the gauge can tell about %d groups of parts apart (you need 5 to follow a process)", *x.DistinctCategories)
	}
	if x.Operators == 1 {
		g.warn("one operator: what another would add is not known")
	} else if x.Operators == 2 && x.ReproducibilitySD.Known() {
		g.warn("two operators are few: people may differ by more than this (see its limits)")
	}
	switch p, known := x.InteractionP.Get(); {
	case !known || x.Pooled:
	case gauge.Real(x.InteractionP):
		g.say("operators differ by part (interaction %s): one reads some parts higher than another. See how each holds the gauge there", gaugeChance(p))
	default:
		g.say("operators may differ by part: chance alone looks like this in about %.0f of 100 studies (interaction p %.2f, kept apart as it is under %.2f)", 100*p, p, gauge.PoolAbove)
	}
	if x.Parts < 5 {
		g.warn("%d parts: their spread, and every share of it, is only roughly known (see the limits)", x.Parts)
	}
	for _, w := range x.ByRange.Wide {
		g.warn("operator %s, part %s: the readings are %s apart, above the limit of %s: a misread, or a part that does not sit firmly", w.Operator, w.Part, g.size(w.Range), g.size(x.ByRange.RangeLimit))
	}
}

func (g *gaugeNotes) days(n *gauge.Nested) {
	switch p, known := n.DayP.Get(); {
	case !known:
		g.warn("all readings of a day are the same: the gauge's step hides its scatter")
	case gauge.Real(n.DayP):
		g.say("days differ by more than one day's readings explain (%s): passes on one day share that day's error", gaugeChance(p))
	default:
		g.say("days add nothing beyond the scatter within a day (p %.2f)", p)
	}
}

func (g *gaugeNotes) again(r *gauge.Repeat, readings []gauge.Reading) {
	if gauge.Real(r.CreepP) {
		g.warn("the readings creep by %s from one to the next (%s): let the gauge warm up, or look for a foot that settles", g.size(r.Creep), gaugeChance(r.CreepP.Or(0)))
	}
	for _, i := range r.Odd {
		g.warn("reading %d (line %d) disagrees with the others: %s", i, readings[i-1].Line, g.size(readings[i-1].Value))
	}
	if r.StepHides() {
		if r.Step > 0 {
			g.warn("the dial's step of %s hides the scatter; read between the marks, or use a finer dial", g.size(r.Step))
		} else {
			g.warn("all readings are the same: this dial is too coarse. Use a finer one")
		}
	}
	if r.N < 10 {
		g.warn("%d readings: their scatter is only roughly known (see its limits); 10 or more are better", r.N)
	}
}

func (g *gaugeNotes) line(l *gauge.Linearity) {
	worst := l.Farthest()
	g.say("farthest off at %s: it reads %+.*f %s there", g.size(worst.Reference), GaugeDigits(g.Unit), worst.Mean, g.Unit)
	g.say("a bias that is the same everywhere does no harm in a lane, where each pass has its own offset; a slope does")
	switch p, known := l.SlopeP.Get(); {
	case !known:
		g.say("no slope")
	case gauge.Real(l.SlopeP):
		g.say("the gauge stretches sizes by %+.2f %% (%s): a step of %s is read wrong by %s", 100*l.Slope, gaugeChance(p), g.size(l.Step), g.size(l.Slope*l.Step))
	default:
		g.say("no slope beyond chance (%+.2f ± %.2f %%, %s)", 100*l.Slope, 100*l.SlopeU, TwoInThree)
	}
	if gauge.Real(l.BendP) {
		g.warn("the bias does not follow a straight line (%s): correct it block by block, not along the line", gaugeChance(l.BendP.Or(0)))
	}
	if !l.Repeatability.Known() {
		g.warn("every size was read once, so bias and scatter look the same: read each five times or more")
	}
}

func (g *gaugeNotes) decides(d *gauge.Decisions) {
	one, zone := d.AnyHand[0], gaugeZone(d.Zone, g.Unit)
	if within, ever := one.LevelWithin.Get(); ever {
		g.say("with one reading (u %s, zone %s) a crown within %s is level and one more than %s off is high or low. In between it stays in doubt", g.size(one.U), zone, g.size(within), g.size(one.OffBeyond))
	} else {
		g.say("one reading (u %s) can't call a crown level at a zone of %s, not even one that reads dead on. That needs u of %s or less", g.size(one.U), zone, g.size(d.LargestU))
		g.say("it can call a crown high or low if it reads more than %s off", g.size(one.OffBeyond))
	}
	switch whoever, oneHand := d.PassesAnyHand, d.PassesOneHand; {
	case whoever == nil && oneHand == nil:
		g.say("no number of passes is enough: what does not average out is too large by itself")
	case whoever == nil:
		g.say("different operators disagree too much to average. One operator needs %s", Count(*oneHand, "pass"))
	case *whoever > 1 && d.HandsDiffer && oneHand != nil && *oneHand < *whoever:
		g.say("averaged, %s can call a crown level, or %s by one operator", Count(*whoever, "pass"), Count(*oneHand, "pass"))
	case *whoever > 1:
		g.say("averaged, %s can call a crown level", Count(*whoever, "pass"))
	}
	switch whoever, oneHand := d.SharpAnyHand, d.SharpOneHand; {
	case whoever != nil && *whoever > 1:
		g.say("%s are enough to call any crown level that reads within %s", Count(*whoever, "pass"), g.size(d.Zone/4))
	case whoever == nil && oneHand != nil && *oneHand > 1:
		g.say("%s by one operator are enough to call any crown level that reads within %s", Count(*oneHand, "pass"), g.size(d.Zone/4))
	}
	if one.U <= d.LargestU && d.Unsure() {
		g.warn("the study is too small to be sure of that: u may be as large as %s", g.size(d.UUpper.Or(0)))
	}
	if d.Days > 0 {
		g.say("one a day, %s would be enough", Count(d.Days, "pass"))
	}
}

// GaugeChart says for a picture what it shows.
func GaugeChart(readings int) string { return "From " + Count(readings, "reading") + "." }
