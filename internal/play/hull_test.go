package play

import (
	"math"
	"math/cmplx"
	"testing"

	"pgregory.net/rapid"
	"ringtrue/internal/stringset"
)

// anyFlight is a string anywhere, in any free motion, over crowns anywhere.
func anyFlight(t *rapid.T) *flight {
	length := rapid.Float64Range(100, 900).Draw(t, "length")
	span := Span{LengthMM: length, TensionN: rapid.Float64Range(20, 200).Draw(t, "tension"), MassGPerM: rapid.Float64Range(0.3, 9).Draw(t, "mass"),
		StiffnessNMM2: rapid.Float64Range(0, 500).Draw(t, "stiffness"),
		Decay:         stringset.Law{Base: rapid.Float64Range(0, 40).Draw(t, "base"), Square: rapid.Float64Range(0, 1e-6).Draw(t, "square")}}
	// Any number of modes at any rate that carries them.
	rate := rapid.SampledFrom([]float64{24e3, 96e3, 384e3}).Draw(t, "rate")
	most := 1
	for most < 300 && span.partialHz(most+1) <= 0.95*rate/2 {
		most++
	}
	m := newModes(span, rate, rapid.IntRange(1, most).Draw(t, "modes"))
	if m.heavy || m.Omega[0]*m.StepS > math.Pi {
		t.Skip("not a swinging string")
	}
	var x []float64
	for range rapid.IntRange(1, 11).Draw(t, "crowns") {
		x = append(x, length*rapid.Float64Range(0.001, 0.999).Draw(t, "x"))
	}
	b := NewBarrier(m, x)
	f := newFlight(b)
	shape := shape{q: make([]float64, b.stride), before: make([]float64, b.stride)}
	for n := range m.Omega {
		z := cmplx.Rect(rapid.Float64Range(0, 2).Draw(t, "size")/float64(n+1), rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "phase"))
		shape.q[n] = real(z)
		shape.before[n] = real(z * cmplx.Exp(complex(m.Sigma[n], -math.Sqrt(m.Omega[n]*m.Omega[n]-m.Sigma[n]*m.Sigma[n]))*complex(m.StepS, 0)))
	}
	f.fromShape(shape, 0)
	return f
}

// trueHeight is the string's at crown j a time after the flight began, every
// mode taken by itself, at any time between the steps too.
func trueHeight(f *flight, z phasors, j int, seconds float64) float64 {
	sum := 0.0
	for n, w := range f.barrier.Omega {
		sigma := f.barrier.Sigma[n]
		mu := complex(-sigma, math.Sqrt(w*w-sigma*sigma))
		sum += f.barrier.at[j][n] * real(complex(z.re[n], z.im[n])*cmplx.Exp(mu*complex(seconds, 0)))
	}
	return sum
}

// The bound never passes the string: in every jump up to the next renewal, at
// every crown, between the steps too, the string stays within its hull.
func TestHull_HoldsTheString(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFlight(t)
		from := phasors{append([]float64(nil), f.z.re...), append([]float64(nil), f.z.im...)}
		total := 0.0
		for _, s := range f.size {
			total += s
		}
		h := f.coarse
		for jump := range renewJumps {
			turn(&h.to().z, &h.at().z, &h.turn)
			f.jumpHeights(h.to())
			inHull(t, f, h, from, jump*h.steps, total+1e-3)
			h.next()
		}
		// The fine jumps of the first jump.
		h = f.fine
		f.doubtful = f.doubtful[:0]
		for j := range f.barrier.at {
			f.doubtful = append(f.doubtful, j)
		}
		h.at().z.copyFrom(from.first(h.low))
		f.fineHeights(h.at())
		for step := 0; step < f.coarse.steps; step += h.steps {
			turn(&h.to().z, &h.at().z, &h.turn)
			f.fineHeights(h.to())
			inHull(t, f, h, from, step, total+1e-3)
			h.next()
		}
	})
}

// total is what rounding is measured by.
func inHull(t *rapid.T, f *flight, h *hull, from phasors, step int, total float64) {
	for j := range f.barrier.at {
		h0, h1 := h.at().height[j], h.to().height[j]
		b0, b1 := h0+h.at().slope[j], h1-h.to().slope[j]
		low, high := min(h0, h1, b0, b1)-h.slack[j], max(h0, h1, b0, b1)+h.slack[j]
		for _, part := range []float64{0, 0.11, 0.25, 0.5, 0.67, 0.9, 1} {
			u := trueHeight(f, from, j, (float64(step)+part*float64(h.steps))*f.barrier.StepS)
			if u < low-1e-11*total || u > high+1e-11*total {
				t.Fatalf("crown %d, step %d and %g of %d: string at %.15g, hull %.15g to %.15g", j, step, part, h.steps, u, low, high)
			}
		}
		bit := 1e-12*total + 1e-300
		if h.passes(j, low-bit, high+bit) {
			t.Fatalf("crown %d: passes the hull itself", j)
		}
		if !h.passes(j, low+bit, high+bit) || !h.passes(j, low-bit, high-bit) {
			t.Fatalf("crown %d: passes nothing where %g was cut off", j, bit)
		}
	}
}

// It is a bound worth having: the hull of a jump is not far wider than what the
// string does in it.
func TestHull_IsTight(t *testing.T) {
	n := neck24(t, "firm")[3]
	f := newFlight(n.barrier)
	f.fromRest(n.start)
	for j := range n.barrier.at {
		if s := f.coarse.slack[j]; s > 0.1 {
			t.Errorf("crown %d: slack of %.3g mm under a pluck of 1 mm or so", j, s)
		}
	}
}

// Every mode, caught up with after any number of jumps, stands where it should.
func TestFlight_CatchesUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFlight(t)
		from := phasors{append([]float64(nil), f.z.re...), append([]float64(nil), f.z.im...)}
		jumps := rapid.IntRange(0, renewJumps).Draw(t, "jumps")
		f.behind = jumps
		f.catchUp()
		for j := range f.barrier.at {
			got, want := dot(f.barrier.at[j], f.z.re[:len(f.barrier.at[j])]), trueHeight(f, from, j, float64(jumps*f.coarse.steps)*f.barrier.StepS)
			if math.Abs(got-want) > 1e-10 {
				t.Fatalf("after %d jumps of %d: %.15g, want %.15g", jumps, f.coarse.steps, got, want)
			}
		}
		if f.behind != 0 {
			t.Fatalf("still %d behind", f.behind)
		}
	})
}
