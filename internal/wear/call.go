package wear

import "slices"

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
	slices.SortStableFunc(all, func(p, q one) int { return sign(q.chance - p.chance) })
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

// likeliest is the chance of the likeliest change.
func (b *belief) likeliest() (p float64) {
	for i := range b.worn {
		for j := range b.worn[i] {
			p = max(p, b.worn[i][j], b.lifted[i][j])
		}
	}
	for _, v := range b.moved {
		p = max(p, v)
	}
	return p
}

// off reports whether a crown changed more likely than not, by itself or with
// its fret.
func (b *belief) off(f int, c crownAt) bool {
	return b.moved[f]+b.worn[c.lane][c.at]+b.lifted[c.lane][c.at] > 0.5
}
