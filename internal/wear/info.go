package wear

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// difference is a lane's change over the crowns told, in their free datum.
func difference(a, b Lane, both [][2]int) *lane {
	m := len(both)
	l := &lane{lane: a.Lane, cov: make([]float64, m*m)}
	one := [2][]float64{make([]float64, m*m), make([]float64, m*m)}
	for i, k := range both {
		l.frets = append(l.frets, a.Frets[k[0]])
		l.x = append(l.x, a.XMM[k[0]])
		l.d = append(l.d, b.ZMM[k[1]]-a.ZMM[k[0]])
		for j, q := range both {
			one[0][i*m+j], one[1][i*m+j] = a.Cov.At(k[0], q[0]), b.Cov.At(k[1], q[1])
		}
	}
	g := lines(l.x)
	l.lines = g
	unline(g, l.d, 1)
	for s := range one {
		unline(g, one[s], m) // each column, then each row
		transpose(one[s], m)
		unline(g, one[s], m)
		for i := range m {
			l.uOne[s] = append(l.uOne[s], math.Sqrt(max(0, one[s][i*m+i])))
		}
		for i, v := range one[s] {
			l.cov[i] += v
		}
	}
	return l
}

// lines are a constant and a slope over x, of unit length and square to each other.
func lines(x []float64) [2][]float64 {
	m := float64(len(x))
	mean, norm := 0.0, 0.0
	for _, v := range x {
		mean += v / m
	}
	for _, v := range x {
		norm += (v - mean) * (v - mean)
	}
	g := [2][]float64{make([]float64, len(x)), make([]float64, len(x))}
	for i, v := range x {
		g[0][i], g[1][i] = 1/math.Sqrt(m), (v-mean)/math.Sqrt(norm)
	}
	return g
}

// unline takes the best line out of each of a's columns.
func unline(g [2][]float64, a []float64, columns int) {
	for _, along := range g {
		for c := range columns {
			s := 0.0
			for i, v := range along {
				s += v * a[i*columns+c]
			}
			for i, v := range along {
				a[i*columns+c] -= s * v
			}
		}
	}
}

func transpose(a []float64, m int) {
	for i := range m {
		for j := range i {
			a[i*m+j], a[j*m+i] = a[j*m+i], a[i*m+j]
		}
	}
}

// negligible is the share of a covariance's largest variance, in any direction,
// below which there is none: the lines'.
const negligible = 1e-9

// inform works out the information and the roots of the lane's covariance. It
// reports false where no direction has an uncertainty.
func (l *lane) inform() bool {
	m := l.m()
	var eigen mat.EigenSym
	if !eigen.Factorize(mat.NewSymDense(m, append([]float64{}, l.cov...)), true) {
		return false
	}
	values := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	most := values[m-1]
	if !(most > 0) {
		return false
	}
	l.rank = 0
	for _, v := range values {
		if v > negligible*most {
			l.rank++
		}
	}
	l.rank = min(l.rank, m-2)
	l.info = make([]float64, m*m)
	for s := range l.roots {
		l.roots[s] = make([]float64, m*l.rank)
	}
	for k := range l.rank {
		at := m - 1 - k
		root := math.Sqrt(values[at])
		for i := range m {
			v := vectors.At(i, at)
			l.roots[0][i*l.rank+k], l.roots[1][i*l.rank+k] = v*root, v/root
			for j := range m {
				l.info[i*m+j] += v * vectors.At(j, at) / values[at]
			}
		}
	}
	l.rest, l.err = make([]float64, m), make([]float64, m)
	l.shown, l.verdict = make([]float64, m), make([]Verdict, m)
	return l.rank > 0
}

// times is a·v, a of rows and columns.
func times(a []float64, v, out []float64) {
	columns := len(v)
	for i := range out {
		s := 0.0
		for j, w := range a[i*columns : i*columns+columns] {
			s += w * v[j]
		}
		out[i] = s
	}
}

// timesT is aᵀ·v added to out.
func timesT(a []float64, v, out []float64) {
	columns := len(out)
	for i, x := range v {
		if x == 0 {
			continue
		}
		for j, w := range a[i*columns : i*columns+columns] {
			out[j] += w * x
		}
	}
}
