package heights

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// freeDatum takes each lane's mean and slope off crowns and covariance, puts the
// shape back and turns µm into mm.
func (n *net) freeDatum(a *answer) {
	for i, s := range n.shape {
		a.z[i] += s
		a.curve[i] += s
	}
	before := append([]float64{}, a.z...)
	q := n.lines()
	for k, span := range n.c.lanes {
		project(a.z[span.from:span.to], q[k])
		for i := span.from; i < span.to; i++ { // curve and parts in the datum of z
			a.curve[i] += a.z[i] - before[i]
			for m := range a.parts[i] {
				a.parts[i][m].ZMM += n.shape[i] + a.z[i] - before[i]
			}
		}
	}
	freeCov(a.cov, n.c.lanes, q)
	a.floor(n.c.lanes, q)
	a.toMM()
}

// floor keeps the variance of crowns that stand on their own readings from being
// less than those tell.
func (a *answer) floor(lanes []laneSpan, q [][2][]float64) {
	for i, share := range a.ownShare {
		if share == 0 {
			continue
		}
		for k, span := range lanes {
			if i < span.from || i >= span.to {
				continue
			}
			one, slope := q[k][0][i-span.from], q[k][1][i-span.from]
			own := a.own[i] * math.Max(0, 1-one*one-slope*slope)
			if v := a.cov.At(i, i); v < own {
				a.cov.SetSym(i, i, v+share*(own-v))
			}
		}
	}
}

func (a *answer) toMM() {
	for i := range a.z {
		a.z[i] /= micro
		a.curve[i] /= micro
		for m := range a.parts[i] {
			a.parts[i][m].ZMM /= micro
			a.parts[i][m].UMM /= micro
		}
		if len(a.parts[i]) > 0 { // the parts' scatter is with the set-ups known: widen it to the whole
			a.spread(i)
		}
	}
	a.cov.ScaleSym(1.0/(micro*micro), a.cov)
}

// minPart is the least share of a crown's variance that any of its explanations
// keeps.
const minPart = 0.1

// spread gives each part the part of the variance that the set-ups and the datum
// add, so that the mixture has the variance of the crown.
func (a *answer) spread(i int) {
	mean, within, between := 0.0, 0.0, 0.0
	for _, p := range a.parts[i] {
		mean += p.Chance * p.ZMM
		within += p.Chance * p.UMM * p.UMM
	}
	for _, p := range a.parts[i] {
		between += p.Chance * (p.ZMM - mean) * (p.ZMM - mean)
	}
	whole := a.cov.At(i, i) / (micro * micro)
	more := whole - between - within
	for k := range a.parts[i] {
		u := a.parts[i][k].UMM
		a.parts[i][k].UMM = math.Sqrt(math.Max(u*u+more, minPart*whole))
		a.parts[i][k].ZMM += a.z[i] - mean
	}
}

// lines are each lane's constant and slope, orthonormal.
func (n *net) lines() [][2][]float64 { return linesOf(n.c) }

func linesOf(c *crowns) [][2][]float64 {
	out := make([][2][]float64, len(c.lanes))
	for k, span := range c.lanes {
		m := span.to - span.from
		one, slope := make([]float64, m), make([]float64, m)
		mean, norm := 0.0, 0.0
		for _, v := range c.list[span.from:span.to] {
			mean += v.x / float64(m)
		}
		for i, v := range c.list[span.from:span.to] {
			one[i] = 1 / math.Sqrt(float64(m))
			slope[i] = v.x - mean
			norm += slope[i] * slope[i]
		}
		for i := range slope {
			slope[i] /= math.Sqrt(norm)
		}
		out[k] = [2][]float64{one, slope}
	}
	return out
}

// project takes what lies along q off z.
func project(z []float64, q [2][]float64) {
	for _, g := range q {
		s := 0.0
		for i, v := range z {
			s += v * g[i]
		}
		for i := range z {
			z[i] -= s * g[i]
		}
	}
}

// freeCov takes the lanes' lines off a covariance: P·C·P, lane by lane.
func freeCov(cov *mat.SymDense, lanes []laneSpan, q [][2][]float64) {
	n := cov.SymmetricDim()
	full := mat.NewDense(n, n, nil)
	full.Copy(cov)
	raw := full.RawMatrix().Data
	for i := range n { // rows: take lines off along the columns
		for k, span := range lanes {
			project(raw[i*n+span.from:i*n+span.to], q[k])
		}
	}
	column := make([]float64, n)
	for j := range n {
		for i := range n {
			column[i] = raw[i*n+j]
		}
		for k, span := range lanes {
			project(column[span.from:span.to], q[k])
		}
		for i := 0; i <= j; i++ {
			cov.SetSym(i, j, column[i])
		}
	}
}
