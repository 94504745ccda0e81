package play

import (
	"context"
	"math"
)

// Simulate is SimulateStepwise made quick: the same scheme and, but for rounding, the same
// answer. Between contacts the string flies by jumps (see flight), most of them
// proved free; from a contact on it goes step by step until the string has been
// quiet for some steps.
func (b *Barrier) Simulate(ctx context.Context, start, floorMM []float64, steps int) (*Met, error) {
	return b.simulate(ctx, start, floorMM, steps, nil)
}

// SimulateForces is Simulate with every force that a crown gave; by them Replay
// goes through the whole run again.
func (b *Barrier) SimulateForces(ctx context.Context, start, floorMM []float64, steps int) (forces []Force, met *Met, err error) {
	met, err = b.simulate(ctx, start, floorMM, steps, func(step, crown int, n float64) {
		forces = append(forces, Force{step, crown, n})
	})
	return forces, met, err
}

// simulate tells took, where given, of every force; steps ascend.
func (b *Barrier) simulate(ctx context.Context, start, floorMM []float64, steps int, took func(step, crown int, forceN float64)) (*Met, error) {
	if b.heavy || len(floorMM) == 0 {
		return b.SimulateStepwise(ctx, start, floorMM, steps, func(step int, _, _, forceN []float64) {
			for j, f := range forceN {
				if f > 0 && took != nil {
					took(step, j, f)
				}
			}
		})
	}
	f := newFlight(b)
	f.limit(floorMM, nil)
	f.fromRest(start)
	c := newContact(b, floorMM, steps)
	c.took = took
	s := shape{q: make([]float64, b.stride), before: make([]float64, b.stride)}
	for {
		struck, err := f.fly(ctx, steps, false, &s)
		if err != nil {
			return nil, err
		}
		if !struck {
			return c.met, nil
		}
		step := f.step
		for quiet := 0; quiet < quietSteps && step < steps; {
			step++
			if step%lookEvery == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
			b.advance(&s)
			if quiet++; c.settle(&s, step) {
				quiet = 0
			}
		}
		f.fromShape(s, step)
	}
}

// Reach is how far the free string comes below and above its rest line at each
// crown within a number of steps, released from rest in the shape start; both
// count from 0 up, and the start counts too. Nothing here hangs on how high the
// crowns stand.
func (b *Barrier) Reach(ctx context.Context, start []float64, steps int) (below, above []float64, err error) {
	p := len(b.at)
	below, above = make([]float64, p), make([]float64, p)
	for j, row := range b.at {
		u := dot(row, start)
		below[j], above[j] = math.Min(0, u), math.Max(0, u)
	}
	if b.heavy || p == 0 {
		err = b.reachStepwise(ctx, start, steps, below, above)
	} else {
		f := newFlight(b)
		f.limit(below, above)
		f.fromRest(start)
		_, err = f.fly(ctx, steps, true, nil)
		copy(below, f.below)
		copy(above, f.above)
	}
	for j := range below {
		below[j] = -below[j]
	}
	return below, above, err
}

// reachStepwise looks at every crown in every step.
func (b *Barrier) reachStepwise(ctx context.Context, start []float64, steps int, below, above []float64) error {
	s := shape{q: make([]float64, len(start)), before: append([]float64(nil), start...)}
	for n := range s.q {
		s.q[n] = start[n] * b.afterRest(n)
	}
	for step := 1; step <= steps; step++ {
		if step > 1 {
			b.advance(&s)
		}
		if step%lookEvery == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		for j, row := range b.at {
			u := dot(row, s.q)
			below[j], above[j] = math.Min(below[j], u), math.Max(above[j], u)
		}
	}
	return nil
}
