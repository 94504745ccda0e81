package filing

import "math"

// pose is how a beam lies: its height over the place pressed, and its slope.
type pose struct{ height, slope float64 }

// mostPoses ends the search for a pose; a handful of steps is usual.
const mostPoses = 60

// press lays a beam on crowns of heights z at x, ascending, pressed with force at a
// place that lies between the first and the last of them, on springs of a
// stiffness, N/mm. It writes each crown's force and returns the pose. x has at
// least two places.
//
// Newton's method on the convex function of the package comment: its second
// derivative jumps where a crown comes in, so a step that climbs is halved.
func press(x, z []float64, force, at, stiffness float64, forces []float64) pose {
	p := rigid(x, z, at)
	p.height -= force / (2 * stiffness)
	return pressFrom(x, z, force, at, stiffness, forces, p)
}

// pressFrom is press, from a pose near the one looked for: crowns touch in it.
func pressFrom(x, z []float64, force, at, stiffness float64, forces []float64, p pose) pose {
	energy, g := weigh(x, z, force, at, stiffness, p)
	if g.hh == 0 {
		return press(x, z, force, at, stiffness, forces)
	}
	for range mostPoses {
		if g.rests(force, x[len(x)-1]-x[0]) {
			break
		}
		step := g.newton()
		share := 1.0
		for ; ; share /= 2 {
			next := pose{p.height + share*step.height, p.slope + share*step.slope}
			e, h := weigh(x, z, force, at, stiffness, next)
			if e <= energy || share < 1e-9 {
				p, energy, g = next, e, h
				break
			}
		}
	}
	for i := range x {
		forces[i] = stiffness * max(0, z[i]-p.height-p.slope*(x[i]-at))
	}
	return p
}

// gradient is the first and second derivative of the energy by height and slope.
type gradient struct{ h, b, hh, hb, bb float64 }

// rests reports whether forces and moments balance.
func (g gradient) rests(force, span float64) bool {
	return math.Abs(g.h) <= 1e-11*force && math.Abs(g.b) <= 1e-11*force*span
}

// newton is the step to where the derivatives would vanish. Where a single crown
// bears the beam it may rock freely: a trace of stiffness keeps the step finite.
func (g gradient) newton() pose {
	bb := g.bb + 1e-9*g.hh
	det := g.hh*bb - g.hb*g.hb
	if !(det > 1e-12*g.hh*bb) {
		bb += 1e-6 * (g.bb + g.hh)
		det = g.hh*bb - g.hb*g.hb
	}
	return pose{-(bb*g.h - g.hb*g.b) / det, -(g.hh*g.b - g.hb*g.h) / det}
}

// weigh is the energy of a pose and its derivatives.
func weigh(x, z []float64, force, at, stiffness float64, p pose) (energy float64, g gradient) {
	// Sums in registers: of a struct of five numbers each would go to memory and back.
	var hh, hb, bb float64
	energy, h, b, half := force*p.height, force, 0.0, stiffness/2
	z = z[:len(x)]
	for i, xi := range x {
		u := xi - at
		e := z[i] - p.height - p.slope*u
		if e <= 0 {
			continue
		}
		ku := stiffness * u
		energy += half * e * e
		h -= stiffness * e
		b -= stiffness * e * u
		hh += stiffness
		hb += ku
		bb += ku * u
	}
	return energy, gradient{h, b, hh, hb, bb}
}

// rigid is the pose on crowns that do not yield: of all lines through one crown at
// or before the place and one after it, the highest there.
func rigid(x, z []float64, at float64) pose {
	best := pose{height: math.Inf(-1)}
	last := len(x) - 1
	for i := 0; i < last && (x[i] <= at || i == 0); i++ {
		for j := last; j > i && (x[j] >= at || j == last); j-- {
			slope := (z[j] - z[i]) / (x[j] - x[i])
			if h := z[i] + slope*(at-x[i]); h > best.height {
				best = pose{h, slope}
			}
		}
	}
	return best
}
