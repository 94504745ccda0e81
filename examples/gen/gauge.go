package main

import "math"

// beam reads a lane's crowns with an indicator on a straight beam. The beam's
// own shape is an S, ownS mm high: turned end for end, it shows the other way
// round. (A bow would look the same both ways.)
func (b *bench) beam(lane, sd, ownS float64, turned bool) func(fret int) float64 {
	first := b.layout.LaneX(b.layout.FirstFret(), lane)
	offset, tilt := 0.4+b.normal(0.05)-b.crown(b.layout.FirstFret(), lane), b.normal(1e-4)
	length := b.layout.LaneX(b.layout.LastFret(), lane) - first
	if turned {
		ownS = -ownS
	}
	return func(fret int) float64 {
		x := b.layout.LaneX(fret, lane)
		own := ownS * math.Sin(2*math.Pi*(x-first)/length)
		return b.crown(fret, lane) + offset + tilt*x + own + b.normal(sd)
	}
}

// above is how far the middle crown of three stands over the line through the
// outer two.
func (b *bench) above(f [3]int, lane float64) float64 {
	x := func(k int) float64 { return b.layout.LaneX(f[k], lane) }
	l := (x(2) - x(1)) / (x(2) - x(0))
	return b.crown(f[1], lane) - l*b.crown(f[0], lane) - (1-l)*b.crown(f[2], lane)
}

// third is the gap of a rocker over the third crown, held down on the first two.
func (b *bench) third(f [3]int, lane float64) float64 {
	x := func(k int) float64 { return b.layout.LaneX(f[k], lane) }
	z0, z1 := b.crown(f[0], lane), b.crown(f[1], lane)
	return z1 + (z1-z0)*(x(2)-x(1))/(x(1)-x(0)) - b.crown(f[2], lane)
}

// edge is the gap under a long straight edge laid along a lane: it rests on
// the two crowns that hold it up on either side of its middle.
func (b *bench) edge(lane float64) func(fret int) float64 {
	frets := b.frets()
	x := func(f int) float64 { return b.layout.LaneX(f, lane) }
	z := func(f int) float64 { return b.crown(f, lane) }
	middle := (x(frets[0]) + x(frets[len(frets)-1])) / 2
	best, at, slope := math.Inf(-1), 0.0, 0.0
	// The chord over the middle that is highest there lies on all crowns.
	for _, i := range frets {
		for _, j := range frets {
			if x(i) > middle || x(j) <= middle {
				continue
			}
			s := (z(j) - z(i)) / (x(j) - x(i))
			if h := z(i) + s*(middle-x(i)); h > best {
				best, at, slope = h, z(i)-s*x(i), s
			}
		}
	}
	return func(f int) float64 { return at + slope*x(f) - z(f) }
}

// leaves are the feelers on the bench, in mm.
func leaves() []float64 {
	return []float64{0.03, 0.04, 0.05, 0.06, 0.07, 0.08, 0.09, 0.10, 0.12, 0.15, 0.18, 0.20, 0.25, 0.30, 0.35, 0.40, 0.50, 0.60, 0.80, 1.00}
}

// feel is the thickest leaf that enters a gap, 0 for none, and the thinnest
// that does not. The hand is sd unsure.
func (b *bench) feel(gap, sd float64) (goes, noGo float64) {
	gap += b.normal(sd)
	for _, leaf := range leaves() {
		if leaf > gap {
			return goes, leaf
		}
		goes = leaf
	}
	return goes, 2 * goes
}

// sticks is how far a stick across the second fret leans against one across
// the first, treble end up, over a span.
func (b *bench) sticks(first, second int, span float64) float64 {
	last := float64(b.layout.Strings())
	lean := func(f int) float64 {
		return (b.crown(f, 1) - b.crown(f, last)) / (b.layout.At(f, 1).Y - b.layout.At(f, last).Y)
	}
	return (lean(second) - lean(first)) * span
}

// arch is how high the middle of a fret stands over two feet a span apart.
func (b *bench) arch(fret int, span float64) float64 {
	z := func(y float64) float64 { return b.crown(fret, b.laneAt(fret, y)) }
	return z(0) - (z(-span/2)+z(span/2))/2
}

// frame is how a probing machine's axes lie against the neck's.
type frame struct{ dx, dy, dz, tiltX, tiltY float64 }

func (b *bench) frame() frame {
	return frame{b.normal(0.1), b.normal(0.1), 40 + b.normal(1), b.normal(3e-4), b.normal(3e-4)}
}

// touch is a probe's touch on a crown, across mm off its line.
func (b *bench) touch(f frame, fret int, lane, across, sd float64) (x, y, z float64) {
	p := b.layout.At(fret, lane)
	r := b.model.Wire.Crown()
	x = p.X + across/b.layout.Squareness(fret)
	z = b.crown(fret, lane) - across*across/(r+math.Sqrt(r*r-across*across))
	z += f.dz + f.tiltX*x + f.tiltY*p.Y + b.normal(sd)
	return x + f.dx, p.Y + f.dy, z
}
