package num

// LowerHull puts the indices of the lower convex hull's vertices, left to
// right, into hull and returns it. Points on an edge are no vertices; one that
// lies off it by less than rounding may or may not be one.
//
// x and z have one length and x ascends strictly; the caller has checked that.
// It does not allocate where hull has room for len(x). Cost: order n.
// Source: A. M. Andrew, Inf. Proc. Letters 9 (1979) 216, monotone chain; points
// above a chord left out first: S. G. Akl and G. T. Toussaint, Inf. Proc.
// Letters 7 (1978) 219 (both from memory).
func LowerHull(x, z []float64, hull []int) []int { return lower(x, z, 1, hull) }

// UpperHull is LowerHull's mirror: the vertices of the upper convex hull.
func UpperHull(x, z []float64, hull []int) []int { return lower(x, z, -1, hull) }

// lower is the lower hull of the heights sign·z.
func lower(x, z []float64, sign float64, hull []int) []int {
	n := len(x)
	if cap(hull) < n {
		hull = make([]int, n)
	}
	return chain(x, z, sign, candidates(x, z, sign, hull[:n]))
}

// candidates are the ends, the point farthest below their chord, and the points
// below the chords from it to the ends. Most points fall out here, without a
// branch that the processor would have to guess.
func candidates(x, z []float64, sign float64, h []int) []int {
	n := len(x)
	if n < 3 {
		for i := range h {
			h[i] = i
		}
		return h
	}
	z = z[:n]
	x0, z0 := x[0], z[0]
	b := (z[n-1] - z0) / (x[n-1] - x0)
	depth, deepest := 0.0, 0
	for i := 1; i < n-1; i++ {
		if v := sign * (z[i] - z0 - b*(x[i]-x0)); v < depth {
			depth, deepest = v, i
		}
	}
	h[0] = 0
	m := 1
	if deepest > 0 {
		m += below(x, z, sign, 0, deepest, h[1:])
		h[m] = deepest
		m++
		m += below(x, z, sign, deepest, n-1, h[m:])
	}
	h[m] = n - 1
	return h[:m+1]
}

// below lists the points between p and q that lie below their chord.
func below(x, z []float64, sign float64, p, q int, h []int) int {
	xp, zp := x[p], z[p]
	b := (z[q] - zp) / (x[q] - xp)
	m := 0
	for i := p + 1; i < q; i++ {
		h[m] = i
		if sign*(z[i]-zp-b*(x[i]-xp)) < 0 {
			m++
		}
	}
	return m
}

// chain keeps those of the points h at which the way along them turns left.
func chain(x, z []float64, sign float64, h []int) []int {
	if len(h) < 3 {
		return h
	}
	m := 2
	xq, zq := x[h[1]], sign*z[h[1]]
	ex, ez := xq-x[h[0]], zq-sign*z[h[0]] // the last edge
	for _, i := range h[2:] {
		xi, zi := x[i], sign*z[i]
		dx, dz := xi-xq, zi-zq
		for ez*dx >= dz*ex {
			m--
			q := h[m-1]
			xq, zq = x[q], sign*z[q]
			dx, dz = xi-xq, zi-zq
			if m < 2 {
				break
			}
			p := h[m-2]
			ex, ez = xq-x[p], zq-sign*z[p]
		}
		h[m] = i
		m++
		ex, ez = dx, dz
		xq, zq = xi, zi
	}
	return h[:m]
}

// Turn is twice the signed area of the triangle p, q, r: above 0 where the way
// p, q, r turns left.
func Turn(p, q, r [2]float64) float64 {
	return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0])
}
