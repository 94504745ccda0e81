package level

import (
	"fmt"
	"math"
	"slices"
)

// InfeasibleError says that a lane cannot be brought into the zone without
// taking more off some crown than it may lose: the crowns of Frets alone rule
// every target line out. Refitting one of them is the way.
type InfeasibleError struct {
	Lane  float64
	Frets []int // ascending
}

// Error names the lane and the frets.
func (e *InfeasibleError) Error() string {
	return fmt.Sprintf("lane %v: the crowns of frets %v cannot be brought into the zone with the metal they have", e.Lane, e.Frets)
}

// LeastWithin is Least with the condition that no crown loses more than it may:
// mostMM has an entry ≥ 0 for every crown of every lane, in their order, +Inf
// for no limit.
//
// The target then also stays above d − most at every crown, which leaves one
// interval of slopes; the cost being convex, its best slope is the free one or
// the nearer end. Errors as Least, and an *InfeasibleError. Cost: order n² a
// lane.
func LeastWithin(lanes []Lane, zoneMM float64, mostMM [][]float64) (Plan, error) {
	if err := check(lanes, zoneMM); err != nil {
		return Plan{}, err
	}
	if len(mostMM) != len(lanes) {
		return Plan{}, ErrLength
	}
	var w work
	p := Plan{Lanes: make([]LanePlan, len(lanes))}
	for i, l := range lanes {
		if len(mostMM[i]) != len(l.X) {
			return Plan{}, fmt.Errorf("lane %v: %w", l.Lane, ErrLength)
		}
		for k, m := range mostMM[i] {
			if !(m >= 0) {
				return Plan{}, fmt.Errorf("lane %v, fret %d: most to remove %v mm: %w", l.Lane, l.Frets[k], m, ErrNotFinite)
			}
		}
		b := w.line(l.X, l.D, zoneMM).B
		least, most, err := l.slopes(zoneMM, mostMM[i])
		if err != nil {
			return Plan{}, err
		}
		b = math.Min(math.Max(b, least), most)
		p.Lanes[i] = l.filed(l.highest(b, zoneMM))
	}
	p.sum()
	return p, nil
}

// highest is the highest line of slope b that leaves no crown below the zone.
func (l Lane) highest(b, zoneMM float64) Line {
	a := math.Inf(1)
	for i, x := range l.X {
		a = math.Min(a, l.D[i]+zoneMM-b*x)
	}
	return Line{A: a, B: b}
}

// slopes is the interval of slopes at which some line leaves every crown no more
// than the zone below it and takes no more than it may: for crowns i and j,
// b·(x_i − x_j) ≥ (d_i − most_i) − (d_j + zone).
func (l Lane) slopes(zoneMM float64, most []float64) (low, high float64, err error) {
	low, high = math.Inf(-1), math.Inf(1)
	var lows, highs [2]int
	for i, x := range l.X {
		for j, xj := range l.X {
			if i == j {
				continue
			}
			b := (l.D[i] - most[i] - l.D[j] - zoneMM) / (x - xj)
			if x > xj && b > low {
				low, lows = b, [2]int{i, j}
			} else if x < xj && b < high {
				high, highs = b, [2]int{i, j}
			}
		}
	}
	if low <= high {
		return low, high, nil
	}
	if span := l.X[len(l.X)-1] - l.X[0]; (low-high)*span < nothingMM {
		mid := (low + high) / 2 // they meet but for rounding
		return mid, mid, nil
	}
	var frets []int
	for _, i := range append(lows[:], highs[:]...) {
		frets = append(frets, l.Frets[i])
	}
	slices.Sort(frets)
	return 0, 0, &InfeasibleError{Lane: l.Lane, Frets: slices.Compact(frets)}
}
