package play

import "math"

// phasors are the complex amplitudes of some modes, in two halves of one length.
type phasors struct{ re, im []float64 }

// first is the first n of them.
func (c *phasors) first(n int) phasors { return phasors{c.re[:n], c.im[:n]} }

// copyFrom puts others into the first places.
func (c *phasors) copyFrom(from phasors) {
	copy(c.re, from.re)
	copy(c.im, from.im)
}

// turn multiplies the numbers of z: to = by·z, as many as z has; to may be z.
func turn(to, z, by *phasors) {
	m := len(z.re)
	im, toRe, toIm, byRe, byIm := z.im[:m], to.re[:m], to.im[:m], by.re[:m], by.im[:m]
	for n, x := range z.re {
		y, c, s := im[n], byRe[n], byIm[n]
		toRe[n] = c*x - s*y
		toIm[n] = c*y + s*x
	}
}

// turnedRe gives the real part of by·z, as many as z has.
func turnedRe(to []float64, z, by *phasors) {
	m := len(z.re)
	to, im, byRe, byIm := to[:m], z.im[:m], by.re[:m], by.im[:m]
	for n, x := range z.re {
		to[n] = byRe[n]*x - byIm[n]*im[n]
	}
}

// amplitudes gives size = |z|, and with two sets of weights first = c1·size and
// second = c2·size.
func amplitudes(size, first, second []float64, z *phasors, c1, c2 []float64) {
	m := len(z.re)
	size, first, second, im, c1, c2 := size[:m], first[:m], second[:m], z.im[:m], c1[:m], c2[:m]
	for n, x := range z.re {
		y := im[n]
		s := math.Sqrt(x*x + y*y)
		size[n], first[n], second[n] = s, c1[n]*s, c2[n]*s
	}
}

// absSums is Σ|row|·first, Σ|row|·second and Σ|row|·third.
func absSums(row, first, second, third []float64) (sum1, sum2, sum3 float64) {
	first, second, third = first[:len(row)], second[:len(row)], third[:len(row)]
	for n, s := range row {
		s = math.Abs(s)
		sum1 += s * first[n]
		sum2 += s * second[n]
		sum3 += s * third[n]
	}
	return sum1, sum2, sum3
}

// heights gives out_j = Σ_n rows_jn·q_n; the rows lie stride elements apart.
func heights(out, rows []float64, stride int, q []float64) {
	j := 0
	for ; j+2 <= len(out); j += 2 {
		r0, r1 := rows[j*stride:][:len(q)], rows[(j+1)*stride:][:len(q)]
		var a0, a1, b0, b1 float64
		even := len(q) &^ 1
		for n := 0; n < even; n += 2 {
			x, y := q[n], q[n+1]
			a0 += r0[n] * x
			b0 += r1[n] * x
			a1 += r0[n+1] * y
			b1 += r1[n+1] * y
		}
		if even < len(q) {
			a0 += r0[even] * q[even]
			b0 += r1[even] * q[even]
		}
		out[j], out[j+1] = a0+a1, b0+b1
	}
	if j < len(out) {
		out[j] = dot(rows[j*stride:][:len(q)], q)
	}
}

// lowHeights gives height_j = Σ_n table_nj·re_n and slope_j = Σ_n table_nj·rate_n
// over a table with a row of len(height) for each n.
func lowHeights(height, slope, table, re, rate []float64) {
	slope, rate = slope[:len(height)], rate[:len(re)]
	clear(height)
	clear(slope)
	p, even := len(height), len(re)&^1
	for n := 0; n < even; n += 2 {
		x, y, v, w := re[n], rate[n], re[n+1], rate[n+1]
		row, next := table[n*p:][:p], table[(n+1)*p:][:p]
		for j, s := range row {
			t := next[j]
			height[j] += s*x + t*v
			slope[j] += s*y + t*w
		}
	}
	if even < len(re) {
		x, y := re[even], rate[even]
		for j, s := range table[even*p:][:p] {
			height[j] += s * x
			slope[j] += s * y
		}
	}
}

// dot is the sum of products, in four partial sums so that they overlap. The
// conversions keep a compiler from fusing product and sum, so that the vector
// code of lookAhead gives every bit of it.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	n := len(a) &^ 3
	for i := 0; i < n; i += 4 {
		s0 += float64(a[i] * b[i])
		s1 += float64(a[i+1] * b[i+1])
		s2 += float64(a[i+2] * b[i+2])
		s3 += float64(a[i+3] * b[i+3])
	}
	for i := n; i < len(a); i++ {
		s0 += float64(a[i] * b[i])
	}
	return (s0 + s1) + (s2 + s3)
}

// dotTwo is Σ row·x and Σ row·y, in two partial sums each so that they overlap.
func dotTwo(row, x, y []float64) (rowX, rowY float64) {
	x, y = x[:len(row)], y[:len(row)]
	var x1, y1 float64
	n := 0
	for ; n+1 < len(row); n += 2 {
		s, t := row[n], row[n+1]
		rowX += s * x[n]
		rowY += s * y[n]
		x1 += t * x[n+1]
		y1 += t * y[n+1]
	}
	if n < len(row) {
		rowX += row[n] * x[n]
		rowY += row[n] * y[n]
	}
	return rowX + x1, rowY + y1
}
