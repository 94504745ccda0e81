package drift

import "math"

// longSplit is what split is, of a long stretch: its sums are the search's.
type longSplit struct {
	*search
	a, b          int
	before        double  // sum of the values before a
	weightBefore  float64 // and their weight
	all           float64 // weight of the stretch
	mean          float64
	square, scale float64 // as split has them
}

func (h *search) long(a, b int) *longSplit {
	weight, sum, square := h.to(a)
	l := &longSplit{search: h, a: a, b: b, before: sum, weightBefore: weight}
	endWeight, endSum, endSquare := h.to(b)
	sum, square = endSum.minus(sum), endSquare.minus(square)
	l.all = endWeight - weight
	l.mean, l.scale = sum.value()/l.all, square.value()
	// Σ w (x − m)² = Σ w x² − 2 m Σ w x + m² Σ w.
	l.square = square.minus(sum.times(2 * l.mean)).plus(product(l.mean, l.mean).times(l.all)).value()
	l.square = math.Max(0, l.square)
	return l
}

// at is the running weight and sum, about the stretch's mean, up to leaf k.
func (l *longSplit) at(k int) (w, r float64) {
	w = l.weight[k] - l.weightBefore
	return w, l.sum[k].minus(l.before).minus(product(l.mean, w)).value()
}

// explained is how much of the squares a step explains after weight w and sum r.
func (l *longSplit) explained(w, r float64) float64 { return r * r * l.all / (w * (l.all - w)) }

// bound is the most that a step in a node can explain.
func (l *longSplit) bound(level, k int) float64 {
	from, to := k<<level, (k+1)<<level
	b := l.bend[level][k]
	w, r := l.at(from)
	most := max(l.explained(w, r+b.low), l.explained(w, r+b.high))
	w, r = l.at(to)
	return 1.000001 * max(most, l.explained(w, r+b.low), l.explained(w, r+b.high)) // rounding is far less
}

// visit calls leaf with the places from first to last where a step may explain as
// much as is wanted, and little more, in order of nodes. Places count from the
// series' first value; wanted may grow on the way.
func (l *longSplit) visit(wanted func(bound float64, from, to int) bool, bestFirst bool, leaf func(first, last int)) {
	low, high := l.a+minStretch, l.b-minStretch
	var node func(level, k int)
	node = func(level, k int) {
		first, last := k<<level*leafLength, (k+1)<<level*leafLength
		if last-1 < low || first > high {
			return
		}
		within := first >= low && last <= high
		if within && !wanted(l.bound(level, k), first, last) {
			return
		}
		if level == 0 {
			leaf(max(first, low), min(last-1, high))
			return
		}
		one, other := 2*k, 2*k+1
		if bestFirst && within && l.bound(level-1, other) > l.bound(level-1, one) {
			one, other = other, one
		}
		node(level-1, one)
		node(level-1, other)
	}
	l.roots(node)
	if rest := len(l.bend[0]) * leafLength; rest <= high {
		leaf(max(rest, low), high)
	}
}

// roots calls node for the fewest nodes that cover all leaves, in order.
func (l *longSplit) roots(node func(level, k int)) {
	leaves := len(l.bend[0])
	for at := 0; at < leaves; {
		level := len(l.bend) - 1
		for at%(1<<level) != 0 || at+(1<<level) > leaves {
			level--
		}
		node(level, at>>level)
		at += 1 << level
	}
}

// each calls fn with what a step explains before each of the values first to last.
func (l *longSplit) each(first, last int, fn func(t int, w, explained float64)) {
	if first > last {
		return
	}
	w, sum, _ := l.to(first)
	w -= l.weightBefore
	r := sum.minus(l.before).minus(product(l.mean, w)).value()
	for t := first; ; t++ {
		fn(t, w, l.explained(w, r))
		if t == last {
			return
		}
		of := l.weightAt(t)
		w += of
		r += of * (l.x[t] - l.mean)
	}
}

