package drift

import "math"

// plainStretch is the length up to which a stretch is searched place by place.
const plainStretch = 512

// leafLength is how many values have one sum kept.
const leafLength = 64

// search looks for the steps of one series. Of long stretches it need not look at
// every place: for the sums over leaves of 64 values, and over 2, 4, 8 … of these,
// it knows how far the running sum strays from the straight line between the
// leaves' ends, and so a bound of what any place there can explain.
//
// The bound: with running weight w and running sum r about the stretch's mean, a
// step explains r²W / (w(W−w)). Places where that is at most a constant lie within an
// ellipse, which is convex; so over a parallelogram it is greatest at a corner.
type search struct {
	x, w  []float64 // w is nil for one each
	plain int       // longest stretch searched place by place

	// Of the values before leaf k, if the series is long.
	weight      []float64
	sum, square []double
	bend        [][]bend // by level: nodes of 1, 2, 4 … leaves
}

// bend is how far the running sum lies below and above the line between a node's ends.
type bend struct{ low, high float64 }

func newSearch(x, w []float64, plain int) *search {
	h := &search{x: x, w: w, plain: plain}
	if len(x) <= plain {
		return h
	}
	leaves := len(x) / leafLength
	h.weight = make([]float64, leaves+1)
	h.sum, h.square = make([]double, leaves+1), make([]double, leaves+1)
	for k := range leaves {
		h.weight[k+1], h.sum[k+1], h.square[k+1] = h.beyond(k, (k+1)*leafLength)
	}
	h.bend = [][]bend{make([]bend, leaves)}
	for k := range leaves {
		h.bend[0][k] = h.leafBend(k)
	}
	for size := 2; size <= leaves; size *= 2 {
		nodes := make([]bend, leaves/size)
		for k := range nodes {
			nodes[k] = h.nodeBend(k*size, (k+1)*size)
		}
		h.bend = append(h.bend, nodes)
	}
	return h
}

// weightAt is the weight of value i, from 0.
func (h *search) weightAt(i int) float64 {
	if h.w == nil {
		return 1
	}
	return h.w[i]
}

// to sums up the first t values.
func (h *search) to(t int) (weight float64, sum, square double) {
	return h.beyond(min(t/leafLength, len(h.sum)-1), t)
}

// beyond sums up the first t values, the sums of the first k leaves being known.
func (h *search) beyond(k, t int) (weight float64, sum, square double) {
	weight, sum, square = h.weight[k], h.sum[k], h.square[k]
	for i := k * leafLength; i < t; i++ {
		w, v := h.weightAt(i), h.x[i]
		weight += w
		part := product(w, v)
		sum = sum.plus(part)
		square = square.plus(part.times(v))
	}
	return weight, sum, square
}

// leafBend looks at every value of a leaf.
func (h *search) leafBend(k int) (b bend) {
	mean := h.sum[k+1].minus(h.sum[k]).value() / (h.weight[k+1] - h.weight[k])
	r := 0.0
	for i := k * leafLength; i < (k+1)*leafLength; i++ {
		r += h.weightAt(i) * (h.x[i] - mean)
		b.low, b.high = min(b.low, r), max(b.high, r)
	}
	return b
}

// nodeBend puts the leaves from, … to−1 together.
func (h *search) nodeBend(from, to int) (b bend) {
	mean := h.sum[to].minus(h.sum[from]).value() / (h.weight[to] - h.weight[from])
	last := 0.0
	for k := from; k < to; k++ {
		r := h.sum[k+1].minus(h.sum[from]).minus(product(mean, h.weight[k+1]-h.weight[from])).value()
		b.low = min(b.low, min(last, r)+h.bend[0][k].low)
		b.high = max(b.high, max(last, r)+h.bend[0][k].high)
		last = r
	}
	return b
}

// step finds the likeliest step of the values from a up to b; ok is false where a
// steady stretch may well look like that. Its places count from a.
func (h *search) step(a, b int, confidence, level float64) (c Shift, ok bool) {
	if b-a > h.plain {
		if l := h.long(a, b); !math.IsNaN(l.scale) && !math.IsInf(l.scale, 0) {
			return l.step(confidence, level)
		}
	}
	w := h.w
	if w != nil {
		w = w[a:b]
	} else {
		w = make([]float64, b-a)
		for i := range w {
			w[i] = 1
		}
	}
	return step(h.x[a:b], w, confidence, level)
}
