package straight

import (
	"cmp"
	"math"
	"slices"

	"ringtrue/internal/num"
)

// leastOfTies is the line of least squares among those that tie. The
// least-squares line of all is taken out already, so it is (0, 0), and the sum
// of squares of any other is Σ(z)² + n·a² + Sxx·b²: scale a and b and it is a
// distance from the origin.
func (f *fit) leastOfTies(ties []line) line {
	if len(ties) == 1 {
		return ties[0]
	}
	sxx := 0.0
	for _, xi := range f.x {
		sxx += xi * xi
	}
	sa, sb := math.Sqrt(float64(len(f.x))), math.Sqrt(sxx)
	var points [][2]float64
	for _, l := range ties {
		points = appendNew(points, [2]float64{l.a * sa, l.b * sb})
	}
	p := nearest(points)
	return line{p[0] / sa, p[1] / sb}
}

// sameShare is how near two corners lie, beside their distance from the origin,
// to be one: a corner is found once from each crown on it, each time with
// rounding of its own, which would spoil the ring.
const sameShare = 1e-8

// appendNew appends a point that is not there yet.
func appendNew(points [][2]float64, p [2]float64) [][2]float64 {
	for _, q := range points {
		if math.Hypot(p[0]-q[0], p[1]-q[1]) <= sameShare*math.Hypot(q[0], q[1]) {
			return points
		}
	}
	return append(points, p)
}

// nearest is the point nearest to the origin in the convex hull of points.
func nearest(points [][2]float64) [2]float64 {
	if len(points) == 1 {
		return points[0]
	}
	around := ring(points)
	if inside(around) {
		return [2]float64{}
	}
	best := around[0]
	for i, p := range around {
		q := around[(i+1)%len(around)]
		c := onSegment(p, q)
		if math.Hypot(c[0], c[1]) < math.Hypot(best[0], best[1]) {
			best = c
		}
	}
	return best
}

// ring is the convex hull of points, which it sorts, counter-clockwise. Points may
// share an abscissa here, so it does its own turning.
func ring(points [][2]float64) [][2]float64 {
	slices.SortFunc(points, func(p, q [2]float64) int {
		return cmp.Or(cmp.Compare(p[0], q[0]), cmp.Compare(p[1], q[1]))
	})
	half := func(points [][2]float64) [][2]float64 {
		var h [][2]float64
		for _, p := range points {
			for len(h) >= 2 && num.Turn(h[len(h)-2], h[len(h)-1], p) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, p)
		}
		return h
	}
	lower := half(points)
	back := slices.Clone(points)
	slices.Reverse(back)
	upper := half(back)
	return append(lower[:len(lower)-1], upper[:len(upper)-1]...)
}

// inside tells whether the origin lies in a counter-clockwise ring.
func inside(around [][2]float64) bool {
	if len(around) < 3 {
		return false
	}
	for i, p := range around {
		if num.Turn(p, around[(i+1)%len(around)], [2]float64{}) < 0 {
			return false
		}
	}
	return true
}

// onSegment is the point of the segment p–q nearest to the origin.
func onSegment(p, q [2]float64) [2]float64 {
	dx, dy := q[0]-p[0], q[1]-p[1]
	d := dx*dx + dy*dy
	if d == 0 {
		return p
	}
	t := math.Min(1, math.Max(0, -(p[0]*dx+p[1]*dy)/d))
	return [2]float64{p[0] + t*dx, p[1] + t*dy}
}
