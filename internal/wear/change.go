package wear

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Crown is a crown as the readings of one stage tell it. Errors of different
// lanes are taken as independent.
type Crown struct {
	Fret     int
	Lane     float64
	XMM      float64 // along the lane, from its nut line
	HeightMM float64 // up to a straight line of its lane
	UMM      float64 // standard uncertainty, zero mean and slope of the lane's errors
}

// Verdict is what is said of a crown or a fret.
type Verdict string

// The verdicts on a change.
const (
	Worn      Verdict = "worn"      // lower in single lanes
	Moved     Verdict = "moved"     // the fret rose, or sank alike in every lane
	Raised    Verdict = "raised"    // higher in a single lane: dirt, a burr, a misreading
	Unchanged Verdict = "unchanged" // within noise, and within the limit
	InDoubt   Verdict = "in doubt"
)

// Options are what a comparison is asked for.
type Options struct {
	// Confidence, 0.5 to 0.9999: on a neck that did not change, no crown at all
	// is called changed with this probability.
	Confidence float64
	// LimitMM is the change that `unchanged` rules out; a whole fret has moved
	// where one of its ends did by half of it.
	LimitMM float64
	// BowEndsMM are the places along the lanes at which a bow may end (the last
	// fret, the body joint); none: no bow is taken out.
	BowEndsMM []float64
}

// Change is one crown's change from the first stage to the second.
type Change struct {
	Fret    int
	Lane    float64
	MM      float64 // up positive; from the lane's line, without the common bow
	UMM     float64 // √(u₁² + u₂²)
	Verdict Verdict
}

// Bow is a smooth change alike in the lanes: relief that came or went.
type Bow struct {
	MM          float64 // its depth on the centre line, hollow positive
	UMM         float64
	TrebleMM    float64 // in the first and in the last lane compared
	BassMM      float64
	EndMM       float64 // where it ends, along the lanes
	perLane     float64 // depth added over all lanes, from treble to bass
	lean        float64 // of the cubic that moves the deepest place
	significant bool
}

// Result is what changed.
type Result struct {
	Changes []Change // by lane and fret
	Frets   []Fret   // those that moved or are worn, lowest first
	Bow     *Bow     // nil where none is beyond noise
	Guard   float64  // standard uncertainties beyond which a crown has changed
	Alone   []Place  // crowns that only one stage tells, or lanes too short
}

// Place is a fret in a lane.
type Place struct {
	Fret int
	Lane float64
}

// Errors of Compare.
var (
	ErrNothing = errors.New("no lane has three crowns that both stages tell")
	ErrOptions = errors.New("no such comparison")
)

// judgings is how often frets that moved are taken out of the lines and all is
// judged again: wear at one end and a rise at the other look like a tilt in one
// lane, but a rise shows in every lane.
const judgings = 4

// leastCrowns is how many crowns a lane needs: two set the line.
const leastCrowns = 3

// Compare tells what changed between two sets of crowns of one neck.
//
// ErrNothing: too few crowns in common. ErrOptions: a confidence outside 0.5 to
// 0.9999, or no limit. Crowns are left as they are; their order does not matter.
// Accuracy: the rate of false verdicts is shown by TestCompare_FalseAlarms.
// Cost: the cube of the frets times the lanes.
func Compare(before, after []Crown, o Options) (*Result, error) {
	if !(o.Confidence >= 0.5 && o.Confidence <= 0.9999) || !(o.LimitMM > 0) {
		return nil, fmt.Errorf("%w: confidence %g, limit %g mm", ErrOptions, o.Confidence, o.LimitMM)
	}
	n, err := pair(before, after)
	if err != nil {
		return nil, err
	}
	if len(n.lanes) == 0 {
		return nil, ErrNothing
	}
	n.guard = guard(o.Confidence, n.count())
	for i := range n.lanes {
		n.lanes[i].prepare()
	}
	b := n.findBow(o.BowEndsMM)
	r := &Result{Guard: n.guard, Alone: n.alone}
	if b.significant {
		r.Bow = &b
	}
	for range judgings {
		n.settle(b)
		r.Frets = n.judge(o)
		if !n.noteMoves(r.Frets) {
			break
		}
	}
	for _, l := range n.lanes {
		for i, f := range l.frets {
			r.Changes = append(r.Changes, Change{f, l.lane, l.rest[i], l.u[i], l.verdict[i]})
		}
	}
	return r, nil
}

