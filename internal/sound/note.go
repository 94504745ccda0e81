package sound

import (
	"context"
	"math"

	"gonum.org/v1/gonum/floats"

	"ringtrue/internal/play"
)

// RateHz is the rate of the sound.
const RateHz = 48000

// fadeS is how long a note takes to fade at its end, so that the cut does not
// click.
const fadeS = 0.03

// Note is what is heard of a string released from rest in the shape start (each
// mode's share, mm) over crowns at heights floorMM, in the place's own unit, at
// RateHz, from the release on. Its end fades. The error is that of ctx.
//
// The contact run is play's own; the signal is taken at each of its steps.
// Checked against the closed form of free modes and the stepwise run by
// TestNote_*.
func Note(ctx context.Context, barrier *play.Barrier, start, floorMM []float64, p Place, seconds float64) ([]float64, error) {
	rate := 1 / barrier.StepS
	steps := int(math.Ceil(seconds * rate))
	forces, _, err := barrier.SimulateForces(ctx, start, floorMM, steps)
	if err != nil {
		return nil, err
	}
	raw := make([]float64, 0, steps+1)
	ofNow, ofBefore := p.weights(barrier.Modes)
	err = barrier.Replay(ctx, start, forces, steps, func(step int, now, before []float64, _ []play.Force) {
		at := 0.0
		if p.FromSaddleMM == 0 || step > 0 { // a resting string has no speed
			at = floats.Dot(ofNow, now)
		}
		if p.FromSaddleMM > 0 && step > 0 {
			at += floats.Dot(ofBefore, before)
		}
		raw = append(raw, at)
	})
	if err != nil {
		return nil, err
	}
	out := resample(raw, rate)
	out = out[:min(len(out), int(math.Round(seconds*RateHz)))]
	fade(out)
	return out, nil
}

// fade ends a sound softly.
func fade(s []float64) {
	n := min(len(s), int(fadeS*RateHz))
	for i := range n {
		s[len(s)-1-i] *= 0.5 - 0.5*math.Cos(math.Pi*float64(i)/float64(n))
	}
}
