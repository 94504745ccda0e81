package wear

import "sort"

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

// note adds a fret's chances to what is believed.
func (b *belief) note(f int, w *weighed) {
	at := b.n.at[f]
	b.moved[f] += w.chance[shifts] + w.chance[tilts]
	for i, c := range at {
		b.worn[c.lane][c.at] += w.chance[stays] * w.alone[i].chance[wore]
		b.lifted[c.lane][c.at] += w.chance[stays] * w.alone[i].chance[lifted]
	}
	for _, how := range []motionKind{shifts, tilts} {
		for k, share := range normalised(lnOf(w.paths[how])) {
			for i, c := range at {
				if w.paths[how][k].pick(i) == wore {
					b.worn[c.lane][c.at] += w.chance[how] * share
				}
			}
		}
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

// calls are the changes that are sure, all together.
type calls struct {
	worn, lifted [][]bool // by lane and crown
	moved        []bool   // by fret
}

// callRisk is the part of the risk asked for that the calls may use: what the
// beliefs before the readings add to it is left out of their chances.
const callRisk = 0.5

// call names the likeliest changes first, while each is surer than the
// risk allows and so are all of those named together.
func (b *belief) call(o Options) *calls {
	c := &calls{moved: make([]bool, len(b.moved))}
	type one struct {
		chance float64
		called *bool
		is     func(d draw) bool
	}
	var all []one
	for i, l := range b.n.lanes {
		c.worn, c.lifted = append(c.worn, make([]bool, l.m())), append(c.lifted, make([]bool, l.m()))
		for j := range l.m() {
			all = append(all, one{b.worn[i][j], &c.worn[i][j], func(d draw) bool { return d.kind[i][j] == wore }},
				one{b.lifted[i][j], &c.lifted[i][j], func(d draw) bool { return d.kind[i][j] == lifted }})
		}
	}
	for f, p := range b.moved {
		all = append(all, one{p, &c.moved[f], func(d draw) bool { return d.moved[f] }})
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].chance > all[j].chance })
	sure := 1 - (1-o.Confidence)*callRisk
	left := b.draws
	for _, x := range all {
		if x.chance < sure {
			break
		}
		var still []draw
		for _, d := range left {
			if x.is(d) {
				still = append(still, d)
			}
		}
		if float64(len(still)) < sure*float64(len(b.draws)) {
			break
		}
		left = still
		*x.called = true
	}
	return c
}

// off reports whether a crown changed more likely than not, by itself or with
// its fret.
func (b *belief) off(f int, c crownAt) bool {
	return b.moved[f]+b.worn[c.lane][c.at]+b.lifted[c.lane][c.at] > 0.5
}
