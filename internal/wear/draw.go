package wear

import "math"

// option is one thing that a crown may have done: its weight, and what it says
// of the fret's movement m there, ln weight = c + b·m − a·m²/2.
type option struct {
	kind    kind
	c, b, a float64
	meanAt  float64 // its change, the fret staying; its sign tells worn from lifted
}

// options lists what a crown that is still now may have done.
func (s *sampler) options(c crownAt) []option {
	l := &s.lanes[c.lane]
	q, r := l.know[c.at*l.m()+c.at], l.g[c.at]
	odds := s.odds(c.lane, c.at)
	out := []option{{still, 0, r / s.heat, q / s.heat, 0}}
	for _, k := range []kind{wore, lifted} {
		mean, variance := slab(k)
		prior := odds[k-wore]
		d := 1 + variance*q
		out = append(out, option{
			kind: k, b: (r - mean*q) / d / s.heat, a: q / d / s.heat,
			c:      (prior + (mean*r-mean*mean*q/2+variance*r*r/2)/d - math.Log(d)/2) / s.heat,
			meanAt: (mean + variance*r) / d,
		})
	}
	return out
}

// weighed is what a fret and its crowns may have done, with its chances.
type weighed struct {
	choices [][]option
	alone   []own        // of each crown, where the fret stayed
	paths   [3][]partial // where it moved, by how
	chance  []float64    // by how it moved
}

// fret draws what a fret and its crowns did, the rest of the neck as it is.
func (s *sampler) fret(f int, b *belief) {
	at := s.n.at[f]
	for _, c := range at {
		l := &s.lanes[c.lane]
		l.clear(c.at)
		l.less(c.at, -s.moves[f].at(l.t))
	}
	w := s.weigh(f)
	if b != nil {
		b.note(f, w)
	}
	how := motionKind(s.draw(w.chance))
	s.moves[f] = move{}
	kinds := make([]kind, len(at))
	if how == stays {
		for i, o := range w.alone {
			kinds[i] = kind(s.draw(o.chance))
		}
	} else {
		p := w.paths[how][s.draw(normalised(lnOf(w.paths[how])))]
		for i := range at {
			kinds[i] = p.pick(i)
		}
		s.moves[f] = s.drawMove(how, p)
	}
	for i, c := range at {
		l := &s.lanes[c.lane]
		l.less(c.at, s.moves[f].at(l.t))
		l.set(c.at, kinds[i])
		l.was[c.at] = kinds[i]
	}
}

// weigh weighs all that a fret and its crowns, still now, may have done together.
func (s *sampler) weigh(f int) *weighed {
	at := s.n.at[f]
	w := &weighed{choices: make([][]option, len(at))}
	for i, c := range at {
		w.choices[i] = s.options(c)
	}
	w.alone = s.alone(w.choices)
	ln := []float64{0, math.Inf(-1), math.Inf(-1)}
	for _, o := range w.alone {
		ln[stays] += o.ln
	}
	if s.mayMove(f, at) {
		p := math.Log(s.movedChance(f)) / s.heat
		for _, how := range []motionKind{shifts, tilts} {
			if how == tilts && len(at) < minSunk {
				continue
			}
			w.paths[how] = s.walk(at, w.choices, how)
			ln[how] = p + lnSum(lnOf(w.paths[how]))
		}
	}
	w.chance = normalised(ln)
	return w
}

// own are the chances of what one crown did where its fret stayed.
type own struct {
	ln     float64
	chance []float64
}

// alone weighs each crown by itself: while the fret stays, lanes tell nothing of
// each other. A crown is worn only downwards, lifted only upwards.
func (s *sampler) alone(choices [][]option) []own {
	out := make([]own, len(choices))
	for i, list := range choices {
		w := make([]float64, len(list))
		for k, o := range list {
			w[k] = o.c
			if o.kind == wore && o.meanAt >= 0 || o.kind == lifted && o.meanAt <= 0 {
				w[k] = math.Inf(-1)
			}
		}
		out[i] = own{lnSum(w), normalised(w)}
	}
	return out
}

// minMoveSign is how many standard deviations a fret's mean change must be off
// for its movement to be weighed at all.
const minMoveSign = 2.0

// mayMove reports whether a fret moved until now, or may have.
func (s *sampler) mayMove(f int, at []crownAt) bool {
	if len(at) < 2 {
		return false
	}
	if s.moves[f].how != stays {
		return true
	}
	for side := range 2 {
		var v, r float64
		for _, c := range at {
			l := &s.lanes[c.lane]
			w := l.share(side)
			v, r = v+w*w*l.know[c.at*l.m()+c.at], r+w*l.g[c.at]
		}
		if r*r > minMoveSign*minMoveSign*v {
			return true
		}
	}
	return false
}

// draw picks by chance.
func (s *sampler) draw(chance []float64) int {
	u := s.rng.Float64()
	last := 0
	for i, p := range chance {
		if p > 0 {
			last = i
		}
		if u -= p; u < 0 {
			return i
		}
	}
	return last
}

// lnSum is ln Σ exp; −Inf of none.
func lnSum(ln []float64) float64 {
	most := math.Inf(-1)
	for _, v := range ln {
		most = max(most, v)
	}
	if math.IsInf(most, -1) {
		return most
	}
	s := 0.0
	for _, v := range ln {
		s += math.Exp(v - most)
	}
	return most + math.Log(s)
}

// normalised are chances in proportion to exp.
func normalised(ln []float64) []float64 {
	total := lnSum(ln)
	out := make([]float64, len(ln))
	for i, v := range ln {
		out[i] = math.Exp(v - total)
	}
	return out
}
