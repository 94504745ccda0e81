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
	ErrNoTag    = errors.New("no value of the series carries that tag")
	ErrNoOutOf  = errors.New("the series does not say how many were looked at")
	ErrOfCounts = errors.New("capability is of measured values, not of counts")
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

// Charts are the control charts of one series.
type Charts struct {
	Points []Point     // what the main chart's points are: the first of each group, or every one
	Groups [][]float64 // nil where the main chart is not of means
	Main   Chart
	Spread *Chart // nil for counts and shares
	EWMA   *Chart
	CUSUM  *Cusum
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
		average := EWMA(c.Main, e.Lambda, e.Width)
		c.EWMA = &average
	}
	if q := d.CUSUM; q != nil {
		sums, err := CumulativeSum(c.Main, *q)
		if err != nil {
			return c, fmt.Errorf("cumulative sums: %w", err)
		}
		c.CUSUM = &sums
	}
	return c, nil
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
	c.Points = s.Points
	var beside Chart
	switch kind := d.kind(s); kind {
	case KindMeans:
		if !s.Grouped() {
			return c, ErrNoGroups
		}
		var first []int
		c.Groups, first = s.Groups()
		c.Points = make([]Point, len(first))
		for i, at := range first {
			c.Points[i] = s.Points[at]
		}
		c.Main, beside, err = Means(c.Groups, d.Spread, d.Basis)
		c.Spread = &beside
	case KindProportion:
		outOf := make([]int, len(s.Points))
		for i, p := range s.Points {
			if outOf[i] = p.OutOf; p.OutOf == 0 {
				return c, ErrNoOutOf
			}
		}
		c.Main, err = Proportions(s.Values(), outOf, d.Basis)
	case KindCount:
		c.Main, err = Counts(s.Values(), d.Basis)
	case KindIndividuals:
		c.Main, beside, err = Individuals(s.Values(), d.Basis)
		c.Spread = &beside
	default:
		err = fmt.Errorf("%q is no kind of control chart", kind)
	}
	return c, err
}

// Discrete says whether the main chart is of counts or shares.
func (c Charts) Discrete() bool { return c.Main.Kind == KindCount || c.Main.Kind == KindProportion }

// Signals counts what all charts signal.
func (c Charts) Signals() int {
	n := len(c.Main.Signals)
	for _, beside := range []*Chart{c.Spread, c.EWMA} {
		if beside != nil {
			n += len(beside.Signals)
		}
	}
	if c.CUSUM != nil {
		n += len(c.CUSUM.Signals)
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
			weights = append(weights, float64(len(g)))
		}
	case c.Main.Kind == KindProportion:
		for _, p := range c.Points {
			weights = append(weights, float64(p.OutOf))
		}
	}
	found, err := Shifts(c.Main.Points, weights, confidence)
	if found == nil {
		found = []Shift{} // none is an answer
	}
	for i := range found {
		s := &found[i]
		s.name(c.Points[s.First-1].Name(c.Groups != nil), func(index int) time.Time { return c.Points[index-1].Date })
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
	found, err := Capable(s.Values(), c.Main.Sigma, wanted, confidence)
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
	x := append([]float64(nil), c.Main.Points...)
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

// Digits is how many decimals centre and limits deserve: the last one is worth
// a fifth of the scatter at most, and more than a fiftieth of it.
func Digits(lower, upper float64) int {
	scale := (upper - lower) / 6
	if !(scale > 0) {
		return 3
	}
	return max(0, min(9, int(math.Ceil(-math.Log10(scale/5)))))
}
