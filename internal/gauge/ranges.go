package gauge

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/drift"
)

// ByRange is what the average-and-range method says of a crossed study: its
// figures as standard deviations. It takes no account of the interaction.
type ByRange struct {
	Repeatability, Reproducibility, Gauge, Part, Total float64
	Categories                                         float64 // before rounding down
	MeanRange, RangeLimit                              float64
	Wide                                               []Cell // cells whose range is above RangeLimit
}

// Cell is one operator's trials of one part.
type Cell struct {
	Part, Operator string
	Range          float64
}

// AverageAndRange takes a crossed study apart by ranges: repeatability from
// the mean range of the trials, the hands' share from the range of their means
// less what repeatability explains of it, the parts' from the range of theirs.
//
// The conditions are Analyse's. Reproducibility is 0 with one operator.
// Source: AIAG MSA 4th ed., chapter III B; K1 = 1/d2, K2 and K3 with d2* of a
// single sample, √(d2² + d3²). Checked by TestAverageAndRange_AIAG.
func AverageAndRange(c Crossed) (ByRange, error) {
	if err := c.check(); err != nil {
		return ByRange{}, err
	}
	p, o, r := len(c.Readings), len(c.Readings[0]), len(c.Readings[0][0])
	parts, operators := make([]float64, p), make([]float64, o)
	var sum float64
	for i, q := range c.Readings {
		for j, cell := range q {
			m := stat.Mean(cell, nil)
			parts[i] += m / float64(o)
			operators[j] += m / float64(p)
			sum += width(cell)
		}
	}
	var b ByRange
	b.MeanRange = sum / float64(p*o)
	d2 := drift.D2(r)
	b.RangeLimit = b.MeanRange * (1 + 3*drift.D3(r)/d2)
	b.Repeatability = b.MeanRange / d2
	if o > 1 {
		hands := width(operators) / ofOneSample(o)
		b.Reproducibility = math.Sqrt(math.Max(0, hands*hands-b.Repeatability*b.Repeatability/float64(p*r)))
	}
	b.Gauge = math.Hypot(b.Repeatability, b.Reproducibility)
	b.Part = width(parts) / ofOneSample(p)
	b.Total = math.Hypot(b.Gauge, b.Part)
	if b.Part > 0 {
		b.Categories = 1.41 * b.Part / b.Gauge
	}
	b.Wide = c.wide(b.RangeLimit)
	return b, nil
}

// wide lists the cells whose range is above a limit.
func (c Crossed) wide(limit float64) (cells []Cell) {
	for i, q := range c.Readings {
		for j, cell := range q {
			if w := width(cell); w > limit {
				cells = append(cells, Cell{Part: c.Parts[i], Operator: c.Operators[j], Range: w})
			}
		}
	}
	return cells
}

func width(v []float64) float64 { return floats.Max(v) - floats.Min(v) }

// ofOneSample is the root of the mean squared range of n values: d2* for one
// sample.
func ofOneSample(n int) float64 { return math.Hypot(drift.D2(n), drift.D3(n)) }
