package wear

import "math"

// maxPartial is how many explanations of a fret are kept while its lanes are walked.
const maxPartial = 24

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
		if kept, next = next, kept; len(kept) > maxPartial || i == len(choices)-1 {
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
// at one end; or down alike in every lane, of three or more. Less than minMM at
// either end is left to the crowns.
func (p *partial) possible(n *neck, at []crownAt, how motionKind, minMM float64) bool {
	if how == shifts {
		return p.mean[0] >= minMM || p.mean[0] <= -minMM && len(at) >= minSunk
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
	return far >= minMM
}

// best keeps the likeliest explanations, in order of what they are worth.
func best(all []partial) []partial {
	if len(all) <= maxPartial {
		return all
	}
	for i := range maxPartial { // a few of a hundred: a partial selection sort
		k := i
		for j := i + 1; j < len(all); j++ {
			if all[j].ln > all[k].ln {
				k = j
			}
		}
		all[i], all[k] = all[k], all[i]
	}
	return all[:maxPartial]
}

func lnOf(paths []partial) []float64 {
	ln := make([]float64, len(paths))
	for i := range paths {
		ln[i] = paths[i].ln
	}
	return ln
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
