package drift

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"time"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// minStretch is how many points must lie on each side of a change of level:
// fewer are a matter for the chart's own limits.
const minStretch = 3

// shiftLevel is the p below which a step is called a change.
const shiftLevel = 0.05

// Shift is a step of the level of a series.
type Shift struct {
	First    int     `json:"index"`    // from 1, of the first point at the new level
	Earliest int     `json:"earliest"` // the step came between this point
	Latest   int     `json:"latest"`   // and this one, with the confidence asked for
	Before   float64 `json:"before"`   // means of the stretches before and after it
	After    float64 `json:"after"`
	UBefore  float64 `json:"u_before"` // standard uncertainties of these
	UAfter   float64 `json:"u_after"`
	P        float64 `json:"p"` // chance that a steady series looks as stepped as this somewhere; never too small

	Label    string `json:"label,omitempty"` // of the first point at the new level, where known
	Date     string `json:"date,omitempty"`
	FromDate string `json:"earliest_date,omitempty"`
	ToDate   string `json:"latest_date,omitempty"`

	Start int `json:"-"` // the stretch looked at: points Start to End
	End   int `json:"-"`
}

// name labels and dates a step by what is known of its points, by index from 1.
func (c *Shift) name(label string, date func(index int) time.Time) {
	c.Label, c.Date = label, day(date(c.First))
	c.FromDate, c.ToDate = day(date(c.Earliest)), day(date(c.Latest))
}

// day prints a date, nothing where it is not known.
func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// Shifts finds the steps of a series: the likeliest one, where a steady
// series would hardly look as stepped, then the likeliest of the stretches
// before and after it, and so on. Earliest and Latest hold the step with the
// given confidence. weights are the number of values behind each point, nil
// for one each. Steps come in order; none is an answer.
//
// Values take their scatter from their own stretch; they are meant to be
// independent and normal. values are finite (ErrNotFinite); lengths agree,
// else it panics. Cost: O(n log n); beyond that a
// step costs what its confidence must look at, and with unequal weights O(n).
// Source: the likelihood ratio of Hawkins, Qiu & Kang, Journal of Quality
// Technology 35 (2003) 355; its p bounded as in Worsley, Biometrika 70 (1983)
// 455 (Hunter's bound over neighbouring places); the place's confidence from
// its posterior with flat priors, Smith, Biometrika 62 (1975) 407. Checked by
// TestShifts_FalseAlarms and TestShifts_Confidence.
func Shifts(values, weights []float64, confidence float64) ([]Shift, error) {
	return shiftsBelow(values, weights, confidence, shiftLevel)
}

// shiftsBelow is Shifts with steps of a smaller p than level.
func shiftsBelow(values, weights []float64, confidence, level float64) ([]Shift, error) {
	if err := checkFinite(values, 0); err != nil {
		return nil, err
	}
	if weights != nil && len(weights) != len(values) {
		panic("drift: values and weights differ in length")
	}
	return newSearch(values, weights, plainStretch).all(confidence, level), nil
}

// all finds every step of a series.
func (h *search) all(confidence, level float64) []Shift {
	var found []Shift
	stretches := [][2]int{{0, len(h.x)}}
	for len(stretches) > 0 {
		s := stretches[len(stretches)-1]
		stretches = stretches[:len(stretches)-1]
		c, ok := h.step(s[0], s[1], confidence, level)
		if !ok {
			continue
		}
		at := s[0] + c.First - 1
		c.First, c.Earliest, c.Latest = c.First+s[0], c.Earliest+s[0], c.Latest+s[0]
		c.Start, c.End = s[0]+1, s[1]
		found = append(found, c)
		stretches = append(stretches, [2]int{s[0], at}, [2]int{at, s[1]})
	}
	sort.Slice(found, func(i, j int) bool { return found[i].First < found[j].First })
	return found
}

