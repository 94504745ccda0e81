package heights

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// cavity is a fret as the rest of the neck sees it.
type cavity struct {
	mean, cov []float64
	prec, eta []float64
}

// judgeFrets brings every fret's site up to date.
func (k *chain) judgeFrets() {
	for i, f := range k.frets {
		c, ok := k.without(i, f)
		if !ok {
			continue
		}
		f.walkedPi = append(f.walkedPi[:0], f.pi...)
		f.log, f.exps = k.explain(f, c)
		k.moment(i, f, c)
	}
}

// without is a fret's marginal less its site; false where nothing else tells of it.
func (k *chain) without(i int, f *fretNode) (*cavity, bool) {
	m := len(f.crowns)
	first := k.at[f.crowns[0]]
	c := &cavity{make([]float64, m), make([]float64, m*m), make([]float64, m*m), make([]float64, m)}
	l := make([]float64, m*m)
	for a := range m {
		for b := range m {
			l[a*m+b] = k.cov[(first+a)*k.n+first+b]
		}
	}
	if _, ok := factor(l, m); !ok {
		return nil, false
	}
	inverse(l, m, c.prec)
	for a := range m {
		for b := range m {
			c.eta[a] += c.prec[a*m+b] * k.mean[first+b]
		}
	}
	for a := range m {
		c.eta[a] -= k.sites[i].right[a]
		for b := range m {
			c.prec[a*m+b] -= k.sites[i].prec[a*m+b]
		}
		c.prec[a*m+a] += cavityRidge
	}
	copy(l, c.prec)
	if _, ok := factor(l, m); !ok {
		return nil, false
	}
	inverse(l, m, c.cov)
	for a := range m {
		for b := range m {
			c.mean[a] += c.cov[a*m+b] * c.eta[b]
		}
	}
	return c, true
}

// cavityRidge keeps what the rest of the neck does not see of a fret from being
// without bound: ± 3 mm.
const cavityRidge = 1e-7

// tried is a set of dents on a fret of one kind, with its ln weight.
type tried struct {
	log  float64
	kind kind
	at   []int
	mark uint64 // by which most sets that differ are told apart
}

const (
	maxDents   = 5    // on one fret
	setsKept   = 8    // of one kind
	setsBehind = 12.0 // behind the best, in ln weight
)

// explain weighs kinds and sets of dents of a fret, dents being added one at a
// time within each kind, and gives the likeliest.
func (k *chain) explain(f *fretNode, c *cavity) (evidence float64, out []explanation) {
	m := len(f.crowns)
	var all []tried
	best := math.Inf(-1)
	for kd := usual; kd < kinds; kd++ {
		if k.scales.chance[kd] <= 0 {
			continue
		}
		prior := make([]float64, m*m)
		f.prior.curve(kd, &k.scales, prior)
		for j := range prior {
			prior[j] += c.cov[j]
		}
		list := k.sets(f, c, kd, prior, best)
		for _, t := range list {
			best = math.Max(best, t.log)
		}
		all = append(all, list...)
	}
	all = slices.DeleteFunc(all, func(t tried) bool { return t.log < best-setsBehind })
	slices.SortStableFunc(all, func(a, b tried) int { return cmp.Compare(b.log, a.log) })
	sum := 0.0
	for _, t := range all {
		sum += math.Exp(t.log - best)
	}
	evidence = best + math.Log(sum)
	kept := all[:min(len(all), 24)]
	part := 0.0
	for _, t := range kept {
		part += math.Exp(t.log - best)
	}
	for _, t := range kept {
		out = append(out, k.posterior(f, c, t, math.Exp(t.log-best)/part))
	}
	return evidence, out
}

// sets are the best sets of dents on a fret of one kind; spread is the covariance
// of its curve and of what the rest says of it.
func (k *chain) sets(f *fretNode, c *cavity, kd kind, spread []float64, best float64) []tried {
	m := len(f.crowns)
	d := depths()
	room, y := make([]float64, m*m), make([]float64, m)
	chances := f.dentLogs()
	start := math.Log(k.scales.chance[kd]) - float64(m)*halfLogTwoPi
	weigh := func(at []int) float64 {
		copy(room, spread)
		log := start
		for l := range m {
			v := dent(at[l])
			y[l] = c.mean[l] - d[v].mean
			room[l*m+l] += d[v].sd * d[v].sd
			log += chances[l][v]
		}
		det, ok := factor(room, m)
		if !ok {
			return math.Inf(-1)
		}
		forward(room, m, y)
		for _, v := range y {
			log -= v * v / 2
		}
		return log - det/2
	}
	none := make([]int, m)
	front := []tried{{log: weigh(none), kind: kd, at: none}}
	all := slices.Clone(front)
	at := make([]int, m)
	most := math.Max(best, front[0].log)
	for range min(maxDents, m) {
		var next []tried
		for _, t := range front {
			for l := range m {
				if t.at[l] != 0 {
					continue
				}
				for v := shallow; v < dents; v++ {
					copy(at, t.at)
					at[l] = int(v)
					mark := t.mark + uint64(v)<<(2*l%64)
					if slices.ContainsFunc(next, func(o tried) bool { return o.mark == mark && slices.Equal(o.at, at) }) {
						continue // the same set by another way
					}
					next = append(next, tried{weigh(at), kd, slices.Clone(at), mark})
				}
			}
		}
		slices.SortStableFunc(next, func(a, b tried) int { return cmp.Compare(b.log, a.log) })
		if len(next) == 0 {
			break
		}
		next = next[:min(len(next), setsKept)]
		improved := next[0].log > most-setsBehind/2
		most = math.Max(most, next[0].log)
		all = append(all, next...)
		front = next
		if !improved {
			break
		}
	}
	return all
}

