package heights

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// answer is what a search comes to, in mm: crowns in each lane's free datum.
type answer struct {
	z, curve []float64
	cov      *mat.SymDense
	groove   []float64
	burr     []float64
	aside    []bool
	parts    [][]Part
	good     []float64 // of each observation: the chance that it is no misread
	expected []float64 // of each observation: what the rest says, mm
	off      []float64 // of each observation: how far it stands off that, crown upwards, mm
	// normalised are residuals over their standard deviation; NaN of what nothing
	// checks.
	normalised []float64
	frets      []Fret
	// own is the variance of each crown's own readings, µm², and ownShare how far
	// it stands on them alone.
	own, ownShare []float64
}

// mixtureOf estimates the crowns from readings of one crown each.
func mixtureOf(in Input, c *crowns, obs []observation) (*answer, *net, error) {
	n, err := bestStart(in, c, obs)
	if err != nil {
		return nil, nil, err
	}
	if err := n.finish(maxRounds - firstRounds); err != nil {
		return nil, nil, err
	}
	if n.looseEnds(wide()) {
		if err := n.finish(maxRounds / 2); err != nil {
			return nil, nil, err
		}
	}
	a, err := n.answer()
	return a, n, err
}

// bestStart is the net of the start with the greatest evidence, a few rounds on.
// Where the plainest finds no dent and no crooked fret, the others would come to
// the same.
func bestStart(in Input, c *crowns, obs []observation) (*net, error) {
	starts := beginnings()
	nets, errs := make([]*net, len(starts)), make([]error, len(starts))
	try := func(i int) {
		nets[i] = newNet(in, c, obs)
		nets[i].begin(starts[i])
		errs[i] = nets[i].settleDown(narrow(), firstRounds)
	}
	if try(0); errs[0] == nil && nets[0].plain() {
		return nets[0], nil
	}
	var wait sync.WaitGroup
	for i := 1; i < len(starts); i++ {
		wait.Go(func() { try(i) })
	}
	wait.Wait()
	best := -1
	for i, n := range nets {
		if errs[i] == nil && (best < 0 || n.evidence() > nets[best].evidence()+clearlyBetter) {
			best = i
		}
	}
	if best < 0 {
		return nil, errs[0]
	}
	return nets[best], nil
}

// clearlyBetter is by how much the evidence of a later start must win: two that
// come to the same place differ in rounding alone.
const clearlyBetter = 0.01

// plain reports whether no crown seems dented and no fret crooked.
func (n *net) plain() bool {
	const seems = 0.1
	for _, f := range n.frets {
		if f.crooked() > 0.5 {
			return false
		}
		for l := range f.crowns {
			if f.dentChance(l, downwards)+f.dentChance(l, upwards) > seems {
				return false
			}
		}
	}
	return true
}

// finish settles a net and walks it once more with what was learned last.
func (n *net) finish(rounds int) error {
	if err := n.settleDown(wide(), rounds); err != nil {
		return err
	}
	for _, f := range n.frets {
		f.stale = true
	}
	n.walkAll(last())
	return nil
}

// answer mixes the explanations and takes them into each lane's free datum.
func (n *net) answer() (*answer, error) {
	s, err := n.sums()
	if err != nil {
		return nil, err
	}
	a := &answer{z: s.z, curve: s.curve, cov: n.joint(s)}
	n.beliefs(a)
	n.holdAll(a)
	n.freeDatum(a)
	return a, nil
}

// joint is the covariance of all crowns, µm²: what the explanations leave on each
// fret, and what the set-ups add to all.
func (n *net) joint(s *crownSums) *mat.SymDense {
	total, size := len(n.c.list), len(n.theta)
	cov := mat.NewSymDense(total, nil)
	if size > 0 {
		var chol mat.Cholesky
		var root mat.Dense
		if chol.Factorize(s.v) {
			var l mat.TriDense
			chol.LTo(&l)
			root.Mul(mat.NewDense(total, size, s.jac), &l)
			cov.SymOuterK(1, &root)
		}
	}
	for k, f := range n.frets {
		m := len(f.crowns)
		for a, i := range f.crowns {
			for b, j := range f.crowns[:a+1] {
				cov.SetSym(i, j, cov.At(i, j)+s.block[k][a*m+b])
			}
		}
	}
	return cov
}

