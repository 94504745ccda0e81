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

// lookEvery is how many steps are taken between looks at whether the work was
// called off.
const lookEvery = 4096

// force is what one crown gave in one step.
type force struct {
	step, crown int
	n           float64
}

// Note is what is heard of a string released from rest in the shape start (each
// mode's share, mm) over crowns at heights floorMM, in the place's own unit, at
// RateHz, from the release on. Its end fades. The error is that of ctx.
//
// The contact run is play's own; the signal is taken at each of its steps.
// Checked against the closed form of free modes and the stepwise run by
// TestNote_*.
func Note(ctx context.Context, bed *play.Bed, start, floorMM []float64, p Place, seconds float64) ([]float64, error) {
	rate := 1 / bed.StepS
	steps := int(math.Ceil(seconds * rate))
	var forces []force
	if _, err := bed.SimulateForces(ctx, start, floorMM, steps, func(step, crown int, n float64) {
		forces = append(forces, force{step, crown, n})
	}); err != nil {
		return nil, err
	}
	raw, err := again(ctx, bed, start, forces, p, steps)
	if err != nil {
		return nil, err
	}
	out := resample(raw, rate)
	out = out[:min(len(out), int(math.Round(seconds*RateHz)))]
	fade(out)
	return out, nil
}

// again goes through a run by its forces and listens at every step, the release
// included.
func again(ctx context.Context, bed *play.Bed, start []float64, forces []force, p Place, steps int) ([]float64, error) {
	now, before := p.weights(bed.Modes)
	motion := bed.Release(start)
	out := make([]float64, 0, steps+1)
	at := 0.0
	if p.FromSaddleMM == 0 { // a resting string has no speed
		at = floats.Dot(now, start)
	}
	out = append(out, at)
	for step := 1; step <= steps; step++ {
		if step%lookEvery == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		motion.Step()
		for ; len(forces) > 0 && forces[0].step == step; forces = forces[1:] {
			motion.Push(forces[0].crown, forces[0].n)
		}
		at := floats.Dot(now, motion.Now)
		if p.FromSaddleMM > 0 {
			at += floats.Dot(before, motion.Before)
		}
		out = append(out, at)
	}
	return out, ctx.Err()
}

// fade ends a sound softly.
func fade(s []float64) {
	n := min(len(s), int(fadeS*RateHz))
	for i := range n {
		s[len(s)-1-i] *= 0.5 - 0.5*math.Cos(math.Pi*float64(i)/float64(n))
	}
}
