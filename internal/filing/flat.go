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
// under its top cuts off, mm². Shallow ones by their series, ∫ 2√(2rt)·√(1−t/2r) dt:
// the closed form loses its digits there and costs ten times as much.
func segment(r, d float64) float64 {
	if d <= 0 {
		return 0
	}
	d = min(d, r)
	if u := d / (2 * r); u < shallow {
		sum := 1/1.5 - u*(0.5/2.5+u*(0.125/3.5+u*(0.0625/4.5+u*(5.0/128/5.5+u*(7.0/256/6.5+u*(21.0/1024/7.5))))))
		return 2 * d * math.Sqrt(2*r*d) * sum
	}
	return r*r*math.Acos(1-d/r) - (r-d)*math.Sqrt(d*(2*r-d))
}

// shallow is the depth, in diameters, to which the series holds to 1e-10.
const shallow = 0.04

// sunk is the depth at which segment is an area: Newton's steps from what the
// first terms of its series say.
func sunk(r, area float64) float64 {
	if area <= 0 {
		return 0
	}
	d := min(math.Cbrt(area*area*9/(32*r)), r) // area = 4/3·√(2r)·d^1.5
	q := d / r
	d = min(d*(1+q*(0.1+q*0.03143)), r)
	for range 12 {
		step := (segment(r, d) - area) / (2 * math.Sqrt(d*(2*r-d)))
		if d -= step; math.Abs(step) <= 1e-5*d { // the next would be of the order of its square
			break
		}
	}
	return min(d, r)
}