// best is the place that explains most, the first of equals.
func (l *longSplit) best() (at int, w, gain float64) {
	gain = -1
	l.visit(func(bound float64, _, _ int) bool { return bound >= gain }, true, func(first, last int) {
		l.each(first, last, func(t int, before, v float64) {
			if v > gain || v == gain && t < at {
				at, w, gain = t, before, v
			}
		})
	})
	return at, w, gain
}

// step is step of a long stretch.
func (l *longSplit) step(confidence, level float64) (c Shift, ok bool) {
	best, w, gain := l.best()
	left := math.Max(0, l.square-gain)
	df := float64(l.b - l.a - 2)
	if gain <= 1e-24*l.scale {
		return Shift{}, false // no scatter but rounding
	}
	c = Shift{First: best - l.a + 1, P: l.pValue(math.Sqrt(gain/(left/df)), df)}
	if !(c.P < level) {
		return Shift{}, false
	}
	_, sum, _ := l.to(best)
	r := sum.minus(l.before).minus(product(l.mean, w)).value()
	c.Before, c.After = l.mean+r/w, l.mean-r/(l.all-w)
	sd := math.Sqrt(left / df)
	c.UBefore, c.UAfter = sd/math.Sqrt(w), sd/math.Sqrt(l.all-w)
	from, to := l.interval(confidence, w, gain)
	c.Earliest, c.Latest = from-l.a+1, to-l.a+1
	return c, true
}

// interval is split's.
func (l *longSplit) interval(confidence, best, gain float64) (from, to int) {
	floor := 1e-24 * l.scale
	half := float64(l.b-l.a-2) / 2
	of := func(weights, gain float64) float64 {
		return -0.5*math.Log(weights) - half*math.Log(math.Max(floor, l.square-gain))
	}
	low := of(best*(l.all-best), gain) - unlikely
	var places []stepPlace
	l.visit(func(bound float64, first, last int) bool {
		one, other := l.weight[first/leafLength]-l.weightBefore, l.weight[last/leafLength]-l.weightBefore
		return of(min(one*(l.all-one), other*(l.all-other)), bound) > low
	}, false, func(first, last int) {
		l.each(first, last, func(t int, w, gain float64) {
			if log := of(w*(l.all-w), gain); log > low {
				places = append(places, stepPlace{t, log})
			}
		})
	})
	return likeliest(places, confidence)
}

// pValue is split's. Where all weights are one, the sum over neighbouring places is
// an integral, but for those near the ends: Euler and Maclaurin's formula.
func (l *longSplit) pValue(student, df float64) float64 {
	tail, c := deviate(student, df)
	switch {
	case c > 37:
		return 0
	case c < 1:
		return 1
	}
	over := newCrossing(c)
	if l.w == nil {
		return math.Min(1, 2*tail+over.even(float64(l.b-l.a)))
	}
	p, w := 2*tail, 0.0
	for i := range minStretch {
		w += l.w[l.a+i]
	}
	for t := l.a + minStretch; t < l.b-minStretch && p < 1; t++ {
		next := w + l.w[t]
		p += over.of(l.all * l.w[t] / (next * (l.all - w)))
		w = next
	}
	return math.Min(1, p)
}

// evenEnd is how many places at each end of a stretch are summed up one by one, to
// leave a part in 10^8 out beyond them.
const evenEnd = 64

// even is the sum over the neighbouring places of n points of one weight; n is
// some times evenEnd.
func (x *crossing) even(n float64) float64 {
	f := func(t float64) float64 { return x.exactly(n / ((t + 1) * (n - t))) }
	// The places t and n − 1 − t are alike.
	sum := 0.0
	for t := float64(minStretch); t < evenEnd; t++ {
		sum += 2 * f(t)
	}
	sum += f(evenEnd) - (f(evenEnd+1)-f(evenEnd-1))/12
	middle := (n - 1) / 2
	for from := float64(evenEnd); from < middle; {
		to := min(8*from, middle)
		for i, node := range x.node {
			sum += 2 * x.weighted[i] * (to - from) * f(from+node*(to-from))
		}
		from = to
	}
	return sum
}
