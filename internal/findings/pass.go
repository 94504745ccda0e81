package findings

import (
	"fmt"
	"math"

	"ringtrue/internal/heights"
)

// PassWords says what is wrong with a whole pass and what to do.
func PassWords(p heights.PassFault) string {
	name := "the pass"
	if p.Pass != "" {
		name = fmt.Sprintf("pass %q", p.Pass)
	}
	s := fmt.Sprintf("%s in lane %g", name, p.Lane)
	switch p.Finding {
	case heights.Knocked:
		way := "higher"
		if p.StepMM < 0 {
			way = "lower"
		}
		s += fmt.Sprintf(": from fret %d on everything reads %.2f mm %s than before. The gauge moved", p.FromFret, math.Abs(p.StepMM), way)
	case heights.Skipped:
		s += fmt.Sprintf(": from fret %d on the readings fit the next fret, one off. A crown was skipped or read twice", p.FromFret)
	default:
		s += fmt.Sprintf(": the readings of frets %d and %d seem to have changed places", p.FromFret, p.FromFret+1)
	}
	if !p.Sure {
		return s + ", perhaps. Read that pass again"
	}
	if p.Finding == heights.Knocked {
		return s + fmt.Sprintf(": what follows was taken as a pass of its own. If in doubt, read again from fret %d", p.FromFret)
	}
	return s + ": they were put right. If in doubt, read that pass again"
}
