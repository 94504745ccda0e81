package heights

import "math"

// A fret's end that yields to the gauge scatters its readings more than the rest:
// the chance of it, and how far it may move, µm, at the end lane and the next two.
const (
	looseChance = 0.001
	looseSmall  = 40.0
	looseLarge  = 110.0
	saidLoose   = 0.8
	maybeLoose  = 0.1 // chance from which the crowns that would move are in doubt
	// looseScatter is how far readings of a crown must differ, in their
	// uncertainty, for its fret to be looked at.
	looseScatter = 3.0
)

// looseShare is how far a lane moves with the loose end, the end's own lane first.
func looseShare() []float64 { return []float64{1, 0.6, 0.25} }

// looseEnds looks for ends that yield: the evidence of each fret with readings
// that disagree, once as it is and once with more scatter towards either end. Where
// one is sure, its readings keep that scatter.
func (n *net) looseEnds(b beamWidth) (found bool) {
	for _, f := range n.frets {
		if !n.disagrees(f) {
			continue
		}
		bestAt, best := -1, math.Inf(-1)
		total := 1.0
		ends := [2]float64{}
		for end := range 2 {
			for _, size := range []float64{looseSmall, looseLarge} {
				log := n.walkLoose(f, end, size, b) + math.Log(looseChance) - f.log
				p := math.Exp(math.Min(log, 600))
				ends[end] += p
				total += p
				if log > best {
					best, bestAt = log, end
					f.looseSize = size
				}
			}
		}
		f.loose = [2]float64{ends[0] / total, ends[1] / total}
		if bestAt >= 0 && f.loose[bestAt] > saidLoose {
			n.loosen(f, bestAt, f.looseSize)
			f.stale, found = true, true
		}
	}
	return found
}

// disagrees reports whether a fret has a crown read twice whose readings differ by
// more than chance.
func (n *net) disagrees(f *fretNode) bool {
	for _, rows := range f.rows {
		for i, a := range rows {
			for _, b := range rows[:i] {
				u := math.Hypot(n.rows[a].u, n.rows[b].u)
				if math.Abs(n.residual(a)-n.residual(b)) > looseScatter*u {
					return true
				}
			}
		}
	}
	return false
}

// walkLoose is the ln evidence of a fret one end of which moves: 0 that of its
// first lane, 1 that of its last.
func (n *net) walkLoose(f *fretNode, end int, size float64, b beamWidth) float64 {
	w := n.walkers[f.prior][0]
	w.believe(f.prior, &n.scales)
	comps := make([][]component, len(f.rows))
	for l, rows := range f.rows {
		list := make([]one, len(rows))
		for k, i := range rows {
			list[k] = one{n.residual(i), n.looseU(f, l, i, end, size), n.rows[i].misread}
		}
		comps[l] = components(list, f.pi[l], f.burrs(l), nil)
	}
	log, _ := w.walk(comps, f.rough, f.once(), beamWidth{b.keep, b.behind, 1})
	return log
}

// looseU is a reading's uncertainty on a fret one end of which moves.
func (n *net) looseU(f *fretNode, lane, row, end int, size float64) float64 {
	d := lane
	if end == 1 {
		d = len(f.rows) - 1 - lane
	}
	if s := looseShare(); d < len(s) {
		return math.Hypot(n.rows[row].u, s[d]*size)
	}
	return n.rows[row].u
}

// loosen gives a fret's readings the scatter of its loose end.
func (n *net) loosen(f *fretNode, end int, size float64) {
	for l, rows := range f.rows {
		for _, i := range rows {
			n.rows[i].u = n.looseU(f, l, i, end, size)
		}
	}
}

// looseLane reports whether a lane of a fret may move with a loose end.
func (f *fretNode) looseLane(lane int) bool {
	reach := len(looseShare())
	return f.loose[0] > maybeLoose && lane < reach || f.loose[1] > maybeLoose && len(f.rows)-1-lane < reach
}
