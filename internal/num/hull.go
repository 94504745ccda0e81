package num

// LowerHull puts the indices of the lower convex hull's vertices, left to
// right, into hull[:0] and returns it. Points on an edge are no vertices.
//
// x and z have one length and x ascends strictly; the caller has checked that.
// It does not allocate where hull has room for len(x). Cost: order n.
// Source: A. M. Andrew, Inf. Proc. Letters 9 (1979) 216, monotone chain (from
// memory).
func LowerHull(x, z []float64, hull []int) []int {
	h := hull[:0]
	z = z[:len(x)]
	for i, xi := range x {
		zi := z[i]
		for len(h) >= 2 {
			p, q := h[len(h)-2], h[len(h)-1]
			if (z[q]-z[p])*(xi-x[q]) < (zi-z[q])*(x[q]-x[p]) {
				break // the chain turns left at q: q stays
			}
			h = h[:len(h)-1]
		}
		h = append(h, i)
	}
	return h
}

// UpperHull is LowerHull's mirror: the vertices of the upper convex hull.
func UpperHull(x, z []float64, hull []int) []int {
	h := hull[:0]
	z = z[:len(x)]
	for i, xi := range x {
		zi := z[i]
		for len(h) >= 2 {
			p, q := h[len(h)-2], h[len(h)-1]
			if (z[q]-z[p])*(xi-x[q]) > (zi-z[q])*(x[q]-x[p]) {
				break
			}
			h = h[:len(h)-1]
		}
		h = append(h, i)
	}
	return h
}

// Turn is twice the signed area of the triangle p, q, r: above 0 where the way
// p, q, r turns left.
func Turn(p, q, r [2]float64) float64 {
	return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0])
}
