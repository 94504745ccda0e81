package board

import (
	"math"
)

// gapZone is what gaps between two leaves each say of a lane's zone.
type gapZone struct {
	least, most float64 // the zones that the leaves allow, mm
	// offChance is the chance that the zone is over the limit, at the least
	// favourable heights that the leaves allow.
	offChance float64
	surely    bool   // over the limit, whatever the heights in the leaves' steps
	three     [3]int // the gaps that make it so
}

// zoneOf gives the range of zones that gaps lo to hi at x allow, and holds it
// against limit. A straight edge's own line drops out of every second difference
//
//	d(i, k, j) = g_k − w·g_i − (1 − w)·g_j,  w = (x_j − x_k)/(x_j − x_i),
//
// and the zone is the largest |d|. Each |d| is largest at a corner of the box, so
// the largest zone is the largest corner; the least follows by Helly's theorem from
// the three gaps that exclude a narrower one. z is how many standard uncertainties
// the box is widened by before the zone is called over the limit. Cost: of the
// order of the cube of the gaps.
func (f feelers) zoneOf(x []float64, limit, z float64) gapZone {
	g := gapZone{}
	widened, margin := 0.0, math.Inf(1)
	for k := 1; k+1 < len(x); k++ {
		for i := range k {
			for j := k + 1; j < len(x); j++ {
				w := (x[j] - x[k]) / (x[j] - x[i])
				v := 1 - w
				up := f.hi[k] - w*f.lo[i] - v*f.lo[j] // the farthest the gap at k can stand over the chord
				down := w*f.hi[i] + v*f.hi[j] - f.lo[k]
				g.most = math.Max(g.most, math.Max(up, down))
				g.least = math.Max(g.least, math.Max(-up, -down))
				u := math.Sqrt(f.u[k]*f.u[k] + w*w*f.u[i]*f.u[i] + v*v*f.u[j]*f.u[j])
				margin = math.Min(margin, (limit-math.Max(up, down))/u)
				if sure := math.Max(-up, -down) - z*(f.u[k]+w*f.u[i]+v*f.u[j]); sure > widened {
					widened, g.three = sure, [3]int{i, k, j}
				}
			}
		}
	}
	g.offChance, g.surely = beyond(margin, 1), widened > limit
	return g
}

// beyond is the chance that a normal error of standard deviation u exceeds margin.
func beyond(margin, u float64) float64 {
	if u <= 0 {
		if margin < 0 {
			return 1
		}
		return 0
	}
	return 0.5 * math.Erfc(margin/(u*math.Sqrt2))
}

// quantile is how many standard deviations a normal error exceeds with chance p.
func quantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(1-2*p) }