// guard is how many standard uncertainties the largest of n errors of a normal
// stays within, with the given probability (Šidák).
func guard(confidence float64, n int) float64 {
	p := -math.Expm1(math.Log(confidence) / float64(n))
	return distuv.UnitNormal.Quantile(1 - p/2)
}

// neck is a comparison under way.
type neck struct {
	lanes []lane // ascending
	guard float64
	alone []Place
}

// lane is the change of one lane's crowns.
type lane struct {
	lane  float64
	t     float64 // across: −0.5 in the first lane compared, 0.5 in the last
	frets []int
	x, c  []float64 // place and change, mm
	u     []float64 // of the change in the free datum
	sigma []float64 // of the change itself

	weight []float64 // 1/σ

	moved   []float64 // of the change, what its fret moved
	rest    []float64 // change less line and bow
	err     []float64 // its standard deviation: of a crown off the line, of that line too
	verdict []Verdict
}

func (n *neck) count() (crowns int) {
	for _, l := range n.lanes {
		crowns += len(l.frets)
	}
	return crowns
}

// pair joins the crowns that both stages tell.
func pair(before, after []Crown) (*neck, error) {
	first, err := byPlace(before)
	if err != nil {
		return nil, err
	}
	second, err := byPlace(after)
	if err != nil {
		return nil, err
	}
	n := &neck{}
	byLane := map[float64]*lane{}
	var lanes []float64
	for _, p := range placesOf(first, second) {
		a, inFirst := first[p]
		b, inSecond := second[p]
		if !inFirst || !inSecond {
			n.alone = append(n.alone, p)
			continue
		}
		l := byLane[p.Lane]
		if l == nil {
			l = &lane{lane: p.Lane}
			byLane[p.Lane] = l
			lanes = append(lanes, p.Lane)
		}
		l.frets = append(l.frets, p.Fret)
		l.x = append(l.x, a.XMM)
		l.c = append(l.c, b.HeightMM-a.HeightMM)
		l.u = append(l.u, math.Hypot(a.UMM, b.UMM))
	}
	for _, at := range lanes {
		l := byLane[at]
		if len(l.frets) < leastCrowns {
			for _, f := range l.frets {
				n.alone = append(n.alone, Place{f, at})
			}
			continue
		}
		n.lanes = append(n.lanes, *l)
	}
	n.spread()
	return n, nil
}

// spread places the lanes across.
func (n *neck) spread() {
	if len(n.lanes) < 2 {
		return
	}
	first, last := n.lanes[0].lane, n.lanes[len(n.lanes)-1].lane
	for i := range n.lanes {
		n.lanes[i].t = (n.lanes[i].lane-first)/(last-first) - 0.5
	}
}

func byPlace(crowns []Crown) (map[Place]Crown, error) {
	m := make(map[Place]Crown, len(crowns))
	for _, c := range crowns {
		for _, v := range []float64{c.Lane, c.XMM, c.HeightMM, c.UMM} {
			if v-v != 0 {
				return nil, fmt.Errorf("%w: fret %d, lane %g: a number is not finite", ErrOptions, c.Fret, c.Lane)
			}
		}
		if !(c.UMM > 0) {
			return nil, fmt.Errorf("%w: fret %d, lane %g: no uncertainty", ErrOptions, c.Fret, c.Lane)
		}
		m[Place{c.Fret, c.Lane}] = c
	}
	return m, nil
}

// placesOf are all places by lane and fret.
func placesOf(sets ...map[Place]Crown) []Place {
	seen := map[Place]bool{}
	var all []Place
	for _, m := range sets {
		for p := range m {
			if !seen[p] {
				seen[p] = true
				all = append(all, p)
			}
		}
	}
	slices.SortFunc(all, func(a, b Place) int {
		switch {
		case a.Lane < b.Lane:
			return -1
		case a.Lane > b.Lane:
			return 1
		}
		return a.Fret - b.Fret
	})
	return all
}
