package filing

import (
	"math"

	"ringtrue/internal/level"
)

// Depth is how much came off the top of a round crown of a radius where a flat of
// a width is seen: r − √(r² − w²/4), mm. A width of the whole crown or more gives
// the radius. It is the other way round what level.FlatWidth gives.
func Depth(radiusMM, widthMM float64) float64 {
	if widthMM <= 0 || radiusMM <= 0 {
		return 0
	}
	half := math.Min(widthMM/2, radiusMM)
	return half * half / (radiusMM + math.Sqrt(radiusMM*radiusMM-half*half)) // no difference of near numbers
}

// flatFor is the width that this hand takes a depth for.
func (h *Hand) flatFor(depthMM float64) float64 {
	return level.FlatWidth(h.RadiusMM, depthMM/h.deeper())
}

// depthOf is what has come off where this hand sees a width.
func (h *Hand) depthOf(widthMM float64) float64 { return Depth(h.RadiusMM, widthMM) * h.deeper() }

func (h *Hand) deeper() float64 {
	if h.Deeper > 0 {
		return h.Deeper
	}
	return 1
}

// UDepth is the standard uncertainty of Depth by that of the width seen, uWidthMM,
// and that of the radius, uRadiusMM, mm: GUM 5.1.2.
func UDepth(radiusMM, widthMM, uWidthMM, uRadiusMM float64) float64 {
	half := math.Min(widthMM/2, radiusMM)
	root := math.Sqrt(radiusMM*radiusMM - half*half)
	if root == 0 {
		return math.Inf(1)
	}
	return math.Hypot(half*uWidthMM/(2*root), (radiusMM/root-1)*uRadiusMM)
}

// segment is the area of the part of a circle of radius r that a chord at depth d
// under its top cuts off, mm².
func segment(r, d float64) float64 {
	if d <= 0 {
		return 0
	}
	d = math.Min(d, r)
	if q := d / r; q < 1e-3 { // the series: the closed form loses all its digits
		return 4.0 / 3 * d * math.Sqrt(2*r*d) * (1 - q*(3.0/20+q*3.0/224))
	}
	return r*r*math.Acos(1-d/r) - (r-d)*math.Sqrt(d*(2*r-d))
}

// sunk is the depth at which segment is an area: Newton's steps from what the
// leading term of its series says.
func sunk(r, area float64) float64 {
	if area <= 0 {
		return 0
	}
	d := math.Cbrt(area * area * 9 / (32 * r)) // area = 4/3·√(2r)·d^1.5
	for range 8 {
		chord := 2 * math.Sqrt(d*(2*r-d))
		step := (segment(r, d) - area) / chord
		if d -= step; math.Abs(step) <= 1e-14*d {
			break
		}
	}
	return math.Min(d, r)
}
