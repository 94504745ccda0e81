package play

import (
	"context"
	"math"
)

// Sizes of the bounded flight. None of them bears on the answer, only on the
// time it takes.
const (
	jumpAngle  = 0.8 // most that the first mode turns in one jump, rad
	longestHop = 64  // steps in one jump, a power of two
	lowShare   = 4.4 // low modes looked at: this over the jump's angle
	finest     = 8   // least steps in a fine hop
	fineParts  = 4   // fine hops in a jump, where it has steps enough
	quietSteps = 6   // steps without contact after which flight is bounded again
	renewHops  = 16  // jumps between renewals of the amplitudes
)

// flight follows the free motion of a bed's string by jumps. Each mode is held
// as a complex number z, its height being Re z, and turns by λ = e^((−σ + iω_d)k)
// in a step: its amplitude |z| only falls.
//
// The bound: let K low modes be followed and the others only bounded. Over a
// jump of D steps a crown's low part f(t) lies within (Dk)⁴/384·max|f⁗| of the
// cubic that shares its heights and slopes at both ends (Hermite's remainder),
// and that cubic within the hull of its four Bézier points h0, h0 + s0, h1 − s1,
// h1, s being a third of the slope times the jump. As the fourth derivative of
// Re z is Re((−σ + iω_d)⁴z) and |−σ + iω_d| = ω where σ < ω,
//
//	max|f⁗| <= Σ_{n<=K} |S_nj|·ω_n⁴·|z_n|,  the high part <= Σ_{n>K} |S_nj|·|z_n|,
//
// with |z_n| taken at any earlier time, since it only falls. Where the hull less
// both sums stays between a crown's two limits, the string cannot pass them
// within the jump; where it does not, the crown is looked at by finer hops with
// more low modes (the same bound), and where these leave doubt step by step with
// every mode. Once Σ|S_nj|·|z_n| over all modes lies within the limits of every
// crown, they can never be passed again.
type flight struct {
	bed  *Bed
	hop  int // steps in a jump
	low  int // low modes
	step int

	re, im             []float64 // each mode now
	turnRe, turnIm     []float64 // λ^hop
	backRe, backIm     []float64 // λ^−1
	slopeRe, slopeIm   []float64 // a third of the slope over a jump, of the low modes
	forth              []float64 // ω⁴(Dk)⁴/384 of the low modes
	amplitude, lowTurn []float64
	slack, most        []float64 // the bound's sums of each crown: beside the cubic, and of all modes
	height, slope      []float64 // of each crown's low part at the jump's start
	nextHeight         []float64
	nextSlope          []float64 // and at its end
	toRe, toIm, rate   []float64 // low modes at its end, and their slopes
	doubtful           []int
	fine               fineHop
	rows               [][]float64 // the modes' heights from one step before on
	untilRenewal       int
}

// newFlight sets up the jumps of a bed. It must not have heavy modes.
func newFlight(b *Bed) *flight {
	m, p := len(b.Omega), len(b.at)
	f := &flight{bed: b, hop: 1}
	theta := b.Omega[0] * b.StepS
	for f.hop < longestHop && 2*float64(f.hop)*theta <= jumpAngle {
		f.hop *= 2
	}
	f.low = min(m, max(4, int(lowShare/(float64(f.hop)*theta))))
	room := make([]float64, 7*m+7*f.low+6*p)
	take := func(n int) []float64 {
		part := room[:n:n]
		room = room[n:]
		return part
	}
	f.re, f.im, f.turnRe, f.turnIm, f.backRe, f.backIm, f.amplitude = take(m), take(m), take(m), take(m), take(m), take(m), take(m)
	f.slopeRe, f.slopeIm, f.forth, f.lowTurn = take(f.low), take(f.low), take(f.low), take(f.low)
	f.toRe, f.toIm, f.rate = take(f.low), take(f.low), take(f.low)
	f.slack, f.most, f.height, f.slope, f.nextHeight, f.nextSlope = take(p), take(p), take(p), take(p), take(p), take(p)
	f.doubtful = make([]int, 0, p)
	f.fine = newFineHop(b, f.hop)
	for range f.fine.hop + 2 {
		f.rows = append(f.rows, make([]float64, m))
	}
	f.tables()
	return f
}

