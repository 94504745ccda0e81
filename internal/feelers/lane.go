package feelers

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Input is what is judged.
type Input struct {
	Layout        *geometry.Layout
	Readings      []reading.Reading // as the estimate was made from, see reading.WithLeaves
	Estimate      *heights.Estimate
	CrownRadiusMM float64
	// Straight takes lanes without the neck's shape, as those of a bare board.
	Straight bool
}

// Lane is what is known of a lane in which brackets have a part.
type Lane struct {
	// Range is the least and the largest zone that the brackets and whatever
	// else was read allow, each at 95 %, in mm; the least without crowns that no
	// reading of their own is left of.
	Range straight.Range
	// U is the standard uncertainty of each of the estimate's crowns in the free
	// datum, in mm: what all brackets may be wrong by together, over √3, joined
	// with the noise.
	U []float64
	// Open says that a crown has no reading of its own left: the lane may be
	// called not level, but never level.
	Open bool

	sets *sets
}

// touched is how far the brackets of other lanes must reach into a lane, mm,
// for it to be judged by them.
const touched = 2e-4

// Of judges the lanes of an estimate; nil for a lane in which brackets have no
// part, and no lane at all where no reading is a bracket.
//
// Cost: where other gauges read crowns too, a second estimate without the
// brackets; for each lane the cube of its crowns.
func Of(in Input) ([]*Lane, error) {
	aside := map[int]bool{}
	for _, m := range in.Estimate.Misreads {
		aside[m.Reading] = true
	}
	s := sortReadings(in.Layout, in.Readings, aside)
	parts := partsOf(in.Estimate, s)
	if len(parts) == 0 {
		return nil, nil
	}
	beside := besides(in, s.others)
	out := make([]*Lane, len(in.Estimate.Lanes))
	for k := range in.Estimate.Lanes {
		l, err := in.lane(k, s, parts, beside)
		if err != nil {
			return nil, err
		}
		out[k] = l
	}
	return out, nil
}

// besides is the estimate from the readings that are no brackets, by lane.
// Where these contradict each other beyond repair there is none.
func besides(in Input, others []reading.Reading) map[float64]heights.Lane {
	out := map[float64]heights.Lane{}
	tells := false
	for _, r := range others {
		s := r.Method.Spec()
		tells = tells || s.WholeLane || s.Rank > 0 && r.Value > 0
	}
	if !tells {
		return out
	}
	e, err := heights.From(heights.Input{Layout: in.Layout, Readings: others, CrownRadiusMM: in.CrownRadiusMM})
	if err != nil {
		return out
	}
	for _, l := range e.Lanes {
		out[l.Lane] = l
	}
	return out
}

// lane judges lane k of the estimate.
func (in Input) lane(k int, s sorted, parts []part, beside map[float64]heights.Lane) (*Lane, error) {
	h := in.Estimate.Lanes[k]
	g := reach(in.Estimate, k, parts)
	half, extra := halves(parts)
	cov := noiseLeft(h.Cov, g, extra)
	u, most := spread(cov, g, half)
	own := newSets(in, h, s)
	if !own.any() && most < touched {
		return nil, nil
	}
	l := &Lane{U: u, sets: own}
	for _, read := range h.Read {
		l.Open = l.Open || !read
	}
	joint := straight.Estimate{Z: own.less(h.Z), Cov: cov, Reach: g, Half: half}
	other, read := beside[h.Lane]
	switch {
	case own.unlike:
		// The edge's own shape is estimated, but was not taken out of this lane's
		// gaps by turning: the estimate, wider by all that the gaps leave.
		joint.Reach, joint.Half, l.U = own.asReach(cov)
		own.passes = nil
		own.estimates = []straight.Estimate{joint}
	case read:
		own.estimates = []straight.Estimate{own.beside(other), joint}
	case own.whole() < 0:
		own.estimates = []straight.Estimate{joint}
	default:
		// The middle of a crown's own range would do as well, but scatters more:
		// neighbouring lanes inform the estimate.
		within, err := own.within(h.Z)
		if err != nil {
			return nil, err
		}
		for i, u := range within {
			l.U[i] = math.Min(l.U[i], u)
		}
	}
	var err error
	if l.Range, err = own.zone(nil); err == nil && l.Open {
		l.Range.LeastMM, err = own.without(h.Read)
	}
	return l, err
}

// asReach makes each crown move with its own gap alone.
func (s *sets) asReach(cov *mat.SymDense) (g *mat.Dense, half, u []float64) {
	n := len(s.x)
	g, half, u = mat.NewDense(n, n, nil), make([]float64, n), make([]float64, n)
	for i := range n {
		g.Set(i, i, -1)
		for _, p := range s.passes {
			if at := p.at[i]; at >= 0 {
				half[i] = math.Max(half[i], (p.Hi[at]-p.Lo[at])/2)
			}
		}
		u[i] = math.Sqrt(cov.At(i, i) + half[i]*half[i]/3)
	}
	return g, half, u
}
