package recording

import (
	"errors"
	"math"
)

// Flaw is what is wrong with a recording that can still be listened to.
type Flaw string

// Flaws of a recording.
const (
	DeadSide Flaw = "dead side" // one of its channels is silent
	Clipped  Flaw = "clipped"   // it was louder than the recorder could take
	Gated    Flaw = "gated"     // silent to the last digit between sounds: cut out by a gate, or by hand
)

// ErrSilent is a recording in which nothing sounds.
var ErrSilent = errors.New("the recording is silent; check the microphone and its level")

// Levels, as shares of full scale or of the louder side.
const (
	silentPeak = 1e-3 // no sample above it: silence and hiss
	deadSide   = 1e-2 // a side this much softer is dead
)

// Runs of equal samples.
const (
	clippedRun  = 4    // so many at the very peak are cut off
	clippedRuns = 4    // so often
	gatedS      = 0.03 // a silence to the last digit that lasts so long
	gatedTimes  = 3
)

// Of gives the louder channel: it has no sum to cancel in, and a dead side has no
// part in it. ErrSilent: nothing sounds.
func Of(channels []Sound) (Sound, []Flaw, error) {
	best, power := 0, make([]float64, len(channels))
	for k, c := range channels {
		for _, v := range c.Samples {
			power[k] += v * v
		}
		if power[k] > power[best] {
			best = k
		}
	}
	s := channels[best]
	peak := 0.0
	for _, v := range s.Samples {
		peak = math.Max(peak, math.Abs(v))
	}
	if peak < silentPeak {
		return Sound{}, nil, ErrSilent
	}
	var flaws []Flaw
	for _, p := range power {
		if p < deadSide*deadSide*power[best] {
			flaws = append(flaws, DeadSide)
			break
		}
	}
	if s.clips() {
		flaws = append(flaws, Clipped)
	}
	if s.gated() {
		flaws = append(flaws, Gated)
	}
	return s, flaws, nil
}

// clips says whether the peaks are cut flat: runs of samples at the greatest or the
// least value.
func (s Sound) clips() bool {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range s.Samples {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	runs, run := 0, 0
	for i, v := range s.Samples {
		if (v == low || v == high) && i > 0 && v == s.Samples[i-1] {
			if run++; run == clippedRun-1 {
				runs++
			}
		} else {
			run = 0
		}
	}
	return runs >= clippedRuns
}

// gated says whether the sound is silent to the last digit again and again, with
// sound after it. No room and no microphone does that.
func (s Sound) gated() bool {
	times, run, long := 0, 0, int(gatedS*s.RateHz)
	sounded := false
	for i, v := range s.Samples {
		if i > 0 && v == s.Samples[i-1] {
			run++
			continue
		}
		if run >= long && sounded {
			times++
		}
		run, sounded = 0, true
	}
	return times >= gatedTimes
}
