package findings

import (
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/feelers"
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/straight"
)

// byLeaf says which leaf, or how fine leaves, would settle the lanes in doubt whose
// gaps were felt: one row for all of them, none where leaves cannot settle every one;
// why then says so.
func (n *Neck) byLeaf(t readplan.Times) (next []Next, why string) {
	x := Next{Method: string(reading.Edge), Passes: 1, Settles: math.NaN(), uMM: UsualUMM(reading.Edge)}
	least, largest := math.Inf(1), math.Inf(-1)
	leaf := feelers.Leaf{MM: math.Inf(1), StepMM: math.Inf(1)}
	steps := false
	for _, l := range n.Lanes {
		if l.Verdict != straight.InDoubt || l.Brackets == nil {
			continue
		}
		x.Lanes = append(x.Lanes, l.Lane.Lane)
		least, largest = math.Min(least, l.Brackets.Range.LeastMM), math.Max(largest, l.Brackets.Range.LargestMM)
		settle := l.Brackets.Settle(n.Model.Level.Zone)
		switch {
		case settle.MM > 0:
			leaf.MM = math.Min(leaf.MM, settle.MM)
		case settle.StepMM > 0:
			leaf.StepMM, steps = math.Min(leaf.StepMM, settle.StepMM), true
		default:
			return nil, "leaves cannot settle it"
		}
		x.Frets = append(x.Frets, settle.Frets...)
	}
	if len(x.Lanes) == 0 {
		return nil, ""
	}
	slices.Sort(x.Frets)
	x.Lane, x.Frets = x.Lanes[0], slices.Compact(x.Frets)
	x.Minutes = x.Set().Minutes(t)
	whose := "its zone lies"
	if len(x.Lanes) > 1 {
		whose = "their zones lie"
	}
	x.Why = fmt.Sprintf("%s between %.3f and %.3f mm; ", whose, least, largest)
	if steps {
		x.Why += fmt.Sprintf("leaves in steps of %s mm should settle it", thickness(math.Min(leaf.StepMM, leaf.MM)))
	} else {
		x.Why += fmt.Sprintf("a leaf of %s mm that does not enter would settle it", thickness(leaf.MM))
	}
	return []Next{x}, ""
}
