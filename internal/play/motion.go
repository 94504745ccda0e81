package play

import (
	"context"
	"math"
)

// Triangle is each mode's share, in mm, of a triangle of unit height with its
// top at atMM from the stop.
func (m *Modes) Triangle(atMM float64) []float64 {
	q := make([]float64, len(m.Omega))
	m.triangle(q, atMM)
	return q
}

// Toward is how high a triangle pressed towards the board may be: heightMM, but
// no deeper than the first crown it meets allows. unit is the triangle of 1 mm,
// gaps are the resting string's over the crowns.
func (b *Barrier) Toward(unit []float64, heightMM float64, gaps []float64) float64 {
	h := heightMM
	for k, row := range b.at {
		if u := dot(row, unit); u > 0 {
			h = math.Min(h, gaps[k]/u)
		}
	}
	return h
}

// Motion is a string's free motion, step by step, with forces put in by hand:
// what a contact run did can be gone through again at the cost of the modes
// alone.
type Motion struct {
	Now, Before []float64 // each mode at this step and the last, mm; not to be changed
	barrier     *Barrier
	step        int
}

// Release lets the string go from rest in the shape start; it stands at step 0.
func (b *Barrier) Release(start []float64) *Motion {
	return &Motion{Now: append([]float64(nil), start...), Before: append([]float64(nil), start...), barrier: b}
}

// Step moves every mode freely by one step.
func (m *Motion) Step() {
	m.step++
	if m.step == 1 { // from rest
		for n := range m.Now {
			m.Now[n] *= m.barrier.afterRest(n)
		}
		return
	}
	s := shape{q: m.Now, before: m.Before}
	m.barrier.advance(&s)
	m.Now, m.Before = s.q, s.before
}

// Push adds the force that crown j gave within the step.
func (m *Motion) Push(j int, forceN float64) { m.barrier.push(m.Now, j, forceN) }

// Force is what one crown gave in one step.
type Force struct {
	Step, Crown int
	N           float64
}

// Replay goes through a run of so many steps again by its forces, at the cost of
// the modes alone, and shows every step with the forces within it, the release
// included. see must not keep or change what it is shown. The error is that of ctx.
func (b *Barrier) Replay(ctx context.Context, start []float64, forces []Force, steps int, see func(step int, m *Motion, on []Force)) error {
	m := b.Release(start)
	see(0, m, nil)
	for step := 1; step <= steps; step++ {
		if step%lookEvery == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		m.Step()
		on := 0
		for ; on < len(forces) && forces[on].Step == step; on++ {
			m.Push(forces[on].Crown, forces[on].N)
		}
		see(step, m, forces[:on])
		forces = forces[on:]
	}
	return ctx.Err()
}
