package drift

import (
	"errors"
	"fmt"
	"math"
	"time"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/num"
)

// Errors of a design that does not suit its series.
var (
	ErrNoGroups = errors.New("the series has no groups")
	ErrNoTag    = errors.New("no value of the series has that tag")
	ErrNoOutOf  = errors.New("the series does not say how many were looked at")
	ErrOfCounts = errors.New("capability needs measured values, not counts")
)

// Design says how a series is to be charted.
type Design struct {
	Kind   Kind         // individuals, means, proportion or count; "" goes by the series
	Spread Spread       // of means
	Basis  Basis        // what the limits are taken from
	EWMA   *EWMADesign  // nil: no such chart
	CUSUM  *CusumDesign // nil: no such chart
}

// EWMADesign is the weight of a moving average, and the width of its limits in
// sigmas of the average.
type EWMADesign struct {
	Lambda float64 `json:"lambda"`
	Width  float64 `json:"width"`
}

// CusumDesign is the slack, the limit and the head start of cumulative sums, in
// sigmas of a point.
type CusumDesign struct {
	K         float64 `json:"k"`
	H         float64 `json:"h"`
	HeadStart float64 `json:"head_start"`
}

// Charts are the control charts of one series: the main one, and those beside it.
type Charts struct {
	Chart
	Spread *Chart   `json:"spread,omitempty"` // moving ranges, ranges or standard deviations; nil for counts and shares
	EWMA   *Average `json:"ewma,omitempty"`
	CUSUM  *Cusum   `json:"cusum,omitempty"`
	Groups []Group  `json:"groups,omitempty"` // of a chart of means

	points []Point // what the main chart's points are: the first of each group, or every one
}

// Average is a chart of the exponentially weighted moving average.
type Average struct {
	EWMADesign
	Chart
}

// Group is a rational subgroup: a point of the means' chart.
type Group struct {
	Name   string `json:"group"`
	Values int    `json:"values"`
}

// Charts makes every chart of a series. Errors: ErrNoGroups, ErrNoOutOf,
// ErrTooFew, ErrNotFinite, ErrCount, and ErrNoScatter for cumulative sums of
// equal values.
func (d Design) Charts(s Series) (Charts, error) {
	c, err := d.shewhart(s)
	if err != nil {
		return c, err
	}
	if e := d.EWMA; e != nil {
		c.EWMA = &Average{*e, EWMA(c.Chart, e.Lambda, e.Width)}
	}
	if q := d.CUSUM; q != nil {
		sums, err := CumulativeSum(c.Chart, *q)
		if err != nil {
			return c, fmt.Errorf("cumulative sums: %w", err)
		}
		c.CUSUM = &sums
	}
	c.finish(s.NeverNegative)
	return c, nil
}

// finish says of limits which are none, and of signals what their points are.
func (c *Charts) finish(neverNegative bool) {
	if c.Discrete() { // no scatter apart from the centre: that of the last point
		c.Sigma = c.SDAt(len(c.Points) - 1)
	}
	all := []*Chart{&c.Chart, c.Spread}
	if c.EWMA != nil {
		all = append(all, &c.EWMA.Chart)
	}
	for _, k := range all {
		if k != nil {
			k.NoLower = neverNegative && k.Lower < 0
			k.Signals = c.named(k.Signals, *k)
		}
	}
	if c.CUSUM != nil {
		c.CUSUM.Signals = c.named(c.CUSUM.Signals, c.Chart)
	}
}

// named says what the signals' points are called, and where they stand on a chart.
func (c *Charts) named(signals []Signal, on Chart) []Signal {
	var last time.Time
	var date string // of last: neighbours share their day's text
	for i := range signals {
		s := &signals[i]
		p := &c.points[s.Index-1]
		if i == 0 || p.Date.YearDay() != last.YearDay() || p.Date.Year() != last.Year() || p.Date.IsZero() {
			last, date = p.Date, day(p.Date)
		}
		s.Value, s.Label, s.Date = on.Points[s.Index-on.First], p.Name(c.Groups != nil), date
	}
	if signals == nil {
		return []Signal{} // none is an answer
	}
	return signals
}

// kind is the kind of the main chart.
func (d Design) kind(s Series) Kind {
	switch {
	case d.Kind != "":
		return d.Kind
	case len(s.Points) > 0 && s.Points[0].OutOf > 0:
		return KindProportion
	case s.Grouped():
		return KindMeans
	}
	return KindIndividuals
}

