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

// fret draws what a fret and its crowns did, the rest of the neck as it is: all
// that they may have done is weighed together.
func (s *sampler) fret(f int, b *belief) {
	at := s.n.at[f]
	old := s.moves[f]
	choices := make([][]option, len(at))
	for i, c := range at {
		l := &s.lanes[c.lane]
		l.clear(c.at)
		l.less(c.at, -old.at(l.t))
		choices[i] = s.options(c)
	}
	ln := []float64{0, math.Inf(-1), math.Inf(-1)}
	var paths [3][]partial
	alone := s.alone(choices)
	for _, o := range alone {
		ln[stays] += o.ln
	}
	if s.mayMove(f, at) {
		p := s.movedChance(f)
		for _, how := range []motionKind{shifts, tilts} {
			if how == tilts && len(at) < 3 {
				continue
			}
			paths[how] = s.walk(at, choices, how)
			ln[how] = math.Log(p)/s.heat + totalOf(paths[how])
		}
	}
	chance := normalised(ln)
	if b != nil {
		s.note(f, at, alone, paths, chance, b)
	}
	how := motionKind(s.draw(chance))
	s.moves[f] = move{}
	kinds := make([]kind, len(at))
	if how == stays {
		for i, o := range alone {
			kinds[i] = choices[i][s.draw(o.chance)].kind
		}
	} else {
		w := make([]float64, len(paths[how]))
		for i, p := range paths[how] {
			w[i] = p.ln
		}
		p := paths[how][s.draw(normalised(w))]
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

// leastMoveSign is how many standard deviations a fret's mean change must be off
// for its movement to be weighed at all.
const leastMoveSign = 2.0

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
		if r*r > leastMoveSign*leastMoveSign*v {
			return true
		}
	}
	return false
}

// movedChance is the chance before the readings that a fret moved, each way: a
// neighbour that moved makes it likelier.
func (s *sampler) movedChance(f int) float64 {
	p := movedChance
	for _, k := range []int{f - 1, f + 1} {
		if k >= 0 && k < len(s.moves) && s.moves[k].how != stays {
			p *= movedBeside
		}
	}
	return p
}

// partial is an explanation of a fret that moved, half-way across its lanes: which
// lanes are worn besides, and what all say of shift and tilt.
type partial struct {
	worn  uint64 // a bit a lane
	c, ln float64
	b     [2]float64
	a     [3]float64 // of shift², shift·tilt, tilt²
	mean  [2]float64
	cov   [3]float64
}

func (p *partial) pick(lane int) kind {
	if p.worn>>lane&1 == 1 {
		return wore
	}
	return still
}

// walk weighs what the crowns of a fret that moved may have done besides. A fret
// that moved and has a burr besides is not looked for.
func (s *sampler) walk(at []crownAt, choices [][]option, how motionKind) []partial {
	kept, next := append(s.kept[:0], partial{}), s.next
	for i, list := range choices {
		t := s.lanes[at[i].lane].t
		if how == shifts {
			t = 0
		}
		next = next[:0]
		for j := range kept {
			for k := still; k <= wore; k++ {
				o, x := &list[k], kept[j]
				x.worn |= uint64(k) << i
				x.c += o.c
				x.b[0], x.b[1] = x.b[0]+o.b, x.b[1]+o.b*t
				x.a[0], x.a[1], x.a[2] = x.a[0]+o.a, x.a[1]+o.a*t, x.a[2]+o.a*t*t
				next = append(next, x)
			}
		}
		if kept, next = next, kept; len(kept) > mostPartial || i == len(choices)-1 {
			for k := range kept {
				kept[k].weigh(how, s.heat)
			}
			kept = best(kept)
		}
	}
	s.kept, s.next = kept, next
	out := make([]partial, 0, len(kept))
	for i := range kept {
		if kept[i].possible(s.n, at, how, s.o.LimitMM/2) {
			out = append(out, kept[i])
		}
	}
	return out
}

