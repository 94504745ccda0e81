package drift

import (
	"fmt"
	"math"
	"strconv"

	"ringtrue/internal/num"
)

// Kind is the kind of a chart, as answers name it.
type Kind string

// The kinds of chart.
const (
	KindIndividuals  Kind = "individuals"
	KindMeans        Kind = "means"
	KindMovingRanges Kind = "moving ranges"
	KindRanges       Kind = "ranges"
	KindDeviations   Kind = "standard deviations"
	KindProportion   Kind = "proportion"
	KindCount        Kind = "count"
	KindEWMA         Kind = "ewma"
	KindCUSUM        Kind = "cusum"
)

// Chart is one control chart. Where limits differ from point to point, Lower and
// Upper are those of the last point (for an EWMA, those that a long run settles
// to), and Lowers and Uppers hold all.
type Chart struct {
	Kind    Kind       `json:"chart"`
	Centre  float64    `json:"centre"`
	Lower   float64    `json:"lower"`
	Upper   float64    `json:"upper"`
	NoLower bool       `json:"no_lower_limit,omitempty"` // Lower is under 0, the values cannot be: no limit is there
	Sigma   float64    `json:"sigma"`                    // standard deviation of one value; 0 where the chart has no use for it
	First   int        `json:"first_index"`              // from 1, of the first of Points: 2 for moving ranges
	Points  Numbers    `json:"points"`                   // what is drawn
	Lowers  Numbers    `json:"lower_points,omitempty"`
	Uppers  Numbers    `json:"upper_points,omitempty"`
	Signals SignalList `json:"signals"`

	SD []float64 `json:"-"` // standard deviation of a point about the centre: one for all, or one each
}

// Numbers are values of which some may be missing: NaN prints as null.
type Numbers []float64

// MarshalJSON prints the numbers.
func (n Numbers) MarshalJSON() ([]byte, error) {
	return n.AppendJSON(make([]byte, 0, 20*len(n)+2)), nil
}

// AppendJSON prints the numbers to the end of b.
func (n Numbers) AppendJSON(b []byte) []byte {
	b = append(b, '[')
	for i, v := range n {
		if i > 0 {
			b = append(b, ',')
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			b = append(b, "null"...)
		} else {
			b = strconv.AppendFloat(b, v, 'g', -1, 64)
		}
	}
	return append(b, ']')
}

// Digits is how many decimals centre and limits deserve: the last one is worth
// a fifth of the scatter at most, and more than a fiftieth of it.
func (c Chart) Digits() int {
	scale := (c.Upper - c.Lower) / 6
	if !(scale > 0) {
		return 3
	}
	return max(0, min(9, int(math.Ceil(-math.Log10(scale/5)))))
}

// SDAt returns the standard deviation of the point at place i, from 0.
func (c Chart) SDAt(i int) float64 {
	if len(c.SD) == 1 {
		return c.SD[0]
	}
	return c.SD[i]
}

// LimitsAt returns the limits of the point at place i, from 0.
func (c Chart) LimitsAt(i int) (lower, upper float64) {
	if c.Lowers == nil {
		return c.Lower, c.Upper
	}
	return c.Lowers[i], c.Uppers[i]
}

// Bounds within which a number is taken for the one it misses by rounding: a
// value for the centre or the limit it stands at, relative to these, and a
// standardised value for a whole number of sigmas. Gauges read in steps, so
// that values often stand exactly there, and a rule speaks only of those beyond.
const (
	roundingShare = 1e-12
	roundingSigma = 1e-9
)

// Standardised returns each point's distance from the centre in standard
// deviations. Where these are 0 a point off the centre is infinitely far.
func (c Chart) Standardised() []float64 {
	z := make([]float64, len(c.Points))
	for i, p := range c.Points {
		d := p - c.Centre
		if math.Abs(d) <= roundingShare*math.Abs(c.Centre) {
			continue
		}
		z[i] = d / c.SDAt(i)
		if whole := math.Round(z[i]); math.Abs(z[i]-whole) <= roundingSigma {
			z[i] = whole
		}
	}
	return z
}

// setLimits lays the limits width standard deviations from the centre, no
// farther than floor and ceiling.
func (c *Chart) setLimits(width, floor, ceiling float64) {
	limits := func(sd float64) (lower, upper float64) {
		return math.Max(floor, c.Centre-width*sd), math.Min(ceiling, c.Centre+width*sd)
	}
	c.Lower, c.Upper = limits(c.SD[len(c.SD)-1])
	if len(c.SD) == 1 {
		return
	}
	c.Lowers, c.Uppers = make([]float64, len(c.SD)), make([]float64, len(c.SD))
	for i, sd := range c.SD {
		c.Lowers[i], c.Uppers[i] = limits(sd)
	}
}

// signalBeyondLimits marks the points outside the chart's own limits.
func (c *Chart) signalBeyondLimits(above, below string) {
	for i, p := range c.Points {
		lower, upper := c.LimitsAt(i)
		rounding := roundingShare * math.Max(math.Abs(c.Centre), math.Abs(p))
		switch {
		case p > upper+rounding:
			c.Signals = append(c.Signals, Signal{Index: c.First + i, Rule: above})
		case p < lower-rounding:
			c.Signals = append(c.Signals, Signal{Index: c.First + i, Rule: below})
		}
	}
}

// Basis is what a chart's centre and limits are taken from.
type Basis struct {
	First  int     // use only the first so many points (groups, where grouped); 0: all
	Centre num.Opt // known beforehand; else the mean
	Sigma  num.Opt // standard deviation of one value known beforehand; else estimated
	Rules  []Rule  // what signals on a chart of values; nil: the four zone rules
}

// rules returns the rules in force.
func (b Basis) rules() []Rule {
	if b.Rules == nil {
		return ZoneRules()
	}
	return b.Rules
}

// span returns how many of n points the basis uses.
func (b Basis) span(n int) (int, error) {
	switch {
	case b.First == 0:
		return n, nil
	case b.First < 0 || b.First > n:
		return 0, fmt.Errorf("%w: the limits need the first %d, and there are only %d", ErrTooFew, b.First, n)
	}
	return b.First, nil
}

// allSame says whether all of v are equal.
func allSame[T comparable](v []T) bool {
	for _, x := range v {
		if x != v[0] {
			return false
		}
	}
	return true
}
