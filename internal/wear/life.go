package wear

import (
	"errors"
	"math"
)

// ErrTime says that no time passed between the stages.
var ErrTime = errors.New("no time passed between the two stages")

// Life is how a groove grows and when it reaches the least crown.
type Life struct {
	DepthMM, UMM   float64
	RateMMPerYear  float64 // mean over the time between the stages
	LeftMM         float64 // crown left above the least, at the second stage
	SoonestYears   float64 // after the second stage
	LatestYears    float64 // infinite where the depth is not certain
	AlreadyReached bool
}

// LifeOf says when a crown that wore depthMM ± uMM over a time of years is worn
// down by leftMM more, the playing going on as it did.
//
// A string wears metal in proportion to the way it rubs (Archard 1953). Sunk by
// D into a crown of radius R, a string of radius r has worn V ≈ πD²√(Rr) away,
// so a groove begun at the first stage grows as √time: latest. One so deep
// already that it hardly widens grows in proportion to time: soonest. What was
// there before the first stage nobody measured, so the truth lies between, and
// the uncertainty of the depth, at the confidence given, is in both ends.
// ErrTime where years is not above 0.
func LifeOf(depthMM, uMM, years, leftMM, confidence float64) (Life, error) {
	if !(years > 0) {
		return Life{}, ErrTime
	}
	l := Life{DepthMM: depthMM, UMM: uMM, RateMMPerYear: depthMM / years, LeftMM: leftMM, LatestYears: math.Inf(1)}
	if leftMM <= 0 {
		l.AlreadyReached, l.LatestYears = true, 0
		return l, nil
	}
	margin := normal(1-confidence) * uMM
	if depthMM+margin <= 0 {
		l.SoonestYears = math.Inf(1)
		return l, nil
	}
	l.SoonestYears = InProportion(depthMM+margin, years, leftMM)
	if least := depthMM - margin; least > 0 {
		l.LatestYears = Rooted(least, years, leftMM)
	}
	return l, nil
}

// InProportion is the time in which a groove that took a time to reach depthMM
// goes moreMM deeper where depth grows in proportion to time.
func InProportion(depthMM, time, moreMM float64) float64 { return time * moreMM / depthMM }

// Rooted is the same where depth grows with the square root of time:
// time·((1 + more/depth)² − 1).
func Rooted(depthMM, time, moreMM float64) float64 {
	q := moreMM / depthMM
	return time * q * (2 + q)
}
