package text

import (
	"fmt"
	"math"

	"ringtrue/internal/filing"
)

// ShortBeam is the fault of a beam that does not reach over three frets.
func ShortBeam(mm, leastMM float64) string {
	return fmt.Sprintf("a beam of %.4g mm is shorter than three frets of this neck; use %.0f mm or more", mm, math.Ceil(leastMM))
}

// NoMoves says why there are no moves, and what would help; "" where there are some.
func NoMoves(l filing.Lack) string {
	switch l.Kind {
	case filing.NoTool:
		return "no tool in the shop file can follow this: it has neither beams nor files"
	case filing.NoBeam:
		return fmt.Sprintf("no tool in the shop file can follow this: it needs a beam of %.0f mm or longer; you have none", math.Ceil(l.NeedMM))
	case filing.ShortBeams:
		return fmt.Sprintf("no tool in the shop file can follow this: it needs a beam of %.0f mm or longer; yours is %.4g mm", math.Ceil(l.NeedMM), l.HaveMM)
	case filing.LongBeams:
		return fmt.Sprintf("no tool in the shop file can follow this: it needs a beam of %.0f mm or shorter; yours is %.4g mm", l.NeedMM, l.HaveMM)
	case filing.FewMoves:
		return "a few moves of beam and file are not enough: file crown by crown, by the table"
	case filing.NoLack:
	}
	return ""
}

// BeamFace says that a beam is too crooked for the limit: so much of its face counts.
func BeamFace(mm float64) string {
	return fmt.Sprintf("the beam itself may be off by %.3f mm over these frets, more than a third of level.zone: true it, or use a straighter one", mm)
}
