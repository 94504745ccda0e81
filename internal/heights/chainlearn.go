package heights

import (
	"math"
	"slices"
)

// learnTauChain is learnTau for frets that are seen through the rest of the neck.
func (k *chain) learnTauChain() {
	if len(k.c.lanes) < 3 || k.c.apart {
		return
	}
	var list []*fretNode
	var rests []*cavity
	for i, f := range k.frets {
		if len(f.exps) == 0 || len(f.crowns) < 3 || f.exps[0].kind != usual && f.exps[0].kind != seat {
			continue
		}
		if c, ok := k.without(i, f); ok {
			list, rests = append(list, f), append(rests, c)
		}
	}
	tau := tauFrom(k.scales, func(s *scales) (sum float64) {
		for j, f := range list {
			sum += restLikelihood(f, rests[j], s)
		}
		return sum
	})
	// A cavity leans on the other frets' sites, so less scatter is seen than there is.
	k.scales.tau = math.Max(tau, tauMedian)
}

// restLikelihood is the ln likelihood of a fret's best explanation under other
// scales.
func restLikelihood(f *fretNode, c *cavity, s *scales) float64 {
	m, d := len(f.crowns), depths()
	e := &f.exps[0]
	cov, y := make([]float64, m*m), make([]float64, m)
	f.prior.curve(e.kind, s, cov)
	for l := range m {
		v := d[e.at[l]]
		y[l] = c.mean[l] - v.mean
		cov[l*m+l] += v.sd * v.sd
	}
	for j := range cov {
		cov[j] += c.cov[j]
	}
	det, ok := factor(cov, m)
	if !ok {
		return 0
	}
	forward(cov, m, y)
	sum := -det / 2
	for _, v := range y {
		sum -= v * v / 2
	}
	return sum
}

// evidence is the propagation's ln evidence, but for what all starts share.
func (k *chain) evidence() float64 {
	sum := -k.log / 2
	for i, f := range k.frets {
		c, ok := k.without(i, f)
		if !ok {
			continue
		}
		sum += f.log - k.siteLog(i, f, c)
	}
	return sum + k.quadratic() + k.readingsLog()
}

// siteLog is ln ∫ cavity · site.
func (k *chain) siteLog(i int, f *fretNode, c *cavity) float64 {
	m := len(f.crowns)
	prec, eta, y := make([]float64, m*m), make([]float64, m), make([]float64, m)
	for a := range m {
		eta[a] = c.eta[a] + k.sites[i].right[a]
		for b := range m {
			prec[a*m+b] = c.prec[a*m+b] + k.sites[i].prec[a*m+b]
		}
	}
	l := slices.Clone(c.prec)
	detC, okC := factor(l, m)
	detQ, okQ := factor(prec, m)
	if !okC || !okQ {
		return 0
	}
	copy(y, c.eta)
	forward(l, m, y)
	forward(prec, m, eta)
	v := (detC - detQ) / 2
	for a := range m {
		v += (eta[a]*eta[a] - y[a]*y[a]) / 2
	}
	return v
}

// quadratic is half of ηᵀ·Σ·η of the whole.
func (k *chain) quadratic() float64 {
	sum := 0.0
	for i := range k.rows {
		r := &k.rows[i]
		mean, _ := k.seen(r)
		sum += r.pull * mean / 2
	}
	for i, f := range k.frets {
		for l, c := range f.crowns {
			sum += k.sites[i].right[l] * k.mean[k.at[c]] / 2
		}
	}
	if k.kappaAt >= 0 {
		sum += kappaWeight * coneShare * k.mean[len(k.c.list)+k.kappaAt] / 2
	}
	return sum
}

// readingsLog is what the readings' own normalisers add: their weights differ
// between starts.
func (k *chain) readingsLog() float64 {
	sum := 0.0
	for i := range k.rows {
		r := &k.rows[i]
		if r.bound != exact {
			continue
		}
		sum -= r.weight * r.value * r.value / 2
		sum += r.good*(-math.Log(r.u)-halfLogTwoPi) + (1-r.good)*math.Log(r.misread/misreadRange)
	}
	return sum
}
