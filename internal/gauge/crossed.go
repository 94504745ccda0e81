package gauge

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
)

// Errors of a study. What they wrap says more.
var (
	ErrTooFew    = errors.New("too few readings")
	ErrUneven    = errors.New("the study is uneven")
	ErrNotFinite = errors.New("a reading is not a finite number")
)

// PoolAbove is the p of the interaction above which operators are taken to
// read all parts alike, and its scatter is pooled into repeatability.
const PoolAbove = 0.25

// Crossed is a study in which every operator reads every part equally often.
type Crossed struct {
	Parts, Operators []string
	Readings         [][][]float64 // by part, operator and trial
}

// Row is one source of scatter in an analysis of variance. F and P are missing
// where there is nothing to test against.
type Row struct {
	Source string  `json:"source"`
	DF     int     `json:"df"`
	SS     float64 `json:"ss"`
	MS     float64 `json:"ms"`
	F      num.Opt `json:"f"`
	P      num.Opt `json:"p"`
}

// Sources of scatter, as rows name them.
const (
	SourcePart        = "part"
	SourceOperator    = "operator"
	SourceInteraction = "part x operator"
	SourceRepeat      = "repeatability"
)

// Variances are the components that a study takes readings apart into; none is
// below 0.
type Variances struct {
	Repeatability float64 // the same hand, the same part, again
	Operator      float64 // one hand reads higher than another
	Interaction   float64 // one hand reads some parts higher than another does
	Part          float64
}

// Reproducibility is what the hands add.
func (v Variances) Reproducibility() float64 { return v.Operator + v.Interaction }

// Gauge is the variance of a reading that any hand may have taken.
func (v Variances) Gauge() float64 { return v.Repeatability + v.Reproducibility() }

// Total is that of such readings of all parts.
func (v Variances) Total() float64 { return v.Gauge() + v.Part }

// Categories is how many groups of parts the gauge can tell apart, before it
// is rounded down: 1.41 times the parts' standard deviation over the gauge's.
// It is +Inf where the gauge shows no scatter.
func (v Variances) Categories() float64 {
	if v.Part == 0 {
		return 0
	}
	return 1.41 * math.Sqrt(v.Part/v.Gauge())
}

// Analysis is what a crossed study says by analysis of variance.
type Analysis struct {
	Parts     int `json:"parts"`
	Operators int `json:"operators"`
	Trials    int `json:"trials"`
	Deviations
	InteractionP num.Opt `json:"interaction_p"`      // missing where it cannot be tested
	Pooled       bool    `json:"interaction_pooled"` // the interaction is part of repeatability
	Rows         []Row   `json:"anova"`              // as used: the interaction pooled, or Full again
	Full         []Row   `json:"-"`                  // with the interaction on its own
	Variances    `json:"-"`
}

// Deviations are a study's figures as people read them: standard deviations,
// and what they fill.
type Deviations struct {
	ReproducibilitySD  num.Opt `json:"reproducibility_sd"` // missing with one operator
	InteractionSD      float64 `json:"interaction_sd"`
	GRRSD              float64 `json:"grr_sd"`
	PartSD             float64 `json:"part_sd"`
	TotalSD            float64 `json:"total_sd"`
	GRRPctOfTotal      num.Opt `json:"grr_pct_of_total"`
	GRRPctOfTolerance  num.Opt `json:"grr_pct_of_tolerance"` // 6 GRRSD over the tolerance; missing without one
	DistinctCategories *int    `json:"distinct_categories"`  // nil where the gauge shows no scatter at all
}

// deviations are the variances' roots.
func (a *Analysis) deviations() Deviations {
	d := Deviations{
		InteractionSD: math.Sqrt(a.Interaction), GRRSD: math.Sqrt(a.Gauge()), PartSD: math.Sqrt(a.Part), TotalSD: math.Sqrt(a.Total()),
		DistinctCategories: wholeNumber(a.Categories()),
	}
	if a.Operators > 1 {
		d.ReproducibilitySD = num.Some(math.Sqrt(a.Reproducibility()))
	}
	d.GRRPctOfTotal = num.Some(100 * d.GRRSD / d.TotalSD)
	return d
}

// wholeNumber rounds a number of categories down; nil where it has no bound.
func wholeNumber(v float64) *int {
	if math.IsInf(v, 0) || math.IsNaN(v) || v > 1e6 {
		return nil
	}
	n := int(math.Floor(v))
	return &n
}

// Analyse takes the readings of a crossed study apart by analysis of variance,
// parts and operators being drawn at random from many. Where the interaction's
// p is above PoolAbove, or where there is none to test, it is pooled into
// repeatability. Negative components are taken for 0.
//
// There must be 2 parts and 2 trials or more (ErrTooFew), the same number of
// trials everywhere (ErrUneven), all finite (ErrNotFinite). With one operator
// the hands' share is not known and stands as 0.
// Source: AIAG MSA 4th ed., chapter III B and appendix A; checked by
// TestAnalyse_AIAG and TestAnalyse_SixSigma.
func Analyse(c Crossed) (Analysis, error) {
	if err := c.check(); err != nil {
		return Analysis{}, err
	}
	a := Analysis{Parts: len(c.Readings), Operators: len(c.Readings[0]), Trials: len(c.Readings[0][0])}
	a.takeApart(c)
	a.Deviations = a.deviations()
	return a, nil
}

