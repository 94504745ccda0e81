package heights

import (
	"math"
	"slices"
	"sync"
)

// How the search goes on: rounds of walks and set-ups, until no set-up moves a
// crown by settledUM.
const (
	maxRounds   = 14
	firstRounds = 3 // of each start, before the best goes on alone
	settledUM   = 0.02
	calmPi      = 0.1 // share by which a groove's chance may change with no new walk
)

// widths of the walk: while starts compete, for the rest, and for the answer.
func narrow() beamWidth { return beamWidth{keep: 16, behind: 10, report: 10} }
func wide() beamWidth   { return beamWidth{keep: 64, behind: 12, report: 10} }
func last() beamWidth   { return beamWidth{keep: 160, behind: 16, report: 24} }

// calm is the width for a fret with no groove about: few causes compete there.
func (b beamWidth) calm() beamWidth {
	return beamWidth{keep: max(b.keep/4, 12), behind: b.behind * 0.8, report: max(b.report/2, 6)}
}

// round walks every fret, then learns set-ups, chances and scales. It returns the
// largest move of a crown by its set-up, µm.
func (n *net) round(b beamWidth) (float64, error) {
	if err := n.done(); err != nil {
		return 0, err
	}
	n.walkAll(b)
	moved, err := n.step()
	if err != nil {
		return 0, err
	}
	n.learn()
	return moved, nil
}

// settle runs rounds until nothing moves.
func (n *net) settleDown(b beamWidth, rounds int) error {
	for range rounds {
		moved, err := n.round(b)
		if err != nil {
			return err
		}
		if moved < settledUM {
			break
		}
	}
	return nil
}

// workers is how many frets are walked side by side; the answer does not depend
// on it.
const workers = 2

// walkAll walks the frets whose readings or beliefs have moved.
func (n *net) walkAll(b beamWidth) {
	var stale []*fretNode
	for _, f := range n.frets {
		if f.stale {
			stale = append(stale, f)
		}
	}
	n.believe(stale, b)
	var wait sync.WaitGroup
	for k := range workers {
		part := stale[k*len(stale)/workers : (k+1)*len(stale)/workers]
		if len(part) == 0 {
			continue
		}
		wait.Go(func() {
			for _, f := range part {
				n.walkFret(f, n.walkers[f.prior][k], b)
			}
		})
	}
	wait.Wait()
}

// believe makes the walkers of some frets ready for the scales as they stand.
func (n *net) believe(frets []*fretNode, b beamWidth) {
	ready := map[*lanesPrior]bool{}
	for _, f := range frets {
		if ready[f.prior] {
			continue
		}
		ready[f.prior] = true
		w := n.walkers[f.prior]
		if w == nil {
			w = make([]*walker, workers)
			for k := range w {
				w[k] = newWalker(len(f.crowns), max(last().keep, b.keep))
			}
			n.walkers[f.prior] = w
		}
		for _, one := range w {
			one.believe(f.prior, &n.scales)
		}
	}
}

// walkFret walks one fret at the set-ups as they stand.
func (n *net) walkFret(f *fretNode, w *walker, b beamWidth) {
	if f.comps == nil {
		f.comps = make([][]component, len(f.rows))
	}
	f.walkedAt = f.walkedAt[:0]
	var room [16]one
	for l, rows := range f.rows {
		list := room[:0]
		if len(rows) > len(room) {
			list = make([]one, 0, len(rows))
		}
		list = list[:len(rows)]
		for k, i := range rows {
			list[k] = one{n.residual(i), n.rows[i].u, n.rows[i].misread}
			f.walkedAt = append(f.walkedAt, list[k].value)
		}
		f.comps[l] = components(list, f.pi[l], f.burrs(l), f.comps[l])
	}
	f.walkedPi = append(f.walkedPi[:0], f.pi...)
	f.walkedRough = f.rough
	if slices.Max(f.pi) < amongGrooves {
		b = b.calm()
	}
	f.log, f.exps = w.walk(f.comps, f.rough, f.once(), b)
	f.stale = false
}

// once reports whether no crown of the fret was read twice.
func (f *fretNode) once() bool { return slices.Max(f.beta) < grooveChance }

// burrs is the chance of a burr at a crown: of one read once, a lone high reading
// is one to take again.
func (f *fretNode) burrs(l int) float64 {
	if f.beta[l] < grooveChance {
		return burrChanceOnce
	}
	return burrChance
}

// mark tells which frets must be walked again: those whose readings moved with
// their set-ups, or whose chances of a groove did.
func (n *net) mark() {
	for _, f := range n.frets {
		k := 0
		for l, rows := range f.rows {
			for _, i := range rows {
				if math.Abs(n.residual(i)-f.walkedAt[k]) > settledUM {
					f.stale = true
				}
				k++
			}
			if math.Abs(f.rough-f.walkedRough) > calmPi*f.walkedRough {
				f.stale = true
			}
			if math.Abs(f.pi[l]-f.walkedPi[l]) > calmPi*f.walkedPi[l] {
				f.stale = true
			}
		}
	}
}

func (n *net) evidence() (sum float64) {
	for _, f := range n.frets {
		sum += f.log
	}
	return sum
}
