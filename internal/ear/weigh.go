package ear

import (
	"context"
	"math"
	"slices"

	"ringtrue/internal/play"
)

// weighing is a set of notes, and what was told of each, perhaps several times over.
type weighing struct {
	cases  []play.Case
	notes  []placed
	frets  []int
	told   [][]bool // by set of answers, then note: it buzzes
	worlds int
	seed   uint64
}

// placed is a note with the index of its case.
type placed struct {
	*note
	in int
}

// weighed is what one set of answers makes of every fret.
type weighed struct {
	none   float64   // chance that no fret is high
	chance []float64 // that each fret is high by highMM or more
	meanMM []float64 // its height then
	worlds float64   // how many worlds the answer rests on
}

// pieces is how many shares the worlds are weighed in, whatever the processors: sums
// must come out the same.
const pieces = 32

// weigh sums each set's likelihood over all notes in each world, and then over the
// worlds. tell, where given, is told how many shares of how many are done. The error is
// that of ctx.
func (t *weighing) weigh(ctx context.Context, tell func(done, of int)) ([]weighed, error) {
	parts := make([][]sums, pieces)
	err := play.Each(ctx, pieces, tell, func(p int) error {
		e := newEvaluation(t)
		parts[p] = make([]sums, len(t.told))
		for s := range parts[p] {
			parts[p][s] = sums{most: math.Inf(-1), by: make([]float64, len(e.base))}
		}
		for i := p; i < t.worlds; i += pieces {
			if err := ctx.Err(); err != nil {
				return err
			}
			e.world(i)
			for s, told := range t.told {
				parts[p][s].add(e.logs(told))
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	out := make([]weighed, len(t.told))
	for s := range out {
		all := &parts[0][s]
		for _, p := range parts[1:] {
			all.join(&p[s])
		}
		out[s] = t.posterior(all)
	}
	return out, nil
}

// sums gathers likelihoods over worlds, each divided by the exponential of the most.
type sums struct {
	most   float64
	by     []float64 // no fret high; then fret by fret each height
	square float64
}

func (s *sums) add(logs []float64) {
	s.scale(slices.Max(logs))
	all := 0.0
	for h, l := range logs {
		v := math.Exp(l - s.most)
		s.by[h] += v
		all += v
	}
	s.square += all * all
}

// scale raises the level that likelihoods are divided by.
func (s *sums) scale(most float64) {
	if !(most > s.most) {
		return
	}
	f := math.Exp(s.most - most)
	for h := range s.by {
		s.by[h] *= f
	}
	s.square *= f * f
	s.most = most
}

func (s *sums) join(o *sums) {
	s.scale(o.most)
	o.scale(s.most)
	for h, v := range o.by {
		s.by[h] += v
	}
	s.square += o.square
}

// posterior takes the priors to what was summed.
func (t *weighing) posterior(s *sums) weighed {
	heights := heightsMM()
	w := weighed{chance: make([]float64, len(t.frets)), meanMM: make([]float64, len(t.frets))}
	each := (1 - priorNone) / float64(len(t.frets)*len(heights))
	total, bare := s.by[0]*priorNone, s.by[0]
	for _, v := range s.by[1:] {
		total += v * each
		bare += v
	}
	w.none = s.by[0] * priorNone / total
	w.worlds = bare * bare / s.square
	for f := range t.frets {
		for d, mm := range heights {
			if mm < highMM {
				continue
			}
			v := s.by[1+f*len(heights)+d] * each / total
			w.chance[f] += v
			w.meanMM[f] += v * mm
		}
		if w.chance[f] > 0 {
			w.meanMM[f] /= w.chance[f]
		}
	}
	return w
}

// evaluation works out one world after the other.
type evaluation struct {
	*weighing
	heights []float64
	crown   [][]int     // by case and fret: index of its crown, −1 where there is none
	base    []float64   // log of the chance that every note is told clear
	odds    [][]float64 // by note: what a buzz adds to it
	gap     []float64   // the present note's
	out     []float64
}

func newEvaluation(t *weighing) *evaluation {
	heights := heightsMM()
	all := 1 + len(t.frets)*len(heights)
	e := &evaluation{weighing: t, heights: heights, base: make([]float64, all), odds: make([][]float64, len(t.notes)), out: make([]float64, all)}
	for i := range e.odds {
		e.odds[i] = make([]float64, all)
	}
	for _, c := range t.cases {
		var at []int
		for _, f := range t.frets {
			at = append(at, slices.IndexFunc(c.Lane.Crowns, func(c play.Crown) bool { return c.Fret == f }))
		}
		e.crown = append(e.crown, at)
	}
	return e
}

// world works out every note in world i under every hypothesis.
func (e *evaluation) world(i int) {
	w := worldOf(e.cases, e.seed, i, e.worlds)
	clear(e.base)
	for i := range e.notes {
		n := &e.notes[i]
		e.gap = n.gaps(&w, n.in, e.gap)
		as := n.over(e.gap)
		e.note(n, w.touch, as, e.odds[i])
	}
}

// note works out one note under every hypothesis; as is the note with no fret high.
func (e *evaluation) note(n *placed, touch float64, as edges, odds []float64) {
	hit := as.hit()
	rest := told(hit, touch)
	e.base[0] += rest.clear
	odds[0] = rest.odds
	for f, h := 0, 1; f < len(e.frets); f++ {
		j := e.crown[n.in][f]
		last, lastHit := rest, hit
		for _, mm := range e.heights {
			if is, bears := e.raised(n, as, j, mm); bears {
				if raised := is.hit(); raised != lastHit {
					last, lastHit = told(raised, touch), raised
				}
			}
			e.base[h] += last.clear
			odds[h] = last.odds
			h++
		}
	}
}

// raised is a note with crown j raised; false where that crown does not bear on it.
func (e *evaluation) raised(n *placed, as edges, j int, mm float64) (edges, bool) {
	switch {
	case j < 0 || len(e.gap) == 0:
		return as, false
	case n.byCrown[j] != nil:
		is := open()
		for k, by := range n.byCrown[j] {
			is.take(n.note, k, e.gap[k]+mm*by)
		}
		return is, true
	case j >= n.beyond:
		as.take(n.note, j-n.beyond, e.gap[j-n.beyond]-mm)
		return as, true
	}
	return as, false
}

// logs is the logarithm of a set's likelihood under every hypothesis.
func (e *evaluation) logs(told []bool) []float64 {
	copy(e.out, e.base)
	for n, buzzes := range told {
		if buzzes {
			for h, v := range e.odds[n] {
				e.out[h] += v
			}
		}
	}
	return e.out
}

// answered is the log of the chance that a note is told clear, and what is added to it
// where it is told to buzz.
type answered struct{ clear, odds float64 }

func told(h hit, touch float64) answered {
	p := h.chance(touch)
	c := math.Log1p(-p)
	return answered{c, math.Log(p) - c}
}