// step finds the likeliest step of one stretch; ok is false where a steady
// stretch may well look like that.
func step(x, w []float64, confidence, level float64) (c Shift, ok bool) {
	n := len(x)
	if n < 2*minStretch {
		return Shift{}, false
	}
	sums := newSplit(x, w)
	best, gain := minStretch, sums.betweenSS(minStretch)
	for t := minStretch + 1; t <= n-minStretch; t++ {
		if v := sums.betweenSS(t); v > gain {
			best, gain = t, v
		}
	}
	left := math.Max(0, sums.square-gain)
	df := float64(n - 2)
	if gain <= 1e-24*sums.scale {
		return Shift{}, false // no scatter but rounding
	}
	c = Shift{First: best + 1, P: sums.pValue(math.Sqrt(gain/(left/df)), df)}
	if !(c.P < level) {
		return Shift{}, false
	}
	c.Before, c.After = sums.means(best)
	sd := math.Sqrt(left / df)
	c.UBefore, c.UAfter = sd/math.Sqrt(sums.weight[best]), sd/math.Sqrt(sums.weight[n]-sums.weight[best])
	from, to := sums.interval(confidence, best, gain)
	c.Earliest, c.Latest = from+1, to+1
	return c, true
}

// split holds running sums of a stretch, about its own mean.
type split struct {
	weight, sum []float64 // over the first t points
	mean        float64
	square      float64 // weighted squares about the mean
	scale       float64 // weighted squares about 0, to tell rounding from scatter
}

func newSplit(x, w []float64) split {
	n := len(x)
	s := split{weight: make([]float64, n+1), sum: make([]float64, n+1)}
	var total float64
	for i, v := range x {
		s.weight[i+1] = s.weight[i] + w[i]
		total += w[i] * v
	}
	s.mean = total / s.weight[n]
	for i, v := range x {
		d := v - s.mean
		s.sum[i+1] = s.sum[i] + w[i]*d
		s.square += w[i] * d * d
		s.scale += w[i] * v * v
	}
	return s
}

// betweenSS is how much of the squares a step after t points explains.
func (s *split) betweenSS(t int) float64 {
	n := len(s.sum) - 1
	return s.sum[t] * s.sum[t] * s.weight[n] / (s.weight[t] * (s.weight[n] - s.weight[t]))
}

// means returns the mean before and after t points.
func (s *split) means(t int) (before, after float64) {
	n := len(s.sum) - 1
	rest := s.sum[n] - s.sum[t]
	return s.mean + s.sum[t]/s.weight[t], s.mean + rest/(s.weight[n]-s.weight[t])
}

// pValue bounds from above the probability that the greatest |t| over all
// places of a steady series exceeds the one given. Student's t is turned into
// the normal deviate of the same tail.
func (s *split) pValue(student, df float64) float64 {
	tail, c := deviate(student, df)
	switch {
	case c > 37:
		return 0
	case c < 1:
		return 1
	}
	n := len(s.sum) - 1
	over := newCrossing(c)
	p := 2 * tail
	for t := minStretch; t < n-minStretch && p < 1; t++ {
		a, b := s.weight[t], s.weight[t+1]
		all := s.weight[n]
		// Correlation of the deviates at neighbouring places; 1 − ρ² without
		// cancellation.
		apart := all * (b - a) / (b * (all - a))
		p += over.of(apart)
	}
	return math.Min(1, p)
}

// deviate is the chance that Student's t exceeds a value, and the normal deviate
// of the same tail: infinite where that is beyond telling.
func deviate(student, df float64) (tail, c float64) {
	tail = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Survival(student)
	if !(tail > 0) {
		return 0, math.Inf(1)
	}
	return tail, -distuv.UnitNormal.Quantile(tail)
}

// crossing is the probability that a normal deviate lies within ±c and its
// neighbour, correlated with it, beyond.
type crossing struct {
	c        float64
	node     [crossingNodes]float64
	weighted [crossingNodes]float64
	last     struct{ apart, p float64 }
}

// crossingNodes is how many steps the integral over the first deviate takes,
// crossingSpan how far it goes below c, in the neighbour's own spread.
const (
	crossingNodes = 32
	crossingSpan  = 8.0
)

