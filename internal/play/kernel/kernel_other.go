//go:build !amd64

package kernel

// here reports whether this processor can take the path.
func (p Path) here() bool { return p == Plain }

// Turn multiplies the numbers of z: to = by·z, as many as z has. The result may
// take the place of z.
func (Path) Turn(to, z, by *Complex) { plainTurn(to.Re, to.Im, z.Re, z.Im, by.Re, by.Im) }

// Advance is one free step: before = a·q − b·before.
func (Path) Advance(before, q, a, b []float64) { plainAdvance(before, q, a, b) }

// Push adds a force at one crown to every mode: q += g·row·force.
func (Path) Push(q, g, row []float64, force float64) { plainPush(q, g, row, force) }

// Heights gives out_j = Σ_n rows_jn·q_n; the rows lie stride elements apart.
func (Path) Heights(out, rows []float64, stride int, q []float64) { plainHeights(out, rows, stride, q) }

// Low gives height_j = Σ_n table_nj·re_n and slope_j = Σ_n table_nj·rate_n over
// a table with a row of len(height) for each n.
func (Path) Low(height, slope, table, re, rate []float64) { plainLow(height, slope, table, re, rate) }

// Worst is how far the worst of some crowns' heights may pass its limits within
// a jump; 0 or less: none does. A crown's height there lies within slack of the
// hull of height, height + slope, toHeight − toSlope and toHeight; its limits
// are below and above. −Inf where there is no crown.
func (Path) Worst(height, slope, toHeight, toSlope, slack, below, above []float64) float64 {
	return plainWorst(height, slope, toHeight, toSlope, slack, below, above)
}

// DotTwo is Σ row·x and Σ row·y.
func (Path) DotTwo(row, x, y []float64) (rowX, rowY float64) { return plainDotTwo(row, x, y) }

// LookAhead gives the heights in the next eight free steps, q⁺ = a·q − b·q⁻, at
// some rows: out[8i+k] is row which[i] after k+1 steps. The rows lie stride
// elements apart; room, 8·len(q) long, is written over.
func (Path) LookAhead(out, rows []float64, stride int, which []int, q, before, a, b, room []float64) {
	plainAhead(out, rows, stride, which, q, before, a, b, room)
}

// Amplitudes gives size = |z|, and with two sets of weights first = c1·size and
// second = c2·size.
func (Path) Amplitudes(size, first, second, re, im, c1, c2 []float64) {
	plainAmplitudes(size, first, second, re, im, c1, c2)
}

// AbsSums is Σ|row|·first, Σ|row|·second and Σ|row|·third.
func (Path) AbsSums(row, first, second, third []float64) (sum1, sum2, sum3 float64) {
	return plainAbsSums(row, first, second, third)
}
