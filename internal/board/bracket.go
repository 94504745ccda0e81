package board

import "ringtrue/internal/straight"

// gapZone is what one pass of feelers says of a lane's zone, in mm.
type gapZone struct {
	straight.Range         // the zones that the leaves allow, the hand's uncertainty apart
	offChance      float64 // that the zone is over the limit, at the least favourable heights that the leaves allow
	sureMM         float64 // it is surely this at least, whatever the heights, all lanes together
}

// zoneOf judges the gaps at x of one of so many lanes. The edge may rest beside
// the slots read, so nothing is taken for touching.
func zoneOf(x []float64, gaps []gap, limit float64, lanes int) (gapZone, error) {
	b := brackets(x, gaps)
	r, err := b.Range()
	if err != nil {
		return gapZone{}, err
	}
	c, err := straight.NewContrasts(x)
	if err != nil {
		return gapZone{}, err
	}
	if err := c.AddBrackets(b, nil); err != nil {
		return gapZone{}, err
	}
	sure := c.Range() // each end at 95 %
	g := gapZone{Range: r}
	g.offChance = straight.Beyond(limit-r.LargestMM, (sure.LargestMM-r.LargestMM)/straight.UpperPoint(doubtful))
	// The least zone falls with the uncertainty as a convex function, so that the
	// line through two of its points lies below it farther on.
	one, all := straight.UpperPoint(doubtful/2/float64(len(x))), straight.UpperPoint(doubtful/2/float64(len(x)*lanes))
	g.sureMM = r.LeastMM - (r.LeastMM-sure.LeastMM)*all/one
	return g, nil
}