// dentLogs are the ln chances of the dents at each crown.
func (f *fretNode) dentLogs() [][dents]float64 {
	out := make([][dents]float64, len(f.crowns))
	d := depths()
	for l := range out {
		out[l][noDent] = math.Log1p(-f.pi[l] - f.burrs(l))
		out[l][burr] = math.Log(f.burrs(l))
		for _, v := range []dent{shallow, deep} {
			out[l][v] = math.Log(f.pi[l] * d[v].share)
		}
	}
	return out
}

// posterior is one explanation's crowns, given what the rest says.
func (k *chain) posterior(f *fretNode, c *cavity, t tried, chance float64) explanation {
	m := len(f.crowns)
	d := depths()
	prior, whole := make([]float64, m*m), make([]float64, m*m)
	f.prior.curve(t.kind, &k.scales, prior)
	copy(whole, prior)
	e := explanation{chance: chance, kind: t.kind, at: t.at, h: make([]float64, m), s: make([]float64, m), cov: make([]float64, m*m), scov: make([]float64, m*m)}
	y := make([]float64, m)
	for l := range m {
		v := d[t.at[l]]
		whole[l*m+l] += v.sd * v.sd
		y[l] = c.mean[l] - v.mean
		e.h[l] = v.mean
	}
	spread, inv := make([]float64, m*m), make([]float64, m*m)
	for j := range spread {
		spread[j] = whole[j] + c.cov[j]
	}
	if _, ok := factor(spread, m); !ok {
		return e
	}
	inverse(spread, m, inv)
	gain := multiply(whole, inv, m)
	curve := multiply(prior, inv, m)
	back, backS := multiply(gain, whole, m), multiply(curve, prior, m)
	for a := range m {
		for b := range m {
			e.h[a] += gain[a*m+b] * y[b]
			e.s[a] += curve[a*m+b] * y[b]
			e.cov[a*m+b] = whole[a*m+b] - (back[a*m+b]+back[b*m+a])/2
			e.scov[a*m+b] = prior[a*m+b] - (backS[a*m+b]+backS[b*m+a])/2
		}
	}
	return e
}

func multiply(a, b []float64, m int) []float64 {
	out := make([]float64, m*m)
	for i := range m {
		for k := range m {
			v := a[i*m+k]
			for j := range m {
				out[i*m+j] += v * b[k*m+j]
			}
		}
	}
	return out
}

// moment turns a fret's mixture into its site: the Gaussian with the mixture's
// mean and covariance, less what the rest says.
func (k *chain) moment(i int, f *fretNode, c *cavity) {
	m := len(f.crowns)
	mean, cov := make([]float64, m), make([]float64, m*m)
	for _, e := range f.exps {
		for a := range m {
			mean[a] += e.chance * e.h[a]
		}
	}
	for _, e := range f.exps {
		for a := range m {
			for b := range m {
				cov[a*m+b] += e.chance * (e.cov[a*m+b] + (e.h[a]-mean[a])*(e.h[b]-mean[b]))
			}
		}
	}
	k.sites[i].tilted = slices.Clone(cov)
	prec := make([]float64, m*m)
	if _, ok := factor(cov, m); !ok {
		return
	}
	inverse(cov, m, prec)
	for j := range prec {
		prec[j] -= c.prec[j]
	}
	notBelowZero(prec, m)
	s := &k.sites[i]
	for a := range m {
		right := -c.eta[a] // so that mean and precision of the fret come out
		for b := range m {
			right += (prec[a*m+b] + c.prec[a*m+b]) * mean[b]
		}
		s.right[a] += chainDamping * (right - s.right[a])
		for b := range m {
			s.prec[a*m+b] += chainDamping * (prec[a*m+b] - s.prec[a*m+b])
		}
	}
}

// notBelowZero lifts the eigenvalues of a symmetric matrix below 0 to 0: a fret
// in doubt may be wider than the rest says, which no precision adds to it.
func notBelowZero(a []float64, m int) {
	l := slices.Clone(a)
	if _, ok := factor(l, m); ok {
		return
	}
	var eig mat.EigenSym
	if !eig.Factorize(mat.NewSymDense(m, slices.Clone(a)), true) {
		clear(a)
		return
	}
	var q mat.Dense
	eig.VectorsTo(&q)
	values := eig.Values(nil)
	clear(a)
	for k, v := range values {
		if v <= 0 {
			continue
		}
		for i := range m {
			for j := range m {
				a[i*m+j] += v * q.At(i, k) * q.At(j, k)
			}
		}
	}
}
