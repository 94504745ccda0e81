package answer

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/gauge"
)

// GaugeRequest is what `gauge` is asked. ZoneMM is the tolerance, 0 for none.
type GaugeRequest struct {
	Study      gauge.Study
	ZoneMM     float64
	Confidence float64 // 0: 0.95
}

// Gauge takes a study apart. Errors are the gauge package's: ErrTooFew,
// ErrUneven, ErrAlike, ErrNotFinite.
func Gauge(ctx context.Context, r GaugeRequest) (*GaugeAnswer, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if r.Confidence == 0 {
		r.Confidence = defaultConfidence
	}
	g := gauger{
		GaugeRequest: r, zone: r.ZoneMM / r.Study.Millimetres(),
		answer: &GaugeAnswer{Study: string(r.Study.Kind), Unit: r.Study.Unit, Readings: len(r.Study.Readings), Words: []string{}, Warnings: []string{}},
	}
	var err error
	switch r.Study.Kind {
	case gauge.KindCrossed:
		err = g.crossed()
	case gauge.KindNested:
		err = g.nested()
	case gauge.KindRepeat:
		err = g.repeat()
	case gauge.KindLinearity:
		err = g.linearity()
	default:
		err = fmt.Errorf("%q is no kind of study", r.Study.Kind)
	}
	if err != nil {
		return nil, err
	}
	if g.zone == 0 {
		g.say("with a tolerance (--tolerance \"0.03 mm\") it says what the gauge can decide")
	}
	return g.answer, nil
}

// gauger holds one study while it is answered. zone is in the study's unit.
type gauger struct {
	GaugeRequest
	zone   float64
	answer *GaugeAnswer
}

func (g *gauger) say(format string, args ...any) {
	g.answer.Words = append(g.answer.Words, fmt.Sprintf(format, args...))
}

func (g *gauger) warn(format string, args ...any) {
	g.answer.Warnings = append(g.answer.Warnings, fmt.Sprintf(format, args...))
}

// size prints a length of the study with the digits that a gauge deserves.
func (g *gauger) size(v float64) string {
	digits := 4
	if g.answer.Unit == "in" {
		digits = 5
	}
	return fmt.Sprintf("%.*f %s", digits, v, g.answer.Unit)
}

// zoneSize prints the zone as short as it is.
func (g *gauger) zoneSize() string {
	return strconv.FormatFloat(math.Round(g.zone*1e6)/1e6, 'f', -1, 64) + " " + g.answer.Unit
}

// chanceOf prints a small probability.
func chanceOf(p float64) string {
	if p < 0.001 {
		return "p below 0.001"
	}
	return fmt.Sprintf("p %.3f", p)
}

func (g *gauger) crossed() error {
	c, err := gauge.Cross(g.Study.Readings)
	if err != nil {
		return err
	}
	a, err := gauge.Analyse(c)
	if err != nil {
		return err
	}
	ranges, err := gauge.AverageAndRange(c)
	if err != nil {
		return err
	}
	limits := a.Limits(g.Confidence)
	x := &CrossedAnswer{
		Parts: a.Parts, Operators: a.Operators, Trials: a.Trials,
		InteractionSD: math.Sqrt(a.Interaction), GRRSD: math.Sqrt(a.Gauge()),
		PartSD: math.Sqrt(a.Part), TotalSD: math.Sqrt(a.Total()),
		DistinctCategories: whole(a.Categories()), InteractionP: known(a.InteractionP), Pooled: a.Pooled,
		Confidence: studyLimits(limits), ByRange: byRange(ranges, a.Operators), Operatorwise: operatorMeans(c), ANOVA: anova(a.Rows),
	}
	if a.Operators > 1 {
		x.ReproducibilitySD = known(math.Sqrt(a.Reproducibility()))
	}
	x.GRRPctOfTotal = known(100 * x.GRRSD / x.TotalSD)
	if g.zone > 0 {
		x.GRRPctOfTolerance = known(100 * 6 * x.GRRSD / g.zone)
	}
	g.answer.CrossedAnswer, g.answer.RepeatabilitySD = x, known(math.Sqrt(a.Repeatability))
	g.crossedWords(a, x)
	if g.zone > 0 {
		g.decides(a.Variances, limits.Gauge.Upper)
	}
	return nil
}

