package heights

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// answer takes the crowns into each lane's free datum.
func (k *chain) answer() (*answer, error) {
	total := len(k.c.list)
	a := &answer{z: make([]float64, total), curve: make([]float64, total), cov: mat.NewSymDense(total, nil)}
	surface := k.bareSurface()
	kappa, kappaAt := 0.0, -1
	if k.kappaAt >= 0 {
		kappaAt = total + k.kappaAt
		kappa = k.mean[kappaAt]
	}
	at := func(i, j int) float64 { return k.cov[i*k.n+j] }
	for i := range total {
		a.z[i] = k.mean[k.at[i]] + kappa*surface[i]
		for j := 0; j <= i; j++ {
			v := at(k.at[i], k.at[j])
			if kappaAt >= 0 {
				v += surface[i]*at(kappaAt, k.at[j]) + surface[j]*at(kappaAt, k.at[i]) + surface[i]*surface[j]*at(kappaAt, kappaAt)
			}
			a.cov.SetSym(i, j, v)
		}
	}
	k.widen(a)
	k.beliefs(a, kappa, surface)
	k.doubtWaves(a)
	k.freeDatum(a)
	return a, nil
}

// widen gives each crown at least the variance of its fret's mixture, which the
// Gaussian in its place may lack.
func (k *chain) widen(a *answer) {
	for i, f := range k.frets {
		m := len(f.crowns)
		for l, c := range f.crowns {
			if k.sites[i].tilted == nil {
				continue
			}
			if more := k.sites[i].tilted[l*m+l] - k.cov[k.at[c]*k.n+k.at[c]]; more > 0 {
				a.cov.SetSym(c, c, a.cov.At(c, c)+more)
			}
		}
	}
}

// Where grooves are about and a lane hangs together by three-fret readings alone,
// its long waves and its grooves take each other's place, and the mixture is
// surer of one of them than it should be: by about this factor in variance on
// necks drawn at random.
const waveDoubt = 6.5

// doubtWaves widens the lanes in which a long wave may pass for grooves.
func (k *chain) doubtWaves(a *answer) {
	total := len(k.c.list)
	factor := make([]float64, total)
	for _, span := range k.c.lanes {
		f, alone := 1.0, true
		for i := span.from; i < span.to; i++ {
			alone = alone && k.touches(i) == 0
			if a.groove[i] > amongGrooves {
				f = waveDoubt
			}
		}
		for i := span.from; i < span.to; i++ {
			factor[i] = 1
			if alone {
				factor[i] = f
			}
		}
	}
	for i := range total {
		for j := 0; j <= i; j++ {
			a.cov.SetSym(i, j, a.cov.At(i, j)*math.Sqrt(factor[i]*factor[j]))
		}
	}
}

// beliefs gathers the chances of grooves, burrs, misreads and kinds.
func (k *chain) beliefs(a *answer, kappa float64, surface []float64) {
	total := len(k.c.list)
	a.groove, a.burr, a.aside, a.parts = make([]float64, total), make([]float64, total), make([]bool, total), make([][]Part, total)
	for _, f := range k.frets {
		a.frets = append(a.frets, f.belief())
		m := len(f.crowns)
		for l, i := range f.crowns {
			a.groove[i], a.burr[i] = f.dentChance(l, downwards), f.dentChance(l, upwards)
			for j := range f.exps {
				e := &f.exps[j]
				a.curve[i] += e.chance * (f.curveAt(e, l) + kappa*surface[i])
				a.parts[i] = append(a.parts[i], Part{e.chance, e.h[l] + kappa*surface[i], math.Sqrt(math.Max(e.cov[l*m+l], 0))})
			}
		}
	}
	k.compareRows(a)
}

// compareRows tells how each reading fits, and which crowns lost all of theirs.
func (k *chain) compareRows(a *answer) {
	n := len(k.obs)
	a.good, a.expected, a.off, a.normalised = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	had, has := make([]bool, len(k.c.list)), make([]bool, len(k.c.list))
	for i, o := range k.obs {
		r := &k.rows[i]
		a.good[i] = r.good
		a.expected[i] = o.value - r.residual/micro
		a.off[i] = r.residual / micro
		a.normalised[i] = math.NaN()
		if r.bound == exact && !math.IsNaN(r.spread) && r.good > saidMisread {
			a.normalised[i] = r.residual / r.spread
		}
		for _, f := range o.frets {
			c := k.c.index[place{f, o.lane}]
			had[c] = true
			has[c] = has[c] || r.good > saidMisread
		}
	}
	for i := range had {
		a.aside[i] = had[i] && !has[i]
	}
}
