package play

import (
	"context"
	"math"
)

// Sizes of the bounded flight. None of them bears on the answer, only on the
// time it takes.
const (
	jumpAngle   = 0.8 // most that the first mode turns in one jump, rad
	longestJump = 64  // steps in one jump, a power of two
	finest      = 8   // least steps in a fine jump
	fineParts   = 4   // fine jumps in a jump, where it has steps enough
	quietSteps  = 6   // steps without contact after which flight is bounded again
	renewJumps  = 16  // jumps between renewals of the amplitudes
)

// flight follows the free motion of a barrier's string by jumps, most of them proved
// to pass no limit (see hull). Where the hull of a jump leaves a crown in doubt,
// that crown is looked at by finer jumps with more low modes, and where these
// leave doubt step by step with every mode. Once Σ|S_nj|·|z_n| over all modes
// lies within the limits of every crown, they can never be passed again.
//
// In a jump only its low modes turn; the others follow when they are needed.
type flight struct {
	barrier *Barrier
	step    int

	z            phasors   // every mode, as it was some jumps ago
	behind       int       // how many
	powers       []phasors // λ^jump, λ^(2·jump), λ^(4·jump) … of every mode
	imOf         phasors   // Im z = re·q − im·before
	size         []float64 // |z| at the last renewal
	most         []float64 // Σ|S_nj|·|z_n| of each crown
	below, above []float64 // each crown's limits
	coarse, fine *hull
	table        []float64 // S of the jump's low modes, a row a mode
	doubtful     []int     // crowns that a jump leaves in doubt
	closely      closely
	untilRenewal int
}

// fly follows the free string up to step end, between the crowns' limits. With
// keep, a limit that is passed is moved out to where the string went: at the end
// the limits are its reach. Without, it stops in the step before a limit is first
// passed, by more than touchMM, leaves the string there in out, and returns true.
func (f *flight) fly(ctx context.Context, end int, keep bool, out *shape) (bool, error) {
	for over := f.over(); f.step < end && !over; {
		if f.untilRenewal--; f.untilRenewal < 0 {
			if ctx.Err() != nil {
				return false, ctx.Err()
			}
			f.renew()
			over = f.over()
			continue
		}
		j := f.coarse
		turn(&j.to().z, &j.at().z, &j.turn)
		f.jumpHeights(j.to())
		if f.listDoubtful(); len(f.doubtful) > 0 && f.look(end, keep, out) {
			return true, nil
		}
		j.next()
		f.behind++
		f.step += j.steps
	}
	f.step = max(f.step, end)
	return false, nil
}

// jumpHeights gives the low modes' heights and slopes at every crown.
func (f *flight) jumpHeights(e *jumpEnd) {
	j := f.coarse
	turnedRe(j.rate, &e.z, &j.slopeOf)
	lowHeights(e.height, e.slope, f.table, e.z.re, j.rate)
}

// catchUp brings every mode to the present step.
func (f *flight) catchUp() {
	for bit := 0; f.behind > 0; bit++ {
		if f.behind&1 == 1 {
			turn(&f.z, &f.z, &f.powers[bit])
		}
		f.behind >>= 1
	}
}

// over reports whether no limit can ever be passed again.
func (f *flight) over() bool {
	for j := range f.barrier.at {
		if most := f.most[j]; most >= -f.below[j] || most >= f.above[j] {
			return false
		}
	}
	return true
}

// look goes through the next jump at the doubtful crowns by fine jumps.
func (f *flight) look(end int, keep bool, out *shape) bool {
	f.catchUp()
	h, e := f.fine, &f.closely
	h.at().z.copyFrom(f.z.first(h.low))
	f.fineHeights(h.at())
	e.step = -1
	for step, to := f.step, min(f.step+f.coarse.steps, end); step < to; step += h.steps {
		turn(&h.to().z, &h.at().z, &h.turn)
		f.fineHeights(h.to())
		e.crowns = e.crowns[:0]
		for _, j := range f.doubtful {
			if h.passes(j, f.below[j], f.above[j]) {
				e.crowns = append(e.crowns, j)
			}
		}
		if len(e.crowns) > 0 {
			f.reach(step - f.step)
			count := min(h.steps, to-step)
			if first := f.stepwise(count, keep, out); first < count {
				f.step = step + first
				return true
			}
		}
		h.next()
	}
	return false
}

// listDoubtful lists the crowns that the jump leaves in doubt.
func (f *flight) listDoubtful() {
	f.doubtful = f.doubtful[:0]
	for j, below := range f.below {
		if f.coarse.passes(j, below, f.above[j]) {
			f.doubtful = append(f.doubtful, j)
		}
	}
}

// fineHeights gives the heights and slopes of the fine jump's low modes at the
// doubtful crowns.
func (f *flight) fineHeights(e *jumpEnd) {
	h := f.fine
	turnedRe(h.rate, &e.z, &h.slopeOf)
	for _, j := range f.doubtful {
		e.height[j], e.slope[j] = dotTwo(f.barrier.rows[j*f.barrier.stride:][:len(e.z.re)], e.z.re, h.rate)
	}
}

// limit sets the crowns' limits; above may be left out.
func (f *flight) limit(below, above []float64) {
	copy(f.below, below)
	for j := range f.above {
		f.above[j] = math.Inf(1)
	}
	copy(f.above, above)
}