// beliefs gathers the chances of grooves, burrs, misreads and kinds.
func (n *net) beliefs(a *answer) {
	total := len(n.c.list)
	a.groove, a.burr, a.aside, a.parts = make([]float64, total), make([]float64, total), make([]bool, total), make([][]Part, total)
	a.good, a.expected = make([]float64, len(n.obs)), make([]float64, len(n.obs))
	a.off, a.normalised = make([]float64, len(n.obs)), make([]float64, len(n.obs))
	surface := n.bareSurface()
	for _, f := range n.frets {
		a.frets = append(a.frets, f.belief())
		for l, i := range f.crowns {
			a.groove[i], a.burr[i] = f.dentChance(l, downwards), f.dentChance(l, upwards)
			a.aside[i] = len(f.rows[l]) > 0
			for r, row := range f.rows[l] {
				a.good[row] = n.goodChance(f, l, r)
				n.compare(f, l, r, row, a)
				a.aside[i] = a.aside[i] && a.good[row] < 0.5
			}
			a.aside[i] = a.aside[i] || f.looseLane(l)
			share := 0.0
			if n.kappaAt >= 0 {
				share = n.theta[n.kappaAt] * surface[i]
			}
			for k := range f.exps {
				e := &f.exps[k]
				m := len(f.crowns)
				a.parts[i] = append(a.parts[i], Part{e.chance, e.h[l] + share, math.Sqrt(e.cov[l*m+l])})
			}
		}
	}
}

// checkedEnough is the part of a reading's variance that the rest must check for
// its residual to tell of scatter.
const checkedEnough = 0.1

// compare holds a reading against the likeliest explanation of its fret.
func (n *net) compare(f *fretNode, l, r, row int, a *answer) {
	e, m := &f.exps[0], len(f.crowns)
	off := n.residual(row) - e.h[l]
	a.off[row] = off / micro
	a.expected[row] = n.obs[row].value - n.obs[row].weights[0]*off/micro
	a.normalised[row] = math.NaN()
	u := n.rows[row].u
	if red := 1 - e.cov[l*m+l]/(u*u); red > checkedEnough && f.comps[l][e.at[l]].kept>>r&1 == 1 {
		a.normalised[row] = off / (u * math.Sqrt(red))
	}
}

// belief is what the explanations say of a fret as a whole.
func (f *fretNode) belief() Fret {
	b := Fret{Fret: f.fret, LooseTreble: f.loose[0], LooseBass: f.loose[1]}
	for i := range f.exps {
		p := f.exps[i].chance
		switch f.exps[i].kind {
		case usual:
			b.Usual += p
		case seat:
			b.Seat += p
		case arch:
			b.Arch += p
		case rough, freely:
			b.Free += p
		case wild:
			b.Wild += p
		}
	}
	return b
}

// holdAll applies the limited translation. Where the limit acts, the variance is
// at least that of the crown's own readings.
func (n *net) holdAll(a *answer) {
	surface := n.bareSurface()
	a.own, a.ownShare = make([]float64, len(a.z)), make([]float64, len(a.z))
	for _, f := range n.frets {
		for l, i := range f.crowns {
			h, bounded := n.holdTo(f, l)
			if h.u == 0 {
				continue
			}
			if n.kappaAt >= 0 {
				h.mean += n.theta[n.kappaAt] * surface[i]
			}
			a.own[i], a.ownShare[i] = h.u*h.u, f.crooked()
			off := a.z[i] - h.mean
			if !bounded || math.Abs(off) <= h.most*h.u {
				continue
			}
			to := h.mean + math.Copysign(h.most*h.u, off)
			for k := range a.parts[i] {
				a.parts[i][k].ZMM += to - a.z[i]
			}
			a.z[i], a.ownShare[i] = to, 1
		}
	}
}

// crooked is the chance that a fret's lanes help each other little. Its crowns are
// then known as their own readings tell, and no better.
func (f *fretNode) crooked() (p float64) {
	for i := range f.exps {
		if f.exps[i].kind >= rough {
			p += f.exps[i].chance
		}
	}
	return p
}
