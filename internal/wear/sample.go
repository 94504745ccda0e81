package wear

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// kind is what one crown did by itself.
type kind int8

const (
	still  kind = iota
	wore        // went down in its own lane
	lifted      // went up in its own lane
)

// Beliefs before the readings. Conventions: how often real crowns wear and
// frets move nobody has counted; TestCompare_* shows what follows from them.
const (
	wornChance   = 0.3 // of a crown, before its neighbours are asked
	liftedChance = 0.005
	movedChance  = 0.005 // of a fret, each: alike in every lane, and by one end

	wornMeanMM, wornSDMM     = -0.03, 0.02
	liftedMeanMM, liftedSDMM = 0.05, 0.05
	shiftSDMM, tiltSDMM      = 0.08, 0.10
)

// How much a neighbour's wear counts for a crown's, against wornWeight of none:
// strings wear patches.
const (
	wornWeight  = 2.0
	stillWeight = 0.5 // of a neighbour that is not worn: patches have holes
	mostWorn    = 0.5
	farFrets    = 3.0 // at which a neighbour counts 1/e
	farLanes    = 2.0
	reachFrets  = 5
	reachLanes  = 3
	movedBeside = 4.0 // times likelier, a fret whose neighbour moved
)

// Length of the sampling: chains start from an unchanged neck at a high
// temperature, which falls while they settle.
const (
	chains      = 3
	settling    = 30
	sweeps      = 70
	hottest     = 8.0
	mostPartial = 24 // explanations of a fret kept while its lanes are walked
)

// sampler is one chain: what every crown and fret did, and how far. The crowns'
// own changes are integrated out (a spike and a slab each); frets' movements
// and the bow are drawn.
type sampler struct {
	n          *neck
	o          Options
	rng        *rand.Rand
	lanes      []sampled
	moves      []move // of each fret
	bow        []float64
	heat       float64
	near       [][][]neighbour
	kept, next []partial // room for walk
}

// sampled is a lane in a chain.
type sampled struct {
	*lane
	know []float64 // information with the active crowns integrated out, m × m
	y, g []float64 // change not explained, and know·y
	kind []kind
	was  []kind  // when its fret was last drawn
	det  float64 // ln of what the slabs cost
	col  []float64
}

// move is how a fret moved as a whole.
type move struct {
	how         motionKind
	shift, tilt float64
}

type motionKind int8

const (
	stays motionKind = iota
	shifts
	tilts
)

func (m move) at(t float64) float64 { return m.shift + m.tilt*t }

type neighbour struct {
	lane, at int
	weight   float64
}

func slab(k kind) (mean, variance float64) {
	if k == wore {
		return wornMeanMM, wornSDMM * wornSDMM
	}
	return liftedMeanMM, liftedSDMM * liftedSDMM
}

// belief is how likely each change is.
type belief struct {
	n            *neck
	worn, lifted [][]float64 // by lane and crown
	moved        []float64   // by fret
	draws        []draw
}

// draw is what happened to the whole neck in one draw.
type draw struct {
	kind  [][]kind
	moved []bool
}

func (s *sampler) state() draw {
	d := draw{moved: make([]bool, len(s.moves))}
	for _, l := range s.lanes {
		d.kind = append(d.kind, append([]kind{}, l.kind...))
	}
	for f, m := range s.moves {
		d.moved[f] = m.how != stays
	}
	return d
}

func (n *neck) nothing() *belief {
	return &belief{n: n, worn: n.room(), lifted: n.room(), moved: make([]float64, len(n.frets))}
}

// sample draws what may have happened to the neck, given the changes: Gibbs
// sampling, a fret at a time, of spikes and slabs whose slabs are integrated out.
// Several chains start apart; one that stays behind, in an explanation far less
// likely than another chain's, has no part in the answer.
func (n *neck) sample(o Options) *belief {
	var parts [chains]*belief
	var worth [chains]float64
	most := math.Inf(-1)
	for chain := range parts {
		s := n.newSampler(o, uint64(chain))
		for k := range settling {
			s.heat = math.Pow(hottest, 1-float64(k)/(settling-1))
			s.sweep(nil)
		}
		s.heat = 1
		parts[chain] = n.nothing()
		for range sweeps {
			s.sweep(parts[chain])
			parts[chain].draws = append(parts[chain].draws, s.state())
			worth[chain] += s.worth() / sweeps
		}
		most = max(most, worth[chain])
	}
	b := n.nothing()
	for chain, p := range parts {
		if worth[chain] > most-farBehind {
			b.add(p)
		}
	}
	return b.shared()
}

func (b *belief) add(p *belief) {
	b.draws = append(b.draws, p.draws...)
	for i := range b.worn {
		for j := range b.worn[i] {
			b.worn[i][j] += p.worn[i][j]
			b.lifted[i][j] += p.lifted[i][j]
		}
	}
	for f := range b.moved {
		b.moved[f] += p.moved[f]
	}
}

