package hand

import (
	"math"

	"ringtrue/internal/filing"
)

// Spreads of log q, standard deviations. The prior's is a factor of three either
// way: the wear constant of abrasion (E. Rabinowicz, Friction and Wear of Materials,
// from memory). The others are estimates.
const (
	priorSD = 1.1
	neckSD  = 0.25 // of a neck: that day's paper and pressure
	entrySD = 0.30 // of one entry: its strokes
	z90     = 1.6449
)

// Spot is what one entry of strokes did: so many strokes on so many crowns, and the
// mean depth that the readings before and after give.
type Spot struct {
	Strokes  int
	Crowns   int     // that the entry worked, read or not
	RadiusMM float64 // of a crown, along the string
	StripMM  float64 // worked across the board at each crown
	BoardMM  float64 // the board's radius where a flat tool was not fanned: one lane alone; else 0
	DepthMM  float64 // mean, small or negative as it comes
	UMM      float64 // its standard uncertainty
	// Even is the mean depth over that of the same metal shared evenly: 1 and below.
	Even   float64
	FlatMM float64 // at which the hand stopped, in the first of Lanes lanes; 0: not said
	FlatTo float64 // in the last
	Lanes  int
	SlidMM float64 // of paper before the middle of this entry, on this neck
}

// depth is the mean depth that strokes of q mm³ leave.
func (s *Spot) depth(q float64) float64 {
	each := q * float64(s.Strokes) / float64(s.Crowns)
	if s.BoardMM > 0 {
		return s.Even * filing.FacetDepth(s.RadiusMM, s.BoardMM, each)
	}
	return s.Even * filing.StripDepth(s.RadiusMM, s.StripMM, each)
}

// power is p of V ~ d^p: 1.5 of a strip, 2 of a facet.
func (s *Spot) power() float64 {
	if s.BoardMM > 0 {
		return 2
	}
	return 1.5
}

// Removal is what a stroke takes off, as far as it is known.
type Removal struct {
	Necks, Spots int
	LogQ, SD     float64   // of θ: log of mm³ a stroke
	Neck         []float64 // b of each neck
	Worn         Worn
}

// UsualRemoval is what is known without any record: of a beam or block by the usual
// hand and paper, or of a file.
func UsualRemoval(tool string) Removal {
	q := filing.Usual(1, 1).PerStroke()
	if tool == File {
		q = filing.FilePerStroke()
	}
	return Removal{LogQ: math.Log(q), SD: priorSD}
}

// PerStroke is the middle of q in mm³, with the ends of its 90 % range.
func (r Removal) PerStroke() (q, low, high float64) {
	return math.Exp(r.LogQ), math.Exp(r.LogQ - z90*r.SD), math.Exp(r.LogQ + z90*r.SD)
}

// Known says that records tell: the removal is known far better than without any.
func (r Removal) Known() bool { return r.Spots > 0 && r.SD < priorSD/2 }

// nextSD is the spread of log q of an entry on another neck.
func (r Removal) nextSD() float64 { return math.Sqrt(r.SD*r.SD + neckSD*neckSD + entrySD*entrySD) }

// Strokes is how many strokes take a volume off on the next neck, with the ends of the
// 90 % range.
func (r Removal) Strokes(volume float64) (n, low, high float64) {
	n = volume / math.Exp(r.LogQ)
	f := math.Exp(z90 * r.nextSD())
	return n, n / f, n * f
}

// Next is the depth that an entry's strokes leave on the next neck, with the ends of
// the 90 % range.
func (r Removal) Next(s Spot) (d, low, high float64) {
	q, f := math.Exp(r.LogQ), math.Exp(z90*r.nextSD())
	return s.depth(q), s.depth(q / f), s.depth(q * f)
}

// Learn finds θ from the entries of some necks, prior first: the posterior's mode by
// Gauss-Newton on the depths, each with the variance u² + (d·entrySD/p)². Entries
// without strokes or crowns do not count.
func Learn(prior Removal, necks [][]Spot) Removal {
	m := newModel(necks)
	theta := prior.LogQ
	r := prior
	for range mostSteps {
		next, sd := m.step(theta, prior)
		change := max(-1, min(1, next-theta))
		theta, r.SD = theta+change, sd
		if math.Abs(change) < 1e-9 {
			break
		}
	}
	r.LogQ, r.Neck, r.Necks, r.Spots = theta, m.b, 0, 0
	for _, n := range m.necks {
		r.Spots += len(n)
		if len(n) > 0 {
			r.Necks++
		}
	}
	r.Worn = m.worn(theta)
	return r
}

