package wear

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
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

// lean is the cubic that shifts the parabola's deepest place along the lane: 0
// at the first crown, half-way and at the end, 1 mm at most.
func (l *lane) lean(endMM float64) []float64 {
	q := make([]float64, len(l.x))
	first := l.x[0]
	for i, x := range l.x {
		if t := (x - first) / (endMM - first); endMM > first && t < 1 {
			q[i] = 6 * math.Sqrt(3) * t * (1 - t) * (1 - 2*t)
		}
	}
	return q
}

// at is the bow's depth in a lane.
func (b Bow) at(t float64) float64 { return b.MM + b.perLane*t }

// freedom is what a bow may do beside being deep.
type freedom struct {
	leans bool // its deepest place lies off the middle
	turns bool // it differs from the treble to the bass side
}

// findBow looks for a bow common to the lanes that explains more than chance
// would, and whether it leans and turns.
func (n *neck) findBow(endsMM []float64) Bow {
	none := n.costs(Bow{})
	best, costs := Bow{}, none
	for _, end := range endsMM {
		start := n.startBow(end)
		if sum(none)-sum(n.costs(n.bowFrom(start, freedom{true, true}))) <= n.guard*n.guard {
			continue // not even the freest bow explains anything
		}
		b := n.bowFrom(start, freedom{})
		c := n.costs(b)
		var has freedom
		for _, more := range []freedom{{leans: true}, {turns: true}} {
			f := freedom{has.leans || more.leans, has.turns || more.turns}
			freer := n.bowFrom(start, f)
			if fc := n.costs(freer); n.explains(c, fc) {
				b, c, has = freer, fc, f
			}
		}
		if n.explains(none, c) && sum(c) < sum(costs) {
			best, costs = b, c
		}
	}
	best.significant = best.EndMM > 0
	if best.significant {
		best.TrebleMM, best.BassMM = best.at(n.lanes[0].t), best.at(n.lanes[len(n.lanes)-1].t)
	}
	return best
}

// explains reports whether a bow that lowers the lanes' costs so is believed:
// where even the half of the lanes that it helps least are helped more than by
// chance. Wear under the plain strings looks like a bow in those lanes alone.
func (n *neck) explains(without, with []float64) bool {
	gain := make([]float64, len(with))
	for i := range gain {
		gain[i] = without[i] - with[i]
	}
	slices.Sort(gain)
	half := max(1, len(gain)/2)
	return sum(gain) > n.guard*n.guard && sum(gain[:half]) > n.guard*n.guard/2
}

// costs is what a bow and the best lines leave, lane by lane.
func (n *neck) costs(b Bow) []float64 {
	c := make([]float64, len(n.lanes))
	for i := range n.lanes {
		l := &n.lanes[i]
		_, c[i] = l.steady(l.without(b))
	}
	return c
}

func sum(of []float64) (s float64) {
	for _, v := range of {
		s += v
	}
	return s
}

// without is the lane's change less a bow.
func (l *lane) without(b Bow) []float64 {
	c := slices.Clone(l.c)
	if b.EndMM == 0 {
		return c
	}
	q := l.lean(b.EndMM)
	for i, p := range l.shape(b.EndMM) {
		c[i] -= b.at(l.t)*p + b.lean*q[i]
	}
	return c
}

// startBow is the median of the lanes' own bows.
func (n *neck) startBow(endMM float64) Bow {
	var own []float64
	for i := range n.lanes {
		own = append(own, n.lanes[i].ownBow(endMM))
	}
	slices.Sort(own)
	return Bow{MM: (own[(len(own)-1)/2] + own[len(own)/2]) / 2, EndMM: endMM}
}

// bowFrom refines a bow by the weighted least squares of the crowns that set the
// lines, and those crowns by the bow, in turn.
func (n *neck) bowFrom(b Bow, f freedom) Bow {
	const settledMM = 1e-4 // far below what a gauge sees
	for range mostRounds {
		next := n.refineBow(b, f)
		settled := math.Abs(next.MM-b.MM)+math.Abs(next.lean-b.lean)+math.Abs(next.perLane-b.perLane) < settledMM
		if b = next; settled {
			break
		}
	}
	return b
}

// refineBow solves the bow from the crowns that set their lanes' lines: its
// depth, and where asked for how it leans along and turns across.
func (n *neck) refineBow(b Bow, f freedom) Bow {
	size := 1
	if f.leans {
		size++
	}
	if f.turns {
		size++
	}
	normal, right := mat.NewSymDense(size, nil), mat.NewVecDense(size, nil)
	row := make([]float64, size)
	for i := range n.lanes {
		l := &n.lanes[i]
		c := l.without(b)
		at, _ := l.steady(c)
		in := l.within(c, at)
		p, q := l.shape(b.EndMM), l.lean(b.EndMM)
		pl, ql, cl := l.weighted(p, in), l.weighted(q, in), l.weighted(l.c, in)
		for k, x := range l.x {
			if !in[k] {
				continue
			}
			row = append(row[:0], p[k]-pl.at(x)) // of the parabola beyond any line
			if f.leans {
				row = append(row, q[k]-ql.at(x))
			}
			if f.turns {
				row = append(row, row[0]*l.t)
			}
			w := 1 / (l.sigma[k] * l.sigma[k])
			normal.SymRankOne(normal, w, mat.NewVecDense(size, row))
			right.AddScaledVec(right, w*(l.c[k]-cl.at(x)), mat.NewVecDense(size, row))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(normal) || chol.Cond() > worstCondition {
		return b
	}
	var got mat.VecDense
	var cov mat.SymDense
	if chol.SolveVecTo(&got, right) != nil || chol.InverseTo(&cov) != nil {
		return b
	}
	b.MM, b.UMM = got.AtVec(0), math.Sqrt(cov.At(0, 0))
	b.lean, b.perLane = 0, 0
	if f.leans {
		b.lean = got.AtVec(1)
	}
	if f.turns {
		b.perLane = got.AtVec(size - 1)
	}
	return b
}

// worstCondition is how ill a bow may be determined before it is left alone.
const worstCondition = 1e10

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
					z := (l.c[q] - d*p[q] - a - slope*x) * l.weight[q]
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

// settle takes line and bow out of every lane's change. A fret's own movement
// has no part in the line.
func (n *neck) settle(b Bow) {
	for i := range n.lanes {
		l := &n.lanes[i]
		c := l.without(b)
		for k := range c {
			c[k] -= l.moved[k]
		}
		at, _ := l.steady(c)
		for k, x := range l.x {
			l.rest[k] = c[k] + l.moved[k] - at.at(x)
		}
		l.errors(l.within(c, at))
	}
}
