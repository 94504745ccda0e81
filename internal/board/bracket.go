package board

import (
	"math"

	"ringtrue/internal/straight"
)

// gapZone is what one pass of feelers says of a lane's zone, in mm.
type gapZone struct {
	straight.Range         // the zones that the leaves allow, the hand's uncertainty apart
	offChance      float64 // that the zone is over the limit, at the least favourable heights that the leaves allow
	sureMM         float64 // it is surely this at least, whatever the heights, all lanes together
}

// zoneOf judges the gaps at x of one of so many lanes. The edge may rest beside
// the slots read, so nothing is taken for touching.
func (f feelers) zoneOf(x []float64, limit float64, lanes int) (gapZone, error) {
	b := straight.Brackets{X: x, Lo: f.lo, Hi: f.hi, U: f.u}
	r, err := b.Range()
	if err != nil {
		return gapZone{}, err
	}
	c, err := straight.NewContrasts(x)
	if err != nil {
		return gapZone{}, err
	}
	every := make([]int, len(x))
	for i := range every {
		every[i] = i
	}
	if err := c.AddBrackets(b, every); err != nil {
		return gapZone{}, err
	}
	sure := c.Range() // each end at 95 %
	g := gapZone{Range: r}
	g.offChance = beyond(limit-r.LargestMM, (sure.LargestMM-r.LargestMM)/quantile(doubtful))
	// The least zone falls with the uncertainty as a convex function, so that the
	// line through two of its points lies below it farther on.
	one, all := quantile(doubtful/2/float64(len(x))), quantile(doubtful/2/float64(len(x)*lanes))
	g.sureMM = r.LeastMM - (r.LeastMM-sure.LeastMM)*all/one
	return g, nil
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