// shared turns sums over the draws into chances.
func (b *belief) shared() *belief {
	per := 1 / float64(len(b.draws))
	for i := range b.worn {
		for j := range b.worn[i] {
			b.worn[i][j] *= per
			b.lifted[i][j] *= per
		}
	}
	for f := range b.moved {
		b.moved[f] *= per
	}
	return b
}

// farBehind is how much less likely, in ln, an explanation must be to have no part.
const farBehind = 6.0

// worth is ln of how likely the neck as drawn is.
func (s *sampler) worth() (ln float64) {
	for i := range s.lanes {
		l := &s.lanes[i]
		for j, y := range l.y {
			ln -= y * l.g[j] / 2
			odds := s.odds(i, j)
			if k := l.kind[j]; k != still {
				ln += odds[k-wore]
			}
			ln -= math.Log(1 + math.Exp(odds[0]) + math.Exp(odds[1]))
		}
		ln -= l.det
	}
	for f, m := range s.moves {
		if m.how != stays {
			ln += math.Log(s.movedChance(f)) - m.shift*m.shift/(2*shiftSDMM*shiftSDMM) - math.Log(shiftSDMM)
		}
		if m.how == tilts {
			ln -= m.tilt*m.tilt/(2*tiltSDMM*tiltSDMM) + math.Log(tiltSDMM)
		}
	}
	for k, b := range s.n.bows {
		if v := s.bow[k]; v != 0 {
			ln -= v*v/(2*b.priorMM*b.priorMM) + math.Log(b.priorMM)
		}
	}
	return ln
}

func (n *neck) newSampler(o Options, seed uint64) *sampler {
	s := &sampler{n: n, o: o, rng: rand.New(rand.NewPCG(seed, 29)), moves: make([]move, len(n.frets)), bow: make([]float64, len(n.bows)), near: n.neighbours()}
	for _, l := range n.lanes {
		m := l.m()
		x := sampled{lane: l, know: append([]float64{}, l.info...), y: append([]float64{}, l.d...), g: make([]float64, m), kind: make([]kind, m), was: make([]kind, m), col: make([]float64, m)}
		times(x.know, x.y, x.g)
		s.lanes = append(s.lanes, x)
	}
	s.heat = hottest
	s.drawBow()
	return s
}

// neighbours lists the crowns whose wear makes each likelier to be worn.
func (n *neck) neighbours() [][][]neighbour {
	type step struct {
		lane, fret int
		weight     float64
	}
	var near []step
	for lane := -reachLanes; lane <= reachLanes; lane++ {
		for fret := -reachFrets; fret <= reachFrets; fret++ {
			if lane != 0 || fret != 0 {
				f, l := float64(fret)/farFrets, float64(lane)/farLanes
				near = append(near, step{lane, fret, math.Exp(-f*f - l*l)})
			}
		}
	}
	where := map[Place]int{}
	for i, l := range n.lanes {
		for k, f := range l.frets {
			where[Place{f, float64(i)}] = k
		}
	}
	out := make([][][]neighbour, len(n.lanes))
	for i, l := range n.lanes {
		for _, f := range l.frets {
			var list []neighbour
			for _, c := range near {
				if k, known := where[Place{f + c.fret, float64(i + c.lane)}]; known {
					list = append(list, neighbour{i + c.lane, k, c.weight})
				}
			}
			out[i] = append(out[i], list)
		}
	}
	return out
}

// odds are ln of the odds that a crown is worn, and that it is lifted, as its
// neighbours are.
func (s *sampler) odds(lane, at int) [2]float64 {
	worn, raised, all := wornWeight*wornChance, wornWeight*liftedChance, wornWeight
	for _, k := range s.near[lane][at] {
		all += stillWeight * k.weight
		switch s.lanes[k.lane].was[k.at] {
		case wore:
			worn += k.weight
		case lifted:
			raised += k.weight
		}
	}
	p, q := min(worn/all, mostWorn), min(raised/all, mostWorn)
	return [2]float64{math.Log(p / (1 - p)), math.Log(q / (1 - q))}
}

// sweep draws every fret anew, then the bow. Where b is given the chances are
// added to it.
func (s *sampler) sweep(b *belief) {
	for f := range s.n.frets {
		s.fret(f, b)
	}
	s.drawBow()
}