// takeApart fills in the table and the components of variance.
func (a *Analysis) takeApart(c Crossed) {
	p, o, r := a.Parts, a.Operators, a.Trials
	part, operator, both, repeat := c.squares()
	rows := []Row{
		newRow(SourcePart, p-1, part),
		newRow(SourceOperator, o-1, operator),
		newRow(SourceInteraction, (p-1)*(o-1), both),
		newRow(SourceRepeat, p*o*(r-1), repeat),
	}
	if o == 1 {
		rows = []Row{rows[0], rows[3]}
		rows[0].against(rows[1])
		a.Full, a.Rows = rows, rows
		a.Repeatability = rows[1].MS
		a.Part = component(rows[0].MS-rows[1].MS, r)
		return
	}
	rows[0].against(rows[2])
	rows[1].against(rows[2])
	rows[2].against(rows[3])
	a.Full, a.InteractionP = rows, rows[2].P
	a.Pooled = !(a.InteractionP.OrNaN() <= PoolAbove)
	if a.Pooled {
		error := newRow(SourceRepeat, rows[2].DF+rows[3].DF, both+repeat)
		a.Rows = []Row{rows[0], rows[1], error}
		a.Rows[0].against(error)
		a.Rows[1].against(error)
		a.Repeatability = error.MS
		a.Operator = component(rows[1].MS-error.MS, p*r)
		a.Part = component(rows[0].MS-error.MS, o*r)
		return
	}
	a.Rows = rows
	a.Repeatability = rows[3].MS
	a.Interaction = component(rows[2].MS-rows[3].MS, r)
	a.Operator = component(rows[1].MS-rows[2].MS, p*r)
	a.Part = component(rows[0].MS-rows[2].MS, o*r)
}

// component is a variance from the difference of two mean squares over so
// many readings each.
func component(difference float64, readings int) float64 {
	return math.Max(0, difference/float64(readings))
}

func newRow(source string, df int, ss float64) Row {
	return Row{Source: source, DF: df, SS: ss, MS: ss / float64(df)}
}

// against tests the row's mean square against another's.
func (r *Row) against(other Row) {
	f, p := fTest(r.MS, other.MS, r.DF, other.DF)
	r.F, r.P = num.Some(f), num.Some(p)
}

// fTest returns F and the chance that it is this large where both mean squares
// come from the same scatter; NaN where neither shows any.
func fTest(ms, other float64, df, otherDF int) (f, p float64) {
	if df < 1 || otherDF < 1 || ms == 0 && other == 0 {
		return math.NaN(), math.NaN()
	}
	f = ms / other
	if math.IsInf(f, 1) {
		return f, 0
	}
	return f, distuv.F{D1: float64(df), D2: float64(otherDF)}.Survival(f)
}

// check refuses a study that cannot be analysed.
func (c Crossed) check() error {
	if len(c.Readings) < 2 {
		return fmt.Errorf("%w: a crossed study needs 2 parts or more", ErrTooFew)
	}
	for _, part := range c.Readings {
		if len(part) != len(c.Readings[0]) || len(part) == 0 {
			return fmt.Errorf("%w: not every operator read every part", ErrUneven)
		}
		for _, cell := range part {
			if len(cell) != len(c.Readings[0][0]) {
				return fmt.Errorf("%w: not every part was read equally often", ErrUneven)
			}
			if len(cell) < 2 {
				return fmt.Errorf("%w: every operator must read every part twice or more", ErrTooFew)
			}
			if err := checkFinite(cell); err != nil {
				return err
			}
		}
	}
	return nil
}

func checkFinite(values []float64) error {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return ErrNotFinite
		}
	}
	return nil
}

// squares returns the sums of squares of the parts, the operators, their
// interaction, and the trials. Everything is taken about the grand mean, so
// that a large common height costs no digits.
func (c Crossed) squares() (part, operator, both, repeat float64) {
	p, o, r := len(c.Readings), len(c.Readings[0]), len(c.Readings[0][0])
	var grand float64
	n := float64(p * o * r)
	for _, q := range c.Readings {
		for _, cell := range q {
			for _, v := range cell {
				grand += v / n
			}
		}
	}
	parts, operators := make([]float64, p), make([]float64, o)
	cells := make([][]float64, p)
	for i, q := range c.Readings {
		cells[i] = make([]float64, o)
		for j, cell := range q {
			for _, v := range cell {
				cells[i][j] += (v - grand) / float64(r)
			}
			parts[i] += cells[i][j] / float64(o)
			operators[j] += cells[i][j] / float64(p)
		}
	}
	for i, q := range c.Readings {
		part += float64(o*r) * parts[i] * parts[i]
		for j, cell := range q {
			d := cells[i][j] - parts[i] - operators[j]
			both += float64(r) * d * d
			for _, v := range cell {
				e := v - grand - cells[i][j]
				repeat += e * e
			}
		}
	}
	for j := range operators {
		operator += float64(p*r) * operators[j] * operators[j]
	}
	// What is left of equal readings by rounding is no scatter.
	floor := math.Pow(1e-14*math.Abs(grand), 2) * n
	for _, s := range []*float64{&part, &operator, &both, &repeat} {
		if *s <= floor {
			*s = 0
		}
	}
	return part, operator, both, repeat
}
