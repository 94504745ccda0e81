package straight

import "math"

// intervals are the contrasts of crowns that these brackets allow, for a lane
// with crowns at x; at as in AddBrackets. Each is at its widest in a corner of the box
// of all gaps; of the pairs of crowns that may carry the edge, the one counts
// that lets it be widest.
func (b Brackets) intervals(z float64, x []float64, at []int) []interval {
	out := make([]interval, triples(len(x)))
	e := b.carried(z)
	eachThree(x, func(t, i, k, j int, w float64) {
		i, k, j = at[i], at[k], at[j]
		if i < 0 || k < 0 || j < 0 {
			out[t] = unknown()
			return
		}
		v := 1 - w
		u := math.Sqrt(b.u(k)*b.u(k) + w*w*b.u(i)*b.u(i) + v*v*b.u(j)*b.u(j))
		up, down := b.widest(-1, -1, i, k, j, w)
		if !e.free(i, k, j) {
			up, down = e.widest(b, i, k, j, w)
		}
		s := w*b.shape(i) + v*b.shape(j) - b.shape(k)
		out[t] = interval{s - down, s + up, u}
	})
	return out
}

// widest are the greatest values of w·g_i + (1−w)·g_j − g_k and of its negative
// in the box of all gaps, those of crowns p and q being 0.
func (b Brackets) widest(p, q, i, k, j int, w float64) (up, down float64) {
	side := func(f int) (lo, hi float64) {
		if f == p || f == q {
			return 0, 0
		}
		return b.Lo[f], b.Hi[f]
	}
	loI, hiI := side(i)
	loK, hiK := side(k)
	loJ, hiJ := side(j)
	return w*hiI + (1-w)*hiJ - loK, hiK - w*loI - (1-w)*loJ
}

// carriage is which crowns may carry the edge on either side of its middle.
type carriage struct {
	left, right   []bool
	lefts, rights int
	felt          bool // a leaf entered under one of them, by the hand's error
	known         bool
}

func (b Brackets) carried(z float64) carriage {
	n := len(b.X)
	e := carriage{left: make([]bool, n), right: make([]bool, n)}
	left, right := b.carriers(z)
	e.known, e.lefts, e.rights = left != nil, len(left), len(right)
	for _, f := range left {
		e.left[f] = true
		e.felt = e.felt || b.Lo[f] > 0
	}
	for _, f := range right {
		e.right[f] = true
		e.felt = e.felt || b.Lo[f] > 0
	}
	return e
}

// free reports whether the edge may rest beside these three crowns, and resting
// on one of them would leave their contrast no wider.
func (e carriage) free(i, k, j int) bool {
	return !e.known || !e.felt && e.lefts > count(e.left, i, k, j) && e.rights > count(e.right, i, k, j)
}

func count(in []bool, i, k, j int) (n int) {
	for _, f := range [3]int{i, k, j} {
		if in[f] {
			n++
		}
	}
	return n
}

// widest is Brackets.widest for the pair of carriers that lets it be widest.
func (e carriage) widest(b Brackets, i, k, j int, w float64) (up, down float64) {
	up, down = math.Inf(-1), math.Inf(-1)
	three := [4]int{i, k, j, -1} // −1: another crown than these
	may := func(in []bool, all, f int) bool {
		if f < 0 {
			return all > count(in, i, k, j)
		}
		return in[f]
	}
	for _, p := range three {
		for _, q := range three {
			if may(e.left, e.lefts, p) && may(e.right, e.rights, q) && (p < 0 || p != q) {
				a, c := b.widest(p, q, i, k, j, w)
				up, down = math.Max(up, a), math.Max(down, c)
			}
		}
	}
	return up, down
}
