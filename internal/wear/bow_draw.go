package wear

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// drawBow draws the bow, the crowns as they are: first which, or none, its size
// integrated out, then its size.
func (s *sampler) drawBow() {
	q := len(s.bow)
	if q == 0 {
		return
	}
	normal, right := make([]float64, q*q), make([]float64, q)
	row := make([]float64, q)
	for _, l := range s.lanes {
		m := l.m()
		l.unbow(s.bow, -1)
		times(l.know, l.y, l.g)
		timesT(l.bow, l.g, right)
		for i := range m {
			clear(row)
			timesT(l.bow, l.know[i*m:i*m+m], row)
			for k := range q {
				for j := range q {
					normal[k*q+j] += l.bow[i*q+k] * row[j] / s.heat
				}
			}
		}
	}
	for k := range right {
		right[k] /= s.heat
	}
	ln, fits := make([]float64, len(s.n.models)), make([]bowDraw, len(s.n.models))
	for i, columns := range s.n.models {
		fits[i] = s.n.weighBow(columns, normal, right)
		ln[i] = fits[i].ln
		if i == 0 {
			ln[i] += math.Log(float64(len(ln) - 1)) // none is as likely as any
		}
	}
	at := s.draw(normalised(ln))
	by := fits[at].mean
	s.scatter(fits[at].cov, by)
	clear(s.bow)
	for a, c := range s.n.models[at] {
		s.bow[c] = by[a]
	}
	for _, l := range s.lanes {
		l.unbow(s.bow, 1)
		times(l.know, l.y, l.g)
	}
}

// bowDraw is a bow whose size is still to be drawn.
type bowDraw struct {
	ln        float64
	mean, cov []float64
}

// weighBow integrates the size of a bow out.
func (n *neck) weighBow(columns []int, normal, right []float64) bowDraw {
	k, q := len(columns), len(n.bows)
	b := bowDraw{mean: make([]float64, k), cov: make([]float64, k*k)}
	if k == 0 {
		return b
	}
	sub := make([]float64, k)
	for i, c := range columns {
		v := n.bows[c].priorMM * n.bows[c].priorMM
		for j, c2 := range columns {
			b.cov[i*k+j] = normal[c*q+c2]
		}
		b.cov[i*k+i] += 1 / v
		sub[i] = right[c]
		b.ln -= math.Log(v) / 2
	}
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(k, append([]float64{}, b.cov...))) {
		b.ln = math.Inf(-1)
		return b
	}
	b.ln -= chol.LogDet() / 2
	if !invert(b.cov, k) {
		b.ln = math.Inf(-1)
		return b
	}
	times(b.cov, sub, b.mean)
	for i, v := range sub {
		b.ln += v * b.mean[i] / 2
	}
	return b
}

// scatter adds to v errors of a covariance, by its Cholesky factor.
func (s *sampler) scatter(cov, v []float64) {
	n := len(v)
	low := make([]float64, n*n)
	xi := make([]float64, n)
	for i := range n {
		xi[i] = s.rng.NormFloat64()
		for j := range i + 1 {
			t := cov[i*n+j]
			for k := range j {
				t -= low[i*n+k] * low[j*n+k]
			}
			switch {
			case i == j:
				low[i*n+i] = math.Sqrt(max(0, t))
			case low[j*n+j] > 0:
				low[i*n+j] = t / low[j*n+j]
			}
		}
	}
	for i := range n {
		for j := range i + 1 {
			v[i] += low[i*n+j] * xi[j]
		}
	}
}
