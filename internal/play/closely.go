package play

// closely goes through the free string's steps one by one, with every mode, at
// those crowns that the fine jumps leave in doubt.
type closely struct {
	crowns []int
	step   int       // of the jump that z stands at; −1: none yet
	z      phasors   // every mode at a fine jump's start
	turn   *phasors  // λ^(fine jump)
	eight  *phasors  // λ^8
	back   phasors   // λ^−1
	before []float64 // their heights one step before
	next   []float64 // the next eight heights at each of the crowns
	room   []float64
}

// reach brings every mode to a step of the jump that starts a fine jump.
func (f *flight) reach(step int) {
	e := &f.closely
	if e.step < 0 {
		e.z.copyFrom(f.z)
		e.step = 0
	}
	for ; e.step+f.fine.steps <= step; e.step += f.fine.steps {
		turn(&e.z, &e.z, e.turn)
	}
	for ; e.step < step; e.step += ahead {
		turn(&e.z, &e.z, e.eight)
	}
}

// stepwise looks at count steps from a fine jump's start and returns how many
// pass before one in which a limit is passed; count where none is, or where
// limits are kept. Where one is, the string before that step is left in out.
func (f *flight) stepwise(count int, keep bool, out *shape) int {
	e, b := &f.closely, f.barrier
	for done := 0; ; done += ahead {
		turnedRe(e.before, &e.z, &e.back)
		lookAhead(e.next, b.rows, b.stride, e.crowns, e.z.re, e.before, b.fullA, b.fullB, e.room)
		part := min(ahead, count-done)
		if first := f.passed(part, keep); first < part {
			f.stopAt(first, out)
			return done + first
		}
		if done+ahead >= count {
			return count
		}
		turn(&e.z, &e.z, e.eight)
		e.step += ahead
	}
}

// passed returns how many of the next count steps pass before a limit is, or
// with keep moves the limits out to where the string goes.
func (f *flight) passed(count int, keep bool) int {
	first := count
	for i, j := range f.closely.crowns {
		for k, u := range f.closely.next[i*ahead:][:first] {
			switch {
			case u >= f.below[j] && u <= f.above[j]:
			case keep:
				f.below[j], f.above[j] = min(f.below[j], u), max(f.above[j], u)
			case f.below[j]-u > touchMM || u-f.above[j] > touchMM:
				first = k
			}
			if first == k {
				break
			}
		}
	}
	return first
}

// stopAt leaves the string as it is some steps on in out.
func (f *flight) stopAt(steps int, out *shape) {
	copy(out.q, f.closely.z.re)
	copy(out.before, f.closely.before)
	for range steps {
		f.barrier.advance(out)
	}
}
