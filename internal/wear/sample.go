package wear

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
)

// Length of the sampling: chains start from a neck that did not change, at a high
// temperature, which falls while they settle.
const (
	chains   = 3
	settling = 30
	sweeps   = 70
	hottest  = 8.0
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

// sample draws what may have happened to the neck, given the changes: Gibbs
// sampling, a fret at a time, of spikes and slabs whose slabs are integrated out.
// Several chains start apart; one that stays behind, in an explanation far less
// likely than another chain's, has no part in the answer.
func (n *neck) sample(o Options) *belief {
	var parts [chains]*belief
	var worth [chains]float64
	var running sync.WaitGroup
	for chain := range parts {
		running.Go(func() { parts[chain], worth[chain] = n.newSampler(o, uint64(chain)).run() })
	}
	running.Wait()
	b := n.nothing()
	for chain, p := range parts {
		if worth[chain] > slices.Max(worth[:])-farBehind {
			b.add(p)
		}
	}
	return b.shared()
}

// run lets a chain settle, and then sums its chances; worth is how likely the
// necks are, on average, that it drew.
func (s *sampler) run() (b *belief, worth float64) {
	for k := range settling {
		s.heat = math.Pow(hottest, 1-float64(k)/(settling-1))
		s.sweep(nil)
	}
	s.heat = 1
	b = s.n.nothing()
	for range sweeps {
		s.sweep(b)
		b.draws = append(b.draws, s.state())
		worth += s.worth() / sweeps
	}
	return b, worth
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

// sweep draws every fret anew, then the bow. Where b is given the chances are
// added to it.
func (s *sampler) sweep(b *belief) {
	for f := range s.n.frets {
		s.fret(f, b)
	}
	s.drawBow()
}
