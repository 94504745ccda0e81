package level

import (
	"math"
	"slices"
)

// What follows is the slow way to the same answers: every kink of the cost.

// cost is what the highest line of slope b takes off in all and at most.
func cost(x, d []float64, zone, b float64) (total, highest float64) {
	a := math.Inf(1)
	for i := range x {
		a = math.Min(a, d[i]+zone-b*x[i])
	}
	for i := range x {
		if r := d[i] - a - b*x[i]; r > 0 {
			total += r
			highest = math.Max(highest, r)
		}
	}
	return total, highest
}

// leastByKinks tries all lines through two crowns, raised or not.
func leastByKinks(x, d []float64, zone float64) (best float64, slopes []float64) {
	if len(x) < 3 {
		return 0, nil
	}
	best = math.Inf(1)
	for i := range x {
		for j := range x {
			if i == j {
				continue
			}
			for _, z := range []float64{0, zone} {
				b := (d[i] - d[j] - z) / (x[i] - x[j])
				s, _ := cost(x, d, zone, b)
				if s < best-1e-12 {
					slopes = slopes[:0]
				}
				if s < best+1e-12 {
					best = math.Min(best, s)
					slopes = append(slopes, b)
				}
			}
		}
	}
	return best, slopes
}

// leastMaxByScan is the least largest removal over the slopes that tie: the
// largest removal is convex in the slope, so a golden section finds it.
func leastMaxByScan(x, d []float64, zone float64) float64 {
	if len(x) < 3 {
		return 0
	}
	_, slopes := leastByKinks(x, d, zone)
	low, high := slices.Min(slopes), slices.Max(slopes)
	at := func(b float64) float64 {
		_, m := cost(x, d, zone, b)
		return m
	}
	const g = 0.6180339887498949
	for range 200 {
		p, q := high-g*(high-low), low+g*(high-low)
		if at(p) <= at(q) {
			high = q
		} else {
			low = p
		}
	}
	return at((low + high) / 2)
}

// bestSet tries every set of `size` frets.
func bestSet(lanes []Lane, zone float64, size int) (frets []int, total, highest float64) {
	var all []int
	for _, l := range lanes {
		all = append(all, l.Frets...)
	}
	slices.Sort(all)
	all = slices.Compact(all)
	total, highest = math.Inf(1), math.Inf(1)
	var pick func(from int, set []int)
	pick = func(from int, set []int) {
		if len(set) == size {
			t, m := 0.0, 0.0
			for _, l := range lanes {
				x, d := keep(l, set)
				s, _ := leastByKinks(x, d, zone)
				t += s
				m = math.Max(m, leastMaxByScan(x, d, zone))
			}
			if t < total-1e-9 || t < total+1e-9 && m < highest-1e-9 {
				frets, total, highest = slices.Clone(set), t, m
			}
			return
		}
		for k := from; k < len(all); k++ {
			pick(k+1, append(set, all[k]))
		}
	}
	pick(0, nil)
	return frets, total, highest
}

func keep(l Lane, without []int) (x, d []float64) {
	for i, f := range l.Frets {
		if !slices.Contains(without, f) {
			x, d = append(x, l.X[i]), append(d, l.D[i])
		}
	}
	return x, d
}
