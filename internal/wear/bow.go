package wear

import (
	"math"
	"slices"
)

// shape is the parabola of depth 1 mm at the lane's crowns: 0 at its first crown
// and at the end, −1 half-way between, 0 beyond the end.
func (l *lane) shape(endMM float64) []float64 {
	p := make([]float64, len(l.x))
	first := l.x[0]
	for i, x := range l.x {
		if t := (x - first) / (endMM - first); endMM > first && t < 1 {
			p[i] = -4 * t * (1 - t)
		}
	}
	return p
}

// at is the bow's depth in a lane.
func (b Bow) at(t float64) float64 { return b.MM + b.perLane*t }

// findBow looks for a bow common to the lanes that explains more than chance
// would, and whether it differs from the treble to the bass side.
func (n *neck) findBow(endsMM []float64) Bow {
	none := n.cost(Bow{})
	best, cost := Bow{}, none
	for _, end := range endsMM {
		b := n.bowTo(end, false)
		c := n.cost(b)
		if none-c < n.guard*n.guard || c >= cost {
			continue
		}
		best, cost = b, c
		turned := n.bowTo(end, true)
		if c := n.cost(turned); cost-c > n.guard*n.guard {
			best, cost = turned, c
		}
	}
	best.significant = best.EndMM > 0
	if best.significant {
		best.TrebleMM, best.BassMM = best.at(n.lanes[0].t), best.at(n.lanes[len(n.lanes)-1].t)
	}
	return best
}

// cost is what a bow and the best lines leave.
func (n *neck) cost(b Bow) (sum float64) {
	for i := range n.lanes {
		l := &n.lanes[i]
		_, c := l.steady(l.without(b))
		sum += c
	}
	return sum
}

// without is the lane's change less a bow.
func (l *lane) without(b Bow) []float64 {
	c := slices.Clone(l.c)
	if b.EndMM == 0 {
		return c
	}
	for i, p := range l.shape(b.EndMM) {
		c[i] -= b.at(l.t) * p
	}
	return c
}

// bowTo is the best bow that ends at a place: from the median of the lanes' own
// bows, refined by the weighted least squares of the crowns that set the lines.
func (n *neck) bowTo(endMM float64, turned bool) Bow {
	var own []float64
	for i := range n.lanes {
		own = append(own, n.lanes[i].ownBow(endMM))
	}
	slices.Sort(own)
	b := Bow{MM: (own[(len(own)-1)/2] + own[len(own)/2]) / 2, EndMM: endMM}
	const settledMM = 1e-5 // far below what a gauge sees
	for range mostRounds {
		next := n.refineBow(b, turned)
		settled := math.Abs(next.MM-b.MM)+math.Abs(next.perLane-b.perLane) < settledMM
		if b = next; settled {
			break
		}
	}
	return b
}

// refineBow solves the bow's depth, and how it turns across, from the crowns
// that set their lanes' lines.
func (n *neck) refineBow(b Bow, turned bool) Bow {
	var s, st, stt, y, yt float64
	for i := range n.lanes {
		l := &n.lanes[i]
		c := l.without(b)
		at, _ := l.steady(c)
		in := l.within(c, at)
		p := l.shape(b.EndMM)
		pl, cl := l.weighted(p, in), l.weighted(l.c, in)
		for k, x := range l.x {
			if !in[k] {
				continue
			}
			w := 1 / (l.sigma[k] * l.sigma[k])
			rest := p[k] - pl.at(x) // of the parabola beyond any line
			s, st, stt = s+w*rest*rest, st+w*rest*rest*l.t, stt+w*rest*rest*l.t*l.t
			d := w * rest * (l.c[k] - cl.at(x))
			y, yt = y+d, yt+d*l.t
		}
	}
	det := s*stt - st*st
	switch {
	case s == 0:
		return b
	case turned && det > 1e-9*s*s:
		b.MM, b.perLane = (stt*y-st*yt)/det, (s*yt-st*y)/det
		b.UMM = math.Sqrt(stt / det)
	default:
		b.MM, b.perLane, b.UMM = y/s, 0, math.Sqrt(1/s)
	}
	return b
}

// ownBow is a lane's own bow: the parabola through three crowns with the least
// truncated squares.
func (l *lane) ownBow(endMM float64) (depth float64) {
	p := l.shape(endMM)
	least := math.Inf(1)
	for i := range l.x {
		for j := range i {
			for m := range j {
				w := (l.x[j] - l.x[m]) / (l.x[i] - l.x[m])
				bend := p[j] - p[m] - w*(p[i]-p[m])
				if math.Abs(bend) < 0.05 { // three crowns too near to each other
					continue
				}
				d := (l.c[j] - l.c[m] - w*(l.c[i]-l.c[m])) / bend
				slope := ((l.c[i] - d*p[i]) - (l.c[m] - d*p[m])) / (l.x[i] - l.x[m])
				a := l.c[i] - d*p[i] - slope*l.x[i]
				sum := 0.0
				for q, x := range l.x {
					z := (l.c[q] - d*p[q] - a - slope*x) / l.sigma[q]
					if sum += math.Min(z*z, lineCut*lineCut); sum >= least {
						break
					}
				}
				if sum < least {
					depth, least = d, sum
				}
			}
		}
	}
	return depth
}

// settle takes line and bow out of every lane's change.
func (n *neck) settle(b Bow) {
	for i := range n.lanes {
		l := &n.lanes[i]
		c := l.without(b)
		at, _ := l.steady(c)
		for k, x := range l.x {
			l.rest[k] = c[k] - at.at(x)
		}
		l.errors(l.within(c, at))
	}
}
