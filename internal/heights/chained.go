package heights

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
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

// maxChained is beyond how many lanes that hang together through readings of
// several crowns each is taken by itself: a fret's causes are weighed at a cost of
// the fourth power of its lanes.
const maxChained = 15

// chained estimates the crowns from readings of any kind.
func chained(in Input, c *crowns, obs []observation) (*answer, error) {
	if len(c.lanes) > maxChained {
		c.apart, in.LanesApart = true, true
	}
	if known, err := fromSingles(in, c, obs); err != nil || known != nil {
		k := newChain(in, c, obs)
		if err == nil {
			k.follow(known)
			err = k.run(chainRounds)
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
		wait.Go(func() {
			chains[i] = newChain(in, c, obs)
			chains[i].begin(b)
			errs[i] = chains[i].run(chainFirst)
		})
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
	if err := best.run(chainRounds - chainFirst); err != nil {
		return nil, err
	}
	return best.answer()
}

// fromSingles is the mixture of the readings of one crown each, where these
// determine every crown; nil where they do not.
func fromSingles(in Input, c *crowns, obs []observation) (*net, error) {
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
	_, n, err := mixtureOf(in, own, kept)
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

func newChain(in Input, c *crowns, obs []observation) *chain {
	k := &chain{net: &net{
		c: c, obs: obs, scales: firstScales(), kappaAt: -1, done: in.done,
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
func (k *chain) run(rounds int) error {
	before := make([]float64, k.n)
	for round := range rounds {
		if err := k.done(); err != nil {
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
