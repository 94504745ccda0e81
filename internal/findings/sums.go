package findings

import (
	"math"
	"slices"
)

// ZoneMM is the zone of the widest lane, mm; 0 without a lane.
func (n *Neck) ZoneMM() (widest float64) {
	for _, l := range n.Lanes {
		widest = max(widest, l.Judged.Zone.WidthMM)
	}
	return widest
}

// ByLeaves reports whether a lane was read with leaves.
func (n *Neck) ByLeaves() bool {
	return slices.ContainsFunc(n.Lanes, func(l Lane) bool { return l.Brackets != nil })
}

// WithinMM is ZoneMM, or the most that it may be where lanes were read with leaves.
func (n *Neck) WithinMM() (widest float64) {
	for _, l := range n.Lanes {
		if l.Brackets != nil {
			widest = max(widest, l.Brackets.Range.LargestMM)
		} else {
			widest = max(widest, l.Judged.Zone.WidthMM)
		}
	}
	return widest
}

// WorstMM is the farthest that a crown stands off its lane's reference, mm.
func (n *Neck) WorstMM() (worst float64) {
	for _, l := range n.Lanes {
		for _, off := range l.Off {
			worst = max(worst, math.Abs(off))
		}
	}
	return worst
}

// FretsOff counts frets with a finding, each once.
func (n *Neck) FretsOff() int {
	off := map[int]bool{}
	for _, f := range n.Frets() {
		off[f.Fret] = true
	}
	return len(off)
}
