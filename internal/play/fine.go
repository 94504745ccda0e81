package play

import "math"

// fineHop is the bound of flight over shorter hops with more low modes, for
// those crowns that a whole jump leaves in doubt.
type fineHop struct {
	hop, low         int
	re, im           []float64 // every mode at the hop's start
	toRe, toIm       []float64 // and at its end
	turnRe, turnIm   []float64 // λ^hop
	slopeRe, slopeIm []float64 // a third of the slope over a hop, of the low modes
	forth, lowTurn   []float64 // ω⁴(Dk)⁴/384 of the low modes; times their amplitudes
	rate             []float64
	slack            []float64 // the bound's sums of each crown
	height, slope    []float64 // of each crown's low part at the hop's start
	nextHeight       []float64
	nextSlope        []float64 // and at its end
	doubtful         []int     // crowns that the hop leaves in doubt
}

// newFineHop sets up the fine hops of a jump.
func newFineHop(b *Bed, jump int) fineHop {
	m, p := len(b.Omega), len(b.at)
	h := fineHop{hop: min(jump, max(finest, jump/fineParts))}
	h.low = min(m, max(4, int(lowShare/(float64(h.hop)*b.Omega[0]*b.StepS))))
	h.re, h.im, h.toRe, h.toIm = make([]float64, m), make([]float64, m), make([]float64, m), make([]float64, m)
	h.turnRe, h.turnIm = make([]float64, m), make([]float64, m)
	h.slopeRe, h.slopeIm, h.rate = make([]float64, h.low), make([]float64, h.low), make([]float64, h.low)
	h.forth, h.lowTurn = make([]float64, h.low), make([]float64, h.low)
	h.slack, h.height, h.slope = make([]float64, p), make([]float64, p), make([]float64, p)
	h.nextHeight, h.nextSlope = make([]float64, p), make([]float64, p)
	h.doubtful = make([]int, 0, p)
	k, d := b.StepS, float64(h.hop)
	for n, w := range b.Omega {
		sigma := b.Sigma[n]
		wd := math.Sqrt(w*w - sigma*sigma)
		fall := math.Exp(-sigma * k * d)
		h.turnRe[n], h.turnIm[n] = fall*math.Cos(wd*k*d), fall*math.Sin(wd*k*d)
		if n < h.low {
			h.slopeRe[n], h.slopeIm[n] = -sigma*k*d/3, -wd*k*d/3
			h.forth[n] = math.Pow(w*k*d, 4) / 384
		}
	}
	return h
}

// renew takes the bound's sums anew.
func (h *fineHop) renew(b *Bed, amplitude []float64) {
	for n, w := range h.forth {
		h.lowTurn[n] = w * amplitude[n]
	}
	for j, row := range b.at {
		h.slack[j] = sumAbs(row[:h.low], h.lowTurn) + sumAbs(row[h.low:], amplitude[h.low:])
	}
}

// turn moves every mode to the hop's end.
func (h *fineHop) turn() {
	re, im := h.re, h.im[:len(h.re)]
	toRe, toIm := h.toRe[:len(re)], h.toIm[:len(re)]
	tr, ti := h.turnRe[:len(re)], h.turnIm[:len(re)]
	for n, x := range re {
		y := im[n]
		toRe[n] = tr[n]*x - ti[n]*y
		toIm[n] = tr[n]*y + ti[n]*x
	}
}

// lowPart gives the low modes' height and slope at some crowns.
func (h *fineHop) lowPart(b *Bed, crowns []int, re, im, height, slope []float64) {
	rate := h.rate
	re, im = re[:len(rate)], im[:len(rate)]
	sr, si := h.slopeRe[:len(rate)], h.slopeIm[:len(rate)]
	for n := range rate {
		rate[n] = sr[n]*re[n] + si[n]*im[n]
	}
	for _, j := range crowns {
		height[j], slope[j] = dotTwo(b.at[j][:len(rate)], re, rate)
	}
}

// doubt lists those of some crowns whose limits the bound does not clear.
func (h *fineHop) doubt(crowns []int, below, above []float64) bool {
	h.doubtful = h.doubtful[:0]
	for _, j := range crowns {
		h0, h1 := h.height[j], h.nextHeight[j]
		b0, b1 := h0+h.slope[j], h1-h.nextSlope[j]
		if min(h0, h1, b0, b1)-h.slack[j] < below[j] || max(h0, h1, b0, b1)+h.slack[j] > above[j] {
			h.doubtful = append(h.doubtful, j)
		}
	}
	return len(h.doubtful) > 0
}