// tables fills in each mode's turns.
func (f *flight) tables() {
	k, d := f.bed.StepS, float64(f.hop)
	for n, w := range f.bed.Omega {
		sigma := f.bed.Sigma[n]
		wd := math.Sqrt(w*w - sigma*sigma)
		fall := math.Exp(-sigma * k * d)
		f.turnRe[n], f.turnIm[n] = fall*math.Cos(wd*k*d), fall*math.Sin(wd*k*d)
		rise := math.Exp(sigma * k)
		f.backRe[n], f.backIm[n] = rise*math.Cos(wd*k), -rise*math.Sin(wd*k)
		if n < f.low {
			f.slopeRe[n], f.slopeIm[n] = -sigma*k*d/3, -wd*k*d/3
			f.forth[n] = math.Pow(w*k*d, 4) / 384
		}
	}
}

// fromRest starts the flight from a shape at rest.
func (f *flight) fromRest(start []float64) {
	f.step = 0
	for n, q := range start {
		w, sigma := f.bed.Omega[n], f.bed.Sigma[n]
		f.re[n], f.im[n] = q, -q*sigma/math.Sqrt(w*w-sigma*sigma)
	}
	f.renew()
}

// fromShape starts the flight from the heights at two steps.
func (f *flight) fromShape(s shape, step int) {
	f.step = step
	for n, q := range s.q {
		// before = Re(z·λ^−1) = backRe·re − backIm·im
		f.re[n], f.im[n] = q, (f.backRe[n]*q-s.before[n])/f.backIm[n]
	}
	f.renew()
}

// renew takes the amplitudes anew and with them the bound's sums.
func (f *flight) renew() {
	f.untilRenewal = renewHops
	for n, re := range f.re {
		f.amplitude[n] = math.Sqrt(re*re + f.im[n]*f.im[n])
	}
	for n, w := range f.forth {
		f.lowTurn[n] = w * f.amplitude[n]
	}
	for j, row := range f.bed.at {
		high := sumAbs(row[f.low:], f.amplitude[f.low:])
		f.slack[j] = high + sumAbs(row[:f.low], f.lowTurn)
		f.most[j] = high + sumAbs(row[:f.low], f.amplitude[:f.low])
	}
	f.fine.renew(f.bed, f.amplitude)
	f.lowPart(f.re, f.im, f.height, f.slope)
}

// lowPart gives the low modes' height and slope at each crown.
func (f *flight) lowPart(re, im, height, slope []float64) {
	rate := f.rate
	re, im = re[:len(rate)], im[:len(rate)]
	sr, si := f.slopeRe[:len(rate)], f.slopeIm[:len(rate)]
	for n := range rate {
		rate[n] = sr[n]*re[n] + si[n]*im[n]
	}
	for j, row := range f.bed.at {
		height[j], slope[j] = dotTwo(row[:len(rate)], re, rate)
	}
}

// over reports whether no limit can ever be passed again.
func (f *flight) over(below, above []float64) bool {
	for j, most := range f.most {
		if most >= -below[j] || most >= above[j] {
			return false
		}
	}
	return true
}

// turn moves the first modes on by a jump, from re, im to toRe, toIm.
func (f *flight) turn(re, im, toRe, toIm []float64) {
	im, toRe, toIm = im[:len(re)], toRe[:len(re)], toIm[:len(re)]
	tr, ti := f.turnRe[:len(re)], f.turnIm[:len(re)]
	for n, x := range re {
		y := im[n]
		toRe[n] = tr[n]*x - ti[n]*y
		toIm[n] = tr[n]*y + ti[n]*x
	}
}

// fly follows the free string up to step end, between limits below and above at
// each crown. With keep, a limit that is passed is moved out to where the
// string went: at the end the limits are its reach. Without, it stops in the
// step before a limit is first passed, by more than touchMM, leaves the string
// there in out, and returns true.
func (f *flight) fly(ctx context.Context, end int, below, above []float64, keep bool, out *shape) (bool, error) {
	for f.step < end && !f.over(below, above) {
		if f.untilRenewal--; f.untilRenewal < 0 {
			if ctx.Err() != nil {
				return false, ctx.Err()
			}
			f.renew()
			continue
		}
		f.turn(f.re[:f.low], f.im, f.toRe, f.toIm)
		f.lowPart(f.toRe, f.toIm, f.nextHeight, f.nextSlope)
		f.doubt(below, above)
		if len(f.doubtful) > 0 && f.look(end, below, above, keep, out) {
			return true, nil
		}
		f.turn(f.re, f.im, f.re, f.im)
		f.step += f.hop
		f.height, f.nextHeight = f.nextHeight, f.height
		f.slope, f.nextSlope = f.nextSlope, f.slope
	}
	f.step = max(f.step, end)
	return false, nil
}

