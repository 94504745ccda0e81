package findings

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/num"
)

// besideNeighbours names frets that stand off the line of their neighbours. Such
// a statement holds where long waves leave every height in doubt, as with a
// three-point gauge alone. The fret that stands farthest off is named first and
// then left out, so that it does not put its neighbours off.
func (n *Neck) besideNeighbours() map[int]Finding {
	out := map[int]Finding{}
	if !n.wavy() {
		return out
	}
	gone := map[int]bool{}
	for range n.Layout.LastFret() / 2 {
		fret, best := -1, across{}
		most := 0.0
		for f := n.Layout.FirstFret() + 1; f < n.Layout.LastFret(); f++ {
			if gone[f] {
				continue
			}
			if a := n.offChord(f, gone); len(a.lanes) > 0 {
				if s := a.sharpest(); s > most {
					most, fret, best = s, f, a
				}
			}
		}
		if fret < 0 || most < best.c {
			break
		}
		gone[fret] = true
		if found, ok := n.classify(best); ok && found.Case != OffIn {
			found.BesideMM = num.Some(best.mean())
			out[fret] = found
		}
	}
	return out
}

// wavyShare is the part of the zone above which the middle one of all crowns'
// uncertainties leaves heights in doubt.
const wavyShare = 1.0 / 8

// wavy reports whether heights are in doubt because of long waves.
func (n *Neck) wavy() bool {
	var all []float64
	for k := range n.Lanes {
		l := &n.Lanes[k]
		for i := range l.U {
			all = append(all, l.noise(i))
		}
	}
	slices.Sort(all)
	return len(all) > 0 && all[len(all)/2] > wavyShare*n.Model.Level.Zone
}

// offChord is how far a fret's crowns stand off the chord of the nearest frets on
// either side that are not gone.
func (n *Neck) offChord(fret int, gone map[int]bool) across {
	a := across{fret: fret, c: sidak(3 * n.Layout.LastFret() * len(n.Lanes))}
	type weights struct {
		lane int
		at   [3]int
		w    [3]float64
	}
	var rows []weights
	for k, l := range n.Lanes {
		i := l.at(fret)
		if i < 1 || i+1 >= len(l.Frets) || l.thin() || l.dented(i) || l.Aside[i] {
			continue
		}
		p, q := i-1, i+1
		for p >= 0 && (gone[l.Frets[p]] || l.Aside[p] || l.dented(p)) {
			p--
		}
		for q < len(l.Frets) && (gone[l.Frets[q]] || l.Aside[q] || l.dented(q)) {
			q++
		}
		if p < 0 || q >= len(l.Frets) {
			continue
		}
		w := (l.X[q] - l.X[i]) / (l.X[q] - l.X[p])
		rows = append(rows, weights{k, [3]int{p, i, q}, [3]float64{-w, 1, w - 1}})
		a.lanes, a.at = append(a.lanes, k), append(a.at, i)
		a.t = append(a.t, n.Layout.Fraction(l.Lane.Lane)-0.5)
		a.off = append(a.off, l.D[i]-w*l.D[p]-(1-w)*l.D[q])
	}
	if len(rows) == 0 {
		return a
	}
	a.cov = mat.NewSymDense(len(rows), nil)
	for x, p := range rows {
		for y, q := range rows[:x+1] {
			v := 0.0
			for i := range 3 {
				for j := range 3 {
					v += p.w[i] * q.w[j] * n.covBetween(p.lane, p.at[i], q.lane, q.at[j])
				}
			}
			a.cov.SetSym(x, y, v)
		}
	}
	return a
}

// sharpest is the largest of a fret's means and ends over its uncertainty.
func (a across) sharpest() float64 {
	if len(a.lanes) == 1 {
		return math.Abs(a.off[0]) / math.Sqrt(math.Max(a.cov.At(0, 0), 1e-12))
	}
	treble, middle, bass, _ := a.fit(1)
	most := 0.0
	for _, p := range []part{treble, middle, bass} {
		most = math.Max(most, math.Abs(p.mm)/math.Max(p.u, 1e-6))
	}
	return most
}

func (a across) mean() (v float64) {
	for _, o := range a.off {
		v += o / float64(len(a.off))
	}
	return v
}
