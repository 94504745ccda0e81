package heights

import (
	"cmp"
	"math"
	"slices"
)

// explanation is one set of causes of a fret's readings: its kind and, for each
// lane, the component; with the crowns it makes.
type explanation struct {
	chance float64
	kind   kind
	at     []int     // component of each lane
	h      []float64 // crowns, µm, less κ times the surface
	s      []float64 // the fret's curve
	cov    []float64 // n × n, of h
	scov   []float64 // n × n, of s
}

// beam bounds the walk: how many explanations are kept, how far behind the best
// in ln weight, and how many are handed on.
type beamWidth struct {
	keep   int
	behind float64
	report int
}

// walker holds the room for walking frets of up to n lanes.
type walker struct {
	n        int
	from, to []partial
	cand     []candidate
	prior    [kinds][]float64 // covariance of each kind's curve
	start    [kinds]float64   // ln chance
	typical  float64          // how far frets usually lie off, as a share of the prior's offset; 0: not known
}

// partial is an explanation of the lanes so far: a Gaussian over the curve in all
// lanes.
type partial struct {
	log  float64
	kind kind
	at   []int
	mean []float64
	cov  []float64
}

// crookedOnce is the share of its chance that a crooked fret keeps where each
// crown was read once.
const crookedOnce = 0.2

type candidate struct {
	log      float64
	from, at int
}

func newWalker(n, keep int) *walker {
	w := &walker{n: n}
	room := func() []partial {
		count := max(keep, int(kinds))
		at, m, c := make([]int, count*n), make([]float64, count*n), make([]float64, count*n*n)
		p := make([]partial, count)
		for i := range p {
			p[i] = partial{at: at[i*n : (i+1)*n], mean: m[i*n : (i+1)*n], cov: c[i*n*n : (i+1)*n*n]}
		}
		return p
	}
	w.from, w.to = room(), room()
	for k := range w.prior {
		w.prior[k] = make([]float64, n*n)
	}
	return w
}

// believe sets the prior of the walks to come.
func (w *walker) believe(p *lanesPrior, s *scales) {
	for k := range w.prior {
		p.curve(kind(k), s, w.prior[k])
		w.start[k] = math.Log(s.chance[k])
	}
	if w.typical = 0; s.typical > 0 {
		w.typical = math.Min(1, s.typical/s.offset)
	}
}

// walk weighs all explanations of a fret whose crowns have the components given,
// lane by lane: a Gaussian sum filter (Alspach and Sorenson 1972, from memory).
// It returns ln evidence and the explanations, the likeliest first.
//
// worn is how much likelier than elsewhere the fret is rough. A fret read once is seldom taken to be crooked: a reading to take again says it
// sooner.
func (w *walker) walk(lanes [][]component, worn float64, once bool, b beamWidth) (evidence float64, out []explanation) {
	live := int(kinds)
	for k := range live {
		p := &w.from[k]
		p.log, p.kind = w.start[k], kind(k)
		if once && p.kind >= rough {
			p.log += math.Log(crookedOnce)
		}
		if p.kind == rough {
			p.log += math.Log(worn)
		}
		clear(p.mean)
		copy(p.cov, w.prior[k])
	}
	for l, list := range lanes {
		w.rank(live, l, list, b)
		for i, c := range w.cand {
			w.to[i].extend(&w.from[c.from], w.n, l, &list[c.at], c)
		}
		live = len(w.cand)
		w.from, w.to = w.to, w.from
	}
	best := w.from[0].log
	sum := 0.0
	for _, p := range w.from[:live] {
		sum += math.Exp(p.log - best)
	}
	evidence = best + math.Log(sum)
	kept := w.from[:min(live, b.report)]
	part := 0.0
	for _, p := range kept {
		part += math.Exp(p.log - best)
	}
	out = make([]explanation, 0, len(kept))
	for i := range kept {
		e := kept[i].close(lanes, math.Exp(kept[i].log-best)/part, w.n)
		if w.typical > 0 && e.unread(lanes) {
			e.narrow(w.typical)
		}
		out = append(out, e)
	}
	return evidence, out
}

