package level

import (
	"math"

	"ringtrue/internal/num"
)

// flatShare is how far from 0 a slope of the cost counts as 0, beside the sum of
// all distances in x: rounding only. There lines tie.
const flatShare = 1e-13

// target is the best line of a lane: through the raised crown `pivot` with
// slope b. on is a crown the line just meets, whose multiplier is a fraction,
// or −1.
type target struct {
	b         float64
	pivot, on int
}

// work is the room that solving lanes takes, for one lane after the other.
type work struct {
	hull  []int
	meet  []int
	kinks []kink
}

// kink is a slope at which a crown meets the line, and how much steeper the cost
// becomes there.
type kink struct {
	b, weight float64
	i         int
}

// solve finds the target of a lane of three crowns or more, 0 ≤ zone. Of lines
// that tie it takes the one whose largest removal is least.
func (w *work) solve(x, d []float64, zone float64) target {
	d = d[:len(x)]
	w.hull = num.LowerHull(x, d, w.hull)
	hull := w.hull
	flat := flatShare * float64(len(x)) * (x[len(x)-1] - x[0])

	// Halve the hull's edges by the sign of the cost's slope on either side.
	lo, hi := 0, len(hull)-1
	for lo < hi {
		k := int(uint(lo+hi) / 2)
		v, u := hull[k], hull[k+1]
		run := x[u] - x[v]
		b := (d[u] - d[v]) / run
		count, pull := 0.0, 0.0
		xv, level := x[v], d[v]+zone+nothingMM/8
		for i, xi := range x {
			// Adds 1 and dx where the crown stands above the line, else 0: the sign
			// bit makes the mask, so that no branch has to be guessed.
			dx := xi - xv
			above := uint64(int64(math.Float64bits(b*dx-(d[i]-level))) >> 63)
			count += math.Float64frombits(math.Float64bits(1) & above)
			pull += math.Float64frombits(math.Float64bits(dx) & above)
		}
		left, right := -pull, count*run-pull
		switch {
		case right < -flat:
			lo = k + 1
		case left >= -flat && count > 0:
			hi = k
		case right <= flat && count > 0:
			lo, hi = k+1, k+1
		default: // the cost falls to this edge and rises from it, or is 0
			return target{b, v, -1}
		}
	}
	from, to := noEdge, noEdge
	if lo > 0 {
		from = hull[lo-1]
	}
	if lo+1 < len(hull) {
		to = hull[lo+1]
	}
	return w.about(x, d, zone, flat, hull[lo], from, to)
}

// noEdge stands for the hull's neighbour where a vertex has none.
const noEdge = -1

// steep is a slope beyond all others.
const steep = 1e300

// about finds the best line through the raised hull vertex v; the hull's
// vertices from and to bound its slope.
func (w *work) about(x, d []float64, zone, flat float64, v, from, to int) target {
	least, most := -steep, steep
	if from != noEdge {
		least = (d[v] - d[from]) / (x[v] - x[from])
	}
	if to != noEdge {
		most = (d[to] - d[v]) / (x[to] - x[v])
	}
	// Crowns above the line at one end of the slopes and not at the other meet
	// it in between. As in solve, sign bits take the place of branches, and a
	// crown on the line does not count as above it.
	slope := 0.0 // of the cost, just above the least b
	xv, level := x[v], d[v]+zone
	over := level + nothingMM/8
	if cap(w.meet) < len(x) {
		w.meet = make([]int, len(x))
	}
	meet, m := w.meet[:len(x)], 0
	for i, xi := range x {
		dx, e := xi-xv, d[i]-over
		first := int64(math.Float64bits(least*dx-e)) >> 63
		last := int64(math.Float64bits(most*dx-e)) >> 63
		slope -= math.Float64frombits(math.Float64bits(dx) & uint64(first))
		meet[m] = i
		m += int((first ^ last) & 1)
	}
	ks := w.kinks[:0]
	for _, i := range meet[:m] {
		dx := x[i] - xv
		ks = insert(ks, kink{(d[i] - level) / dx, math.Abs(dx), i})
	}
	w.kinks = ks
	b, on := least, -1
	for _, q := range ks {
		if slope > flat {
			break
		}
		if slope >= -flat { // the cost is level from b to here
			return target{leastMax(x, d, level, v, b, q.b), v, -1}
		}
		b, on = q.b, q.i
		slope += q.weight
	}
	switch {
	case slope > flat:
		return target{b, v, on}
	case slope >= -flat:
		return target{leastMax(x, d, level, v, b, most), v, -1}
	}
	return target{most, v, -1}
}

// insert keeps kinks in order of b; they are few.
func insert(ks []kink, q kink) []kink {
	ks = append(ks, q)
	j := len(ks) - 1
	for ; j > 0 && ks[j-1].b > q.b; j-- {
		ks[j] = ks[j-1]
	}
	ks[j] = q
	return ks
}

// leastMax is the slope between b and end at which the largest removal is
// least: where the tangents of that convex function meet.
func leastMax(x, d []float64, level float64, v int, b, end float64) float64 {
	highest := func(b float64) (height, dx float64) {
		for i, xi := range x {
			if h := d[i] - level - b*(xi-x[v]); i == 0 || h > height {
				height, dx = h, xi-x[v]
			}
		}
		return height, dx
	}
	hb, wb := highest(b)
	if wb <= 0 { // already rising
		return b
	}
	he, we := highest(end)
	if we >= 0 {
		return end
	}
	for {
		mid := b + (hb-he+we*(b-end))/(wb-we)
		if mid <= b || mid >= end {
			return min(max(mid, b), end)
		}
		hm, wm := highest(mid)
		switch {
		case wm >= wb || wm <= we || wm == 0:
			return mid
		case wm > 0:
			b, hb, wb = mid, hm, wm
		default:
			end, he, we = mid, hm, wm
		}
	}
}