// shewhart makes the main chart and the one of spreads, where there is one.
func (d Design) shewhart(s Series) (c Charts, err error) {
	c.points = s.Points
	var beside Chart
	switch kind := d.kind(s); kind {
	case KindMeans:
		if !s.Grouped() {
			return c, ErrNoGroups
		}
		groups, first := s.Groups()
		c.points = make([]Point, len(first))
		for i, at := range first {
			c.points[i] = s.Points[at]
			c.Groups = append(c.Groups, Group{s.Points[at].Group, len(groups[i])})
		}
		c.Chart, beside, err = Means(groups, d.Spread, d.Basis)
		c.Spread = &beside
	case KindProportion:
		outOf := make([]int, len(s.Points))
		for i, p := range s.Points {
			if outOf[i] = p.OutOf; p.OutOf == 0 {
				return c, ErrNoOutOf
			}
		}
		c.Chart, err = Proportions(s.Values(), outOf, d.Basis)
	case KindCount:
		c.Chart, err = Counts(s.Values(), d.Basis)
	case KindIndividuals:
		c.Chart, beside, err = Individuals(s.Values(), d.Basis)
		c.Spread = &beside
	default:
		err = fmt.Errorf("no such control chart %q", kind)
	}
	return c, err
}

// Discrete says whether the main chart is of counts or shares.
func (c Charts) Discrete() bool { return c.Kind == KindCount || c.Kind == KindProportion }

// All lists the charts, the main one first. Cumulative sums count as a chart of
// both: from their target to their limit, without a lower one.
func (c Charts) All() []Chart {
	all := []Chart{c.Chart}
	if c.Spread != nil {
		all = append(all, *c.Spread)
	}
	if c.EWMA != nil {
		all = append(all, c.EWMA.Chart)
	}
	if q := c.CUSUM; q != nil {
		all = append(all, Chart{Kind: KindCUSUM, Centre: q.Target, Lower: math.NaN(), Upper: q.Limit, Sigma: q.Sigma, Signals: q.Signals})
	}
	return all
}

// Flagged is how many points signal on any of the charts.
func (c Charts) Flagged() int {
	seen := make([]bool, len(c.Points)+1)
	n := 0
	for _, k := range c.All() {
		for _, s := range k.Signals {
			if !seen[s.Index] {
				seen[s.Index] = true
				n++
			}
		}
	}
	return n
}

// Shifts finds the steps of the main chart's level, named by its points. Errors
// and source: those of the function Shifts.
func (c Charts) Shifts(confidence float64) ([]Shift, error) {
	var weights []float64
	switch {
	case c.Groups != nil:
		for _, g := range c.Groups {
			weights = append(weights, float64(g.Values))
		}
	case c.Kind == KindProportion:
		for _, p := range c.points {
			weights = append(weights, float64(p.OutOf))
		}
	}
	found, err := Shifts(c.Points, weights, confidence)
	if found == nil {
		found = []Shift{} // none is an answer
	}
	for i := range found {
		s := &found[i]
		s.name(c.points[s.First-1].Name(c.Groups != nil), func(index int) time.Time { return c.points[index-1].Date })
	}
	return found, err
}

// Capability holds the values of a series against what is wanted of them; nil
// where nothing is. Errors: ErrOfCounts, and those of Capable.
func (c Charts) Capability(s Series, wanted Spec, confidence float64) (*Capability, error) {
	if !wanted.Asked() {
		return nil, nil
	}
	if c.Discrete() {
		return nil, ErrOfCounts
	}
	found, err := Capable(s.Values(), c.Sigma, wanted, confidence)
	if err != nil {
		return nil, fmt.Errorf("capability: %w", err)
	}
	return &found, nil
}

// fewShifts is how many steps of the level are taken for steps: a series that
// wanders looks as if it had many.
const fewShifts = 2

// Neighbours is the correlation of neighbouring points, missing below three,
// and whether it is more than chance. A step of the level makes neighbours
// alike too, so a few steps are taken off first.
func (c Charts) Neighbours(shifts []Shift) (r num.Opt, real bool) {
	x := append([]float64(nil), c.Points...)
	if len(shifts) <= fewShifts {
		from := 0
		for i := 0; i <= len(shifts); i++ {
			to := len(x)
			if i < len(shifts) {
				to = shifts[i].First - 1
			}
			stretch := x[from:to]
			level := stat.Mean(stretch, nil)
			for k := range stretch {
				stretch[k] -= level
			}
			from = to
		}
	}
	if len(x) < 3 {
		return num.Opt{}, false
	}
	v, real := Autocorrelation(x)
	return num.Some(v), real
}
