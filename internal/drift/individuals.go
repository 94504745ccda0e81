package drift

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Individuals charts single values, with the moving ranges of two neighbours
// beside them. Limits stand at centre ± 3 sigma, sigma being the mean moving
// range over MovingRangeD2.
//
// values needs 2 or more, and so does the part of it that the basis uses;
// ErrTooFew and ErrNotFinite otherwise. Cost: O(n).
// Source: NIST/SEMATECH e-Handbook 6.3.2.2; checked by
// TestIndividuals_NISTFlowRate.
func Individuals(values []float64, b Basis) (chart, ranges Chart, err error) {
	if err := checkFinite(values, 2); err != nil {
		return Chart{}, Chart{}, err
	}
	use, err := b.span(len(values))
	if err != nil {
		return Chart{}, Chart{}, err
	}
	if err := checkFinite(values[:use], 2); err != nil {
		return Chart{}, Chart{}, err
	}
	moving := make([]float64, len(values)-1)
	for i := range moving {
		moving[i] = math.Abs(values[i+1] - values[i])
	}
	meanRange := stat.Mean(moving[:use-1], nil)
	sigma := b.Sigma.Or(meanRange / MovingRangeD2)
	if b.Sigma.Known() {
		meanRange = sigma * MovingRangeD2
	}
	chart = Chart{
		Kind: KindIndividuals, Centre: b.Centre.Or(stat.Mean(values[:use], nil)), Sigma: sigma,
		First: 1, Points: append([]float64(nil), values...), SD: []float64{sigma},
	}
	chart.setLimits(3, math.Inf(-1), math.Inf(1))
	chart.Signals = Signals(chart.Standardised(), b.rules())
	ranges = spreadChart(KindMovingRanges, moving, meanRange, []float64{meanRange * D3(2) / D2(2)})
	ranges.First = 2
	ranges.Sigma = sigma
	ranges.signalBeyondLimits(Beyond3.String(), Beyond3.String())
	return chart, ranges, nil
}

// spreadChart is a chart of spreads about their mean: limits at 3 standard
// deviations, never below 0.
func spreadChart(kind Kind, points []float64, centre float64, sd []float64) Chart {
	c := Chart{Kind: kind, Centre: centre, First: 1, Points: points, SD: sd}
	c.setLimits(3, 0, math.Inf(1))
	return c
}
