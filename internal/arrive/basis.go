package arrive

import "math"

// basis are the shapes of a lane that the readings before do not tell: a line,
// and where the bow is free a parabola. They are square to each other and of
// length 1.
type basis struct {
	line [2][]float64
	bow  []float64 // nil where the bow is told
}

func newBasis(x []float64, bowFree bool) basis {
	var b basis
	n := len(x)
	mean := 0.0
	for _, v := range x {
		mean += v / float64(n)
	}
	b.line[0], b.line[1] = make([]float64, n), make([]float64, n)
	for i, v := range x {
		b.line[0][i], b.line[1][i] = 1, v-mean
	}
	b.line[0] = unit(b.line[0])
	b.line[1] = unit(b.line[1])
	if !bowFree {
		return b
	}
	bow := make([]float64, n)
	for i, v := range b.line[1] {
		bow[i] = v * v
	}
	away(bow, b.line[0])
	away(bow, b.line[1])
	b.bow = unit(bow)
	return b
}

// unit makes v one long.
func unit(v []float64) []float64 {
	if s := math.Sqrt(dot(v, v)); s > 0 {
		for i := range v {
			v[i] /= s
		}
	}
	return v
}

func dot(a, b []float64) float64 {
	s := 0.0
	b = b[:len(a)]
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

// away takes what v has of q off and says how much that was.
func away(v, q []float64) float64 {
	c := dot(v, q)
	q = q[:len(v)]
	for i := range v {
		v[i] -= c * q[i]
	}
	return c
}

// rest takes line and bow off v, and says how much bow there was.
func (b basis) rest(v []float64) (bow float64) {
	away(v, b.line[0])
	away(v, b.line[1])
	if b.bow != nil {
		bow = away(v, b.bow)
	}
	return bow
}

// spread is a covariance parted into bow and rest: the bow's variance, its
// covariance with the rest, and the rest's, n × n.
type spread struct {
	bow  float64
	with []float64
	rest []float64
}

// part takes a covariance of a lane apart.
func (b basis) part(cov []float64, n int) spread {
	s := spread{rest: append([]float64(nil), cov...), with: make([]float64, n)}
	column := make([]float64, n)
	for j := range n { // the rest of each column
		for i := range n {
			column[i] = s.rest[i*n+j]
		}
		s.with[j] = b.rest(column) // the bow's covariance with crown j
		for i := range n {
			s.rest[i*n+j] = column[i]
		}
	}
	for i := range n { // and of each row
		b.rest(s.rest[i*n : (i+1)*n])
	}
	s.bow = b.rest(s.with)
	return s
}
