package relief

import (
	"errors"
	"math"

	"ringtrue/internal/heights"
	"ringtrue/internal/num"
)

// How far the theory may be off, as standard deviations of one factor on every bend.
const (
	// theoryDoubt: one piece of wood against its species' mean is 0.22 (Wood Handbook
	// FPL-GTR-190, table 5-6, from memory), less what the board evens out.
	theoryDoubt = 0.2
	// apartDoubt is how far necks of one model lie from their own mean, taken from two
	// necks' worth of evidence: an estimate, which pairs replace.
	apartDoubt  = 0.1
	apartWeight = 2
	// leastDoubt is the least that a pair's factor is uncertain by.
	leastDoubt = 0.001
)

// Factor is what the theory's bends are to be multiplied by.
type Factor struct {
	Mean  float64 `json:"mean"`   // of necks of this model
	UMean float64 `json:"u_mean"` // standard uncertainty of Mean
	UNext float64 `json:"u_next"` // of one neck's own factor, not read yet
	Pairs int     `json:"pairs"`  // that it rests on; 0: the theory alone
}

// Theory is the factor without any pair.
func Theory() Factor {
	return Factor{Mean: 1, UMean: math.Sqrt(theoryDoubt*theoryDoubt - apartDoubt*apartDoubt), UNext: theoryDoubt}
}

// Pair is one neck read slack and strung, the rod left alone between: the factor that its
// own change of shape gives, and its standard uncertainty.
type Pair struct{ Factor, U float64 }

// OneNeck puts what one neck was read several times into one pair, each weighted by its
// doubt; of no pairs there is none. It is no surer than its surest reading: they share a
// neck, often the readings slack, so their errors hang together; nor than they agree.
func OneNeck(pairs []Pair) []Pair {
	if len(pairs) < 2 {
		return pairs
	}
	var weight, sum, square float64
	least := math.Inf(1)
	for _, p := range pairs {
		w := 1 / (p.U * p.U)
		weight, sum, least = weight+w, sum+w*p.Factor, math.Min(least, p.U)
	}
	mean := sum / weight
	for _, p := range pairs {
		square += (p.Factor - mean) * (p.Factor - mean) / (p.U * p.U)
	}
	return []Pair{{mean, math.Max(least, math.Sqrt(square/weight))}}
}

// Learn puts pairs of one model's necks, one a neck (OneNeck), together with the theory, each with the weight of
// its doubt: the mean of normal values of unknown scatter between necks, with N(1, 0.2²)
// as the prior of a neck, so that the theory counts for less with each pair.
func Learn(pairs []Pair) Factor {
	prior := Theory()
	if len(pairs) == 0 {
		return prior
	}
	plain := 0.0
	for _, p := range pairs {
		plain += p.Factor / float64(len(pairs))
	}
	squares := apartWeight * apartDoubt * apartDoubt
	for _, p := range pairs {
		squares += math.Max(0, (p.Factor-plain)*(p.Factor-plain)-p.U*p.U)
	}
	apart := squares / float64(apartWeight+len(pairs)-1)
	weight := 1 / (prior.UMean * prior.UMean)
	sum := weight * prior.Mean
	for _, p := range pairs {
		w := 1 / (p.U*p.U + apart)
		weight, sum = weight+w, sum+w*p.Factor
	}
	return Factor{Mean: sum / weight, UMean: math.Sqrt(1 / weight), UNext: math.Sqrt(1/weight + apart), Pairs: len(pairs)}
}

// ErrNoPair says that two sets of readings do not tell how far a neck bent.
var ErrNoPair = errors.New("the two sets share no lane with four crowns up to the joint")

// PairOf is what a neck's crowns slack and strung say: in each lane that both have, the
// change less a straight line, regressed on the theory's. The doubt is the readings' or,
// where the change follows the theory worse than they explain, that misfit's.
func (n *Neck) PairOf(slack, strung []heights.Lane) (Pair, error) {
	var weight, sum float64
	for _, a := range slack {
		for _, b := range strung {
			if a.Lane != b.Lane {
				continue
			}
			if f, u, ok := n.laneFactor(a, b); ok {
				weight, sum = weight+1/(u*u), sum+f/(u*u)
			}
		}
	}
	if weight == 0 {
		return Pair{}, ErrNoPair
	}
	return Pair{sum / weight, math.Sqrt(1 / weight)}, nil
}

// laneFactor regresses one lane's change on the theory's bend.
func (n *Neck) laneFactor(a, b heights.Lane) (f, u float64, ok bool) {
	var x, d, v []float64
	var at [][2]int
	for i, fret := range a.Frets {
		for k, other := range b.Frets {
			if fret == other {
				x, d = append(x, a.X[i]), append(d, b.Z[k]-a.Z[i])
				v, at = append(v, n.ByStrings(n.Layout.At(fret, a.Lane).X)), append(at, [2]int{i, k})
			}
		}
	}
	if len(x) < 4 {
		return 0, 0, false
	}
	num.Detrend(x, d)
	num.Detrend(x, v)
	var vv, vd, variance, misfit float64
	for i := range v {
		vv, vd = vv+v[i]*v[i], vd+v[i]*d[i]
	}
	if vv == 0 {
		return 0, 0, false
	}
	f = vd / vv
	for i, p := range at {
		r := d[i] - f*v[i]
		misfit += r * r
		for k, q := range at {
			variance += v[i] * v[k] * (a.Cov.At(p[0], q[0]) + b.Cov.At(p[1], q[1]))
		}
	}
	misfit /= float64(len(v)-3) * vv
	return f, math.Max(leastDoubt, math.Sqrt(math.Max(variance/(vv*vv), misfit))), true
}

// Widen adds the bow's doubt to the covariance of crowns read strung.
func (b Bow) Widen(lanes []heights.Lane) {
	for _, l := range lanes {
		g := b.Doubt(l.Lane, l.Frets)
		num.Detrend(l.X, g)
		for i := range g {
			for k := i; k < len(g); k++ {
				l.Cov.SetSym(i, k, l.Cov.At(i, k)+g[i]*g[k])
			}
		}
	}
}