// crossedWords says what a crossed study means, and where it is weak.
func (g *gauger) crossedWords(a gauge.Analysis, x *CrossedAnswer) {
	switch {
	case x.TotalSD == 0:
		g.warn("not one reading differs: the gauge's step hides everything; take a finer dial")
	case x.GRRSD == 0:
		g.warn("every part reads the same each time: the gauge's step hides its scatter; its uncertainty is then that of the step")
	case x.DistinctCategories != nil && *x.DistinctCategories < 2:
		g.say("the gauge cannot tell these parts apart")
	default:
		g.say("the gauge tells about %d groups of parts apart (5 or more are wanted to follow a process)", *x.DistinctCategories)
	}
	if a.Operators == 1 {
		g.warn("one operator: what another hand would add is not known")
	} else if a.Operators == 2 && x.ReproducibilitySD != nil {
		g.warn("two operators say little about hands in general; their share may well be larger (see its limits)")
	}
	switch p := x.InteractionP; {
	case p == nil || a.Pooled:
	case *p < chance:
		g.say("hands differ by part (interaction %s): one reads some parts higher than another does; look how each holds the gauge there", chanceOf(*p))
	default:
		g.say("hands may differ by part: chance alone makes it look so in about %.0f of 100 studies (interaction p %.2f, kept apart since it is under %.2f)", 100**p, *p, gauge.PoolAbove)
	}
	if a.Parts < 5 {
		g.warn("%d parts: the spread of parts, and shares of it, are known roughly only (see the limits)", a.Parts)
	}
	for _, w := range x.ByRange.Wide {
		g.warn("operator %s, part %s: its readings lie %s apart, above the limit of %s: a misread, or a part that does not sit", w.Operator, w.Part, g.size(w.Range), g.size(x.ByRange.RangeLimit))
	}
}

func (g *gauger) nested() error {
	n, err := gauge.AnalyseNested(gauge.Visits(g.Study.Readings))
	if err != nil {
		return err
	}
	x := &NestedAnswer{
		DaysSD: n.Days, OneReadingSD: n.OneReading, DF: n.DF, DaysF: known(n.DayF), DaysP: known(n.DayP),
		Levels: []LevelAnswer{{"reading", n.Reading.SD, n.Reading.DF}, {"day", n.Day.SD, n.Day.DF}},
	}
	if n.Run.DF > 0 {
		x.RunsSD = known(n.Runs)
		x.Levels = append(x.Levels, LevelAnswer{"run", n.Run.SD, n.Run.DF})
	}
	g.answer.NestedAnswer, g.answer.RepeatabilitySD = x, known(n.Repeat)
	switch {
	case x.DaysP == nil:
		g.warn("not one reading differs within a day: the gauge's step hides its scatter")
	case *x.DaysP < 0.05:
		g.say("days differ by more than readings of one day explain (%s): passes taken on one day share what that day adds", chanceOf(*x.DaysP))
	default:
		g.say("days add nothing that readings of one day do not explain (p %.2f)", *x.DaysP)
	}
	if g.zone > 0 {
		upper := gauge.SDLimits(n.OneReading, max(1, int(n.DF)), g.Confidence).Upper
		g.decides(gauge.Variances{Repeatability: n.Repeat * n.Repeat, Interaction: n.Days*n.Days + n.Runs*n.Runs}, upper)
		g.otherDays(n)
	}
	return nil
}

