package heights

import "math"

// How far help from other lanes may move a crown from the mean of its own kept
// readings, in that mean's uncertainty (limited translation, Efron and Morris
// 1972, from memory): it costs little where lanes help, and bounds every error by
// the readings' own.
const (
	maxMoved        = 1.5
	maxMovedGrooves = 0.8 // where grooves are about, or the fret is crooked, and lanes help little
	amongGrooves    = 0.1
)

// held is a crown's own estimate and how far the answer may lie from it.
type held struct{ mean, u, most float64 }

// holdTo bounds a crown's answer by its own readings: false where they are too
// few to bound it, with no u where none is kept.
func (n *net) holdTo(f *fretNode, l int) (held, bool) {
	weight, sum := 0.0, 0.0
	kept := 0
	for r, i := range f.rows[l] {
		if n.goodChance(f, l, r) < 0.5 {
			continue
		}
		p := 1 / (n.rows[i].u * n.rows[i].u)
		sum += p * n.residual(i)
		weight += p
		kept++
	}
	if kept == 0 {
		return held{}, false
	}
	h := held{sum / weight, 1 / math.Sqrt(weight), maxMoved}
	switch {
	case f.pi[l] > amongGrooves:
		h.most = maxMovedGrooves
	case kept < 2:
		return h, false
	case f.crooked() > 0.5:
		h.most = maxMovedGrooves
	}
	return h, true
}

// goodChance is the chance that a crown's reading is no misread.
func (n *net) goodChance(f *fretNode, l, r int) (p float64) {
	for i := range f.exps {
		if e := &f.exps[i]; f.comps[l][e.at[l]].kept>>r&1 == 1 {
			p += e.chance
		}
	}
	return p
}