// doubt lists the crowns whose limits the bound does not clear over the next jump.
func (f *flight) doubt(below, above []float64) {
	f.doubtful = f.doubtful[:0]
	for j, h0 := range f.height {
		h1 := f.nextHeight[j]
		b0, b1 := h0+f.slope[j], h1-f.nextSlope[j]
		if min(h0, h1, b0, b1)-f.slack[j] < below[j] || max(h0, h1, b0, b1)+f.slack[j] > above[j] {
			f.doubtful = append(f.doubtful, j)
		}
	}
}

// look goes through the next jump at the doubtful crowns: first by finer hops
// with more modes, and where these leave doubt step by step with every mode.
func (f *flight) look(end int, below, above []float64, keep bool, out *shape) bool {
	h := &f.fine
	copy(h.re, f.re)
	copy(h.im, f.im)
	h.lowPart(f.bed, f.doubtful, h.re, h.im, h.height, h.slope)
	for step, to := f.step, min(f.step+f.hop, end); step < to; step += h.hop {
		h.turn()
		h.lowPart(f.bed, f.doubtful, h.toRe, h.toIm, h.nextHeight, h.nextSlope)
		if h.doubt(f.doubtful, below, above) {
			count := min(h.hop, to-step)
			if first := f.exact(count, below, above, keep); first < count {
				f.step = step + first
				copy(out.before, f.rows[first])
				copy(out.q, f.rows[first+1])
				return true
			}
		}
		h.re, h.toRe, h.im, h.toIm = h.toRe, h.re, h.toIm, h.im
		h.height, h.nextHeight = h.nextHeight, h.height
		h.slope, h.nextSlope = h.nextSlope, h.slope
	}
	return false
}

// exact goes through count steps from the fine hop's start, rows[0] being the
// step before it, and returns as passed does.
func (f *flight) exact(count int, below, above []float64, keep bool) int {
	before, now := f.rows[0], f.rows[1]
	for n, re := range f.fine.re {
		before[n], now[n] = f.backRe[n]*re-f.backIm[n]*f.fine.im[n], re
	}
	for r := 2; r < count+2; r++ {
		f.free(f.rows[r], f.rows[r-1], f.rows[r-2])
	}
	return f.passed(count, below, above, keep)
}

// free is one exact step of every mode.
func (f *flight) free(next, now, before []float64) {
	a, b := f.bed.a[:len(next)], f.bed.b[:len(next)]
	now, before = now[:len(next)], before[:len(next)]
	for n := range next {
		next[n] = a[n]*now[n] - b[n]*before[n]
	}
}

// passed looks at count steps, rows[2] being the first, and returns how many
// pass before a limit is; count where none is, or where limits are kept.
func (f *flight) passed(count int, below, above []float64, keep bool) int {
	first := count
	for _, j := range f.fine.doubtful {
		row := f.bed.at[j]
		for i := 0; i < first; i++ {
			u := dot(row, f.rows[i+2])
			switch {
			case keep:
				below[j], above[j] = math.Min(below[j], u), math.Max(above[j], u)
			case below[j]-u > touchMM || u-above[j] > touchMM:
				first = i
			}
		}
	}
	return first
}

// sumAbs is Σ|a|·b for b >= 0.
func sumAbs(a, b []float64) float64 {
	b = b[:len(a)]
	var even, odd float64
	n := len(a) &^ 1
	for i := 0; i < n; i += 2 {
		even += math.Abs(a[i]) * b[i]
		odd += math.Abs(a[i+1]) * b[i+1]
	}
	if n < len(a) {
		even += math.Abs(a[n]) * b[n]
	}
	return even + odd
}

// dotTwo is a·b and a·c.
func dotTwo(a, b, c []float64) (ab, ac float64) {
	b, c = b[:len(a)], c[:len(a)]
	for i, x := range a {
		ab += x * b[i]
		ac += x * c[i]
	}
	return ab, ac
}
