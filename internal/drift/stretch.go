package drift

import (
	"math"
	"slices"
)

// Stretch is a run of neighbouring values in brief.
type Stretch struct {
	First, Last int // places of its values, from 0
	// A tenth of its values lie below Low, half of them below Median, a tenth
	// above High; NaN where none is known.
	Low, Median, High float64
}

// How many values a stretch has at least, and how many stretches there are at most:
// fewer values have no tenths worth the name, more stretches no longer calm the eye.
const (
	leastOfStretch = 10
	mostStretches  = 25
)

// Stretches cuts a long row of values into runs of neighbours of nearly the same
// number. Values that are NaN count as unknown.
//
// Quantiles lie on straight lines between the ordered values: Hyndman and Fan,
// Sample quantiles in statistical packages, The American Statistician 50 (1996),
// definition 7 (from memory).
func Stretches(values []float64) []Stretch {
	n := max(1, min(mostStretches, len(values)/leastOfStretch))
	var all []Stretch
	for k := range n {
		from, to := k*len(values)/n, (k+1)*len(values)/n
		if from == to {
			continue
		}
		known := slices.DeleteFunc(slices.Clone(values[from:to]), math.IsNaN)
		slices.Sort(known)
		all = append(all, Stretch{from, to - 1, quantile(known, 0.1), quantile(known, 0.5), quantile(known, 0.9)})
	}
	return all
}

// quantile is a quantile of ordered values.
func quantile(ordered []float64, share float64) float64 {
	if len(ordered) == 0 {
		return math.NaN()
	}
	at := share * float64(len(ordered)-1)
	i := min(int(at), len(ordered)-1)
	next := min(i+1, len(ordered)-1)
	return ordered[i] + (at-float64(i))*(ordered[next]-ordered[i])
}
