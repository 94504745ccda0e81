package drift

import (
	"math"
	"math/rand/v2"
)

// SimulatedRunLength is the same as RunLength for any rules, from simulated
// runs of normal values whose mean stands shift standard deviations off, with
// its standard uncertainty. runs must be 2 or more. A chart that has not
// signalled after maxPoints points ends there.
func SimulatedRunLength(rules []Rule, shift float64, runs int, source rand.Source) (mean, u float64) {
	const maxPoints = 100_000
	random := rand.New(source)
	var sum, square float64
	window := make([]float64, 0, 4*longestWindow)
	for range runs {
		window = window[:0]
		n := 0
		for n < maxPoints {
			if len(window) == cap(window) {
				window = append(window[:0], window[len(window)-longestWindow+1:]...)
			}
			window = append(window, random.NormFloat64()+shift)
			n++
			if anyEnds(rules, window) {
				break
			}
		}
		sum += float64(n)
		square += float64(n) * float64(n)
	}
	m := float64(runs)
	mean = sum / m
	return mean, math.Sqrt((square/m - mean*mean) / (m - 1))
}

func anyEnds(rules []Rule, z []float64) bool {
	for _, r := range rules {
		if r.ends(z) {
			return true
		}
	}
	return false
}
