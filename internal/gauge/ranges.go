package gauge

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/drift"
	"ringtrue/internal/num"
)

// ByRange is what the average-and-range method says of a crossed study: its
// figures as standard deviations. It takes no account of the interaction.
type ByRange struct {
	Repeatability   float64 `json:"repeatability_sd"`
	Reproducibility num.Opt `json:"reproducibility_sd"` // missing with one operator
	Gauge           float64 `json:"grr_sd"`
	Part            float64 `json:"part_sd"`
	Total           float64 `json:"total_sd"`
	GaugePct        num.Opt `json:"grr_pct_of_total"`
	Categories      *int    `json:"distinct_categories"` // nil where it has no bound
	MeanRange       float64 `json:"mean_range"`
	RangeLimit      float64 `json:"range_limit"`
	Wide            []Cell  `json:"wide_ranges"` // cells whose range is above RangeLimit
}

// Cell is one operator's trials of one part.
type Cell struct {
	Part     string  `json:"part"`
	Operator string  `json:"operator"`
	Range    float64 `json:"range"`
}

// AverageAndRange takes a crossed study apart by ranges: repeatability from
// the mean range of the trials, the hands' share from the range of their means
// less what repeatability explains of it, the parts' from the range of theirs.
//
// The conditions are Analyse's.
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
		b.Reproducibility = num.Some(math.Sqrt(math.Max(0, hands*hands-b.Repeatability*b.Repeatability/float64(p*r))))
	}
	b.Gauge = math.Hypot(b.Repeatability, b.Reproducibility.Or(0))
	b.Part = width(parts) / ofOneSample(p)
	b.Total = math.Hypot(b.Gauge, b.Part)
	b.GaugePct = num.Some(100 * b.Gauge / b.Total)
	categories := 0.0
	if b.Part > 0 {
		categories = 1.41 * b.Part / b.Gauge
	}
	b.Categories = wholeNumber(categories)
	b.Wide = c.wide(b.RangeLimit)
	return b, nil
}

// wide lists the cells whose range is above a limit.
func (c Crossed) wide(limit float64) []Cell {
	cells := []Cell{}
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
