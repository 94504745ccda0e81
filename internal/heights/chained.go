package heights

import (
	"context"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// chain estimates crowns where readings take several of them, so that frets hang
// together: expectation propagation (Minka 2001, from memory). All readings and,
// of each fret, a Gaussian in place of its mixture make one least-squares
// problem; each fret's mixture, seen from the rest, gives the Gaussian anew.
type chain struct {
	*net
	rows  []rowN
	sites []site // of each fret
	at    []int  // of each crown in the state: frets first, then theta
	n     int    // size of the state
	cov   []float64
	mean  []float64
	log   float64 // ln det of the precision, for the evidence
}

// rowN is a reading: Σ w·state = value ± u.
type rowN struct {
	at      []int
	w       []float64
	value   float64
	u       float64
	misread float64
	bound   bound
	weight  float64 // precision in the least-squares problem, 1/µm²
	pull    float64 // and its right side
	good    float64
	left    float64 // residual against what the rest says
	spread  float64 // and its standard deviation
}

// site is the Gaussian that stands for a fret's mixture: precision and its right
// side. tilted is the covariance of the mixture as the rest sees it.
type site struct{ prec, right, tilted []float64 }

// How the propagation goes on.
const (
	chainRounds  = 14
	chainFirst   = 4 // of each start, before the best goes on alone
	chainDamping = 0.7
	chainSettled = 0.05 // µm
	chainGroove  = 0.012
)

// chained estimates the crowns from readings of any kind.
func chained(ctx context.Context, in Input, c *crowns, obs []observation) (*answer, error) {
	if known, err := fromSingles(ctx, in, c, obs); err != nil || known != nil {
		k := newChain(in, c, obs)
		if err == nil {
			k.follow(known)
			err = k.run(ctx, chainRounds)
		}
		if err != nil {
			return nil, err
		}
		return k.answer()
	}
	starts := beginnings()
	chains := make([]*chain, len(starts))
	errs := make([]error, len(starts))
	var wait sync.WaitGroup
	for i, b := range starts {
		wait.Add(1)
		go func() {
			defer wait.Done()
			chains[i] = newChain(in, c, obs)
			chains[i].begin(b)
			errs[i] = chains[i].run(ctx, chainFirst)
		}()
	}
	wait.Wait()
	var best *chain
	most := math.Inf(-1)
	for i, k := range chains {
		if errs[i] != nil {
			return nil, errs[i]
		}
		if e := k.evidence(); best == nil || e > most+clearlyBetter {
			best, most = k, e
		}
	}
	if err := best.run(ctx, chainRounds-chainFirst); err != nil {
		return nil, err
	}
	return best.answer()
}

// fromSingles is the mixture of the readings of one crown each, where these
// determine every crown; nil where they do not.
func fromSingles(ctx context.Context, in Input, c *crowns, obs []observation) (*net, error) {
	var singles []observation
	for _, o := range obs {
		if len(o.frets) == 1 && o.bound == exact {
			singles = append(singles, o)
		}
	}
	own, kept, _ := determined(in, singles)
	if len(own.list) < len(c.list) {
		return nil, nil
	}
	_, n, err := mixtureOf(ctx, in, own, kept)
	return n, err
}

// follow begins with each fret as the readings of one crown each explain it.
func (k *chain) follow(n *net) {
	k.scales = n.scales
	for i := range k.rows {
		k.rows[i].start()
	}
	d := depths()
	for i, f := range k.frets {
		m := len(f.crowns)
		e := &n.frets[i].exps[0]
		cov := make([]float64, m*m)
		f.prior.curve(e.kind, &k.scales, cov)
		mean := make([]float64, m)
		for l := range m {
			v := d[n.frets[i].comps[l][e.at[l]].dent]
			mean[l] = v.mean
			cov[l*m+l] += v.sd*v.sd + 1
		}
		if _, ok := factor(cov, m); ok {
			inverse(cov, m, k.sites[i].prec)
			for a := range m {
				for b := range m {
					k.sites[i].right[a] += k.sites[i].prec[a*m+b] * mean[b]
				}
			}
		}
		copy(f.pi, n.frets[i].pi)
		copy(f.beta, n.frets[i].beta)
		f.walkedPi = slices.Clone(f.pi)
	}
}

// start takes a reading at its word.
func (r *rowN) start() {
	if r.bound == exact {
		r.weight = 1 / (r.u * r.u)
		r.pull = r.weight * r.value
	}
}

func newChain(in Input, c *crowns, obs []observation) *chain {
	k := &chain{net: &net{
		c: c, obs: obs, scales: firstScales(), kappaAt: -1,
		setups: map[passKey]int{}, walkers: map[*lanesPrior][]*walker{},
	}}
	k.layShape(in)
	k.layFrets(in)
	k.layTheta()
	k.layState()
	k.layRows()
	for _, f := range k.frets {
		m := len(f.crowns)
		k.sites = append(k.sites, site{prec: make([]float64, m*m), right: make([]float64, m)})
		f.comps = make([][]component, m)
		for l, i := range f.crowns {
			f.beta[l] = chainGroove
			if k.touches(i) >= 2 {
				f.beta[l] = grooveChance
			}
			f.pi[l] = f.beta[l]
			for d := noDent; d < dents; d++ {
				f.comps[l] = append(f.comps[l], component{dent: d})
			}
		}
		f.walkedPi = slices.Clone(f.pi)
	}
	return k
}

// touches counts the readings of a crown alone.
func (k *chain) touches(crown int) (n int) {
	p := k.c.list[crown]
	for _, o := range k.obs {
		if len(o.frets) == 1 && o.lane == p.lane && o.frets[0] == p.fret && o.bound == exact {
			n++
		}
	}
	return n
}

// layState puts the crowns fret by fret, then what all share.
func (k *chain) layState() {
	k.at = make([]int, len(k.c.list))
	for _, f := range k.frets {
		for _, i := range f.crowns {
			k.at[i] = k.n
			k.n++
		}
	}
	k.n += len(k.theta)
	k.cov, k.mean = make([]float64, k.n*k.n), make([]float64, k.n)
}

func (k *chain) layRows() {
	surface := k.bareSurface()
	first := len(k.c.list)
	for _, o := range k.obs {
		r := rowN{u: micro * o.u, misread: misreadChance, bound: o.bound, value: micro * o.value, good: 1}
		share := 0.0
		for j, f := range o.frets {
			i := k.c.index[place{f, o.lane}]
			r.at, r.w = append(r.at, k.at[i]), append(r.w, o.weights[j])
			r.value -= o.weights[j] * k.shape[i]
			share += o.weights[j] * surface[i]
		}
		if at, known := k.setups[o.pass]; known {
			x := k.scaledX(k.c.index[place{o.frets[0], o.lane}])
			r.at, r.w = append(r.at, first+at, first+at+1), append(r.w, 1, x)
			if at, known := k.shapeAt[o.method]; known {
				for j, v := range shapeOfBeam(x) {
					r.at, r.w = append(r.at, first+at+j), append(r.w, o.sign*v)
				}
			}
		}
		if k.kappaAt >= 0 {
			r.at, r.w = append(r.at, first+k.kappaAt), append(r.w, share)
		}
		r.misread *= o.topDoubt()
		k.rows = append(k.rows, r)
	}
}

// begin sets sites and readings to where the propagation starts.
func (k *chain) begin(b beginning) {
	for i := range k.rows {
		k.rows[i].start()
	}
	s := k.scales
	for i, f := range k.frets {
		m := len(f.crowns)
		kind := usual
		if b.lowWeight == 1 && b.beyond == 0 || f.fret <= b.beyond { // no help
			kind = wild
		}
		cov := make([]float64, m*m)
		f.prior.curve(kind, &s, cov)
		for l := range m {
			cov[l*m+l] += 1
			if b.played && f.fret <= playedFrets {
				f.pi[l] = math.Max(f.pi[l], playedChance)
			}
		}
		if _, ok := factor(cov, m); ok {
			inverse(cov, m, k.sites[i].prec)
		}
		f.walkedPi = slices.Clone(f.pi)
	}
}

// run propagates until no crown moves.
func (k *chain) run(ctx context.Context, rounds int) error {
	before := make([]float64, k.n)
	for round := range rounds {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := k.solve(); err != nil {
			return err
		}
		most := 0.0
		for i := range len(k.c.list) {
			most = math.Max(most, math.Abs(k.mean[i]-before[i]))
		}
		if round > 2 && most < chainSettled {
			break
		}
		copy(before, k.mean)
		k.judgeReadings()
		k.judgeFrets()
		k.learnGrooves()
		k.learnKinds()
		k.learnTauChain()
	}
	return k.solve()
}

// datumPull keeps a lane's line, which no gauge sees, and the set-ups of passes
// from being singular: 0 ± 10 m.
const datumPull = 1e-14

// solve fills mean and covariance from readings and sites.
func (k *chain) solve() error {
	clear(k.cov)
	right := make([]float64, k.n)
	for i := range k.rows {
		r := &k.rows[i]
		if r.weight == 0 {
			continue
		}
		for a, p := range r.at {
			w := r.weight * r.w[a]
			for b, q := range r.at {
				k.cov[p*k.n+q] += w * r.w[b]
			}
			right[p] += r.pull * r.w[a]
		}
	}
	for i, f := range k.frets {
		m := len(f.crowns)
		first := k.at[f.crowns[0]]
		for a := range m {
			for b := range m {
				k.cov[(first+a)*k.n+first+b] += k.sites[i].prec[a*m+b]
			}
			right[first+a] += k.sites[i].right[a]
		}
	}
	for i := range k.n {
		k.cov[i*k.n+i] += datumPull
	}
	if k.kappaAt >= 0 {
		at := len(k.c.list) + k.kappaAt
		k.cov[at*k.n+at] += kappaWeight
		right[at] += kappaWeight * coneShare
	}
	t, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: k.n, Data: k.cov, Stride: k.n})
	if !ok {
		return errSingular
	}
	k.log = 0
	for i := range k.n {
		k.log += 2 * math.Log(k.cov[i*k.n+i])
	}
	if _, ok := lapack64.Potri(t); !ok {
		return errSingular
	}
	for i := range k.n {
		for j := range i {
			k.cov[i*k.n+j] = k.cov[j*k.n+i]
		}
	}
	for i := range k.n {
		k.mean[i] = blas64.Dot(blas64.Vector{N: k.n, Data: k.cov[i*k.n:], Inc: 1}, blas64.Vector{N: k.n, Data: right, Inc: 1})
	}
	return nil
}

