package wear

import "math"

// sampled is a lane in a chain.
type sampled struct {
	*lane
	know []float64 // information with the active crowns integrated out, m × m
	y, g []float64 // change not explained, and know·y
	kind []kind
	was  []kind  // when its fret was last drawn
	det  float64 // ln of what the slabs cost
	col  []float64
}

// less takes a further change of one crown out of what is not explained.
func (l *sampled) less(at int, by float64) {
	m := l.m()
	l.y[at] -= by
	for i := range m {
		l.g[i] -= by * l.know[i*m+at]
	}
}

// set makes a crown of a kind; it is still before.
func (l *sampled) set(at int, k kind) {
	if k == still {
		return
	}
	mean, variance := slab(k)
	l.less(at, mean)
	l.kind[at] = k
	l.det += math.Log1p(variance*l.know[at*l.m()+at]) / 2
	l.rankOne(at, -1/(1/variance+l.know[at*l.m()+at]))
}

// clear makes a crown still again.
func (l *sampled) clear(at int) {
	k := l.kind[at]
	if k == still {
		return
	}
	mean, variance := slab(k)
	l.rankOne(at, 1/(1/variance-l.know[at*l.m()+at]))
	l.det -= math.Log1p(variance*l.know[at*l.m()+at]) / 2
	l.kind[at] = still
	l.less(at, -mean)
}

// rankOne adds factor·c·cᵀ to the information, c its column of a crown.
func (l *sampled) rankOne(at int, factor float64) {
	m := l.m()
	for i := range m {
		l.col[i] = l.know[i*m+at]
	}
	gj := l.g[at]
	for i, c := range l.col {
		l.g[i] += factor * gj * c
		row := l.know[i*m : i*m+m]
		for j, v := range l.col {
			row[j] += factor * c * v
		}
	}
}

// unbow takes a bow out of what is not explained, factor times.
func (l *sampled) unbow(by []float64, factor float64) {
	for i := range l.y {
		for k, v := range by {
			l.y[i] -= factor * v * l.bow[i*len(by)+k]
		}
	}
}