// unread reports whether an explanation keeps no reading of its fret.
func (e *explanation) unread(lanes [][]component) bool {
	for l, k := range e.at {
		if !math.IsInf(lanes[l][k].variance, 1) {
			return false
		}
	}
	return true
}

// narrow holds a fret whose readings are all taken for misread to where frets of
// this neck usually lie: the wide prior is there to let readings speak.
func (e *explanation) narrow(share float64) {
	for i := range e.cov {
		e.cov[i] *= share * share
		e.scov[i] *= share * share
	}
}

// rank fills cand with the best extensions by lane l, best first.
func (w *walker) rank(live, l int, list []component, b beamWidth) {
	w.cand = w.cand[:0]
	best := math.Inf(-1)
	d := depths()
	for i, p := range w.from[:live] {
		s, v := p.mean[l], p.cov[l*w.n+l]
		for j := range list {
			c := &list[j]
			log := p.log + c.log
			if !math.IsInf(c.variance, 1) {
				sd := d[c.dent].sd
				spread := v + c.variance + sd*sd
				e := c.mean - d[c.dent].mean - s
				log -= e*e/(2*spread) + 0.5*math.Log(spread) + halfLogTwoPi
			}
			if log < best-b.behind {
				continue
			}
			best = math.Max(best, log)
			w.cand = append(w.cand, candidate{log, i, j})
		}
	}
	w.cand = slices.DeleteFunc(w.cand, func(c candidate) bool { return c.log < best-b.behind })
	slices.SortStableFunc(w.cand, func(a, b candidate) int { return cmp.Compare(b.log, a.log) })
	w.cand = w.cand[:min(len(w.cand), b.keep)]
}

// extend is a partial explanation that takes in lane l: a scalar Kalman step.
func (p *partial) extend(from *partial, n, l int, c *component, k candidate) {
	p.log, p.kind = k.log, from.kind
	copy(p.at, from.at)
	p.at[l] = k.at
	copy(p.mean, from.mean)
	copy(p.cov, from.cov)
	if math.IsInf(c.variance, 1) {
		return
	}
	d := depths()[c.dent]
	row := from.cov[l*n : (l+1)*n]
	spread := row[l] + c.variance + d.sd*d.sd
	gain := (c.mean - d.mean - from.mean[l]) / spread
	for i, a := range row {
		p.mean[i] += a * gain
		f := a / spread
		for j, b := range row {
			p.cov[i*n+j] -= f * b
		}
	}
}

// close turns a finished partial into an explanation with its crowns.
func (p *partial) close(lanes [][]component, chance float64, n int) explanation {
	room := make([]float64, 2*n+2*n*n)
	e := explanation{
		chance: chance, kind: p.kind, at: slices.Clone(p.at),
		s: room[:n:n], h: room[n : 2*n : 2*n], scov: room[2*n : 2*n+n*n : 2*n+n*n], cov: room[2*n+n*n:],
	}
	copy(e.s, p.mean)
	copy(e.scov, p.cov)
	d := depths()
	var gains [maxSmall]float64
	g := gains[:n] // more lanes are taken apart, see collect
	for l := range lanes {
		c := lanes[l][p.at[l]]
		k := d[c.dent]
		if c.dent != noDent {
			g[l] = k.sd * k.sd / (k.sd*k.sd + c.variance)
		}
		e.h[l] = (1-g[l])*(e.s[l]+k.mean) + g[l]*c.mean
	}
	for i := range n {
		for j := range n {
			e.cov[i*n+j] = (1 - g[i]) * (1 - g[j]) * e.scov[i*n+j]
		}
		if g[i] > 0 {
			e.cov[i*n+i] += g[i] * lanes[i][p.at[i]].variance
		}
	}
	return e
}
