package kernel

import "golang.org/x/sys/cpu"

// here reports whether this processor, and the system on it, can take the path.
func (p Path) here() bool {
	switch p {
	case AVX512:
		return AVX2.here() && cpu.X86.HasAVX512F && cpu.X86.HasAVX512DQ && cpu.X86.HasAVX512VL
	case AVX2:
		return cpu.X86.HasAVX2 && cpu.X86.HasFMA
	}
	return true
}

// whole is how many of n elements the vector code takes.
func (p Path) whole(n int) int {
	if p == Plain {
		return 0
	}
	return n &^ (Block - 1)
}

// Turn multiplies the numbers of z: to = by·z, as many as z has. The result may
// take the place of z.
func (p Path) Turn(to, z, by *Complex) {
	m := len(z.Re)
	re, im, toRe, toIm, turnRe, turnIm := z.Re, z.Im[:m], to.Re[:m], to.Im[:m], by.Re[:m], by.Im[:m]
	n := p.whole(m)
	switch {
	case n == 0:
	case p == AVX512:
		turnAVX512(&toRe[0], &toIm[0], &re[0], &im[0], &turnRe[0], &turnIm[0], n)
	default:
		turnAVX2(&toRe[0], &toIm[0], &re[0], &im[0], &turnRe[0], &turnIm[0], n)
	}
	if n < m {
		plainTurn(toRe[n:], toIm[n:], re[n:], im[n:], turnRe[n:], turnIm[n:])
	}
}

// Advance is one free step: before = a·q − b·before.
func (p Path) Advance(before, q, a, b []float64) {
	m := len(q)
	before, a, b = before[:m], a[:m], b[:m]
	n := p.whole(m)
	switch {
	case n == 0:
	case p == AVX512:
		advanceAVX512(&before[0], &q[0], &a[0], &b[0], n)
	default:
		advanceAVX2(&before[0], &q[0], &a[0], &b[0], n)
	}
	if n < m {
		plainAdvance(before[n:], q[n:], a[n:], b[n:])
	}
}

// Push adds a force at one crown to every mode: q += g·row·force.
func (p Path) Push(q, g, row []float64, force float64) {
	m := len(q)
	g, row = g[:m], row[:m]
	n := p.whole(m)
	switch {
	case n == 0:
	case p == AVX512:
		pushAVX512(&q[0], &g[0], &row[0], n, force)
	default:
		pushAVX2(&q[0], &g[0], &row[0], n, force)
	}
	if n < m {
		plainPush(q[n:], g[n:], row[n:], force)
	}
}

// Heights gives out_j = Σ_n rows_jn·q_n; the rows lie stride elements apart.
func (p Path) Heights(out, rows []float64, stride int, q []float64) {
	n := p.whole(len(q))
	four := len(out) &^ 3
	if n == 0 || n < len(q) || four == 0 {
		plainHeights(out, rows, stride, q)
		return
	}
	_ = rows[(four-1)*stride : (four-1)*stride+n]
	if p == AVX512 {
		heightsAVX512(&out[0], &rows[0], stride, four, &q[0], n)
	} else {
		heightsAVX2(&out[0], &rows[0], stride, four, &q[0], n)
	}
	if four < len(out) {
		plainHeights(out[four:], rows[four*stride:], stride, q)
	}
}

// Low gives height_j = Σ_n table_nj·re_n and slope_j = Σ_n table_nj·rate_n over
// a table with a row of len(height) for each n.
func (p Path) Low(height, slope, table, re, rate []float64) {
	across, n := len(height), len(re)
	slope, rate, table = slope[:across], rate[:n], table[:n*across]
	switch {
	case n == 0 || n%2 != 0 || across == 0 || p.whole(across) < across:
		plainLow(height, slope, table, re, rate)
	case p == AVX512:
		lowAVX512(&height[0], &slope[0], &table[0], across, &re[0], &rate[0], n)
	default:
		lowAVX2(&height[0], &slope[0], &table[0], across, &re[0], &rate[0], n)
	}
}

