package drift

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// Proportions charts the share of faulty ones, bad[i] out of outOf[i]. Limits
// stand at centre ± 3√(p(1−p)/n), within 0 and 1; the centre is all that were
// bad over all that were looked at.
//
// bad and outOf have one length >= 1; each bad is whole and from 0 to its
// outOf >= 1 (ErrCount). Of the basis, Sigma has no use here.
// Source: NIST/SEMATECH e-Handbook 6.3.3.2; checked by
// TestProportions_NIST.
func Proportions(bad []float64, outOf []int, b Basis) (Chart, error) {
	if len(bad) != len(outOf) {
		panic("drift: bad and outOf differ in length")
	}
	use, err := b.span(len(bad))
	if err != nil {
		return Chart{}, err
	}
	if err := checkFinite(bad, 1); err != nil {
		return Chart{}, err
	}
	var all, looked float64
	for i, n := range outOf {
		if bad[i] != math.Trunc(bad[i]) || bad[i] < 0 || n < 1 || bad[i] > float64(n) {
			return Chart{}, fmt.Errorf("%w: the %s, %g out of %d", ErrCount, ordinal(i+1), bad[i], n)
		}
		if i < use {
			all += bad[i]
			looked += float64(n)
		}
	}
	c := Chart{Kind: KindProportion, Centre: b.Centre.Or(all / looked), First: 1}
	for i, n := range outOf {
		c.Points = append(c.Points, bad[i]/float64(n))
		c.SD = append(c.SD, math.Sqrt(c.Centre*(1-c.Centre)/float64(n)))
	}
	if allSame(outOf) {
		c.SD = c.SD[:1]
	}
	c.setLimits(3, 0, 1)
	c.Signals = Signals(c.Standardised(), b.rules())
	return c, nil
}

// Counts charts how many faults each equal piece of work had. Limits stand at
// centre ± 3√centre, not below 0.
//
// counts are whole, 0 or more, at least one of them (ErrCount, ErrTooFew). Of
// the basis, Sigma has no use here.
// Source: NIST/SEMATECH e-Handbook 6.3.3.1; checked by TestCounts_NIST.
func Counts(counts []float64, b Basis) (Chart, error) {
	use, err := b.span(len(counts))
	if err != nil {
		return Chart{}, err
	}
	if err := checkFinite(counts, 1); err != nil {
		return Chart{}, err
	}
	for i, n := range counts {
		if n != math.Trunc(n) || n < 0 {
			return Chart{}, fmt.Errorf("%w: the %s, %g", ErrCount, ordinal(i+1), n)
		}
	}
	centre := b.Centre.Or(floats.Sum(counts[:use]) / float64(use))
	c := Chart{
		Kind: KindCount, Centre: centre, First: 1,
		Points: append([]float64(nil), counts...), SD: []float64{math.Sqrt(centre)},
	}
	c.setLimits(3, 0, math.Inf(1))
	c.Signals = Signals(c.Standardised(), b.rules())
	return c, nil
}

// Autocorrelation returns the correlation of neighbours in a series, and
// whether it is more than chance: beyond 1.96/√n. Limits taken from moving
// ranges are too narrow where it is positive.
//
// Source: NIST/SEMATECH e-Handbook 1.3.5.12.
func Autocorrelation(values []float64) (r float64, real bool) {
	n := len(values)
	if n < 3 {
		return 0, false
	}
	mean := stat.Mean(values, nil)
	var top, bottom float64
	for i, v := range values {
		bottom += (v - mean) * (v - mean)
		if i > 0 {
			top += (v - mean) * (values[i-1] - mean)
		}
	}
	if bottom == 0 {
		return 0, false
	}
	r = top / bottom
	return r, math.Abs(r) > 1.96/math.Sqrt(float64(n))
}