func newCrossing(c float64) *crossing {
	x := &crossing{c: c}
	x.last.apart = -1
	quad.Legendre{}.FixedLocations(x.node[:], x.weighted[:], 0, 1)
	return x
}

// of takes 1 − ρ².
func (x *crossing) of(apart float64) float64 {
	// Neighbouring places differ little: take the last value, scaled by the
	// root to which it is proportional. Where places differ by s, what is left
	// out is a part of order (c s)² of the change; so many is allowed that a
	// part in 10^4 of the value is wrong at most.
	if math.Abs(apart-x.last.apart)*min(1, x.c*x.c*apart) <= 1e-4*apart {
		return x.last.p * math.Sqrt(apart/x.last.apart)
	}
	x.last.apart, x.last.p = apart, x.exactly(apart)
	return x.last.p
}

// exactly is of without what neighbours share.
func (x *crossing) exactly(apart float64) float64 {
	s := math.Sqrt(apart)
	rho := math.Sqrt(1 - apart)
	span := math.Min(crossingSpan, 2*x.c/s)
	var sum float64
	for i, node := range x.node {
		v := node * span
		u := x.c - s*v
		sum += x.weighted[i] * density(u) * phi(-(x.c*apart/(1+rho)/s + rho*v))
	}
	return 2 * s * span * sum
}

// unlikely is how far, as a logarithm, a place's chance may lie below the greatest
// one before it is left out: the rest hold less than 1e-17 each.
const unlikely = 40

// stepPlace is a place of a step and the logarithm of its chance, but for a constant.
type stepPlace struct {
	t   int
	log float64
}

// interval returns the first and the last of the likeliest places that
// together hold the given confidence; best is the one with the greatest gain.
func (s *split) interval(confidence float64, best int, gain float64) (from, to int) {
	n := len(s.sum) - 1
	floor := 1e-24 * s.scale
	of := func(t int, left float64) float64 {
		return -0.5*math.Log(s.weight[t]*(s.weight[n]-s.weight[t])) - float64(n-2)/2*math.Log(left)
	}
	left := math.Max(floor, s.square-gain)
	low := of(best, left) - unlikely
	// ln x > 1 − 1/x shows most places to be left out, without a logarithm; 40 more
	// are more than the weights can make up for.
	most := left / (1 - 2*(2*unlikely)/float64(n-2))
	var places []stepPlace
	for t := minStretch; t <= n-minStretch; t++ {
		here := math.Max(floor, s.square-s.betweenSS(t))
		if most > 0 && here > most {
			continue
		}
		if log := of(t, here); log > low {
			places = append(places, stepPlace{t, log})
		}
	}
	return likeliest(places, confidence)
}

// likeliest returns the first and the last of the likeliest of places in order,
// which together hold the given confidence.
func likeliest(places []stepPlace, confidence float64) (from, to int) {
	most := math.Inf(-1)
	for _, p := range places {
		most = math.Max(most, p.log)
	}
	var all float64
	kept := places[:0]
	for _, p := range places {
		if p.log > most-unlikely {
			all += math.Exp(p.log - most)
			kept = append(kept, p)
		}
	}
	// Places that hold less than this cannot together hold what may be left out.
	least := math.Log((1-confidence)*all/float64(len(kept))) - 1e-6
	likely := make([]stepPlace, 0, min(len(kept), 1024))
	for _, p := range kept {
		if p.log-most >= least {
			likely = append(likely, p)
		}
	}
	slices.SortStableFunc(likely, func(a, b stepPlace) int { return cmp.Compare(b.log, a.log) })
	from, to = likely[0].t, likely[0].t
	var held float64
	for _, p := range likely {
		if held >= confidence*all {
			break
		}
		held += math.Exp(p.log - most)
		from, to = min(from, p.t), max(to, p.t)
	}
	return from, to
}

// Rises says whether the level stepped up.
func (c Shift) Rises() bool { return c.After > c.Before }
