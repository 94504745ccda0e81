package text

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/level"
)

// Why nothing should be filed yet.
const (
	RodBeforeFiling   = "The rod can take this bow out. Set it and read again before filing."
	RestInDoubt       = "The readings leave the other frets in doubt. See to these, then read again."
	DoubtBeforeFiling = "The readings leave it in doubt whether the neck is level. Read on before filing."
)

// What to read first where no other reading was proposed.
const (
	FirstOuterLanes = " First read the outer lanes with a beam or a straightedge."
	FirstEveryLane  = " First read every lane again, in a pass of its own."
)

// ReplaceAll is the advice where refitting does not keep enough crown.
const ReplaceAll = "replacing three frets is not enough: replace them all"

// ReadingLooksWrong is why a crown is not determined whose only reading is gross.
const ReadingLooksWrong = "its reading looks wrong: read it again"

// When to stop reading.
const (
	StopNotLevel = "stop if it is not level"
	StopDecided  = "stop if it is level or not level"
	StopReading  = "stop as soon as frets says level or not level; where it is in doubt, take the next readings that it names"
)

// SitsDown is the advice for a high fret that sits down on the board.
const SitsDown = "it sits down on the board, so it is filed"

// InTwenty is a chance as a maker says it: never certain where it is not.
func InTwenty(chance float64) string {
	switch n := int(math.Round(20 * chance)); {
	case chance == 1:
		return "20 in 20"
	case n == 0:
		return "almost none"
	default:
		return fmt.Sprintf("%d in 20", min(n, 19))
	}
}

// OpenBeforeFiling is why nothing is filed: crowns that are not determined.
func OpenBeforeFiling(crowns int) string {
	if crowns == 1 {
		return "1 crown is not determined. Read it before filing."
	}
	return fmt.Sprintf("%d crowns are not determined. Read them before filing.", crowns)
}

// AsideBeforeFiling is why nothing is filed: a crown lost all its readings.
func AsideBeforeFiling(fret int, lane float64) string {
	return fmt.Sprintf("Fret %d in lane %g has only readings that were set aside. Read it again before filing.", fret, lane)
}

// TooSeldom says that filing to a zone would hardly arrive.
func TooSeldom(toMM, chance float64) string {
	return fmt.Sprintf("Filed to %.3f mm, the chance that the next reading says level is %s.", toMM, InTwenty(chance))
}

// PlanToOut says what the zone worked out would do instead of the one asked for.
func PlanToOut(toMM, chance float64) string {
	return fmt.Sprintf(" Leave --plan-to out: at %.3f mm it is %s.", toMM, InTwenty(chance))
}

// FirstCrown names the crown to read first.
func FirstCrown(fret int, lane float64) string {
	return fmt.Sprintf(" First read fret %d in lane %g again.", fret, lane)
}

// NextReading names readings to take next.
func NextReading(method string, lanes []float64, frets []int) string {
	words := fmt.Sprintf(" Next: %s, %s", method, laneList(lanes))
	if len(frets) > 0 {
		words += ", frets " + runs(frets)
	}
	return words + "."
}

// TooLow says that a crown would end under the least, mm.
func TooLow(c level.Removal, leastMM float64) string {
	return fmt.Sprintf("fret %d, lane %g: %.2f mm of crown would be left, under level.least_crown %.2f mm", c.Fret, c.Lane, c.LeftMM, leastMM)
}

// ReplaceInstead says which frets to replace so that enough crown is left.
func ReplaceInstead(c level.Cost) string {
	return fmt.Sprintf("replace fret %s instead: then %.2f mm of crown is left at least", runs(c.Refit), c.LeastCrownMM)
}

// Unfair says on which frets no smooth plan keeps the zone, and what to do.
func Unfair(err *level.UnfairError) string {
	return err.Error() + "; refit them, or file them crown by crown"
}

// NoGoTaken says what gaps of 0 were taken for; leafMM is the thinnest leaf felt.
func NoGoTaken(leafMM float64) string {
	return fmt.Sprintf("gaps of 0 without no_go are taken for 0 to %g mm; write the leaf that did not enter as no_go", leafMM)
}

// OffItsPass says how far a reading stands off its pass, mm.
func OffItsPass(offMM float64) string {
	return fmt.Sprintf("is %+.3f mm off what its pass says there. Read it again: if it repeats, it is real", offMM)
}

// Contradicts says that a reading and those of other frets cannot all be right.
func Contradicts(others [][]int) string {
	var names []string
	for _, frets := range others {
		names = append(names, "fret "+strings.ReplaceAll(strings.Trim(fmt.Sprint(frets), "[]"), " ", "-"))
	}
	return fmt.Sprintf("it and %s contradict each other, and too few readings follow to say which is wrong. Read them again", strings.Join(names, ", "))
}

// FewLevel says that a shop's necks are seldom level as they come: share of them
// to limitMM; fretMM is the scatter that is assumed instead.
func FewLevel(share, limitMM, fretMM float64) string {
	return fmt.Sprintf("%.0f in 100 such necks are level to %.3f mm: the figures are for necks filed level, frets within %.1f µm", 100*share, limitMM, 1e3*fretMM)
}

// runs writes ascending fret numbers short: "7, 9-12"; two neighbours are a run.
func runs(frets []int) string {
	var parts []string
	for i := 0; i < len(frets); i++ {
		from := i
		for i+1 < len(frets) && frets[i+1] == frets[i]+1 {
			i++
		}
		if i == from {
			parts = append(parts, fmt.Sprint(frets[i]))
		} else {
			parts = append(parts, fmt.Sprintf("%d-%d", frets[from], frets[i]))
		}
	}
	return strings.Join(parts, ", ")
}