// drawBow draws the bow, the crowns as they are: first which, or none, its size
// integrated out, then its size.
func (s *sampler) drawBow() {
	q := len(s.bow)
	if q == 0 {
		return
	}
	normal, right := make([]float64, q*q), make([]float64, q)
	row := make([]float64, q)
	for _, l := range s.lanes {
		m := l.m()
		l.unbow(s.bow, -1)
		times(l.know, l.y, l.g)
		timesT(l.bow, l.g, right)
		for i := range m {
			clear(row)
			timesT(l.bow, l.know[i*m:i*m+m], row)
			for k := range q {
				for j := range q {
					normal[k*q+j] += l.bow[i*q+k] * row[j] / s.heat
				}
			}
		}
	}
	for k := range right {
		right[k] /= s.heat
	}
	ln, fits := make([]float64, len(s.n.models)), make([]bowDraw, len(s.n.models))
	for i, columns := range s.n.models {
		fits[i] = s.n.weighBow(columns, normal, right)
		ln[i] = fits[i].ln
		if i == 0 {
			ln[i] += math.Log(float64(len(ln) - 1)) // none is as likely as any
		}
	}
	at := s.draw(normalised(ln))
	by := fits[at].mean
	s.scatter(fits[at].cov, by)
	clear(s.bow)
	for a, c := range s.n.models[at] {
		s.bow[c] = by[a]
	}
	for _, l := range s.lanes {
		l.unbow(s.bow, 1)
		times(l.know, l.y, l.g)
	}
}

// bowDraw is a bow whose size is still to be drawn.
type bowDraw struct {
	ln        float64
	mean, cov []float64
}

// weighBow integrates the size of a bow out.
func (n *neck) weighBow(columns []int, normal, right []float64) bowDraw {
	k, q := len(columns), len(n.bows)
	b := bowDraw{mean: make([]float64, k), cov: make([]float64, k*k)}
	if k == 0 {
		return b
	}
	sub := make([]float64, k)
	for i, c := range columns {
		v := n.bows[c].priorMM * n.bows[c].priorMM
		for j, c2 := range columns {
			b.cov[i*k+j] = normal[c*q+c2]
		}
		b.cov[i*k+i] += 1 / v
		sub[i] = right[c]
		b.ln -= math.Log(v) / 2
	}
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(k, append([]float64{}, b.cov...))) {
		b.ln = math.Inf(-1)
		return b
	}
	b.ln -= chol.LogDet() / 2
	if !invert(b.cov, k) {
		b.ln = math.Inf(-1)
		return b
	}
	times(b.cov, sub, b.mean)
	for i, v := range sub {
		b.ln += v * b.mean[i] / 2
	}
	return b
}

// unbow takes a bow out of what is not explained, factor times.
func (l *sampled) unbow(by []float64, factor float64) {
	for i := range l.y {
		for k, v := range by {
			l.y[i] -= factor * v * l.bow[i*len(by)+k]
		}
	}
}

// scatter adds to v errors of a covariance, by its Cholesky factor.
func (s *sampler) scatter(cov, v []float64) {
	n := len(v)
	low := make([]float64, n*n)
	xi := make([]float64, n)
	for i := range n {
		xi[i] = s.rng.NormFloat64()
		for j := range i + 1 {
			t := cov[i*n+j]
			for k := range j {
				t -= low[i*n+k] * low[j*n+k]
			}
			switch {
			case i == j:
				low[i*n+i] = math.Sqrt(max(0, t))
			case low[j*n+j] > 0:
				low[i*n+j] = t / low[j*n+j]
			}
		}
	}
	for i := range n {
		for j := range i + 1 {
			v[i] += low[i*n+j] * xi[j]
		}
	}
}

// shiftTo takes a further change of one crown out of what is not explained.
func (l *sampled) less(at int, by float64) {
	m := l.m()
	l.y[at] -= by
	for i := range m {
		l.g[i] -= by * l.know[i*m+at]
	}
}

// set makes a crown of a kind; it is still before.
func (l *sampled) set(at int, k kind) {
	if k == still {
		return
	}
	mean, variance := slab(k)
	l.less(at, mean)
	l.kind[at] = k
	l.det += math.Log1p(variance*l.know[at*l.m()+at]) / 2
	l.rankOne(at, -1/(1/variance+l.know[at*l.m()+at]))
}

// clear makes a crown still again.
func (l *sampled) clear(at int) {
	k := l.kind[at]
	if k == still {
		return
	}
	mean, variance := slab(k)
	l.rankOne(at, 1/(1/variance-l.know[at*l.m()+at]))
	l.det -= math.Log1p(variance*l.know[at*l.m()+at]) / 2
	l.kind[at] = still
	l.less(at, -mean)
}

// rankOne adds factor·c·cᵀ to the information, c its column of a crown.
func (l *sampled) rankOne(at int, factor float64) {
	m := l.m()
	for i := range m {
		l.col[i] = l.know[i*m+at]
	}
	gj := l.g[at]
	for i, c := range l.col {
		l.g[i] += factor * gj * c
		row := l.know[i*m : i*m+m]
		for j, v := range l.col {
			row[j] += factor * c * v
		}
	}
}