// otherDays says how many days would do where passes of one day do not.
func (g *gauger) otherDays(n gauge.Nested) {
	if g.answer.Decides.PassesAnyHand != nil {
		return
	}
	if days := passes(n.Runs, math.Hypot(n.Days, n.Repeat), g.answer.Decides.LargestU); days != nil {
		g.say("taken one a day, %s would do", plural(*days))
	}
}

func (g *gauger) repeat() error {
	r, err := gauge.AnalyseRepeat(gauge.Values(g.Study.Readings), g.Confidence)
	if err != nil {
		return err
	}
	x := &RepeatAnswer{
		Mean: r.Mean, Limits: limitsOf(r.SDLimits), FromMovingRanges: r.FromMR,
		Creep: r.Creep, CreepP: known(r.CreepP), Step: r.Step, OddReadings: append([]int{}, r.Odd...),
	}
	if r.SD == 0 {
		x.Limits = LimitsAnswer{}
	}
	g.answer.RepeatAnswer, g.answer.RepeatabilitySD = x, known(r.SD)
	if r.Creeps() {
		g.warn("the readings creep by %s from one to the next (%s): let the gauge warm up, or look for a foot that settles", g.size(r.Creep), chanceOf(r.CreepP))
	}
	for _, i := range r.Odd {
		g.warn("reading %d (line %d) does not belong to the others: %s", i, g.Study.Readings[i-1].Line, g.size(g.Study.Readings[i-1].Value))
	}
	if r.StepHides() {
		if r.Step > 0 {
			g.warn("the dial's step of %s hides the scatter; read between the marks, or take a finer dial", g.size(r.Step))
		} else {
			g.warn("not one reading differs: the dial's step hides the scatter; take a finer dial")
		}
	}
	if r.N < 10 {
		g.warn("%d readings: their scatter is known roughly only (see its limits); 10 or more are better", r.N)
	}
	if g.zone > 0 && r.SD > 0 {
		sd := math.Max(r.SD, r.StepU)
		g.decides(gauge.Variances{Repeatability: sd * sd}, math.Max(r.SDLimits.Upper, r.StepU))
	}
	return nil
}

func (g *gauger) linearity() error {
	l, err := gauge.AnalyseLinearity(gauge.Blocks(g.Study.Readings), g.Confidence)
	if err != nil {
		return err
	}
	x := &LinearityAnswer{
		Intercept: l.Line.Coefficients[0], InterceptU: l.Line.U(0), InterceptP: known(l.InterceptP),
		Slope: l.Line.Coefficients[1], SlopeU: l.Line.U(1), SlopeP: known(l.SlopeP), Correlation: known(l.Line.Correlation(0, 1)),
		R2: l.R2, ResidualSD: l.Line.Residual, BendP: known(l.BendP),
	}
	for _, b := range l.Blocks {
		x.Blocks = append(x.Blocks, BlockAnswer{
			Reference: b.Reference, Readings: b.N, Bias: b.Mean, SD: known(b.SD), U: known(b.U),
			Limits: LimitsAnswer{known(b.Lower), known(b.Upper)}, P: known(b.P), Real: b.Detected,
		})
	}
	g.answer.LinearityAnswer, g.answer.RepeatabilitySD = x, known(l.Repeatability)
	g.linearityWords(l)
	if g.zone > 0 && l.Repeatability > 0 {
		df := len(g.Study.Readings) - len(l.Blocks)
		g.decides(gauge.Variances{Repeatability: l.Repeatability * l.Repeatability}, gauge.SDLimits(l.Repeatability, df, g.Confidence).Upper)
	}
	return nil
}

// chance is the p below which something is called real.
const chance = 0.05

