package answer

import (
	"math"
	"slices"

	"ringtrue/internal/findings"
	"ringtrue/internal/text"
)

// firstFrets are the frets to press, glue or replace before any file: those that
// sit wrong by themselves. Where the board lifts or sinks several neighbours, or
// strings wore them, the file is the cure, not the press. Frets in seated are
// known to sit down on the board: a high one is filed.
func firstFrets(found []findings.Finding, whole []findings.Whole, seated []int) []WorkFirst {
	out := []WorkFirst{}
	for _, f := range found {
		switch {
		case f.Open() || !sitsWrong(f.Kind()) || withNeighbours(f.Fret, whole) || filedInstead(f, seated):
		case slices.ContainsFunc(out, func(w WorkFirst) bool { return w.Fret == f.Fret }):
		default:
			words, advice := text.Finding(f)
			out = append(out, WorkFirst{Fret: f.Fret, Why: words + ": " + advice, OrFile: standsHigh(f)})
		}
	}
	return out
}

func standsHigh(f findings.Finding) bool {
	return f.Kind() == findings.KindSeat || f.Kind() == findings.KindFretHigh
}

// filedInstead reports whether a high fret is filed, since it sits already.
func filedInstead(f findings.Finding, seated []int) bool {
	return standsHigh(f) && slices.Contains(seated, f.Fret)
}

// sitsWrong reports whether a kind of finding is cured in the slot.
func sitsWrong(kind string) bool {
	switch kind {
	case findings.KindSeat, findings.KindFretHigh, findings.KindFretLow, findings.KindEndLow, findings.KindLoose, findings.KindCurved:
		return true
	}
	return false
}

// withNeighbours reports whether a fret stands off with its neighbours.
func withNeighbours(fret int, whole []findings.Whole) bool {
	for _, w := range whole {
		switch w.Kind {
		case findings.KindHump, findings.KindDip, findings.KindRise, findings.KindWorn:
			if slices.Contains(w.Frets, fret) {
				return true
			}
		}
	}
	return false
}

// bowed reports whether the neck as a whole is bowed by more than the rod is set to:
// half the zone.
func bowed(whole []findings.Whole, limitMM float64) bool {
	return slices.ContainsFunc(whole, func(w findings.Whole) bool {
		return w.Kind == findings.KindBow && math.Abs(w.AmountMM) >= limitMM/2
	})
}
