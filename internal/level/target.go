package level

import "math"

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
	meet  []int
	kinks []kink
}

// kink is a slope at which a crown meets the line, and how much steeper the cost
// becomes there.
type kink struct {
	b, weight float64
	i         int
}

// steep is a slope beyond all others.
const steep = 1e300

// solve finds the target of a lane of three crowns or more, 0 ≤ zone. Of lines
// that tie it takes the one whose largest removal is least.
//
// It halves the lower hull without building it: the crown farthest below the
// chord of two corners is a corner too, held from below by a line of the chord's
// slope, and the cost's slope there tells on which side of it the best line is.
func (w *work) solve(x, d []float64, zone float64) target {
	d = d[:len(x)]
	flat := flatShare * float64(len(x)) * (x[len(x)-1] - x[0])
	p, q := 0, len(x)-1
	least, most := -steep, steep // the best slope; p holds the first, q the last
	for {
		run := x[q] - x[p]
		b := (d[q] - d[p]) / run
		v := deepest(x, d, p, q, b)
		count, pull := above(x, d, v, d[v]+zone+overMM, b)
		if count == 0 {
			return target{b, v, -1}
		}
		if v != p { // a corner between
			switch {
			case pull > flat:
				p, least = v, b
			case pull < -flat:
				q, most = v, b
			default: // the cost is level here
				return w.about(x, d, zone, flat, v, slopeBefore(x, d, v), slopeAfter(x, d, v))
			}
			continue
		}
		left, right := -pull, float64(count)*run-pull // of the hull's edge from p to q
		switch {
		case left >= -flat:
			return w.about(x, d, zone, flat, p, least, b)
		case right <= flat:
			return w.about(x, d, zone, flat, q, b, most)
		}
		return target{b, p, -1} // the cost falls to this edge and rises from it
	}
}

// overMM is how far above a line a crown must stand to count as above it: a
// crown that holds the line shall not, whatever the rounding.
const overMM = nothingMM / 8

// deepest is the crown between p and q that lies farthest below their chord, of
// slope b; p where none lies below it.
func deepest(x, d []float64, p, q int, b float64) int {
	a := d[p] - b*x[p]
	// As whole numbers, the bits of numbers below 0 grow with their size and
	// exceed those of all others: no branch to guess.
	most, at := math.Float64bits(math.Copysign(0, -1)), p
	xs := x[p+1 : q]
	ds := d[p+1 : q][:len(xs)]
	for i, xi := range xs {
		if k := math.Float64bits(ds[i] - (a + b*xi)); k > most {
			most = k
			at = p + 1 + i
		}
	}
	return at
}

// above counts the crowns above the line of slope b that has the height level at
// crown v, and adds their distances in x from v.
func above(x, d []float64, v int, level, b float64) (count int, pull float64) {
	a := level - b*x[v]
	d = d[:len(x)]
	for i, xi := range x {
		// Adds 1 and x where the crown stands above the line, else 0: the sign
		// bit makes the mask, so that no branch has to be guessed.
		mask := int64(math.Float64bits(a+b*xi-d[i])) >> 63
		count -= int(mask)
		pull += math.Float64frombits(math.Float64bits(xi) & uint64(mask))
	}
	return count, pull - float64(count)*x[v]
}

// slopeBefore is the slope of the hull's edge that ends in corner v.
func slopeBefore(x, d []float64, v int) float64 {
	b := -steep
	for i := range v {
		b = max(b, (d[v]-d[i])/(x[v]-x[i]))
	}
	return b
}

// slopeAfter is the slope of the hull's edge that starts in corner v.
func slopeAfter(x, d []float64, v int) float64 {
	b := steep
	for i := v + 1; i < len(x); i++ {
		b = min(b, (d[i]-d[v])/(x[i]-x[v]))
	}
	return b
}

// about finds the best line through the raised crown v with a slope from least
// to most, where v holds it.
func (w *work) about(x, d []float64, zone, flat float64, v int, least, most float64) target {
	// Crowns above the line at one end of the slopes and not at the other meet
	// it in between.
	slope := 0.0 // of the cost, just above the least b
	xv, level := x[v], d[v]+zone
	over := level + overMM
	if cap(w.meet) < len(x) {
		w.meet = make([]int, len(x))
	}
	meet, m := w.meet[:len(x)], 0
	for i, xi := range x {
		dx, e := xi-xv, d[i]-over
		first := int64(math.Float64bits(least*dx-e)) >> 63 // as in above
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
	for _, k := range ks {
		if slope > flat {
			break
		}
		if slope >= -flat { // the cost is level from b to here
			return target{leastMax(x, d, level, v, b, k.b), v, -1}
		}
		b, on = k.b, k.i
		slope += k.weight
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