// Worst is how far the worst of some crowns' heights may pass its limits within
// a jump; 0 or less: none does. A crown's height there lies within slack of the
// hull of height, height + slope, toHeight − toSlope and toHeight; its limits
// are below and above. −Inf where there is no crown.
func (p Path) Worst(height, slope, toHeight, toSlope, slack, below, above []float64) float64 {
	m := len(height)
	slope, toHeight, toSlope, slack, below, above = slope[:m], toHeight[:m], toSlope[:m], slack[:m], below[:m], above[:m]
	n := p.whole(m)
	if n == 0 {
		return plainWorst(height, slope, toHeight, toSlope, slack, below, above)
	}
	var most float64
	if p == AVX512 {
		most = worstAVX512(&height[0], &slope[0], &toHeight[0], &toSlope[0], &slack[0], &below[0], &above[0], n)
	} else {
		most = worstAVX2(&height[0], &slope[0], &toHeight[0], &toSlope[0], &slack[0], &below[0], &above[0], n)
	}
	if n < m {
		most = max(most, plainWorst(height[n:], slope[n:], toHeight[n:], toSlope[n:], slack[n:], below[n:], above[n:]))
	}
	return most
}

// DotTwo is Σ row·x and Σ row·y.
func (p Path) DotTwo(row, x, y []float64) (rowX, rowY float64) {
	m := len(row)
	x, y = x[:m], y[:m]
	n := p.whole(m)
	switch {
	case n == 0:
	case p == AVX512:
		rowX, rowY = dotTwoAVX512(&row[0], &x[0], &y[0], n)
	default:
		rowX, rowY = dotTwoAVX2(&row[0], &x[0], &y[0], n)
	}
	if n < m {
		a, b := plainDotTwo(row[n:], x[n:], y[n:])
		rowX, rowY = rowX+a, rowY+b
	}
	return rowX, rowY
}

// LookAhead gives the heights in the next eight free steps, q⁺ = a·q − b·q⁻, at
// some rows: out[8i+k] is row which[i] after k+1 steps. The rows lie stride
// elements apart; room, 8·len(q) long, is written over.
func (p Path) LookAhead(out, rows []float64, stride int, which []int, q, before, a, b, room []float64) {
	m := len(q)
	n := p.whole(m)
	if n == 0 || n < m {
		plainAhead(out, rows, stride, which, q, before, a, b, room)
		return
	}
	before, a, b = before[:m], a[:m], b[:m]
	for i, j := range which {
		to, row := out[i*Ahead:(i+1)*Ahead], rows[j*stride:][:m]
		if p == AVX512 {
			aheadAVX512(&to[0], &row[0], &q[0], &before[0], &a[0], &b[0], n)
		} else {
			aheadAVX2(&to[0], &row[0], &q[0], &before[0], &a[0], &b[0], n)
		}
	}
}

// Amplitudes gives size = |z|, and with two sets of weights first = c1·size and
// second = c2·size.
func (p Path) Amplitudes(size, first, second, re, im, c1, c2 []float64) {
	m := len(re)
	size, first, second, im, c1, c2 = size[:m], first[:m], second[:m], im[:m], c1[:m], c2[:m]
	n := p.whole(m)
	switch {
	case n == 0:
	case p == AVX512:
		amplitudesAVX512(&size[0], &first[0], &second[0], &re[0], &im[0], &c1[0], &c2[0], n)
	default:
		amplitudesAVX2(&size[0], &first[0], &second[0], &re[0], &im[0], &c1[0], &c2[0], n)
	}
	if n < m {
		plainAmplitudes(size[n:], first[n:], second[n:], re[n:], im[n:], c1[n:], c2[n:])
	}
}

// AbsSums is Σ|row|·first, Σ|row|·second and Σ|row|·third.
func (p Path) AbsSums(row, first, second, third []float64) (sum1, sum2, sum3 float64) {
	m := len(row)
	first, second, third = first[:m], second[:m], third[:m]
	n := p.whole(m)
	switch {
	case n == 0:
	case p == AVX512:
		sum1, sum2, sum3 = absSumsAVX512(&row[0], &first[0], &second[0], &third[0], n)
	default:
		sum1, sum2, sum3 = absSumsAVX2(&row[0], &first[0], &second[0], &third[0], n)
	}
	if n < m {
		a, b, c := plainAbsSums(row[n:], first[n:], second[n:], third[n:])
		sum1, sum2, sum3 = sum1+a, sum2+b, sum3+c
	}
	return sum1, sum2, sum3
}
