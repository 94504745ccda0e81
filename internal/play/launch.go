package play

import (
	"math"
	"math/bits"
)

// newFlight sets up the jumps of a barrier. It must not have heavy modes.
func newFlight(b *Barrier) *flight {
	jump := 1
	for theta := b.Omega[0] * b.StepS; jump < longestJump && 2*float64(jump)*theta <= jumpAngle; {
		jump *= 2
	}
	fine := min(jump, max(finest, jump/fineParts))
	r := make(room, 40*b.stride+16*len(b.at)+8*b.stride)
	f := &flight{barrier: b, z: r.complex(b.stride), imOf: r.complex(b.stride), size: r.take(b.stride),
		most: r.take(len(b.at)), below: r.take(len(b.at)), above: r.take(len(b.at)), doubtful: make([]int, 0, len(b.at))}
	turns := f.turns(&r, jump*renewJumps)
	of := func(steps int) *phasors { return &turns[bits.TrailingZeros(uint(steps))] }
	f.powers = turns[bits.TrailingZeros(uint(jump)):]
	f.coarse, f.fine = newHull(b, &r, jump, of(jump)), newHull(b, &r, fine, of(fine))
	f.closely = closely{crowns: make([]int, 0, len(b.at)), z: r.complex(b.stride), turn: of(fine), eight: of(ahead),
		back: f.backward(&r), before: r.take(b.stride), next: r.take(ahead * len(b.at)), room: r.take(ahead * b.stride)}
	f.table = r.take(len(f.coarse.rate) * len(b.at))
	for j, row := range b.at {
		for n := range f.coarse.low {
			f.table[n*len(b.at)+j] = row[n]
		}
	}
	return f
}

// turns gives λ, λ², λ⁴ … of every mode, up to λ^most.
func (f *flight) turns(r *room, most int) []phasors {
	first := r.complex(f.barrier.stride)
	k := f.barrier.StepS
	for n, w := range f.barrier.Omega {
		sigma := f.barrier.Sigma[n]
		fall := math.Exp(-sigma * k)
		sin, cos := math.Sincos(math.Sqrt(w*w-sigma*sigma) * k)
		first.re[n], first.im[n] = fall*cos, fall*sin
	}
	out := []phasors{first}
	for steps := 2; steps <= max(most, ahead); steps *= 2 {
		last, next := out[len(out)-1], r.complex(f.barrier.stride)
		turn(&next, &last, &last)
		out = append(out, next)
	}
	return out
}

// backward gives λ^−1 of every mode, and from it how the imaginary part follows
// from two heights: before = Re(z/λ) = back.re·re − back.im·im.
func (f *flight) backward(r *room) phasors {
	back, k := r.complex(f.barrier.stride), f.barrier.StepS
	for n, w := range f.barrier.Omega {
		sigma := f.barrier.Sigma[n]
		rise := math.Exp(sigma * k)
		sin, cos := math.Sincos(math.Sqrt(w*w-sigma*sigma) * k)
		back.re[n], back.im[n] = rise*cos, -rise*sin
		f.imOf.re[n], f.imOf.im[n] = back.re[n]/back.im[n], 1/back.im[n]
	}
	return back
}

// fromRest starts the flight from a shape at rest.
func (f *flight) fromRest(start []float64) {
	f.step, f.behind = 0, 0
	for n, q := range start {
		w, sigma := f.barrier.Omega[n], f.barrier.Sigma[n]
		f.z.re[n], f.z.im[n] = q, -q*sigma/math.Sqrt(w*w-sigma*sigma)
	}
	f.renew()
}

// fromShape starts the flight from the heights at two steps.
func (f *flight) fromShape(s shape, step int) {
	f.step, f.behind = step, 0
	for n, q := range s.q {
		f.z.re[n], f.z.im[n] = q, f.imOf.re[n]*q-f.imOf.im[n]*s.before[n]
	}
	f.renew()
}

// renew takes the amplitudes anew and with them the bound's sums.
func (f *flight) renew() {
	f.untilRenewal = renewJumps
	f.catchUp()
	j, b := f.coarse, f.barrier
	amplitudes(f.size, j.weighed, f.fine.weighed, &f.z, j.weight, f.fine.weight)
	for i := range b.at {
		row := b.rows[i*b.stride:][:b.stride]
		f.most[i], j.slack[i], f.fine.slack[i] = absSums(row, f.size, j.weighed, f.fine.weighed)
	}
	j.at().z.copyFrom(f.z.first(j.low))
	f.jumpHeights(j.at())
}
