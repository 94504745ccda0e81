package gauge

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/drift"
	"ringtrue/internal/num"
)

// Repeat is what repeated readings of one crown say, in the order in which
// they were taken.
type Repeat struct {
	N        int     `json:"-"`
	SD       float64 `json:"-"`
	Mean     float64 `json:"mean"`
	SDLimits Limits  `json:"repeatability_limits"`
	FromMR   float64 `json:"moving_range_sd"`   // standard deviation from moving ranges: smaller than SD where readings wander
	Creep    float64 `json:"creep_per_reading"` // slope of the readings from one to the next
	CreepP   num.Opt `json:"creep_p"`           // chance of such a slope where nothing creeps; missing for fewer than 3
	Step     float64 `json:"step"`              // the finest step between readings, the dial's own; 0 where all are equal
	StepU    float64 `json:"-"`                 // what that step alone leaves
	Odd      []int   `json:"odd_readings"`      // readings, from 1, that do not belong to the others
}

// significance is the p below which a study calls something real.
const significance = 0.05

// Real says whether chance explains too little: p is under 0.05. One that is
// missing explains all.
func Real(p num.Opt) bool { return p.Or(1) < significance }

// AnalyseRepeat looks at repeated readings of one crown. readings: 2 or more
// (ErrTooFew), finite. An odd one is named, and stays in.
//
// Source: χ² limits, textbook; outliers by Outliers; creep by a least-squares
// line over the order of reading.
func AnalyseRepeat(readings []float64, confidence float64) (Repeat, error) {
	n := len(readings)
	if n < 2 {
		return Repeat{}, ErrTooFew
	}
	if err := checkFinite(readings); err != nil {
		return Repeat{}, err
	}
	r := Repeat{N: n, Odd: []int{}}
	r.Mean, r.SD = stat.MeanStdDev(readings, nil)
	r.Step = finestStep(readings)
	r.StepU = StepU(r.Step)
	if r.Step == 0 {
		r.SD = 0
		return r, nil
	}
	r.SDLimits = SDLimits(r.SD, n-1, confidence)
	for i, v := range readings[1:] {
		r.FromMR += math.Abs(v-readings[i]) / float64(n-1) / drift.MovingRangeD2
	}
	if n > 2 {
		r.creep(readings)
	}
	steps, odd := Outliers(readings, max(1, n/10), significance)
	for _, s := range steps[:odd] {
		r.Odd = append(r.Odd, s.Index+1)
	}
	sort.Ints(r.Odd)
	return r, nil
}

// creep fits a line over the order of reading.
func (r *Repeat) creep(readings []float64) {
	order := make([]float64, len(readings))
	for i := range order {
		order[i] = float64(i)
	}
	f, err := LeastSquares(powers(order, 1), readings)
	if err != nil {
		return // two readings: nothing to tell
	}
	r.Creep = f.Coefficients[1]
	r.CreepP = num.Some(tTest(r.Creep, f.U(1), f.DF))
}

// StepHides says whether the dial's step is too coarse to show the scatter:
// its share is more than half the variance, or nothing moved at all.
func (r Repeat) StepHides() bool { return r.SD == 0 || r.StepU*r.StepU > r.SD*r.SD/2 }

// finestStep is the smallest difference between readings that is more than
// rounding.
func finestStep(readings []float64) float64 {
	s := append([]float64(nil), readings...)
	sort.Float64s(s)
	largest := math.Max(math.Abs(s[0]), math.Abs(s[len(s)-1]))
	step := math.Inf(1)
	for i := 1; i < len(s); i++ {
		if d := s[i] - s[i-1]; d > 1e-12*largest && d > 0 {
			step = math.Min(step, d)
		}
	}
	if math.IsInf(step, 1) {
		return 0
	}
	return step
}

// powers is a design of the powers 0 to degree of x.
func powers(x []float64, degree int) *mat.Dense {
	d := mat.NewDense(len(x), degree+1, nil)
	for i, v := range x {
		p := 1.0
		for j := range degree + 1 {
			d.Set(i, j, p)
			p *= v
		}
	}
	return d
}

// tTest is the chance of an estimate this far from 0 where the truth is 0; NaN
// where there is neither estimate nor scatter.
func tTest(estimate, u float64, df int) float64 {
	if estimate == 0 && u == 0 || df < 1 {
		return math.NaN()
	}
	return 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}.Survival(math.Abs(estimate)/u)
}
