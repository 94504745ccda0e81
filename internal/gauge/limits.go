package gauge

import (
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
)

// Limits are the limits of confidence of a figure; an end that is not known is
// missing.
type Limits struct {
	Lower num.Opt `json:"lower"`
	Upper num.Opt `json:"upper"`
}

func limitsOf(lower, upper float64) Limits { return Limits{num.Some(lower), num.Some(upper)} }

// StudyLimits are the limits of confidence of what a crossed study says, as
// standard deviations, a percentage and a count.
type StudyLimits struct {
	Confidence      float64 `json:"level"`
	Repeatability   Limits  `json:"repeatability_sd"`
	Reproducibility Limits  `json:"reproducibility_sd"`
	Gauge           Limits  `json:"grr_sd"`
	Part            Limits  `json:"part_sd"`
	Total           Limits  `json:"total_sd"`
	GaugePct        Limits  `json:"grr_pct_of_total"`    // gauge over total, of standard deviations
	Categories      Limits  `json:"distinct_categories"` // before rounding down
}

// limitDraws is how many draws the limits rest on: their ends then lie within
// about a per cent of where more draws would bring them (TestLimits_Draws).
const limitDraws = 20_000

// Limits works out limits of confidence (0.95, say) for an analysis. Each mean
// square over its chi-squared is a draw of what its expectation may be; the
// limits are quantiles of what the draws make of each figure. The draws are
// seeded: the same study has the same limits.
//
// Source: generalised confidence intervals, Hamada & Weerahandi, Journal of
// Quality Technology 32 (2000) 241 (from memory). For repeatability this is
// the exact χ² interval; the gauge's is checked against the modified
// large-sample interval in TestLimits_ModifiedLargeSample, and the coverage of
// all by TestLimits_Coverage.
func (a Analysis) Limits(confidence float64) StudyLimits {
	return a.limits(confidence, limitDraws)
}

func (a Analysis) limits(confidence float64, number int) StudyLimits {
	random := rand.New(rand.NewPCG(1990, 2000))
	draws := make([]Variances, number)
	mean := make(map[string]float64, len(a.Rows))
	for i := range draws {
		for _, r := range a.Rows {
			chi := distuv.ChiSquared{K: float64(r.DF), Src: random}
			mean[r.Source] = r.SS / chi.Rand()
		}
		draws[i] = a.fromMeans(mean)
	}
	q := quantiles{draws: draws, tail: (1 - confidence) / 2}
	root := func(f func(Variances) float64) Limits {
		return q.of(func(v Variances) float64 { return math.Sqrt(f(v)) })
	}
	l := StudyLimits{
		Confidence:    confidence,
		Repeatability: root(func(v Variances) float64 { return v.Repeatability }),
		Gauge:         root(Variances.Gauge),
		Part:          root(func(v Variances) float64 { return v.Part }),
		Total:         root(Variances.Total),
		GaugePct:      q.of(func(v Variances) float64 { return 100 * math.Sqrt(share(v.Gauge(), v.Total())) }),
		Categories:    q.of(Variances.Categories),
	}
	if a.Operators > 1 {
		l.Reproducibility = root(Variances.Reproducibility)
	}
	return l
}

// share is a over b, 0 where both are.
func share(a, b float64) float64 {
	if a == 0 {
		return 0
	}
	return a / b
}

// fromMeans turns drawn mean squares into components, as Analyse does.
func (a Analysis) fromMeans(ms map[string]float64) Variances {
	p, o, r := a.Parts, a.Operators, a.Trials
	v := Variances{Repeatability: ms[SourceRepeat]}
	switch {
	case o == 1:
		v.Part = component(ms[SourcePart]-v.Repeatability, r)
	case a.Pooled:
		v.Operator = component(ms[SourceOperator]-v.Repeatability, p*r)
		v.Part = component(ms[SourcePart]-v.Repeatability, o*r)
	default:
		v.Interaction = component(ms[SourceInteraction]-v.Repeatability, r)
		v.Operator = component(ms[SourceOperator]-ms[SourceInteraction], p*r)
		v.Part = component(ms[SourcePart]-ms[SourceInteraction], o*r)
	}
	return v
}

// quantiles takes limits from draws.
type quantiles struct {
	draws []Variances
	tail  float64
}

func (q quantiles) of(figure func(Variances) float64) Limits {
	x := make([]float64, len(q.draws))
	for i, v := range q.draws {
		x[i] = figure(v)
	}
	sort.Float64s(x)
	at := func(p float64) float64 { return x[min(len(x)-1, int(p*float64(len(x))))] }
	return limitsOf(at(q.tail), at(1-q.tail))
}

// SDLimits are the limits of confidence of a standard deviation with df
// degrees of freedom, by χ².
func SDLimits(sd float64, df int, confidence float64) Limits {
	chi := distuv.ChiSquared{K: float64(df)}
	tail := (1 - confidence) / 2
	return limitsOf(sd*math.Sqrt(float64(df)/chi.Quantile(1-tail)), sd*math.Sqrt(float64(df)/chi.Quantile(tail)))
}
