package feelers

import (
	"math"

	"ringtrue/internal/straight"
)

// Leaf is what would settle a lane in doubt.
type Leaf struct {
	// MM is a leaf, in mm: where it enters over none of Frets, the lane is level.
	// 0 where no such leaf is known.
	MM    float64
	Frets []int // crowns under which it is not known yet whether it enters
	// StepMM is how finely leaves must step to settle it otherwise, in mm, if the
	// gaps are as they most likely are. 0 where leaves cannot.
	StepMM float64
}

const (
	leafStep   = 0.005 // leaves that a shop can come by, mm
	maxLeaves  = 40
	splitShare = 3 // one leaf settles nothing where it parts fewer brackets than a third
)

// steps are how finely sets of leaves step, mm.
func steps() []float64 { return []float64{0.02, 0.01, 0.005} }

// Settle says which leaf would settle a lane that the range leaves in doubt at
// limitMM. A round leaf, in 0.01 mm, goes before one that is not.
func (l *Lane) Settle(limitMM float64) Leaf {
	if len(l.sets.passes) == 0 || l.Open {
		return Leaf{}
	}
	thickest := 0.0
	for _, p := range l.sets.passes {
		for i, hi := range p.Hi {
			if p.Lo[i] < hi {
				thickest = math.Max(thickest, hi)
			}
		}
	}
	most := min(int(math.Ceil(thickest/leafStep-1e-9))-1, maxLeaves)
	for _, round := range []bool{true, false} {
		for k := most; k >= 1; k-- {
			leaf := float64(k) * leafStep
			frets := l.between(leaf)
			if (k%2 == 0) == round && splitShare*len(frets) >= len(l.sets.frets) && l.levelBelow(leaf, limitMM) {
				return Leaf{MM: leaf, Frets: frets}
			}
		}
	}
	likely := l.sets.likely(l.sets.passes[0])
	for _, step := range steps() {
		r, err := l.sets.zone(func(i int, lo, hi float64) (float64, float64) {
			if hi-lo <= step || math.IsNaN(likely[i]) {
				return lo, hi
			}
			from := math.Floor(math.Min(likely[i], hi-step/2)/step) * step
			return math.Max(lo, from), math.Min(hi, from+step)
		})
		if err == nil && r.Verdict(limitMM) != straight.InDoubt {
			return Leaf{StepMM: step, Frets: l.sets.frets}
		}
	}
	return Leaf{}
}

// levelBelow reports whether the lane is level if this leaf enters nowhere but
// where a thicker one does.
func (l *Lane) levelBelow(leaf, limitMM float64) bool {
	r, err := l.sets.zone(func(_ int, lo, hi float64) (float64, float64) {
		if lo < leaf && leaf < hi {
			hi = leaf
		}
		return lo, hi
	})
	return err == nil && r.Verdict(limitMM) == straight.Level
}

// between are the frets over which it is not known whether a leaf enters.
func (l *Lane) between(leaf float64) []int {
	var out []int
	for i, f := range l.sets.frets {
		for _, p := range l.sets.passes {
			if at := p.at[i]; at >= 0 && p.Lo[at] < leaf && leaf < p.Hi[at] {
				out = append(out, f)
				break
			}
		}
	}
	return out
}
