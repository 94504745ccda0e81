package arrive

import (
	"math"
	"math/rand/v2"
	"testing"
)

// simulated carries a plan out on necks drawn from what is known, reads again and
// takes both readings together by least squares. It is the second route: no
// covariance of this package, but sums of squares.
type simulated struct {
	x       []float64
	u, hand float64
	bowFree bool
	limit   float64
}

// adjust joins a pass before (less the plan) and a pass after, each with a line of
// its own, that before with a bow of its own too where it is free.
func (s simulated) adjust(before, after []float64, filed []bool) (z, cov []float64) {
	n := len(s.x)
	b := newBasis(s.x, true)
	shapes := [][]float64{b.line[0], b.line[1]}
	if s.bowFree {
		shapes = append(shapes, b.bow)
	}
	// Unknowns: crowns, then the shapes of the pass before; the pass after sets
	// the datum. Normal equations by elimination of the crowns.
	w1, w2 := make([]float64, n), 1/(s.u*s.u)
	for i := range w1 {
		v := s.u * s.u
		if filed[i] {
			v += s.hand * s.hand
		}
		w1[i] = 1 / v
	}
	m := len(shapes)
	normal, right := make([][]float64, m), make([]float64, m)
	for p := range m {
		normal[p] = make([]float64, m)
		for i := range n {
			w := w1[i] * w2 / (w1[i] + w2)
			right[p] += w * shapes[p][i] * (before[i] - after[i])
			for q := range m {
				normal[p][q] += w * shapes[p][i] * shapes[q][i]
			}
		}
	}
	inverse := invert(normal)
	z, cov = make([]float64, n), make([]float64, n*n)
	g := make([][]float64, n)
	for i := range n {
		fit := 0.0
		g[i] = make([]float64, m)
		for p := range m {
			for q := range m {
				fit += shapes[p][i] * inverse[p][q] * right[q]
				g[i][p] += w1[i] / (w1[i] + w2) * shapes[q][i] * inverse[q][p]
			}
		}
		z[i] = (w1[i]*(before[i]-fit) + w2*after[i]) / (w1[i] + w2)
	}
	for i := range n {
		for j := range n {
			for p := range m {
				cov[i*n+j] += g[i][p] * shapes[p][j] * w1[j] / (w1[j] + w2)
			}
		}
		cov[i*n+i] += 1 / (w1[i] + w2)
	}
	return z, cov
}

func invert(a [][]float64) [][]float64 {
	n := len(a)
	b := make([][]float64, n)
	for i := range b {
		b[i] = make([]float64, n)
		b[i][i] = 1
	}
	for c := range n {
		for r := range n {
			if r == c {
				continue
			}
			f := a[r][c] / a[c][c]
			for k := range n {
				a[r][k] -= f * a[c][k]
				b[r][k] -= f * b[c][k]
			}
		}
	}
	for r := range n {
		for k := range n {
			b[r][k] /= a[r][r]
		}
	}
	return b
}

// level is the rule by brute force.
func (s simulated) level(z, cov []float64) bool {
	n := len(s.x)
	for i := range n {
		for j := i + 2; j < n; j++ {
			for k := i + 1; k < j; k++ {
				w := (s.x[j] - s.x[k]) / (s.x[j] - s.x[i])
				t := make([]float64, n)
				t[i], t[k], t[j] = -w, 1, w-1
				off, v := 0.0, 0.0
				for p := range n {
					off += t[p] * z[p]
					for q := range n {
						if t[p] != 0 && t[q] != 0 {
							v += t[p] * t[q] * cov[p*n+q]
						}
					}
				}
				if math.Abs(off)+1.645*math.Sqrt(v) > s.limit {
					return false
				}
			}
		}
	}
	return true
}

// TestChance_LeastSquares: necks drawn from what the readings say, filed by a
// hand that scatters, read again and adjusted by least squares, are level as often
// as foretold.
func TestChance_LeastSquares(t *testing.T) {
	const trials = 600
	for _, c := range []struct {
		hand, to float64
		bowFree  bool
	}{{0, 0.7, false}, {0, 0.7, true}, {0.004, 0.45, false}, {0.004, 0.55, true}} {
		r := rand.New(rand.NewPCG(7, 1))
		lanes := humped(r, 14, 1, 0.06)
		s := simulated{x: lanes[0].X, u: 0.0035, hand: c.hand, bowFree: c.bowFree, limit: 0.03}
		o := outlook(t, Neck{Lanes: lanes, Cov: white(lanes, s.u)}, Ask{LimitMM: s.limit, HandMM: c.hand, BowFree: c.bowFree, Seed: 3})
		p := o.To(c.to * s.limit)
		remove := p.Metal.Lanes[0].RemoveMM
		filed := make([]bool, len(remove))
		called := 0
		for range trials {
			before, after := make([]float64, len(remove)), make([]float64, len(remove))
			for i, m := range remove {
				if filed[i] = m > 0; filed[i] {
					m += c.hand * r.NormFloat64()
				}
				truth := lanes[0].D[i] + s.u*r.NormFloat64() - m // as the readings before leave it open
				before[i] = lanes[0].D[i] - remove[i]
				after[i] = truth + s.u*r.NormFloat64()
			}
			if s.level(s.adjust(before, after, filed)) {
				called++
			}
		}
		within(t, "least squares", p.Chance, float64(called)/trials, trials)
		if p.Chance < 0.05 || p.Chance > 0.97 {
			t.Errorf("chance %.3f shows nothing", p.Chance)
		}
	}
}

// TestFused_LeastSquares: what is stated of both readings together is the
// covariance of least squares where the hand is exact, and never less where it
// scatters.
func TestFused_LeastSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	lanes := humped(r, 12, 1, 0.05)
	n := len(lanes[0].X)
	for _, c := range []struct {
		hand    float64
		bowFree bool
	}{{0, false}, {0, true}, {0.004, false}, {0.004, true}} {
		s := simulated{x: lanes[0].X, u: 0.004, hand: c.hand, bowFree: c.bowFree}
		o := outlook(t, Neck{Lanes: lanes, Cov: white(lanes, s.u)}, Ask{LimitMM: 0.03, HandMM: c.hand, BowFree: c.bowFree})
		remove := o.To(0.01).Metal.Lanes[0].RemoveMM
		f := o.ahead(&o.lanes[0], remove)
		fused := f.fused(o.after(), c.hand)
		_, want := s.adjust(make([]float64, n), make([]float64, n), f.filed)
		for i := range n - 2 {
			for j := i + 2; j < n; j++ {
				for k := i + 1; k < j; k++ {
					w := (s.x[j] - s.x[k]) / (s.x[j] - s.x[i])
					least, got := math.Sqrt(f.contrast(want, i, k, j, w)), math.Sqrt(f.contrast(fused, i, k, j, w))
					if got < least*(1-1e-9) || got > least*(1+1e-9+5*c.hand) {
						t.Fatalf("hand %g, bow free %v: crowns %d %d %d: %.6f, least squares %.6f", c.hand, c.bowFree, i, k, j, got, least)
					}
				}
			}
		}
	}
}
