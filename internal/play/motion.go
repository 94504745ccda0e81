package play

import (
	"context"
	"math"
	"slices"
)

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

// Force is what one crown gave in one step.
type Force struct {
	Step, Crown int
	N           float64
}

// Replay goes through a run of so many steps again by its forces, at the cost of
// the modes alone, and shows every step: each mode in mm then and a step before, and
// the forces within it, the release included. see must not keep or change what it is
// shown. The error is that of ctx.
func (b *Barrier) Replay(ctx context.Context, start []float64, forces []Force, steps int, see func(step int, now, before []float64, on []Force)) error {
	s := shape{q: slices.Clone(start), before: slices.Clone(start)}
	see(0, s.q, s.before, nil)
	for step := 1; step <= steps; step++ {
		if step%lookEvery == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if step > 1 {
			b.advance(&s)
		} else {
			for n := range s.q { // from rest
				s.q[n] *= b.afterRest(n)
			}
		}
		on := 0
		for ; on < len(forces) && forces[on].Step == step; on++ {
			b.push(s.q, forces[on].Crown, forces[on].N)
		}
		see(step, s.q, s.before, forces[:on])
		forces = forces[on:]
	}
	return ctx.Err()
}
