package play

import (
	"math"

	"ringtrue/internal/play/kernel"
)

// closely goes through the free string's steps one by one, with every mode, at
// those crowns that the fine hops leave in doubt.
type closely struct {
	crowns []int
	step   int             // of the jump that z stands at; −1: none yet
	z      kernel.Complex  // every mode at a fine hop's start
	turn   *kernel.Complex // λ^(fine hop)
	eight  *kernel.Complex // λ^8
	back   kernel.Complex  // λ^−1
	before kernel.Complex  // z one step before
	ahead  []float64       // the next eight heights at each of the crowns
	room   []float64
}

// reach brings every mode to a step of the jump that starts a fine hop.
func (f *flight) reach(step int) {
	e := &f.closely
	if e.step < 0 {
		e.z.Copy(f.z)
		e.step = 0
	}
	for ; e.step+f.fine.hop <= step; e.step += f.fine.hop {
		f.path.Turn(&e.z, &e.z, e.turn)
	}
	for ; e.step < step; e.step += kernel.Ahead {
		f.path.Turn(&e.z, &e.z, e.eight)
	}
}

// stepwise looks at count steps from a fine hop's start and returns how many
// pass before one in which a limit is passed; count where none is, or where
// limits are kept. Where one is, the string before that step is left in out.
func (f *flight) stepwise(count int, keep bool, out *shape) int {
	e, b := &f.closely, f.bed
	for done := 0; ; done += kernel.Ahead {
		f.path.Turn(&e.before, &e.z, &e.back)
		f.path.LookAhead(e.ahead, b.rows, b.stride, e.crowns, e.z.Re, e.before.Re, b.fullA, b.fullB, e.room)
		part := min(kernel.Ahead, count-done)
		if first := f.passed(part, keep); first < part {
			f.stopAt(first, out)
			return done + first
		}
		if done+kernel.Ahead >= count {
			return count
		}
		f.path.Turn(&e.z, &e.z, e.eight)
		e.step += kernel.Ahead
	}
}

// passed returns how many of the next count steps pass before a limit is, or
// with keep moves the limits out to where the string goes.
func (f *flight) passed(count int, keep bool) int {
	first := count
	for i, j := range f.closely.crowns {
		for k, u := range f.closely.ahead[i*kernel.Ahead:][:first] {
			if keep {
				f.below[j], f.above[j] = math.Min(f.below[j], u), math.Max(f.above[j], u)
			} else if f.below[j]-u > touchMM || u-f.above[j] > touchMM {
				first = k
				break
			}
		}
	}
	return first
}

// stopAt leaves the string as it is some steps on in out.
func (f *flight) stopAt(steps int, out *shape) {
	copy(out.q, f.closely.z.Re)
	copy(out.before, f.closely.before.Re)
	for range steps {
		f.advance(out)
	}
}

// advance moves every mode freely by one step.
func (f *flight) advance(s *shape) {
	f.path.Advance(s.before, s.q, f.bed.fullA, f.bed.fullB)
	s.q, s.before = s.before, s.q
}
