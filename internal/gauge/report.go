package gauge

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/num"
)

// Report is all that a study says of its gauge, in the study's unit. Which
// parts are there goes by Study.
type Report struct {
	Study    Kind   `json:"study"`
	Unit     string `json:"unit"`
	Readings int    `json:"readings"`
	// The same hand, the same part, again; missing where every size was read once.
	Repeatability num.Opt `json:"repeatability_sd"`
	*CrossedReport
	*Nested
	*Repeat
	*Linearity
	Decides *Decisions `json:"decides,omitempty"` // with a tolerance
	Zone    float64    `json:"-"`                 // 0: none was asked about
}

// CrossedReport is a crossed study taken apart both ways.
type CrossedReport struct {
	Analysis
	Limits       StudyLimits `json:"confidence"`
	ByRange      ByRange     `json:"average_and_range"`
	Operatorwise []Hand      `json:"operator_means"`
}

// Hand is how one operator reads: on average above all operators' mean by Off.
type Hand struct {
	Operator string  `json:"operator"`
	Off      float64 `json:"off"`
}

// Judge takes a study apart, whatever its kind, and says what the gauge decides
// at a zone (0: not asked).
//
// Errors: ErrTooFew, ErrUneven, ErrAlike, ErrNotFinite.
func Judge(s Study, zoneMM, confidence float64) (Report, error) {
	r := Report{Study: s.Kind, Unit: s.Unit, Readings: len(s.Readings), Zone: zoneMM / s.Millimetres()}
	var err error
	switch s.Kind {
	case KindCrossed:
		err = r.crossed(s.Readings, confidence)
	case KindNested:
		err = r.nested(s.Readings, confidence)
	case KindRepeat:
		err = r.repeat(s.Readings, confidence)
	case KindLinearity:
		err = r.linearity(s, confidence)
	default:
		err = fmt.Errorf("no such study %q", s.Kind)
	}
	return r, err
}

func (r *Report) crossed(readings []Reading, confidence float64) error {
	c, err := Cross(readings)
	if err != nil {
		return err
	}
	x := &CrossedReport{Operatorwise: c.hands()}
	if x.Analysis, err = Analyse(c); err != nil {
		return err
	}
	if x.ByRange, err = AverageAndRange(c); err != nil {
		return err
	}
	x.Limits = x.Analysis.Limits(confidence)
	r.CrossedReport, r.Repeatability = x, num.Some(math.Sqrt(x.Analysis.Repeatability))
	if r.Zone > 0 {
		x.GRRPctOfTolerance = num.Some(100 * 6 * x.GRRSD / r.Zone)
		r.Decides = decide(x.Variances, r.Zone, x.Limits.Gauge.Upper)
	}
	return nil
}

// hands is how far each operator reads from the mean of all.
func (c Crossed) hands() []Hand {
	means := make([]float64, len(c.Operators))
	for _, part := range c.Readings {
		for j, cell := range part {
			means[j] += stat.Mean(cell, nil) / float64(len(c.Readings))
		}
	}
	grand := stat.Mean(means, nil)
	list := make([]Hand, len(means))
	for j, m := range means {
		list[j] = Hand{c.Operators[j], m - grand}
	}
	return list
}

func (r *Report) nested(readings []Reading, confidence float64) error {
	n, err := AnalyseNested(Visits(readings))
	if err != nil {
		return err
	}
	r.Nested, r.Repeatability = &n, num.Some(n.Repeat)
	if r.Zone > 0 {
		upper := SDLimits(n.OneReading, max(1, int(n.DF)), confidence).Upper
		runs := n.Runs.Or(0)
		r.Decides = decide(Variances{Repeatability: n.Repeat * n.Repeat, Interaction: n.Days*n.Days + runs*runs}, r.Zone, upper)
		if r.Decides.PassesAnyHand == nil {
			r.Decides.Days = Passes(runs, math.Hypot(n.Days, n.Repeat), r.Decides.LargestU)
		}
	}
	return nil
}

func (r *Report) repeat(readings []Reading, confidence float64) error {
	p, err := AnalyseRepeat(Values(readings), confidence)
	if err != nil {
		return err
	}
	r.Repeat, r.Repeatability = &p, num.Some(p.SD)
	if r.Zone > 0 && p.SD > 0 {
		sd := math.Max(p.SD, p.StepU)
		r.Decides = decide(Variances{Repeatability: sd * sd}, r.Zone, num.Some(math.Max(p.SDLimits.Upper.OrNaN(), p.StepU)))
	}
	return nil
}