// weigh integrates the movement out.
func (p *partial) weigh(how motionKind, heat float64) {
	vs, vt := shiftSDMM*shiftSDMM*heat, tiltSDMM*tiltSDMM*heat
	if how == shifts {
		d := 1/vs + p.a[0]
		p.ln = p.c + p.b[0]*p.b[0]/d/2 - math.Log(vs*d)/2/heat
		p.mean, p.cov = [2]float64{p.b[0] / d, 0}, [3]float64{1 / d, 0, 0}
		return
	}
	a, b, c := 1/vs+p.a[0], p.a[1], 1/vt+p.a[2]
	det := a*c - b*b
	p.cov = [3]float64{c / det, -b / det, a / det}
	p.mean = [2]float64{p.cov[0]*p.b[0] + p.cov[1]*p.b[1], p.cov[1]*p.b[0] + p.cov[2]*p.b[1]}
	p.ln = p.c + (p.b[0]*p.mean[0]+p.b[1]*p.mean[1])/2 - math.Log(det*vs*vt)/2/heat
}

// possible reports whether a movement is one that a fret makes: up, as a whole or
// at one end; or down alike in every lane, of three or more. Less than leastMM at
// either end is left to the crowns.
func (p *partial) possible(n *neck, at []crownAt, how motionKind, leastMM float64) bool {
	if how == shifts {
		return p.mean[0] >= leastMM || p.mean[0] <= -leastMM && len(at) >= leastSunk
	}
	far := 0.0
	for _, c := range []crownAt{at[0], at[len(at)-1]} {
		t := n.lanes[c.lane].t
		v, m := p.cov[0]+2*t*p.cov[1]+t*t*p.cov[2], p.mean[0]+t*p.mean[1]
		if m < -2*math.Sqrt(v) {
			return false
		}
		far = max(far, m)
	}
	return far >= leastMM
}

// best keeps the likeliest explanations, in order of what they are worth.
func best(all []partial) []partial {
	if len(all) <= mostPartial {
		return all
	}
	for i := range mostPartial { // a few of a hundred: a partial selection sort
		k := i
		for j := i + 1; j < len(all); j++ {
			if all[j].ln > all[k].ln {
				k = j
			}
		}
		all[i], all[k] = all[k], all[i]
	}
	return all[:mostPartial]
}

func totalOf(paths []partial) float64 {
	w := make([]float64, len(paths))
	for i, p := range paths {
		w[i] = p.ln
	}
	return lnSum(w)
}

// drawMove draws how far a fret moved.
func (s *sampler) drawMove(how motionKind, p partial) move {
	m := move{how: how}
	if how == shifts {
		m.shift = p.mean[0] + math.Sqrt(p.cov[0])*s.rng.NormFloat64()
		return m
	}
	v := []float64{p.mean[0], p.mean[1]}
	s.scatter([]float64{p.cov[0], p.cov[1], p.cov[1], p.cov[2]}, v)
	m.shift, m.tilt = v[0], v[1]
	return m
}

// note adds a fret's chances to what is believed.
func (s *sampler) note(f int, at []crownAt, alone []own, paths [3][]partial, chance []float64, b *belief) {
	b.moved[f] += chance[shifts] + chance[tilts]
	for i, c := range at {
		b.worn[c.lane][c.at] += chance[stays] * alone[i].chance[wore]
		b.lifted[c.lane][c.at] += chance[stays] * alone[i].chance[lifted]
	}
	for _, how := range []motionKind{shifts, tilts} {
		if chance[how] == 0 {
			continue
		}
		w := make([]float64, len(paths[how]))
		for k, p := range paths[how] {
			w[k] = p.ln
		}
		for k, share := range normalised(w) {
			for i, c := range at {
				if paths[how][k].pick(i) == wore {
					b.worn[c.lane][c.at] += chance[how] * share
				}
			}
		}
	}
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
