package text

import (
	"fmt"

	"ringtrue/internal/findings"
)

// FretStep is what a finding asks of the hand, in a few words: Finding has them
// all.
func FretStep(f findings.Finding) string {
	at := fmt.Sprintf("fret %d", f.Fret)
	switch f.Case {
	case findings.HighIn, findings.WholeHigh:
		return "press " + at
	case findings.TrebleUnseated, findings.TrebleMoves, findings.TrebleMayMove:
		return "press " + at + ", treble end"
	case findings.BassUnseated, findings.BassMoves, findings.BassMayMove:
		return "press " + at + ", bass end"
	case findings.MiddleProud:
		return "press " + at + ", middle"
	case findings.EndsProud:
		return "press " + at + ", both ends"
	case findings.LowIn, findings.WholeLow, findings.TrebleLow, findings.BassLow:
		return "reseat or replace " + at
	case findings.Burr:
		return "stone the burr off " + at
	case findings.Pit, findings.WornUnder:
		return "level or replace " + at
	case findings.OneOfThree:
		return "read the frets beside " + at
	}
	return "read " + at + " again"
}