func (r *Report) linearity(s Study, confidence float64) error {
	l, err := AnalyseLinearity(Blocks(s.Readings), confidence)
	if err != nil {
		return err
	}
	if l.Step = r.Zone; r.Zone == 0 {
		l.Step = 0.1 / s.Millimetres()
	}
	r.Linearity, r.Repeatability = &l, l.Repeatability
	if sd := l.Repeatability.Or(0); r.Zone > 0 && sd > 0 {
		df := len(s.Readings) - len(l.Blocks)
		r.Decides = decide(Variances{Repeatability: sd * sd}, r.Zone, SDLimits(sd, df, confidence).Upper)
	}
	return nil
}

// Decisions is what a gauge can settle at a zone.
type Decisions struct {
	Zone          float64        `json:"zone"`
	LargestU      float64        `json:"largest_u"`       // above it no crown can be called level
	SharpU        float64        `json:"sharp_u"`         // at most this leaves half of each side of the zone out of doubt
	AnyHand       []DecisionRule `json:"any_hand"`        // passes by whoever is there, averaged
	OneHand       []DecisionRule `json:"one_hand"`        // passes by one and the same hand
	PassesAnyHand *int           `json:"passes_any_hand"` // to call a crown level at all; nil: no number will do
	PassesOneHand *int           `json:"passes_one_hand"`
	SharpAnyHand  *int           `json:"sharp_passes_any_hand"`
	SharpOneHand  *int           `json:"sharp_passes_one_hand"`
	UUpper        num.Opt        `json:"u_upper"` // of one reading by any hand, upper limit of confidence
	PassedWrongly num.Opt        `json:"passed_wrongly_pct"`
	RefusedWrong  num.Opt        `json:"refused_wrongly_pct"`

	HandsDiffer bool `json:"-"` // hands add something
	Days        int  `json:"-"` // readings, one a day, that would do where no number of passes does; 0: none
}

// passesShown are the numbers of passes that an answer looks at.
func passesShown() []int { return []int{1, 2, 3, 4, 6, 8} }

// decide says what readings with these variances settle at the zone. upper is
// the upper limit of confidence of one reading's standard deviation.
//
// What averages out is repeatability. One hand's own height does not matter,
// since it is part of the pass's offset; what it reads differently from place
// to place (the interaction) does, and so does, with changing hands, both.
func decide(v Variances, zone float64, upper num.Opt) *Decisions {
	free := math.Sqrt(v.Repeatability)
	anyFixed, oneFixed := math.Sqrt(v.Reproducibility()), math.Sqrt(v.Interaction)
	passes := func(fixed, u float64) *int {
		if n := Passes(fixed, free, u); n > 0 {
			return &n
		}
		return nil
	}
	d := &Decisions{Zone: zone, LargestU: LargestU(zone), SharpU: SharpU(zone), UUpper: upper, HandsDiffer: v.Reproducibility() > 0}
	d.PassesAnyHand, d.PassesOneHand = passes(anyFixed, d.LargestU), passes(oneFixed, d.LargestU)
	d.SharpAnyHand, d.SharpOneHand = passes(anyFixed, d.SharpU), passes(oneFixed, d.SharpU)
	for _, n := range passesShown() {
		d.AnyHand = append(d.AnyHand, NewDecisionRule(anyFixed, free, zone, n))
		d.OneHand = append(d.OneHand, NewDecisionRule(oneFixed, free, zone, n))
	}
	if u := math.Sqrt(v.Gauge()); v.Part > 0 && u > 0 {
		r := WrongVerdicts(math.Sqrt(v.Part), u, zone/2, zone/2)
		d.PassedWrongly, d.RefusedWrong = num.Some(100*r.PassedWrongly), num.Some(100*r.RefusedWrongly)
	}
	return d
}

// OneHandMatters says that passes of one hand are worth more than those of any.
func (d *Decisions) OneHandMatters() bool { return !slices.Equal(d.AnyHand, d.OneHand) }

// Grade is what one reading by any hand is good for at a zone.
type Grade int

// The grades, the worst first.
const (
	TooCoarse   Grade = iota // no number of passes calls a crown level
	CoarseOnce               // one pass does not
	Fair                     // a crown near its place is called level
	SharpEnough              // so is one half-way to the zone's edge
)

// Grade says what one reading by any hand is good for.
func (d *Decisions) Grade() Grade {
	one := d.AnyHand[0]
	switch {
	case !one.LevelWithin.Known() && d.PassesAnyHand == nil && d.PassesOneHand == nil:
		return TooCoarse
	case !one.LevelWithin.Known():
		return CoarseOnce
	case one.U > d.SharpU:
		return Fair
	}
	return SharpEnough
}

// Unsure says that the study is too small to be sure that one reading can call
// a crown level.
func (d *Decisions) Unsure() bool { return d.UUpper.Or(0) > d.LargestU }