func (g *gauger) linearityWords(l gauge.Linearity) {
	worst := l.Blocks[0]
	for _, b := range l.Blocks {
		if math.Abs(b.Mean) > math.Abs(worst.Mean) {
			worst = b
		}
	}
	g.say("farthest off at %s: it reads %+.*f %s there", g.size(worst.Reference), g.digits(), worst.Mean, g.answer.Unit)
	g.say("a bias that is the same everywhere drops out of a lane, since each pass has an offset of its own; a slope does not")
	slope := l.Line.Coefficients[1]
	switch {
	case math.IsNaN(l.SlopeP):
		g.say("no slope")
	case l.SlopeP < chance:
		g.say("the gauge stretches sizes by %+.2f %% (%s): a step of %s is read wrong by %s", 100*slope, chanceOf(l.SlopeP), g.size(g.stepSize()), g.size(slope*g.stepSize()))
	default:
		g.say("no slope beyond chance (%+.2f ± %.2f %%)", 100*slope, 100*l.Line.U(1))
	}
	if l.BendP < chance {
		g.warn("the bias does not follow a straight line (%s): correct it block by block, not by the line", chanceOf(l.BendP))
	}
	if math.IsNaN(l.Repeatability) {
		g.warn("every size was read once: nothing tells a bias from scatter; read each five times or more")
	}
}

// stepSize is a step that the gauge has to judge: the zone, or else 0.1 mm.
func (g *gauger) stepSize() float64 {
	if g.zone > 0 {
		return g.zone
	}
	return 0.1 / g.Study.Millimetres()
}

func (g *gauger) digits() int {
	if g.answer.Unit == "in" {
		return 5
	}
	return 4
}

// operatorMeans is how far each operator reads from the mean of all.
func operatorMeans(c gauge.Crossed) []OperatorAnswer {
	means := make([]float64, len(c.Operators))
	for _, part := range c.Readings {
		for j, cell := range part {
			means[j] += stat.Mean(cell, nil) / float64(len(c.Readings))
		}
	}
	grand := stat.Mean(means, nil)
	list := make([]OperatorAnswer, len(means))
	for j, m := range means {
		list[j] = OperatorAnswer{c.Operators[j], m - grand}
	}
	return list
}

// whole rounds a number of categories down; nil where it has no bound.
func whole(v float64) *int {
	if math.IsInf(v, 0) || math.IsNaN(v) || v > 1e6 {
		return nil
	}
	n := int(math.Floor(v))
	return &n
}

func anova(rows []gauge.Row) []ANOVARow {
	list := make([]ANOVARow, len(rows))
	for i, r := range rows {
		list[i] = ANOVARow{r.Source, r.DF, r.SS, r.MS, known(r.F), known(r.P)}
	}
	return list
}

func limitsOf(l gauge.Limits) LimitsAnswer { return LimitsAnswer{known(l.Lower), known(l.Upper)} }

func studyLimits(l gauge.StudyLimits) StudyLimitsAnswer {
	pct := gauge.Limits{Lower: 100 * l.GaugeShare.Lower, Upper: 100 * l.GaugeShare.Upper}
	return StudyLimitsAnswer{
		Level: l.Confidence, RepeatabilitySD: limitsOf(l.Repeatability), ReproducibilitySD: limitsOf(l.Reproducibility),
		GRRSD: limitsOf(l.Gauge), PartSD: limitsOf(l.Part), TotalSD: limitsOf(l.Total),
		GRRPctOfTotal: limitsOf(pct), DistinctCategories: limitsOf(l.Categories),
	}
}

func byRange(b gauge.ByRange, operators int) ByRangeAnswer {
	a := ByRangeAnswer{
		RepeatabilitySD: b.Repeatability, GRRSD: b.Gauge, PartSD: b.Part, TotalSD: b.Total,
		GRRPctOfTotal: known(100 * b.Gauge / b.Total), DistinctCategories: whole(b.Categories),
		MeanRange: b.MeanRange, RangeLimit: b.RangeLimit, Wide: []CellAnswer{},
	}
	if operators > 1 {
		a.ReproducibilitySD = known(b.Reproducibility)
	}
	for _, w := range b.Wide {
		a.Wide = append(a.Wide, CellAnswer{w.Part, w.Operator, w.Range})
	}
	return a
}
