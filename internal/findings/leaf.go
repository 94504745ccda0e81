package findings

import (
	"math"
	"slices"

	"ringtrue/internal/feelers"
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/straight"
)

// byLeaf says which leaf, or how fine leaves, would settle the lanes in doubt whose
// gaps were felt: one row for all of them, none where leaves cannot settle every one.
func (n *Neck) byLeaf(t readplan.Times) (next []Next, cannot bool) {
	x := Next{Method: string(reading.Edge), Passes: 1, Settles: math.NaN(), uMM: reading.Edge.Spec().Usual(),
		Reason: Reason{For: OtherLeaf, LeastMM: math.Inf(1), LargestMM: math.Inf(-1)}}
	leaf := feelers.Leaf{MM: math.Inf(1), StepMM: math.Inf(1)}
	for _, l := range n.Lanes {
		if l.Verdict != straight.InDoubt || l.Brackets == nil {
			continue
		}
		x.Lanes = append(x.Lanes, l.Lane.Lane)
		x.LeastMM, x.LargestMM = math.Min(x.LeastMM, l.Brackets.Range.LeastMM), math.Max(x.LargestMM, l.Brackets.Range.LargestMM)
		settle := l.Brackets.Settle(n.Model.Level.Zone)
		switch {
		case settle.MM > 0:
			leaf.MM = math.Min(leaf.MM, settle.MM)
		case settle.StepMM > 0:
			leaf.StepMM, x.For = math.Min(leaf.StepMM, settle.StepMM), FinerSteps
		default:
			return nil, true
		}
		x.Frets = append(x.Frets, settle.Frets...)
	}
	if len(x.Lanes) == 0 {
		return nil, false
	}
	slices.Sort(x.Frets)
	x.Lane, x.Frets = x.Lanes[0], slices.Compact(x.Frets)
	x.Minutes = x.Set().Minutes(t)
	if x.LeafMM = leaf.MM; x.For == FinerSteps {
		x.LeafMM = math.Min(leaf.StepMM, leaf.MM)
	}
	return []Next{x}, false
}
