package play

import (
	"math"
)

// hull bounds the free string over a jump of D steps from K low modes alone.
//
// Each mode is held as a complex number z, its height being Re z; in free flight
// z(t) = z(0)·e^(μt), μ = −σ + iω_d, so that |z| only falls and |μ| = ω (modes
// with σ < ω). At crown j the string stands at u = Σ_n S_nj·Re z_n, |S_nj| <= 1.
//
// 1. The high part, n > K, lies within Σ_{n>K} |S_nj|·|z_n| of 0, whenever in the
// past |z_n| was taken.
//
// 2. The low part f is compared with the cubic p that has f's heights and slopes
// at both ends of the jump, T = Dk apart. The remainder of Hermite's
// interpolation is f(t) − p(t) = f⁗(τ)/24·t²(T − t)², some τ in the jump, and
// t(T − t) <= T²/4, so |f − p| <= T⁴/384·max|f⁗|. As f⁗ = Σ S_nj·Re(μ_n⁴z_n),
// max|f⁗| <= Σ_{n<=K} |S_nj|·ω_n⁴·|z_n|.
//
// 3. In Bernstein's form p is a mean, with weights of 0 or more that add up to
// 1, of h0, h0 + s0, h1 − s1 and h1, where s is T/3 times the slope: p stays
// between the least and the greatest of these four.
//
// Together: u stays within the least and the greatest of the four, widened by
//
//	slack_j = Σ_n |S_nj|·w_n·|z_n|, w_n = (ω_n·T)⁴/384 for n <= K, 1 beyond.
//
// Rounding moves these sums by less than 1e-12 mm; a touch begins at touchMM, a
// thousand times more.
type hull struct {
	steps, low int
	turn       phasors    // λ^jump of the low modes
	slopeOf    phasors    // μT/3: s is the real part of it times z
	weight     []float64  // w of every mode
	weighed    []float64  // w·|z|
	slack      []float64  // of each crown
	ends       [2]jumpEnd // the jump's start and end, in turns
	start      int        // which of them is the start
	rate       []float64  // the low modes' s at the end looked at last
}

// jumpEnd is the low modes at one end of a jump.
type jumpEnd struct {
	z             phasors
	height, slope []float64 // h and s of each crown
}

func (h *hull) at() *jumpEnd { return &h.ends[h.start] }
func (h *hull) to() *jumpEnd { return &h.ends[1-h.start] }

// next makes the jump's end the start of the next one.
func (h *hull) next() { h.start = 1 - h.start }

// newHull sets up jumps of a barrier's string. lambda is the turn of every mode in
// one jump. Low are those modes whose w is less than 1.
func newHull(b *Barrier, r *room, jump int, lambda *phasors) *hull {
	h := &hull{steps: jump, weight: r.take(b.stride), weighed: r.take(b.stride)}
	d := float64(jump) * b.StepS
	for n, w := range b.Omega {
		square := w * w * d * d
		if h.weight[n] = square * square / 384; h.weight[n] >= 1 {
			h.weight[n] = 1
			continue
		}
		h.low = n + 1
	}
	h.turn, h.slopeOf, h.rate = lambda.first(h.low), r.complex(h.low), r.take(h.low)
	for n := range h.low {
		sigma := b.Sigma[n]
		h.slopeOf.re[n], h.slopeOf.im[n] = -sigma*d/3, math.Sqrt(b.Omega[n]*b.Omega[n]-sigma*sigma)*d/3
	}
	crowns := len(b.at)
	h.slack = r.take(crowns)
	for e := range h.ends {
		h.ends[e] = jumpEnd{r.complex(h.low), r.take(crowns), r.take(crowns)}
	}
	return h
}

// passes reports whether crown j's hull passes its limits. Compared one by one:
// min and max of floats, which mind NaN and −0, take several times as long.
func (h *hull) passes(j int, below, above float64) bool {
	at, to := h.at(), h.to()
	h0, h1 := at.height[j], to.height[j]
	b0, b1 := h0+at.slope[j], h1-to.slope[j]
	below, above = below+h.slack[j], above-h.slack[j]
	return h0 < below || h1 < below || b0 < below || b1 < below ||
		h0 > above || h1 > above || b0 > above || b1 > above
}

// room is memory handed out piece by piece.
type room []float64

func (r *room) take(n int) []float64 {
	if n > len(*r) {
		*r = make([]float64, max(n, 1<<12))
	}
	part := (*r)[:n:n]
	*r = (*r)[n:]
	return part
}

func (r *room) complex(n int) phasors { return phasors{re: r.take(n), im: r.take(n)} }
