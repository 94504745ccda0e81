package heard

import "math"

// What each step of the matching costs. A match costs the square of its cents over
// matchCents.
const (
	matchCents = 35.0
	matchMost  = 4.5
	leftOut    = 2.0 // wanted, not heard
	extra      = 2.0 // heard, not wanted
	again      = 0.7 // the same again
	noPitch    = 1.5 // a sound without a pitch
)

// Name gives each sound heard the note it is, an index of wanted, or −1: the least
// costly way through both in order. heard is pitches in Hz, 0 for none; wanted the
// pitches in the order they are to be played. With open, notes at the end may be
// still to come and cost nothing.
func Name(heard, wanted []float64, open bool) []int {
	n, m := len(heard), len(wanted)
	cost := costs(heard, wanted)
	i, j := n, m
	if open {
		for k := range cost[n] {
			if cost[n][k] < cost[n][j] || k < j && cost[n][k] == cost[n][j] {
				j = k
			}
		}
	}
	names := make([]int, n)
	for i > 0 || j > 0 {
		_, di, dj := cheapest(cost, heard, wanted, i, j)
		if di == 1 {
			names[i-1] = -1
			if dj >= 0 {
				names[i-1] = j - 1
			}
		}
		i -= di
		j -= max(dj, 0)
	}
	return names
}

// Cost is what the least costly way through heard and wanted costs, both as Name's.
func Cost(heard, wanted []float64) float64 { return costs(heard, wanted)[len(heard)][len(wanted)] }

// costs are those of having taken so many sounds and notes.
func costs(heard, wanted []float64) [][]float64 {
	cost := make([][]float64, len(heard)+1)
	for i := range cost {
		cost[i] = make([]float64, len(wanted)+1)
		for j := range cost[i] {
			cost[i][j], _, _ = cheapest(cost, heard, wanted, i, j)
		}
	}
	return cost
}

// cheapest is the least cost of having taken i sounds and j notes, and what the last step
// took of both. A dj of −1: the sound is none of the notes; 0 with di 1: the same again.
func cheapest(cost [][]float64, heard, wanted []float64, i, j int) (least float64, di, dj int) {
	if i == 0 && j == 0 {
		return 0, 0, 0
	}
	least = math.Inf(1)
	try := func(c float64, a, b int) {
		if c < least {
			least, di, dj = c, a, b
		}
	}
	if i > 0 && j > 0 {
		m := match(heard[i-1], wanted[j-1])
		try(cost[i-1][j-1]+m, 1, 1)
		try(cost[i-1][j]+again+m, 1, 0)
	}
	if i > 0 {
		if heard[i-1] > 0 {
			try(cost[i-1][j]+extra, 1, -1)
		} else {
			try(cost[i-1][j]+noPitch, 1, -1)
		}
	}
	if j > 0 {
		try(cost[i][j-1]+leftOut, 0, 1)
	}
	return least, di, dj
}

// match is what it costs to take one pitch for another.
func match(heard, wanted float64) float64 {
	if !(heard > 0) {
		return math.Inf(1)
	}
	c := 1200 * math.Log2(heard/wanted) / matchCents
	if c *= c; c > matchMost {
		return math.Inf(1)
	}
	return c
}
