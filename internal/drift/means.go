package drift

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// Spread is how the scatter within groups is measured.
type Spread int

// The ways to measure it.
const (
	ByRange     Spread = iota // mean range over d2
	ByDeviation               // mean standard deviation over c4
)

// Means charts the means of rational subgroups, with their ranges or their
// standard deviations beside them. sigma is that of one value: the mean over
// the groups of range/d2(n), or of sd/c4(n). Limits of a mean of n values stand
// at centre ± 3 sigma/√n; where groups differ in size, so do the limits. The
// centre is the mean of all values.
//
// There must be a group of 2 or more values among those that the basis uses:
// ErrTooFew otherwise. Groups of one are charted, but say nothing of spread:
// in the second chart their point and its limits are NaN.
// Source: Montgomery, chapter 5; ASTM E2587. Checked by
// TestMeans_PistonRings. Cost: O(values).
func Means(groups [][]float64, by Spread, b Basis) (chart, spread Chart, err error) {
	use, err := b.span(len(groups))
	if err != nil {
		return Chart{}, Chart{}, err
	}
	for i, g := range groups {
		if err := checkFinite(g, 1); err != nil {
			return Chart{}, Chart{}, fmt.Errorf("%s group: %w", ordinal(i+1), err)
		}
	}
	k := newConstants(groups, by)
	within, grand, err := pooled(groups[:use], by, k)
	if err != nil {
		return Chart{}, Chart{}, err
	}
	sigma := b.Sigma.Or(within)
	chart = Chart{Kind: KindMeans, Centre: b.Centre.Or(grand), Sigma: sigma, First: 1}
	spread = Chart{Kind: KindRanges, Sigma: sigma, First: 1}
	if by == ByDeviation {
		spread.Kind = KindDeviations
	}
	for _, g := range groups {
		chart.Points = append(chart.Points, stat.Mean(g, nil))
		chart.SD = append(chart.SD, sigma/math.Sqrt(float64(len(g))))
		spread.Points = append(spread.Points, by.of(g))
	}
	if allSame(chart.SD) {
		chart.SD = chart.SD[:1]
	}
	chart.setLimits(3, math.Inf(-1), math.Inf(1))
	chart.Signals = Signals(chart.Standardised(), b.rules())
	spread.limitSpread(groups, sigma, k)
	spread.signalBeyondLimits(Beyond3.String(), Beyond3.String())
	return chart, spread, nil
}

// of returns the spread of one group; NaN where it holds one value.
func (by Spread) of(g []float64) float64 {
	if len(g) < 2 {
		return math.NaN()
	}
	if by == ByDeviation {
		return stat.StdDev(g, nil)
	}
	return floats.Max(g) - floats.Min(g)
}

// sizeConstants holds, for a group size, the mean and the standard deviation
// of the spread of that many values of standard deviation 1.
type sizeConstants map[int]struct{ mean, sd float64 }

// newConstants works out the constants once for each group size.
func newConstants(groups [][]float64, by Spread) sizeConstants {
	k := sizeConstants{}
	for _, g := range groups {
		n := len(g)
		if _, done := k[n]; done || n < 2 {
			continue
		}
		c := k[n]
		if by == ByDeviation {
			c.mean = C4(n)
			c.sd = math.Sqrt(1 - c.mean*c.mean)
		} else {
			c.mean, c.sd = D2(n), D3(n)
		}
		k[n] = c
	}
	return k
}

// pooled estimates the standard deviation of one value within groups, and the
// mean of all values.
func pooled(groups [][]float64, by Spread, k sizeConstants) (sigma, grand float64, err error) {
	var sum, total float64
	var counted, n int
	for _, g := range groups {
		n += len(g)
		total += floats.Sum(g)
		if len(g) >= 2 {
			sum += by.of(g) / k[len(g)].mean
			counted++
		}
	}
	if counted == 0 {
		return 0, 0, fmt.Errorf("%w: no group has two", ErrTooFew)
	}
	return sum / float64(counted), total / float64(n), nil
}

// limitSpread lays the limits of a chart of spreads. Its centre is that of the
// last group of two or more.
func (c *Chart) limitSpread(groups [][]float64, sigma float64, k sizeConstants) {
	c.Lowers, c.Uppers = make([]float64, len(groups)), make([]float64, len(groups))
	for i, g := range groups {
		if len(g) < 2 {
			c.SD = append(c.SD, math.NaN())
			c.Lowers[i], c.Uppers[i] = math.NaN(), math.NaN()
			continue
		}
		kn := k[len(g)]
		c.Centre = sigma * kn.mean
		sd := sigma * kn.sd
		c.SD = append(c.SD, sd)
		c.Lowers[i], c.Uppers[i] = math.Max(0, c.Centre-3*sd), c.Centre+3*sd
		c.Lower, c.Upper = c.Lowers[i], c.Uppers[i]
	}
	if allSame(c.SD) {
		c.SD, c.Lowers, c.Uppers = c.SD[:1], nil, nil
	}
}
