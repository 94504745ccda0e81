package kernel

import "math"

// plainTurn: to = turn·z, each a complex number in two halves; to may be z.
func plainTurn(toRe, toIm, re, im, turnRe, turnIm []float64) {
	im, toRe, toIm, turnRe, turnIm = im[:len(re)], toRe[:len(re)], toIm[:len(re)], turnRe[:len(re)], turnIm[:len(re)]
	for n, x := range re {
		y, tr, ti := im[n], turnRe[n], turnIm[n]
		toRe[n] = tr*x - ti*y
		toIm[n] = tr*y + ti*x
	}
}

// plainAdvance: before = a·q − b·before.
func plainAdvance(before, q, a, b []float64) {
	before, a, b = before[:len(q)], a[:len(q)], b[:len(q)]
	for n, now := range q {
		before[n] = a[n]*now - b[n]*before[n]
	}
}

// plainPush: q += g·row·force.
func plainPush(q, g, row []float64, force float64) {
	g, row = g[:len(q)], row[:len(q)]
	for n := range q {
		q[n] += g[n] * row[n] * force
	}
}

// plainHeights: out_j = Σ rows_j·q from column from on, added to what is there.
func plainHeights(out, rows []float64, stride int, q []float64) {
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
		out[j] = plainDot(rows[j*stride:][:len(q)], q)
	}
}

// plainDot is Σ a·b, in four partial sums so that they overlap.
func plainDot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	n := len(a) &^ 3
	for i := 0; i < n; i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for i := n; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return (s0 + s1) + (s2 + s3)
}

// plainLow: height_j = Σ table_nj·re_n and slope_j = Σ table_nj·rate_n; the
// table has a row for each mode.
func plainLow(height, slope, table, re, rate []float64) {
	slope, rate = slope[:len(height)], rate[:len(re)]
	clear(height)
	clear(slope)
	for n, x := range re {
		y, row := rate[n], table[n*len(height):][:len(height)]
		for j, s := range row {
			height[j] += s * x
			slope[j] += s * y
		}
	}
}

// plainWorst is how far any crown's hull passes its limits.
func plainWorst(height, slope, toHeight, toSlope, slack, below, above []float64) float64 {
	p := len(height)
	slope, toHeight, toSlope, slack, below, above = slope[:p], toHeight[:p], toSlope[:p], slack[:p], below[:p], above[:p]
	most := math.Inf(-1)
	for j, h0 := range height {
		h1 := toHeight[j]
		b0, b1 := h0+slope[j], h1-toSlope[j]
		least, greatest := min(h0, h1, b0, b1)-slack[j], max(h0, h1, b0, b1)+slack[j]
		most = max(most, below[j]-least, greatest-above[j])
	}
	return most
}

// plainDotTwo is Σ row·x and Σ row·y.
func plainDotTwo(row, x, y []float64) (rowX, rowY float64) {
	x, y = x[:len(row)], y[:len(row)]
	for n, s := range row {
		rowX += s * x[n]
		rowY += s * y[n]
	}
	return rowX, rowY
}

// plainAmplitudes: size = |z|, first = c1·size, second = c2·size.
func plainAmplitudes(size, first, second, re, im, c1, c2 []float64) {
	m := len(re)
	size, first, second, im, c1, c2 = size[:m], first[:m], second[:m], im[:m], c1[:m], c2[:m]
	for n, x := range re {
		y := im[n]
		s := math.Sqrt(x*x + y*y)
		size[n], first[n], second[n] = s, c1[n]*s, c2[n]*s
	}
}

// plainAbsSums is Σ|row|·first, Σ|row|·second and Σ|row|·third.
func plainAbsSums(row, first, second, third []float64) (sum1, sum2, sum3 float64) {
	first, second, third = first[:len(row)], second[:len(row)], third[:len(row)]
	for n, s := range row {
		s = math.Abs(s)
		sum1 += s * first[n]
		sum2 += s * second[n]
		sum3 += s * third[n]
	}
	return sum1, sum2, sum3
}

// plainAhead fills room with the next steps of every mode, and out with their
// heights at some rows.
func plainAhead(out, rows []float64, stride int, which []int, q, before, a, b, room []float64) {
	m := len(q)
	was, now := before[:m], q
	a, b = a[:m], b[:m]
	for k := range Ahead {
		next := room[k*m:][:m]
		for n := range next {
			next[n] = a[n]*now[n] - b[n]*was[n]
		}
		was, now = now, next
	}
	for i, j := range which {
		row := rows[j*stride:][:m]
		for k := range Ahead {
			out[i*Ahead+k] = plainDot(row, room[k*m:][:m])
		}
	}
}
