package wear

import "math"

// freeRidge holds a crown that is told apart from its lane to 0 ± 1 mm, where so
// few of the lane's others are left that nothing else would.
const freeRidge = 1.0

// settle works out each crown's change, given which changed: those stand free,
// and the others set their lane's line and the common bow.
func (n *neck) settle(b *belief, guard float64) *Bow {
	off := make([][]int, len(n.lanes))
	for f, at := range n.at {
		for _, c := range at {
			if b.off(f, c) {
				off[c.lane] = append(off[c.lane], c.at)
			}
		}
	}
	info := make([][]float64, len(n.lanes))
	for i, l := range n.lanes {
		info[i] = l.info
		if len(off[i]) > 0 {
			_, _, info[i] = l.freed(off[i])
		}
	}
	fit, bow := n.findBow(info, guard)
	for i, l := range n.lanes {
		l.finish(fit, off[i], len(n.bows))
	}
	return bow
}

// freed lets crowns stand free: gain gives their changes from info·d (the
// covariance of them), and left is what is then known of the others.
func (l *lane) freed(off []int) (cov, gain, left []float64) {
	m, k := l.m(), len(off)
	cov, gain = make([]float64, k*k), make([]float64, k*m)
	for a, i := range off {
		for b, j := range off {
			cov[a*k+b] = l.info[i*m+j]
		}
		cov[a*k+a] += freeRidge
	}
	if !invert(cov, k) {
		clear(cov)
	}
	for a := range off {
		for b, j := range off {
			for c := range m {
				gain[a*m+c] += cov[a*k+b] * l.info[j*m+c]
			}
		}
	}
	left = append([]float64{}, l.info...)
	for a, i := range off {
		for r := range m {
			for c := range m {
				left[r*m+c] -= l.info[r*m+i] * gain[a*m+c]
			}
		}
	}
	return cov, gain, left
}

// finish takes bow and line out of a lane's change.
func (l *lane) finish(fit bowFit, off []int, bows int) {
	m := l.m()
	left := append([]float64{}, l.d...)
	l.bent = make([]float64, m)
	for i := range left {
		for a, c := range fit.columns {
			l.bent[i] += fit.by[a] * l.bow[i*bows+c]
		}
		left[i] -= l.bent[i]
	}
	unline(l.lines, l.bent, 1)
	still := make([]bool, m)
	for i := range still {
		still[i] = true
	}
	for _, i := range off {
		still[i] = false
	}
	at := l.line(left, still)
	for i, x := range l.x {
		l.rest[i] = left[i] - at[0] - at[1]*x
		l.err[i] = math.Sqrt(l.variance(i))
	}
	if len(off) > 0 {
		cov, gain, _ := l.freed(off)
		for a, i := range off {
			l.rest[i] = 0
			for c, d := range left {
				l.rest[i] += gain[a*m+c] * d
			}
			l.err[i] = math.Sqrt(cov[a*len(off)+a] + fit.spread(l, gain[a*m:a*m+m], bows))
		}
	}
	copy(l.shown, l.err)
}

// spread is the variance that the bow's brings to a change.
func (f *bowFit) spread(l *lane, gain []float64, bows int) (v float64) {
	k := len(f.columns)
	by := make([]float64, k)
	for a, c := range f.columns {
		for i, g := range gain {
			by[a] += g * l.bow[i*bows+c]
		}
	}
	for a := range k {
		for b := range k {
			v += by[a] * f.cov[a*k+b] * by[b]
		}
	}
	return v
}

// minFree bounds how much of a crown's error its lane's line may take up.
const minFree = 1e-3

// line is the weighted line through the crowns that are still.
func (l *lane) line(z []float64, still []bool) [2]float64 {
	g := l.lines
	var w, wx, wz float64
	weight := make([]float64, len(z))
	n := 0
	for i, x := range l.x {
		if !still[i] {
			continue
		}
		n++
		free := max(1-g[0][i]*g[0][i]-g[1][i]*g[1][i], minFree)
		weight[i] = free / max(l.variance(i), 1e-18)
		w, wx, wz = w+weight[i], wx+weight[i]*x, wz+weight[i]*z[i]
	}
	if n == 0 {
		return [2]float64{}
	}
	mx, mz, sxx, sxz := wx/w, wz/w, 0.0, 0.0
	for i, x := range l.x {
		sxx, sxz = sxx+weight[i]*(x-mx)*(x-mx), sxz+weight[i]*(x-mx)*(z[i]-mz)
	}
	if n == 1 || !(sxx > 0) {
		return [2]float64{mz, 0}
	}
	return [2]float64{mz - sxz/sxx*mx, sxz / sxx}
}
