package straight

import "math"

// Verdict is what is said of a crown or a lane.
type Verdict string

// The words for a lane are Level, NotLevel and InDoubt; for a crown Level,
// High, Low and InDoubt.
const (
	Level    Verdict = "level"
	NotLevel Verdict = "not level"
	InDoubt  Verdict = "in doubt"
	High     Verdict = "high"
	Low      Verdict = "low"
)

// Confidence is the least probability with which a verdict other than in doubt
// is said.
const Confidence = 0.95

// CrownVerdict judges a crown by its distance from the reference line, offMM,
// with standard uncertainty uMM, against half the zone limit limitMM each side.
//
// A verdict is said where its probability is at least Confidence; else, and
// where a number is not finite, the crown is in doubt. Nothing is ever level
// when uMM > limitMM/3.92. Source: JCGM 106:2012, 7.4 and 7.5 (from memory).
func CrownVerdict(offMM, uMM, limitMM float64) Verdict {
	level, high, low := ConformanceProbability(offMM, uMM, limitMM)
	switch {
	case level >= Confidence:
		return Level
	case high >= Confidence:
		return High
	case low >= Confidence:
		return Low
	}
	return InDoubt
}

// ConformanceProbability are the probabilities that the crown lies within half the zone
// limit of the reference, above it and below it. NaN where a number is not
// finite.
func ConformanceProbability(offMM, uMM, limitMM float64) (level, high, low float64) {
	half := limitMM / 2
	high, low = Beyond(half-offMM, uMM), Beyond(half+offMM, uMM)
	// Φ((T−y)/u) − Φ((−T−y)/u), without the cancellation far from the zone.
	return math.Max(0, 1-high-low), high, low
}

// Beyond is the probability that a normal error of standard deviation u exceeds
// the margin; with u = 0 it is 0 or 1, a crown on the edge being within.
func Beyond(margin, u float64) float64 {
	if u <= 0 {
		if margin < 0 {
			return 1
		}
		return 0 * margin // NaN stays NaN
	}
	return 0.5 * math.Erfc(margin/(u*math.Sqrt2))
}