// seen is what state says of a row's quantity: its mean and variance.
func (k *chain) seen(r *rowN) (mean, variance float64) {
	for a, p := range r.at {
		mean += r.w[a] * k.mean[p]
		row := k.cov[p*k.n : (p+1)*k.n]
		t := 0.0
		for b, q := range r.at {
			t += r.w[b] * row[q]
		}
		variance += r.w[a] * t
	}
	return mean, variance
}

// unchecked is the part of a reading that the rest leaves unchecked above which
// it is taken as it is.
const unchecked = 0.99

// judgeReadings sets each reading's weight from what all the others say of it.
func (k *chain) judgeReadings() {
	for i := range k.rows {
		r := &k.rows[i]
		mean, v := k.seen(r)
		part := r.weight * v
		r.spread = math.NaN()
		if part > unchecked {
			continue
		}
		variance := v / (1 - part) // without the reading itself
		mean -= variance * (r.pull - r.weight*mean)
		r.left, r.spread = r.value-mean, math.Sqrt(r.u*r.u+variance)
		if r.bound == exact {
			z := r.left / r.spread
			good := math.Log1p(-r.misread) - z*z/2 - math.Log(r.spread) - halfLogTwoPi
			bad := math.Log(r.misread / misreadRange)
			p := 1 / (1 + math.Exp(bad-good))
			r.good = r.good + chainDamping*(p-r.good)
			r.weight = r.good / (r.u * r.u)
			r.pull = r.weight * r.value
			continue
		}
		r.oneSided(mean, variance)
	}
}