// mostSteps ends Gauss-Newton; a dozen is usual.
const mostSteps = 200

// model is the entries with the necks' own b.
type model struct {
	necks [][]Spot
	b     []float64
}

func newModel(necks [][]Spot) *model {
	m := &model{b: make([]float64, len(necks))}
	for _, n := range necks {
		var kept []Spot
		for _, s := range n {
			if s.Strokes > 0 && s.Crowns > 0 && s.UMM > 0 {
				kept = append(kept, s)
			}
		}
		m.necks = append(m.necks, kept)
	}
	return m
}

// at is an entry's log q by its depth, to first order about θ + b, and the variance
// of that, taken at θ: were it taken at θ + b, necks that lose much would weigh
// more than others.
func (s *Spot) at(theta, b float64) (y, variance float64) {
	d := s.depth(math.Exp(theta + b))
	u := s.UMM * s.power() / s.depth(math.Exp(theta))
	return theta + b + (s.DepthMM-d)*s.power()/d, u*u + entrySD*entrySD
}

// step solves the linear model about θ and the b: each neck's entries weighed
// together, then the necks.
func (m *model) step(theta float64, prior Removal) (next, sd float64) {
	weight := 1 / (prior.SD * prior.SD)
	sum := weight * prior.LogQ
	mean, of := make([]float64, len(m.necks)), make([]float64, len(m.necks))
	for j, n := range m.necks {
		for i := range n {
			y, v := n[i].at(theta, m.b[j])
			of[j] += 1 / v
			mean[j] += y / v
		}
		if of[j] == 0 {
			continue
		}
		mean[j] /= of[j]
		w := 1 / (1/of[j] + neckSD*neckSD)
		weight, sum = weight+w, sum+w*mean[j]
	}
	next = sum / weight
	for j := range m.necks {
		share := of[j] / (of[j] + 1/(neckSD*neckSD))
		to := share * (mean[j] - next)
		m.b[j] += max(-1, min(1, to-m.b[j]))
	}
	return next, 1 / math.Sqrt(weight)
}

// Worn is how removal changes as paper is used up on a neck: log q a metre slid.
type Worn struct{ PerM, U float64 }

// Sure says that paper takes less the longer it is used.
func (w Worn) Sure() bool { return w.U > 0 && w.PerM < -2*w.U }

// worn is the slope of log q by what the paper had slid on the same neck, which is
// taken to begin with a fresh sheet; zero where fewer than minWorn entries tell.
func (m *model) worn(theta float64) Worn {
	var xx, xy float64
	told := 0
	for j, n := range m.necks {
		var w, x, y float64
		for i := range n {
			yi, v := n[i].at(theta, m.b[j])
			w, x, y = w+1/v, x+n[i].SlidMM/1e3/v, y+yi/v
		}
		if len(n) < 2 || w == 0 {
			continue
		}
		x, y = x/w, y/w
		told += len(n) - 1
		for i := range n {
			yi, v := n[i].at(theta, m.b[j])
			dx := n[i].SlidMM/1e3 - x
			xx, xy = xx+dx*dx/v, xy+dx*(yi-y)/v
		}
	}
	if told < minWorn || xx == 0 {
		return Worn{}
	}
	return Worn{xy / xx, 1 / math.Sqrt(xx)}
}

// minWorn is how many entries beyond the first of a neck must tell of worn paper.
const minWorn = 4

// DepthFactor is by how much the next depth of a strip may be off, × or ÷, 9 times
// in 10.
func (r Removal) DepthFactor() float64 { return math.Exp(z90 * r.nextSD() / 1.5) }

// FlatDepth is the mean depth that the flat at which the hand stopped stands for, its
// width even from the first lane to the last.
func (s *Spot) FlatDepth() (mm float64) {
	n := max(1, s.Lanes)
	for k := range n {
		w := s.FlatMM
		if n > 1 {
			w += (s.FlatTo - s.FlatMM) * float64(k) / float64(n-1)
		}
		mm += filing.Depth(s.RadiusMM, w) / float64(n)
	}
	return mm
}

// FlatMean is the mean width of that flat.
func (s *Spot) FlatMean() float64 {
	if s.Lanes > 1 {
		return (s.FlatMM + s.FlatTo) / 2
	}
	return s.FlatMM
}