// oneSided replaces a bound by the Gaussian with the moments of a normal cut off
// there.
func (r *rowN) oneSided(mean, variance float64) {
	z := (r.value - mean) / r.spread
	sign := 1.0
	if r.bound == atLeast {
		z, sign = -z, -1
	}
	below := math.Max(0.5*math.Erfc(-z/math.Sqrt2), 1e-300)
	r.good = (1 - r.misread) * below / ((1-r.misread)*below + r.misread/2)
	ratio := math.Exp(-z*z/2-halfLogTwoPi) / below
	if z < -30 {
		ratio = -z
	}
	m := mean - sign*variance*ratio/r.spread
	v := variance - variance*variance*ratio*(z+ratio)/(r.spread*r.spread)
	if v <= 0 || v >= variance || r.good < 0.5 {
		r.weight, r.pull = 0, 0
		return
	}
	weight := 1/v - 1/variance
	pull := m/v - mean/variance
	r.weight += chainDamping * (weight - r.weight)
	r.pull += chainDamping * (pull - r.pull)
}

// answer takes the crowns into each lane's free datum.
func (k *chain) answer() (*answer, error) {
	total := len(k.c.list)
	a := &answer{z: make([]float64, total), curve: make([]float64, total), cov: mat.NewSymDense(total, nil), tau: k.scales.tau / micro}
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
		a.expected[i] = o.value - r.left/micro
		a.off[i] = r.left / micro
		a.normalised[i] = math.NaN()
		if r.bound == exact && !math.IsNaN(r.spread) && r.good > saidMisread {
			a.normalised[i] = r.left / r.spread
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
